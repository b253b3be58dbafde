"""Published soaks of raw pulses and grain, against the figures of their abstracts."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.camp import soak_food
from fellfare.camp.soaking.published import PUBLISHED, published_soak
from fellfare.files.shipped import shipped_pantry

PANTRY = shipped_pantry()


@pytest.mark.parametrize(
    ("food", "water_c", "hours", "off"),
    [
        # Cimini 2021: chickpeas, 5 h at 24 °C.
        ("chickpeas-dry", 24, 5.0, 0.001),
        # Kwofie 2019: common beans in 10, 6 and 4 h at 25, 35 and 45 °C; the middle one is
        # missed by the straight line between the ends.
        ("kidney-beans-dry", 25, 10.0, 0.001),
        ("pinto-beans-dry", 35, 6.0, 0.4),
        ("black-beans-dry", 45, 4.0, 0.01),
        # Turk J Agric For 2001, D at 15 and 40 °C in a sphere of 2 mm: 35 and 9 min (by hand).
        ("lentils", 15, 35 / 60, 0.01),
        ("lentils", 40, 9 / 60, 0.01),
        # CIGR J, teff: 9 k1/k2 = 149 min at 20 °C; 98 at 50 °C by its own k1 and k2, of which
        # k2 moves with the warmth too: by the published energy alone 61.
        ("teff", 20, 149 / 60, 0.01),
    ],
)
def test_the_minutes_of_the_papers(food: str, water_c: float, hours: float, off: float) -> None:
    time = soak_food(PANTRY.food(food), water_c)
    assert time.minutes == pytest.approx(60 * hours, abs=60 * off)
    assert not time.extrapolated


@given(st.sampled_from([food for one in PUBLISHED for food in one.foods]), st.floats(0, 55))
def test_colder_water_is_slower_and_beyond_the_paper_it_is_said(food: str, water_c: float) -> None:
    here, warmer = (soak_food(PANTRY.food(food), c) for c in (water_c, water_c + 5))
    assert (here.minutes or 0) > (warmer.minutes or 0) > 0
    paper = published_soak(food)
    assert paper is not None
    low_c, high_c = paper.measured_c
    assert here.extrapolated == (not low_c <= water_c <= high_c)
    assert here.trust == paper.trust
    assert paper.source in here.minutes_source


def test_every_published_food_is_raw_and_of_the_pantry() -> None:
    for one in PUBLISHED:
        for food in one.foods:
            assert PANTRY.food(food).form == "raw-dry"
            # The pantry's own cold soak goes first; where there is one ours would lie idle.
            assert all(soak.way != "cold-soak" for soak in PANTRY.food(food).soaks)


def test_what_nobody_published_stays_unknown() -> None:
    assert published_soak("pigeon-peas") is None
    assert soak_food(PANTRY.food("pigeon-peas"), 20).minutes is None
    assert soak_food(PANTRY.food("chickpeas-dry"), 99, way="hot-pour").minutes is None
