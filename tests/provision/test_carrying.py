"""Who carries which bag."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.mistake import Mistake
from fellfare.provision.bags.plan import PlannedBag, bags_of
from fellfare.provision.carrying import Carrier, carrying
from fellfare.provision.planned import Planned

THREE = (
    Carrier(name="Ada", body_kg=60),
    Carrier(name="Bo", body_kg=90),
    Carrier(name="Cy", body_kg=75),
)


def bag(number: int, day: int, gross_g: float) -> PlannedBag:
    return PlannedBag(
        number=number, dish_number=0, dish="x", name="x", day=day, time="dinner", leg=1, stop="",
        eaters=("Ada",), contents=(), packing="zip", kept="ambient", mass_g=gross_g,
        mass_unknown=(), volume_ml=0.0, volume_unknown=(), size=None, tare_g=None,
    )  # fmt: skip


def unfair_g(bags: list[PlannedBag], owner: tuple[int, ...], shares: list[float]) -> float:
    """The definition, written again: the most above one's part on any morning."""
    worst = 0.0
    for day in {one.day for one in bags}:
        left = [(one, who) for one, who in zip(bags, owner, strict=True) if one.day >= day]
        total = sum(one.gross_g for one, _ in left)
        for who, share in enumerate(shares):
            mine = sum(one.gross_g for one, other in left if other == who)
            worst = max(worst, mine - share * total)
    return worst


BAGS = st.lists(st.tuples(st.integers(1, 4), st.floats(1, 900)), min_size=1, max_size=6)


@given(BAGS, st.lists(st.floats(0.2, 5), min_size=2, max_size=3))
def test_nothing_is_fairer_than_the_exact_answer(
    told: list[tuple[int, float]], weights: list[float]
) -> None:
    bags = [bag(number, day, grams) for number, (day, grams) in enumerate(told, 1)]
    shares = [weight / sum(weights) for weight in weights]
    carriers = [Carrier(name=f"c{n}", share=weight) for n, weight in enumerate(weights)]
    (answer,) = carrying(bags, carriers)
    assert answer.method == "exact"
    best = min(
        unfair_g(bags, owner, shares) for owner in product(range(len(shares)), repeat=len(bags))
    )
    assert answer.unfair_g == pytest.approx(best, abs=1e-6)
    assert answer.bound_g <= best + 1e-6


@given(
    st.lists(st.tuples(st.integers(1, 9), st.floats(1, 900)), min_size=9, max_size=30),
    st.lists(st.floats(0.2, 5), min_size=2, max_size=4),
)
def test_every_bag_is_carried_once_and_the_bound_holds(
    told: list[tuple[int, float]], weights: list[float]
) -> None:
    bags = [bag(number, day, grams) for number, (day, grams) in enumerate(told, 1)]
    carriers = [Carrier(name=f"c{n}", share=weight) for n, weight in enumerate(weights)]
    (answer,) = carrying(bags, carriers)
    owner = {number: n for n, one in enumerate(answer.carriers) for number in one.bags}
    assert sorted(number for one in answer.carriers for number in one.bags) == list(
        range(1, len(bags) + 1)
    )
    shares = [weight / sum(weights) for weight in weights]
    said = unfair_g(bags, tuple(owner[one.number] for one in bags), shares)
    assert answer.unfair_g == pytest.approx(said, abs=1e-6)
    assert answer.bound_g - 1e-6 <= answer.unfair_g
    # Nobody is above their part by more than the heaviest bag: the greedy start alone sees to it.
    assert answer.unfair_g <= max(one.gross_g for one in bags) + 1e-6


def test_equal_shares_of_equal_bags_are_equal_every_morning() -> None:
    bags = [bag(day * 3 + n, day, 100.0) for day in range(1, 8) for n in range(3)]
    carriers = [Carrier(name=name, share=1) for name in ("a", "b", "c")]
    (answer,) = carrying(bags, carriers)
    assert answer.unfair_g == pytest.approx(0, abs=1e-9)
    for one in answer.carriers:
        assert [grams for _, grams in one.morning_g] == pytest.approx(
            [100.0 * left for left in range(7, 0, -1)]
        )


def test_by_body_mass_the_heavier_carries_more(plan: tuple[Planned, ...]) -> None:
    for answer in carrying(bags_of(plan), THREE):
        start = {one.name: one.morning_g[0][1] for one in answer.carriers}
        assert start["Ada"] < start["Bo"]
        shares = [one.share for one in answer.carriers]
        assert shares == pytest.approx([60 / 225, 90 / 225, 75 / 225])


def test_the_mornings_sum_to_the_food_that_is_left(plan: tuple[Planned, ...]) -> None:
    bags = bags_of(plan)
    for answer in carrying(bags, THREE):
        mine = [one for one in bags if one.leg == answer.leg]
        for place, (day, _) in enumerate(answer.carriers[0].morning_g):
            carried = sum(one.morning_g[place][1] for one in answer.carriers)
            assert carried == pytest.approx(sum(b.gross_g for b in mine if b.day >= day))


def test_a_zero_share_carries_nothing() -> None:
    bags = [bag(number, 1, 50.0) for number in range(1, 5)]
    (answer,) = carrying(bags, [Carrier(name="child", share=0), Carrier(name="a", share=1)])
    assert answer.carriers[0].bags == ()
    assert answer.unfair_g == pytest.approx(0)


def test_too_heavy_a_pack_is_told() -> None:
    bags = [bag(1, 1, 4000.0)]
    light = Carrier(name="Ada", body_kg=60, base_g=7000)
    (answer,) = carrying(bags, [light])
    assert not answer.findings
    (answer,) = carrying(bags, [replace(light, base_g=9000)])
    # 13 kg of 60 kg: 21.7 %, over a fifth
    (finding,) = answer.findings
    assert finding.severity == "caution"
    assert "22 %" in finding.text


@pytest.mark.parametrize(
    ("code", "carriers"),
    [
        ("no-carrier", []),
        ("carrier-twice", [Carrier(name="a", share=1), Carrier(name="a", share=1)]),
        ("body-mass-unknown", [Carrier(name="a")]),
        ("share-out-of-range", [Carrier(name="a", share=1), Carrier(name="b", body_kg=60)]),
        ("share-out-of-range", [Carrier(name="a", share=0)]),
        ("share-out-of-range", [Carrier(name="a", share=-1)]),
        ("share-out-of-range", [Carrier(name="a", body_kg=float("nan"))]),
        ("share-out-of-range", [Carrier(name="a", body_kg=60, limit_share=0)]),
    ],
)
def test_impossible_carriers_are_refused(code: str, carriers: list[Carrier]) -> None:
    with pytest.raises(Mistake, match=code):
        carrying([bag(1, 1, 100.0)], carriers)
