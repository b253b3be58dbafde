"""What the scale shows: whole numbers that add up, however many bags there are."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.provision.bags.plan import PlannedBag, bags_of
from fellfare.provision.bags.whole import WHOLE_FROM_G, apportion, on_the_scale

PARTS = st.lists(st.floats(0.0, 1e4), min_size=1, max_size=12)


@given(PARTS, st.integers(0, 100_000))
def test_shares_add_up_to_the_total(parts: list[float], total: int) -> None:
    shares = apportion(parts, total)
    assert sum(shares) == (total if sum(parts) > 0 else 0)
    assert all(share >= 0 for share in shares)


@given(st.lists(st.integers(1, 10_000), min_size=1, max_size=12), st.integers(1, 100_000))
def test_no_share_is_off_by_one_or_more(parts: list[int], total: int) -> None:
    # The quota rule, which Hamilton's method keeps (Balinski and Young 1982, from memory);
    # reckoned here in exact fractions.
    shares = apportion([float(part) for part in parts], total)
    for part, share in zip(parts, shares, strict=True):
        assert abs(Fraction(part * total, sum(parts)) - share) < 1 + Fraction(1, 10**6)


def test_the_seats_of_a_known_example() -> None:
    # 43, 42 and 15 votes for 10 seats by largest remainder: 4.3, 4.2 and 1.5 are 4, 4 and 2.
    assert apportion([43.0, 42.0, 15.0], 10) == (4, 4, 2)


@given(st.lists(st.floats(0.01, 50.0), min_size=1, max_size=8), st.integers(8, 500))
def test_every_part_gets_the_least(parts: list[float], total: int) -> None:
    shares = apportion(parts, total, least=1)
    assert sum(shares) == total
    assert min(shares) >= 1


def test_a_part_below_zero_is_a_fault_of_the_caller() -> None:
    with pytest.raises(ValueError, match="below zero"):
        apportion([1.0, -1.0], 3)


@given(st.lists(st.tuples(st.floats(0.05, 400.0), st.floats(0.0, 60.0)), min_size=1, max_size=30))
def test_all_bags_together_stay_within_half_a_gram(
    bag: PlannedBag, masses: list[tuple[float, float]]
) -> None:
    bags = [sized(bag, first, second) for first, second in masses]
    weighed = on_the_scale(bags)
    exact, shown = sum(one.mass_g for one in bags), sum(one.mass_g for one in weighed)
    # Only bags under 10 g, in tenths: each is off by half a tenth, or has a tenth of each food.
    small = sum(one.mass_g < WHOLE_FROM_G for one in bags)
    room = 0.5 if small < len(bags) else 0.25 * small
    assert shown == pytest.approx(exact, abs=room + 1e-6)
    for one, was in zip(weighed, bags, strict=True):
        inside = [content.mass_g or 0.0 for content in one.contents]
        assert sum(inside) == pytest.approx(one.mass_g)
        portions = [grams or 0.0 for c in one.contents for _, grams in c.portions]
        assert sum(portions) == pytest.approx(one.mass_g)
        assert one.mass_g == pytest.approx(round(one.mass_g, 1))
        if was.mass_g >= WHOLE_FROM_G:
            assert one.mass_g == round(one.mass_g)


def test_what_nobody_measured_stays_unmeasured(
    dish: Callable[..., Any],
) -> None:
    weighed = on_the_scale(bags_of((dish("pot"),)))
    (salt,) = [c for bag in weighed for c in bag.contents if c.food.id == "salt"]
    assert salt.mass_g is None
    assert all(grams is None for _, grams in salt.portions)


@pytest.fixture(scope="session")
def bag(dish: Callable[..., Any]) -> PlannedBag:
    """A bag with two foods."""
    made: PlannedBag = next(one for one in bags_of((dish("porridge"),)) if one.name == "oats")
    return replace(made, contents=made.contents[:2])


def sized(bag: PlannedBag, first_g: float, second_g: float) -> PlannedBag:
    contents = tuple(
        replace(
            content,
            mass_g=grams,
            portions=tuple((name, grams / 2) for name, _ in content.portions),
        )
        for content, grams in zip(bag.contents, (first_g, second_g), strict=True)
    )
    return replace(bag, contents=contents, mass_g=first_g + second_g)
