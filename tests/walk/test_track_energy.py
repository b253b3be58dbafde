"""The energy of a track equals that of its pieces, and other laws of a whole track."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fellfare.walk.energy.spread import energy_by_model
from fellfare.walk.legs import legs_of
from fellfare.walk.pace.plan import planned_speed_m_s
from fellfare.walk.pace.rules import PACE_RULES, PaceRule
from fellfare.walk.profile import Profile, Slopes, profile_of, slopes_between
from fellfare.walk.track import make_track

#: Elevations of points 56 m apart, in steps of at most 20 m.
ways = st.lists(st.floats(-20, 20), min_size=5, max_size=60).map(
    lambda steps: [1_000.0, *(1_000.0 + np.cumsum(steps))]
)


def profile(ele: list[float]) -> Profile:
    track, _ = make_track(
        46 + 0.0005 * np.arange(len(ele)), np.full(len(ele), 13.0), ele_m=np.array(ele)
    )
    return profile_of(track)


def kcal(slopes: Slopes, rule: PaceRule, load_kg: float = 12.0) -> dict[str, float]:
    """Walking energy at the speed of a rule, by every model."""
    legs = legs_of(slopes.distance_m, slopes.grade, 1.1)
    speed = np.asarray(
        planned_speed_m_s(grade=legs.grade, eta=legs.eta, load_share=load_kg / 75, rule=rule)
    )
    each = energy_by_model(legs, body_kg=75.0, load_kg=load_kg, speed_m_s=speed, rest_w=80.0)
    return {one.model: one.walking_kcal for one in each}


@given(ways, st.lists(st.floats(0.05, 0.95), min_size=1, max_size=6), st.sampled_from(PACE_RULES))
@settings(deadline=None)
def test_the_energy_of_a_track_equals_that_of_its_pieces(
    ele: list[float], shares: list[float], rule: PaceRule
) -> None:
    walk = profile(ele)
    marks = [0.0, *sorted(share * walk.length_m for share in shares), walk.length_m]
    whole = kcal(walk.slopes, rule)
    pieces = [slopes_between(walk.slopes, a, b) for a, b in pairwise(marks)]
    parts = [kcal(piece, rule) for piece in pieces if len(piece)]
    for model, energy in whole.items():
        # A crumb under a micrometre is left out at each cut.
        assert sum(part[model] for part in parts) == pytest.approx(energy, rel=1e-6, abs=1e-4)


@given(ways, st.sampled_from(PACE_RULES), st.floats(0.5, 15))
@settings(deadline=None)
def test_more_on_the_back_never_makes_a_track_cheaper(
    ele: list[float], rule: PaceRule, more_kg: float
) -> None:
    walk = profile(ele)
    light, heavy = kcal(walk.slopes, rule, 5.0), kcal(walk.slopes, rule, 5.0 + more_kg)
    for model, energy in light.items():
        assert heavy[model] >= energy * (1 - 1e-9)


@given(ways)
@settings(deadline=None)
def test_a_rolling_track_costs_more_than_the_same_way_on_the_level(ele: list[float]) -> None:
    walk = profile([*ele, ele[0]])
    level = profile([1_000.0] * (len(ele) + 1))
    # At one speed for both, so that only the grade differs; it ends as high as it began.
    rolling, flat = (
        energy_by_model(
            legs_of(one.slopes.distance_m, one.slopes.grade, 1.1),
            body_kg=75.0,
            load_kg=12.0,
            speed_m_s=1.0,
            rest_w=80.0,
        )
        for one in (walk, level)
    )
    # By the graded models; the others take no heed of a descent, or jump at its edge.
    for up, on in zip(rolling, flat, strict=True):
        if up.model.startswith("LCDA"):
            assert up.walking_kcal >= on.walking_kcal * walk.length_m / level.length_m * 0.999
