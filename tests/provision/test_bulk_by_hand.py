"""Bulk rationing, packs for a menu, what came back, and findings put together: by hand."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import msgspec
import pytest
from msgspec.structs import replace

from fellfare.mistake import Finding, Mistake
from fellfare.pantry.food import Food
from fellfare.pantry.pantry import Pantry
from fellfare.provision.bulk.asked import BulkAsked, GroupWish
from fellfare.provision.bulk.ration import Bulk, bulk_of
from fellfare.provision.minding import gathered
from fellfare.provision.season.party import Party, by_date
from fellfare.provision.season.returned import CameBack, returned_of
from fellfare.provision.shopping.packs import Pack
from fellfare.provision.trip.own import Own
from fellfare.provision.trip.priced import menu_packs
from fellfare.provision.trip.provision import Provision
from fellfare.walk.walker import Walker

POUND = 453.59237  # exact: NIST SP 811, appendix B.8


def food(name: str, **more: Any) -> Food:
    plain = {"id": name, "name": name, "group": "grain", "form": "solid",
             "per_100g": {"energy_kcal": 400.0}, "bulk_density_g_per_ml": 0.5,
             "source": {"kind": "unknown", "ref": "invented"}, **more}  # fmt: skip
    return msgspec.convert(plain, Food)


SHELF = Pantry([
    food("oats"), food("nuts", allergens={"contains": ["walnut"], "may_contain": ["milk"]}),
    food("mystery", per_100g={}, bulk_density_g_per_ml=None, allergens={"unknown": ["soy"]}),
])  # fmt: skip


def ask(*groups: GroupWish, **more: Any) -> Bulk:
    given: dict[str, Any] = {"people": 10, "days": 5, "column_lb": 2.0, **more}
    return bulk_of(BulkAsked(groups=groups, **given), SHELF)


def breakfast(**foods: float) -> GroupWish:
    return GroupWish(name="breakfast", foods=foods)


def test_ten_people_for_five_days_at_two_pounds() -> None:
    # The table gives breakfast 0.33 lb of 2 lb: 0.33 x 50 person-days = 16.5 lb = 7.484 kg
    found = ask(breakfast(oats=0.75, nuts=0.25))
    assert found.promised_g == pytest.approx(2 * 50 * POUND)
    (group,) = found.groups
    assert not group.own
    assert group.g_per_person_day == pytest.approx(0.33 * POUND)
    assert group.mass_g == pytest.approx(16.5 * POUND)
    assert [one.mass_g for one in found.foods] == pytest.approx(
        [0.75 * 16.5 * POUND, 0.25 * 16.5 * POUND]
    )
    assert found.mass_g == pytest.approx(16.5 * POUND)
    assert found.energy_kcal == pytest.approx(4.0 * 16.5 * POUND)
    assert found.energy_unknown == ()
    oats = found.foods[0]  # 5 613 g in bags of at most 1 kg: six alike
    assert oats.bags_g == pytest.approx((0.75 * 16.5 * POUND / 6,) * 6)
    assert oats.bag_ml == pytest.approx(oats.bags_g[0] / 0.5)
    assert (oats.bought_g, oats.spare_g, oats.cost) == (oats.mass_g, 0.0, None)
    left_out = next(one for one in found.findings if one.rule == "ration-group-left-out")
    assert "dinner" in left_out.text
    assert "breakfast" not in left_out.text


def test_ones_own_grams_go_before_the_table_and_fill_what_it_lacks() -> None:
    own = ask(GroupWish(name="tea", foods={"oats": 1.0}, g_per_person_day=40.0), days=2)
    assert (own.groups[0].own, own.groups[0].mass_g) == (True, 800.0)
    assert own.foods[0].bags_g == (800.0,)
    lacking = ask(GroupWish(name="flour and baking", foods={"oats": 1.0}))
    assert (lacking.groups[0].mass_g, lacking.foods) == (None, ())
    assert "ration-factor-not-legible" in [one.rule for one in lacking.findings]
    nothing = ask(GroupWish(name="tea", foods={"oats": 1.0}, g_per_person_day=0.0))
    assert nothing.foods == ()


def tea(grams: float, **more: Any) -> Bulk:
    return ask(GroupWish(name="tea", foods={"oats": 1.0}, g_per_person_day=grams), people=1,
               days=1, **more)  # fmt: skip


def test_a_bag_that_is_just_full_asks_for_no_second() -> None:
    assert tea(1000.0).foods[0].bags_g == (1000.0,)
    assert tea(1000.5).foods[0].bags_g == pytest.approx((500.25, 500.25))
    assert len(tea(1000.0, bag_g=50.0).foods[0].bags_g) == 20
    assert tea(1000.0, bag_g=5000.0).foods[0].bags_g == (1000.0,)
    for wrong in (49.9, 5001.0):
        with pytest.raises(Mistake, match="bulk-bag"):
            tea(1000.0, bag_g=wrong)


def test_grams_for_a_day_lie_between_nothing_and_two_kilograms() -> None:
    assert tea(2000.0).mass_g == 2000.0
    for wrong in (-0.1, 2000.1, float("nan")):
        with pytest.raises(Mistake, match="ration-out-of-range") as told:
            tea(wrong)
        assert told.value.where == "group[0].g_per_person_day"


@pytest.mark.parametrize(
    ("shares", "good"),
    [({"oats": 1.0}, True), ({"oats": 0.9895}, True), ({"oats": 0.988}, False),
     ({"oats": 0.5, "nuts": 0.51}, True), ({"oats": 0.5, "nuts": 0.512}, False),
     ({"oats": 1.5, "nuts": -0.5}, False), ({}, False), ({"oats": 1.0, "nuts": 0.0}, True),
     ({"oats": float("nan")}, False)],
)  # fmt: skip
def test_shares_of_a_group_make_one(shares: dict[str, float], good: bool) -> None:
    if good:
        assert all(one.mass_g > 0 for one in ask(breakfast(**shares)).foods)
    else:
        with pytest.raises(Mistake, match="bulk-shares"):
            ask(breakfast(**shares))


def test_strange_groups_and_foods_are_told_with_their_place() -> None:
    with pytest.raises(Mistake, match="bulk-group-unknown") as told:
        ask(breakfast(oats=1.0), GroupWish(name="elevenses", foods={"oats": 1.0}))
    assert told.value.where == "group[1].name"
    with pytest.raises(Mistake, match="unknown-food") as caught:
        ask(breakfast(moss=1.0))
    assert caught.value.where.startswith("group[0].foods")


def test_packs_are_bought_whole_and_priced() -> None:
    packs = {"oats": (Pack(size_g=500.0, price=Decimal("1.20")),)}
    found = tea(1100.0, packs=packs)
    oats = found.foods[0]
    assert (oats.bought_g, oats.spare_g, oats.cost) == (1500.0, 400.0, Decimal("3.60"))
    assert found.cost == Decimal("3.60")
    some = ask(breakfast(oats=0.5, nuts=0.5), packs=packs)
    assert some.cost is None  # the nuts have no price


@pytest.mark.parametrize(
    ("avoid", "name", "severity"),
    [("walnut", "nuts", "error"), ("tree-nut", "nuts", "error"), ("milk", "nuts", "caution"),
     ("soy", "mystery", "error"), ("fish", None, None)],
)  # fmt: skip
def test_an_allergen_in_a_shared_food_is_told(
    avoid: str, name: str | None, severity: str | None
) -> None:
    found = ask(breakfast(oats=0.4, nuts=0.3, mystery=0.3), avoid=(avoid,))
    told = [(one.about, one.severity) for one in found.findings if one.rule == "bulk-allergen"]
    assert told == ([] if name is None else [((name,), severity)])


def test_unknown_energy_is_said_and_seven_tenths_of_the_need_are_enough() -> None:
    unknown = ask(breakfast(mystery=1.0))
    assert (unknown.energy_kcal, unknown.energy_unknown) == (0.0, ("mystery",))
    assert unknown.foods[0].bag_ml is None

    def short(need: float | None) -> bool:
        return "bulk-under-need" in [one.rule for one in tea(700.0, need_kcal=need).findings]

    # 700 g at 4 kcal/g are 2 800 kcal, seven tenths of 4 000
    assert [short(need) for need in (None, 3999.0, 4001.0)] == [False, False, True]


def test_a_menu_minds_the_cheapest_pack_for_a_gram_and_the_cupboard() -> None:
    own = Own(
        packs={
            "oats": (Pack(size_g=500.0, price=Decimal("2")),
                     Pack(size_g=1000.0, price=Decimal("3")), Pack(size_g=9000.0)),
            "nuts": (Pack(size_g=100.0),),
        },
        at_home={"oats": 200.0, "nuts": 50.0, "salt": 80.0, "rice": 0.0},
    )  # fmt: skip
    packs = {one.food: one for one in menu_packs(own)}
    assert set(packs) == {"oats", "nuts", "salt"}
    assert (packs["oats"].size_g, packs["oats"].price) == (1000.0, 3.0)
    assert (packs["nuts"].size_g, packs["nuts"].price, packs["nuts"].most) == (50.0, 0.0, 1)
    assert (packs["salt"].size_g, packs["salt"].price) == (80.0, 0.0)


def test_what_came_back_is_summed_by_party_and_dish() -> None:
    rows = {
        "may": [CameBack(dish="pot", carried_g=300.0, home_g=30.0),
                CameBack(dish="", carried_g=100.0, home_g=60.0),
                CameBack(dish="pot", carried_g=100.0, home_g=20.0),
                CameBack(dish="cakes", carried_g=100.0, home_g=0.0)],
        "july": [CameBack(dish="pot", carried_g=100.0, home_g=50.0)],
        "june": [],
    }  # fmt: skip
    july, may, june = returned_of(rows)
    assert (july.party, july.share) == ("july", 0.5)
    assert (may.party, may.carried_g, may.home_g) == ("may", 600.0, 110.0)
    assert may.dishes == (("", 60.0), ("pot", 50.0))
    assert may.share == pytest.approx(110 / 600)
    assert (june.party, june.share) == ("june", 0.0)


def told(text: str, *about: str, rule: str = "allergen") -> Finding:
    return Finding(severity="error", rule=rule, text=text, source="s", about=about)


def test_allergens_of_one_person_are_said_in_one_breath() -> None:
    found = gathered([
        told("Ada: nuts contains walnut.", "pot"), told("Ada: bar contains walnut.", "cakes"),
        told("Bo: nuts contains walnut.", "pot"), told("Ada: nuts contains walnut.", "rice"),
        told("Hot.", "a", "b", "c", "d", rule="jar"),
    ])  # fmt: skip
    assert [(one.text, one.about) for one in found] == [
        ("Ada: nuts; bar: contains walnut.", ("pot", "cakes", "rice")),
        ("Bo: nuts contains walnut.", ("pot",)),
        ("Hot.", ("a", "b", "c", "d")),
    ]
    many = gathered([told("Ada: nuts contains walnut.", *"abcde")])
    assert many[0].about == ("a", "b", "c", "and 2 more")
    three = gathered([told("Ada: nuts contains walnut.", *"abc")])
    assert three[0].about == ("a", "b", "c")


def test_parties_stand_in_the_order_in_which_they_set_out(provision: Provision) -> None:
    def on(name: str, day: date | None) -> Party:
        trip = replace(provision.plan.trip, start_date=day)
        plan = replace(provision.plan, trip=trip)
        return Party(name=name, provision=replace(provision, plan=plan))

    may, july, none = on("m", date(2031, 5, 1)), on("a", date(2031, 7, 1)), on("b", None)
    assert by_date((none, july, may)) == (may, july, none)
    with pytest.raises(Mistake, match="party-twice"):
        by_date((may, may))
    days = len(provision.plan.days)
    assert may.is_back == date(2031, 5, days)
    assert none.is_back is None
    last = date(2031, 5, days)
    for day, word in ((date(2031, 4, 30), "to come"), (date(2031, 5, 1), "out"), (last, "out"),
                      (date(2031, 5, days + 1), "back"), (None, "no date")):  # fmt: skip
        assert may.when(day) == word
    assert none.when(last) == "no date"


def test_another_walk_is_compared_for_a_person_and_day() -> None:
    # by hand: 10 people x 5 days hold 4 kcal/g x 0.33 lb = 598.7 kcal a person-day; a walk of
    # 3 walkers x 9 days with 54 000 kcal asks for 2 000 a person-day: 29.9 %
    found = ask(breakfast(oats=1.0), need_kcal=54_000.0, need_people=3, need_days=9)
    assert found.covers == pytest.approx(4 * 0.33 * POUND / 2000)
    (told,) = [one for one in found.findings if one.rule == "bulk-another-walk"]
    assert "10 × 5 (people × days)" in told.text
    assert "the walk has 3 × 9:" in told.text
    (short,) = [one for one in found.findings if one.rule == "bulk-under-need"]
    assert "holds 30 %" in short.text


@pytest.mark.parametrize(("days", "same"), [(5.0, True), (4.5, True), (4.0, False), (6.0, False)])
def test_half_a_day_is_no_other_walk(days: float, same: bool) -> None:
    found = ask(breakfast(oats=1.0), days=days, need_kcal=1e5, need_people=10, need_days=5)
    assert ("bulk-another-walk" not in [one.rule for one in found.findings]) == same
    whole = found.energy_kcal / 1e5
    assert found.covers == pytest.approx(whole if same else whole * 5 / days)


def test_the_same_group_twice_is_a_mistake() -> None:
    with pytest.raises(Mistake) as told:
        ask(breakfast(oats=1.0), GroupWish(name="dinner", foods={"oats": 1.0}), breakfast(nuts=1.0))
    assert (told.value.code, told.value.where) == ("bulk-group-twice", "group[2].name")


def test_the_cost_of_all_says_what_has_no_price() -> None:
    packs = {"oats": (Pack(size_g=1000, price=Decimal("2.50")),)}
    found = ask(breakfast(oats=0.75, nuts=0.25), packs=packs)
    # 5 613 g of oats: six packs
    assert (found.cost, found.known_cost, found.cost_unknown) == (None, Decimal("15.00"), ("nuts",))
    assert ask(breakfast(oats=1.0), packs=packs).cost == Decimal("20.00")  # 7 484 g: eight


def test_the_walkers_of_the_trip_are_asked_after() -> None:
    def eater(name: str, **more: Any) -> Walker:
        return Walker(name=name, sex="female", age_y=30, height_cm=168, mass_kg=60,
                      base_pack_kg=6, **more)  # fmt: skip

    given = {
        "eaters": (eater("Ada", avoids=("walnut",)), eater("Bo"), eater("Cy", avoids=("soy",)))
    }
    found = ask(breakfast(oats=0.5, nuts=0.5), **given)
    (told,) = [one for one in found.findings if one.rule == "bulk-allergen"]
    assert (told.severity, told.about) == ("error", ("nuts",))
    assert "walnut (avoided by Ada)" in told.text
    shelf = Pantry([food("oats"), food("cheddar", group="dairy")])
    wish = GroupWish(name="breakfast", foods={"oats": 0.5, "cheddar": 0.5})
    asked = BulkAsked(people=2, days=2, column_lb=2.0, groups=(wish,))
    vegans = replace(asked, eaters=(eater("Di", diets=("vegan",)), eater("Bo")))
    rules = [one for one in bulk_of(vegans, shelf).findings if one.rule == "bulk-diet"]
    assert [(one.severity, one.about) for one in rules] == [("error", ("cheddar",))]
    assert "vegan (Di)" in rules[0].text
    assert not [one for one in bulk_of(asked, shelf).findings if one.rule == "bulk-diet"]
