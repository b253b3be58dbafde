"""A provision as plain data: what ``fellfare provision --json`` prints.

Keys stay; new ones are added.  Units stand in the keys; what is not known
is null.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from typing import Any, Final

from fellfare.mistake import Finding
from fellfare.provision.bags.plan import PlannedBag
from fellfare.provision.bags.tree import View, view
from fellfare.provision.boxes.box import Box, BoxSwap
from fellfare.provision.label import BagLabel
from fellfare.provision.prep.task import Task
from fellfare.provision.shopping.list import ShoppingRow
from fellfare.provision.store.denser import SaveSwap
from fellfare.provision.store.nights import Fit
from fellfare.provision.trip.burdens import morning_g
from fellfare.provision.trip.provision import Provision
from fellfare.trip.fuelling import FuelLeg

#: Figures are rounded here, at the printing end, and nowhere before.
_PLACES: Final = 3

#: Headings under which the same grams are told.
VIEWS: Final[tuple[View, ...]] = ("day", "meal", "person", "box")


def provision_data(one: Provision, findings: Iterable[Finding] | None = None) -> dict[str, Any]:
    """Everything; ``findings`` replace those of the provision when a caller has more to say."""
    carrier = {n: c.name for leg in one.carrying for c in leg.carriers for n in c.bags}
    trip = one.plan.trip
    data: dict[str, Any] = _rounded(
        {
            "title": trip.title,
            "start_date": _day(trip.start_date),
            "packed_on": _day(one.packed_on),
            "mass_g": {
                "menu": one.menu_g,
                "food": one.food_g,
                "packaging": one.packaging_g,
                "gross": one.food_g + one.packaging_g,
            },
            "shopping": [
                {"place": place.name, **_row(row)}
                for place in one.shopping.places
                for row in place.rows
            ],
            "cost": _money(one.shopping.cost),
            "cost_unknown": list(one.shopping.cost_unknown),
            "currency": one.shopping.currency,
            "prep": [_task(task) for task in one.prep.tasks],
            "dryer_hours": {"low": one.prep.dryer_h[0], "high": one.prep.dryer_h[1]},
            "bags": [
                _bag(bag, label, carrier.get(bag.number))
                for bag, label in zip(one.bags, one.labels, strict=True)
            ],
            "day_bags": [
                {
                    "stop": parcel.stop,
                    "leg": parcel.leg,
                    "day": day.day,
                    "bags": [bag.number for bag in day.bags],
                    "mass_g": day.mass_g,
                    "gross_g": day.gross_g,
                    "volume_ml": day.volume_ml,
                    "size": day.size,
                    "count": day.count,
                }
                for parcel in one.parcels
                for day in parcel.days
            ],
            "views": {
                by: [
                    {
                        "key": row.key,
                        "mass_g": row.mass_g,
                        "mass_unknown": list(row.mass_unknown),
                        "bags": list(row.bags),
                    }
                    for row in view(one.bags, by)
                ]
                for by in VIEWS
            },
            "carrying": [_carrying(one, walker.name) for walker in trip.walkers],
            "nights": {
                "party": None if one.room.party is None else _fit(one.room.party),
                "walkers": {name: _fit(fit) for name, fit in one.room.walkers},
            },
            "boxes": [_box(box) for box in one.boxes],
            "rations": [
                {
                    "day": ration.day,
                    "walker": ration.walker,
                    "times": list(ration.times),
                    "mass_g": ration.mass_g,
                    "energy_kcal": ration.energy_kcal,
                }
                for ration in one.rations
            ],
            "fuel": [_fuel(leg, trip.kitchens[leg.kitchen].walkers) for leg in one.fuel],
            "water": [
                {
                    "leg": leg.leg,
                    "stop": leg.stop,
                    "days": list(leg.days),
                    "food_water_ml": leg.water_ml,
                    "unknown": list(leg.water_unknown),
                    "most_ml": leg.most_ml,
                    "most_day": leg.most_day,
                }
                for leg in one.water
            ],
            "water_days": [
                {
                    "day": day.day,
                    "walking_low_ml": day.water.walking_low_ml,
                    "walking_high_ml": day.water.walking_high_ml,
                    "camp_low_ml": day.water.camp_low_ml,
                    "camp_high_ml": day.water.camp_high_ml,
                    "water_at_camp": day.water.water_at_camp,
                    "last_water": day.water.last_water,
                    "most_carried_ml": day.water.most_carried_ml,
                }
                for day in one.plan.days
            ],
            "findings": findings_data(one.findings if findings is None else findings),
        }
    )
    return data


def findings_data(findings: Iterable[Finding]) -> list[dict[str, Any]]:
    """Findings as every command tells them."""
    return [
        {"severity": f.severity, "rule": f.rule, "text": f.text, "source": f.source,
         "about": list(f.about)}
        for f in findings
    ]  # fmt: skip


def _row(row: ShoppingRow) -> dict[str, Any]:
    return {
        "food": row.food.id,
        "name": row.food.name,
        "section": row.food.group,
        "need_g": row.need_g,
        "home_g": row.home_g,
        "buy_g": row.buy_g,
        "packs": [
            {"size_g": one.pack.size_g, "count": one.count, "name": one.pack.name,
             "price": _money(one.pack.price)}
            for one in row.packs
        ],
        "bought_g": row.bought_g,
        "spare_g": row.spare_g,
        "price": _money(row.cost),
        "unmeasured": row.unmeasured,
        "dries_to": [
            {"food": one.dried.id, "dried_g": one.dried_g, "edible_g": one.edible_g,
             "buy_g": one.buy_g, "ratio": one.ratio}
            for one in row.dries_to
        ],
        "dishes": list(row.dishes),
        "notes": list(row.notes),
    }  # fmt: skip


def _task(task: Task) -> dict[str, Any]:
    dried = task.drying
    return {
        "kind": task.kind,
        "date": _day(task.latest),
        "not_before": _day(task.earliest),
        "days_before": task.days_before,
        "stop": task.stop,
        "dish": task.dish,
        "text": task.text,
        "foods": list(task.foods),
        "in_g": task.in_g,
        "out_g": task.out_g,
        "minutes": task.minutes,
        "bags": list(task.bags),
        "drying": None if dried is None else {
            "trays": dried.trays, "batches": dried.batches,
            "low_hours": dried.low_h, "high_hours": dried.high_h,
            "low_c": dried.kind.low_c, "high_c": dried.kind.high_c,
            "heat_first_c": dried.kind.heat_first_c,
            "low_tray_hours": dried.tray_hours[0], "high_tray_hours": dried.tray_hours[1],
        },
        "findings": findings_data(task.findings),
    }  # fmt: skip


def _bag(bag: PlannedBag, label: BagLabel, carrier: str | None) -> dict[str, Any]:
    camp = label.steps
    waters = [step.water.value for step in camp if step.water is not None]
    waits = [step.minutes for step in camp if step.minutes is not None]
    unknown = any(step.water_unknown for step in camp)
    return {
        "label": f"{label.title} · {bag.dish} · {bag.name}",
        "number": bag.number,
        "dish": bag.dish,
        "bag": bag.name,
        "mass_g": bag.mass_g,
        "mass_unknown": list(bag.mass_unknown),
        "volume_ml": bag.volume_ml,
        "volume_unknown": list(bag.volume_unknown),
        "day": bag.day,
        "date": _day(label.eat_on),
        "time": bag.time,
        "eaters": list(bag.eaters),
        "water_ml": None if unknown else sum(waters),
        "minutes": sum(waits) if waits else None,
        "wet": label.wet,
        "joins": label.joins,
        "divide": label.divide,
        "contents": [
            {
                "food": content.food.id,
                "mass_g": content.mass_g,
                "note": content.note,
                "portions_g": dict(content.portions),
            }
            for content in bag.contents
        ],
        "size": bag.size,
        "tare_g": bag.tare_g,
        "gross_g": bag.gross_g,
        "second_bag": bag.second_bag,
        "advice": list(label.advice),
        "stop": bag.stop,
        "leg": bag.leg,
        "carrier": carrier,
        "not_for": list(label.not_for),
        "minds": list(label.minds),
        "contains": list(label.allergens.contains),
        "may_contain": list(label.allergens.may_contain),
        "allergens_unknown": list(label.allergens.unknown),
        "keeps_until": _day(label.keeps.until),
    }


def _carrying(one: Provision, name: str) -> dict[str, Any]:
    mine = [c for leg in one.carrying for c in leg.carriers if c.name == name]
    return {
        "walker": name,
        "share": mine[0].share if mine else None,
        "bags": sorted(number for carried in mine for number in carried.bags),
        "morning_g": list(morning_g(one.carrying, one.bags, name, len(one.plan.days))),
    }


def _fit(fit: Fit) -> dict[str, Any]:
    return {
        "litres": fit.litres,
        "nights": [
            {
                "day": night.day,
                "food_l": night.food_l,
                "low_l": night.total_l[0],
                "high_l": night.total_l[1],
                "room_l": night.room_l,
                "fits": night.fits,
                "unknown": list(night.unknown),
            }
            for night in fit.nights
        ],
        "outside_first_day": list(fit.outside_first_day),
        "swaps": [_save(swap) for swap in fit.swaps],
    }


def _save(swap: SaveSwap) -> dict[str, Any]:
    return {
        "food": swap.food.id,
        "mass_g": swap.mass_g,
        "stand_in": swap.stand_in.id,
        "stand_in_g": swap.stand_in_g,
        "saves_ml": swap.saves_ml,
        "adds_g": swap.adds_g,
        "basis": swap.basis,
        "minds": list(swap.minds),
    }


def _box(box: Box) -> dict[str, Any]:
    window = box.window
    return {
        "stop": box.name,
        "leg": box.leg,
        "mass_g": box.net_g,
        "gross_g": box.gross_g,
        "mass_unknown": list(box.mass_unknown),
        "bags": [bag.number for bag in box.bags],
        "things": list(box.things),
        "opened_on": _day(box.opened_on),
        "post_on": _day(box.posted),
        "post_from": None if window is None else _day(window.earliest),
        "post_by": None if window is None else _day(window.latest),
        "post_possible": None if window is None else window.possible,
        "waits_days": box.waits_days,
        "box_c": box.box_c,
        "customs": [
            {"description": row.description, "mass_g": row.net_g, "bags": row.bags,
             "foods": list(row.foods)}
            for row in box.customs
        ],
        "keeping": [
            {"food": used.food.id, "life_used": _finite(used.share), "why": used.why,
             "doubtful": used.doubtful}
            for used in box.life
        ],
        "swaps": [_box_swap(swap) for swap in box.swaps],
        "findings": findings_data(box.findings),
    }  # fmt: skip


def _box_swap(swap: BoxSwap) -> dict[str, Any]:
    return {
        "food": swap.food.id,
        "mass_g": swap.mass_g,
        "why": swap.why,
        "stand_in": None if swap.stand_in is None else swap.stand_in.id,
        "stand_in_g": swap.stand_in_g,
        "water_ml": swap.water_ml,
        "minds": list(swap.minds),
    }


def _fuel(leg: FuelLeg, walkers: Sequence[str]) -> dict[str, Any]:
    gas = leg.canisters
    return {
        "stop": "" if leg.from_name == "start" else leg.from_name,
        "to": leg.to_name,
        "walkers": list(walkers),
        "fuel": leg.fuel_id,
        "fuel_g": leg.fuel_g,
        "low_g": leg.low_g,
        "high_g": leg.high_g,
        "reserve": leg.reserve,
        "canisters": [] if gas is None or not gas.count else [
            {"size_g": gas.size.net_g, "count": gas.count}
        ],
        "boils": leg.boils,
        "water_ml": leg.water_ml,
    }  # fmt: skip


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _money(price: Decimal | None) -> float | None:
    return None if price is None else float(price)


def _finite(share: float | None) -> float | None:
    """A life that is spent at once has no figure; ``doubtful`` says so."""
    return None if share is None or share == float("inf") else share


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, _PLACES)
    if isinstance(value, dict):
        return {key: _rounded(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_rounded(one) for one in value]
    return value
