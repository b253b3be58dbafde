"""``fellfare bulk FILE``: a party's food by ration factors, from groups to bags."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click
from msgspec.structs import replace

from fellfare.cli.layout import heading, number, paragraph, table
from fellfare.cli.told import tell
from fellfare.files.bulk_toml import read_bulk
from fellfare.files.own_food import own_food_folders, read_own_foods
from fellfare.files.shipped import shipped_pantry
from fellfare.files.trip_toml import read_ground, read_trip
from fellfare.measure.units import POUND_G
from fellfare.mistake import Mistake, worst
from fellfare.provision.bulk.ration import Bulk, bulk_of
from fellfare.trip.plan import plan_trip


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command(file: Path, as_json: bool) -> None:
    """Ration a party in bulk: factors, food groups, foods, packs and bags of FILE."""
    document = read_bulk(file)
    asked = document.asked
    if document.trip:
        trip = read_trip(file.parent / document.trip)
        plan = plan_trip(trip.trip, read_ground(trip))
        asked = replace(
            asked,
            need_kcal=sum(walker.need.kcal for walker in plan.walkers),
            need_people=len(plan.walkers),
            need_days=len(plan.days),
            eaters=plan.trip.walkers,
        )
    own, _ = read_own_foods(own_food_folders(file))
    try:
        bulk = bulk_of(asked, shipped_pantry().with_foods(own))
    except Mistake as mistake:
        raise document.placed(mistake) from None
    if as_json:
        click.echo(json.dumps(_data(document.title, bulk), ensure_ascii=False, indent=1))
    else:
        click.echo("\n".join(_text(document.title, bulk)))
        tell(bulk.findings)
    raise SystemExit(1 if worst(bulk.findings) == "error" else 0)


def _data(title: str, bulk: Bulk) -> dict[str, Any]:
    return {
        "title": title,
        "people": bulk.asked.people,
        "days": bulk.asked.days,
        "column_lb": bulk.asked.column_lb,
        "promised_g": bulk.promised_g,
        "mass_g": bulk.mass_g,
        "energy_kcal": bulk.energy_kcal,
        "energy_unknown": list(bulk.energy_unknown),
        "need_kcal": bulk.asked.need_kcal,
        "need_people": bulk.asked.need_people,
        "need_days": bulk.asked.need_days,
        "covers": bulk.covers,
        "cost": None if bulk.cost is None else str(bulk.cost),
        "known_cost": str(bulk.known_cost),
        "cost_unknown": list(bulk.cost_unknown),
        "currency": bulk.asked.currency,
        "groups": [
            {"name": g.name, "g_per_person_day": g.g_per_person_day, "own": g.own,
             "mass_g": g.mass_g}
            for g in bulk.groups
        ],
        "shopping": [
            {
                "food": one.food.id,
                "group": one.group,
                "need_g": one.mass_g,
                "packs": [
                    {"size_g": each.pack.size_g, "count": each.count} for each in one.packs
                ],
                "spare_g": one.spare_g,
                "price": None if one.cost is None else str(one.cost),
                "bags_g": list(one.bags_g),
                "bag_ml": one.bag_ml,
            }
            for one in bulk.foods
        ],
        "findings": [
            {"severity": f.severity, "rule": f.rule, "text": f.text, "source": f.source}
            for f in bulk.findings
        ],
    }  # fmt: skip


def _text(title: str, bulk: Bulk) -> list[str]:
    asked = bulk.asked
    person_days = asked.people * asked.days
    pounds = bulk.promised_g / float(POUND_G)
    lines = [title]
    lines += paragraph(
        f"{asked.people} people, {asked.days:g} days, {asked.column_lb:g} lb for a person and day: "
        f"{pounds:.0f} lb, {bulk.promised_g / 1000:.1f} kg by the column's name; its groups below "
        f"make {bulk.mass_g / 1000:.1f} kg."
    )
    lines += heading("Food groups")
    rows: list[tuple[str, ...]] = [("", "g a person-day", "kg", "from")]
    rows += [
        (group.name, "?" if group.g_per_person_day is None else f"{group.g_per_person_day:.0f}",
         "?" if group.mass_g is None else f"{group.mass_g / 1000:.2f}",
         "your own" if group.own else "the factor table")
        for group in bulk.groups
    ]  # fmt: skip
    lines += table(rows, (32, -15, -7, 18))
    lines += heading("To buy and to bag")
    rows = [("", "g", "packs", "spare g", "cost", "bags", "mL")]
    rows += [
        (one.food.name, number(one.mass_g),
         ", ".join(f"{each.count} x {each.pack.size_g:g}" for each in one.packs) or "loose",
         number(one.spare_g), "?" if one.cost is None else f"{one.cost:.2f}",
         f"{len(one.bags_g)} x {number(one.bags_g[0])}",
         "?" if one.bag_ml is None else number(one.bag_ml))
        for one in bulk.foods
    ]  # fmt: skip
    lines += table(rows, (24, -7, 13, -7, -7, -10, -6))
    lines += paragraph(_cost(bulk))
    lines += heading("What it holds")
    energy = bulk.energy_kcal
    at_least = "at least " if bulk.energy_unknown else ""
    lines += paragraph(
        f"{at_least}{number(energy)} kcal, {number(energy / person_days)} for a person and day, "
        f"{energy / bulk.mass_g if bulk.mass_g else 0:.1f} kcal/g"
        + (f" (unknown: {', '.join(bulk.energy_unknown)})" if bulk.energy_unknown else "")
        + "."
    )
    if asked.need_kcal is not None and bulk.covers is not None:
        walk = f"The walk asks for {number(asked.need_kcal)} kcal"
        if asked.as_the_walk:
            told = f"{walk}: the ration covers {at_least}{100 * bulk.covers:.0f} % of it."
        else:
            people, days = asked.need_people or asked.people, asked.need_days or asked.days
            told = (
                f"{walk} on {people} × {days:g} days, "
                f"{number(asked.need_kcal / people / days)} for a person and day: of that the "
                f"ration covers {at_least}{100 * bulk.covers:.0f} %."
            )
        lines += paragraph(told)
    lines += paragraph(
        "Ration factors are pounds for a person and day, common practice; a table knows neither "
        "your walk nor your people."
    )
    return lines


def _cost(bulk: Bulk) -> str:
    """'Cost at least 31.20 EUR (2 foods without a price).'"""
    unknown = len(bulk.cost_unknown)
    if unknown == len(bulk.foods):
        return "No food has a pack with a price: the cost is not known."
    cost = f"{bulk.known_cost:.2f} {bulk.asked.currency}".strip()
    more = f" ({unknown} food{'s' if unknown > 1 else ''} without a price)" if unknown else ""
    return f"Cost {'at least ' if unknown else ''}{cost}{more}."
