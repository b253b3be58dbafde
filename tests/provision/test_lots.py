"""What is in filled bags stays there: reckoned by hand on the four-day trip of this room."""

from __future__ import annotations

from datetime import date

import pytest
from msgspec.structs import replace

from fellfare.mistake import Mistake
from fellfare.provision.season.lots import Ledger, Lot, Packed, Use, doubtful, ledger_of, recall
from fellfare.provision.season.party import Party
from fellfare.provision.trip.provision import Provision


@pytest.fixture
def parties(provision: Provision) -> tuple[Party, Party]:
    """The same walk in May and in July."""

    def on(name: str, day: date) -> Party:
        trip = replace(provision.plan.trip, start_date=day)
        plan = replace(provision.plan, trip=trip)
        return Party(name=name, provision=replace(provision, plan=plan))

    return on("may", date(2031, 5, 1)), on("july", date(2031, 7, 1))


@pytest.fixture
def food(provision: Provision) -> tuple[str, float]:
    """A food of the trip, and how much of it one party's bags from home hold [g]."""
    held: dict[str, float] = {}
    for bag in Party(name="x", provision=provision).home_bags:
        for content in bag.contents:
            held[content.food.id] = held.get(content.food.id, 0.0) + (content.mass_g or 0.0)
    return max(held.items(), key=lambda pair: pair[1])


def sums(ledger: Ledger, party: str, food: str) -> dict[str | None, float]:
    found: dict[str | None, float] = {}
    for use in ledger.uses:
        if (use.party, use.food) == (party, food):
            found[use.lot] = found.get(use.lot, 0.0) + use.mass_g
    return found


def test_a_party_that_comes_later_takes_nothing_out_of_filled_bags(
    parties: tuple[Party, Party], food: tuple[str, float], provision: Provision
) -> None:
    may, july = parties
    name, grams = food
    pantry = provision.pantry
    lots = [Lot(number="A", food=name, mass_g=grams, best_before=date(2031, 8, 1)),
            Lot(number="B", food=name, mass_g=grams, best_before=date(2031, 9, 1))]  # fmt: skip
    alone = ledger_of([july], lots, pantry)
    assert sums(alone, "july", name) == {"A": pytest.approx(grams)}
    # July's bags are filled with A; then a party in May is taken on, which goes first by its date
    unwritten = ledger_of([may, july], lots, pantry)
    assert sums(unwritten, "july", name) == {"B": pytest.approx(grams)}
    packed = [Packed(party="july", lots=alone.lots_of("july"))]
    written = ledger_of([may, july], lots, pantry, packed)
    assert sums(written, "july", name) == {"A": pytest.approx(grams)}
    assert sums(written, "may", name) == {"B": pytest.approx(grams)}
    today = date(2031, 7, 2)
    assert [one.party for one in recall(written, [may, july], "A", today)] == ["july"]


def test_filled_bags_hold_no_lot_that_came_later(
    parties: tuple[Party, Party], food: tuple[str, float], provision: Provision
) -> None:
    _, july = parties
    name, grams = food
    old = Lot(number="A", food=name, mass_g=grams / 2, best_before=date(2031, 8, 1))
    new = Lot(number="B", food=name, mass_g=grams, best_before=date(2031, 7, 20))
    packed = [Packed(party="july", lots=("A",))]
    told = ledger_of([july], [old, new], provision.pantry, packed)
    assert sums(told, "july", name) == {
        "A": pytest.approx(grams / 2), None: pytest.approx(grams / 2),
    }  # fmt: skip
    assert recall(told, [july], "B", date(2031, 7, 2)) == ()
    (maybe,) = doubtful(told, [july], "B", date(2031, 7, 2))
    assert maybe.mass_g == pytest.approx(grams / 2)


def test_filled_bags_that_would_be_others_by_now_are_told(
    parties: tuple[Party, Party], provision: Provision
) -> None:
    may, july = parties
    assert may.bags_mark == july.bags_mark  # the same grams in the same bags, on another day
    same = Packed(party="may", lots=(), on=date(2031, 4, 28), bags=may.bags_mark)
    rules = {one.rule for one in ledger_of([may], [], provision.pantry, [same]).findings}
    assert "packed-changed-since" not in rules
    fewer = replace(may.provision, bags=may.provision.bags[1:])
    later = Party(name="may", provision=fewer)
    told = ledger_of([later], [], provision.pantry, [same]).findings[0]
    assert told.rule == "packed-changed-since"
    assert "on 2031-04-28" in told.text
    # packed anew: the last word counts
    anew = replace(same, bags=later.bags_mark)
    rules = {one.rule for one in ledger_of([later], [], provision.pantry, [same, anew]).findings}
    assert "packed-changed-since" not in rules


def test_a_lot_in_filled_bags_cannot_be_forgotten(
    parties: tuple[Party, Party], provision: Provision
) -> None:
    with pytest.raises(Mistake) as caught:
        ledger_of(parties, [], provision.pantry, [Packed(party="may", lots=("A",))])
    assert caught.value.code == "packed-unknown-lot"
    with pytest.raises(Mistake) as unknown:
        doubtful(ledger_of(parties, [], provision.pantry), parties, "A", None)
    assert unknown.value.code == "lot-unknown"


def test_a_lot_that_is_used_up_has_nothing_left() -> None:
    # 0.1 + 0.2 is 0.30000000000000004 [IEEE 754 binary64]: the rest is nothing, not -0
    def use(mass_g: float) -> Use:
        return Use(lot="L", food="salt", party="p", bag=1, dish="d", bag_name="b", day=1,
                   eaten_on=None, time="dinner", box="", eaters=(), mass_g=mass_g)  # fmt: skip

    lots = (Lot(number="L", food="salt", mass_g=0.3),)
    left = Ledger(lots=lots, uses=(use(0.1), use(0.2)), findings=()).left_g("L")
    assert f"{left:.0f}" == "0"
    assert Ledger(lots=lots, uses=(use(0.1),), findings=()).left_g("L") == pytest.approx(0.2)
