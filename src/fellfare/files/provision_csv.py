"""The lists of a provision as CSV, by file name; see :mod:`fellfare.files.lists_csv`."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from fellfare.files.lists_csv import Cell, csv_text
from fellfare.provision.trip.burdens import morning_g
from fellfare.provision.trip.provision import Provision


def provision_csv(one: Provision) -> dict[str, str]:
    """File name to text: shopping, prep, bags and their contents, boxes, loads, nights, fuel."""
    lists = {
        "shopping-list.csv": _shopping(one),
        "prep-list.csv": _prep(one),
        "bags.csv": _bags(one),
        "bag-contents.csv": _contents(one),
        "customs.csv": _customs(one),
        "carrying.csv": _carrying(one),
        "nights.csv": _nights(one),
        "fuel.csv": _fuel(one),
        "water.csv": _water(one),
    }
    return {name: csv_text(head, rows) for name, (head, rows) in lists.items()}


_List = tuple[Sequence[str], Iterable[Sequence[Cell]]]


def _shopping(one: Provision) -> _List:
    head = (
        "place", "section", "food", "name", "need_g", "home_g", "buy_g", "packs", "bought_g",
        "spare_g", "price", "unmeasured", "dries_to", "dishes",
    )  # fmt: skip
    rows = (
        (
            place.name, row.food.group, row.food.id, row.food.name, row.need_g, row.home_g,
            row.buy_g, " + ".join(f"{p.count} x {p.pack.size_g:g} g" for p in row.packs),
            row.bought_g, row.spare_g, None if row.cost is None else float(row.cost),
            row.unmeasured, "; ".join(made.dried.id for made in row.dries_to),
            "; ".join(row.dishes),
        )
        for place in one.shopping.places
        for row in place.rows
    )  # fmt: skip
    return head, rows


def _prep(one: Provision) -> _List:
    head = ("date", "days_before", "kind", "stop", "dish", "text", "in_g", "out_g", "minutes",
            "low_hours", "high_hours", "not_before", "bags", "findings")  # fmt: skip
    rows = (
        (
            _day(task.latest), task.days_before, task.kind, task.stop, task.dish, task.text,
            task.in_g, task.out_g, task.minutes,
            None if task.drying is None else task.drying.low_h,
            None if task.drying is None else task.drying.high_h,
            _day(task.earliest), " ".join(map(str, task.bags)),
            " | ".join(f"{f.severity}: {f.text}" for f in task.findings),
        )
        for task in one.prep.tasks
    )  # fmt: skip
    return head, rows


def _bags(one: Provision) -> _List:
    carrier = {n: c.name for leg in one.carrying for c in leg.carriers for n in c.bags}
    head = (
        "bag", "day", "date", "time", "dish", "name", "eaters", "mass_g", "gross_g", "volume_ml",
        "size", "second_bag", "stop", "carrier", "not_for", "advice",
        "minds",
    )  # fmt: skip
    rows = (
        (
            bag.number, bag.day, _day(label.eat_on), bag.time, bag.dish, bag.name,
            "; ".join(bag.eaters), None if bag.mass_unknown and not bag.mass_g else bag.mass_g,
            None if bag.tare_g is None else bag.gross_g,
            None if bag.volume_unknown else bag.volume_ml, bag.size or "", bag.second_bag,
            bag.stop, carrier.get(bag.number, ""), "; ".join(bag.not_for),
            " | ".join(label.advice), " | ".join(label.minds),
        )
        for bag, label in zip(one.bags, one.labels, strict=True)
    )  # fmt: skip
    return head, rows


def _contents(one: Provision) -> _List:
    head = ("bag", "day", "time", "dish", "food", "name", "note", "eater", "mass_g")
    rows = (
        (bag.number, bag.day, bag.time, bag.dish, content.food.id, content.food.name,
         content.note, eater, grams)
        for bag in one.bags
        for content in bag.contents
        for eater, grams in content.portions
    )  # fmt: skip
    return head, rows


def _customs(one: Provision) -> _List:
    head = ("box", "description", "mass_g", "bags", "foods")
    rows = (
        (box.name, row.description, row.net_g, row.bags, "; ".join(row.foods))
        for box in one.boxes
        for row in box.customs
    )
    return head, rows


def _carrying(one: Provision) -> _List:
    days = len(one.plan.days)
    rows = (
        (walker.name, day, grams)
        for walker in one.plan.trip.walkers
        for day, grams in enumerate(morning_g(one.carrying, one.bags, walker.name, days), 1)
    )
    return ("walker", "day", "food_with_bags_g"), rows


def _nights(one: Provision) -> _List:
    party = () if one.room.party is None else (("all", one.room.party),)
    rows = (
        (name, night.day, fit.litres, night.food_l, night.total_l[0], night.total_l[1], night.fits)
        for name, fit in (*party, *one.room.walkers)
        for night in fit.nights
    )
    return ("walker", "after_day", "litres", "food_l", "low_l", "high_l", "fits"), rows


def _fuel(one: Provision) -> _List:
    head = ("stop", "walkers", "fuel", "fuel_g", "low_g", "high_g", "canister_g", "canisters")
    rows = (
        (
            "" if leg.from_name == "start" else leg.from_name,
            "; ".join(one.plan.trip.kitchens[leg.kitchen].walkers), leg.fuel_id, leg.fuel_g,
            leg.low_g, leg.high_g,
            None if leg.canisters is None else leg.canisters.size.net_g,
            None if leg.canisters is None else leg.canisters.count,
        )
        for leg in one.fuel
    )  # fmt: skip
    return head, rows


def _water(one: Provision) -> _List:
    head = ("leg", "stop", "from_day", "to_day", "food_water_ml", "at_least", "most_ml",
            "most_day")  # fmt: skip
    rows = (
        (leg.leg, leg.stop, leg.days[0], leg.days[-1], leg.water_ml, bool(leg.water_unknown),
         leg.most_ml, leg.most_day)
        for leg in one.water
    )  # fmt: skip
    return head, rows


def _day(day: date | None) -> str:
    return "" if day is None else day.isoformat()
