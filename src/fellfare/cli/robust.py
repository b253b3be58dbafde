"""``fellfare robust TRIP``: does the plan stand when something goes wrong?"""

from __future__ import annotations

import json
from pathlib import Path

import click

from fellfare.cli.layout import heading, number, paragraph, table
from fellfare.cli.provision import provided
from fellfare.files.robust_json import robust_data
from fellfare.files.trip_toml import read_ground, read_trip
from fellfare.provision.robust.blows import Blow, blows_of
from fellfare.provision.robust.eaten import packs_of
from fellfare.provision.robust.helping import EXTRA_G, Help, helps_of
from fellfare.provision.robust.swings import Swing, food_and_fuel, swings_of


@click.command()
@click.argument("trip", type=click.Path(path_type=Path))
@click.option(
    "--menu", type=click.Path(path_type=Path, dir_okay=False),
    help="A saved menu; 'menu.toml' beside the trip is found by itself.",
)  # fmt: skip
@click.option("--seconds", type=click.FloatRange(0.5, 86_400), default=30.0, show_default=True,
              help="Longest search for a menu, where none is saved.")  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command(trip: Path, menu: Path | None, seconds: float, as_json: bool) -> None:
    """Try the plan in TRIP with a lost bag, a day more, a storm, a dry source, a lost box.

    Also which 150 g would help most, and which assumptions move the answer most.
    """
    file = read_trip(trip)
    one, _, _ = provided(file, menu_path=menu, seconds=seconds)
    blows = blows_of(one)
    helps = helps_of(one, blows)
    swings = swings_of(one.plan, read_ground(file))
    unknown = packs_of(one).unknown
    if as_json:
        data = robust_data(one, blows, helps, swings, unknown)
        click.echo(json.dumps(data, ensure_ascii=False, indent=1))
    else:
        lines = _text(one.plan.trip.title, blows, helps, unknown)
        click.echo("\n".join([*lines, *_swings(swings, *food_and_fuel(one.plan))]))
    raise SystemExit(0)


def _text(
    title: str, blows: tuple[Blow, ...], helps: tuple[Help, ...], unknown: tuple[str, ...]
) -> list[str]:
    lines = [f"{title}: when something goes wrong", *heading("What is left of the need then")]
    for blow in blows:
        share = "?" if blow.percent is None else f"{blow.percent} %"
        opening = f"  {_MARK[blow.verdict]:15} {share:>5}  "
        lines += paragraph(f"{_capital(blow.what)}.", _DEEP, opening)
        lines += paragraph(f"{_capital(_left(blow))}.", _DEEP)
    lines += paragraph(
        "Of the worst-off walker's need over those days, evenly eaten: 'stands' from 80 %, 'thin' "
        "from 55 %, below that it does not stand; a single day below 55 % is a 'hungry day', on "
        "which one walks out. Fuel and water stand from 100 %. Judgements, no source."
    )
    if unknown:
        lines += paragraph(
            f"No whole energy is known of {', '.join(unknown)}: they count for less than they are."
        )
    lines += heading(f"Which {EXTRA_G:.0f} g would help most")
    rows: list[tuple[str, ...]] = [("", "kcal", "then stand", "shares rise by")]
    rows += [
        (one.what, "" if one.energy_kcal is None else _tens(one.energy_kcal),
         str(len(one.mended)), f"{100 * one.gain:.0f} points")
        for one in helps
    ]  # fmt: skip
    lines += table(rows, (38, -6, -11, -15))
    lines += paragraph(
        "One bag more for the whole party, given to whoever is worst off, then to the next; fuel: "
        "for that kitchen. 'then stand': blows that do for everybody with it and did not before; "
        "the points are per cent of the worst-off walker's need, all blows together."
    )
    if helps and helps[0].mended:
        lines += paragraph(f"With {helps[0].what} these would stand, too:")
        for mended in helps[0].mended:
            lines += paragraph(f"{_capital(mended)}.", "    ", "  - ")
    elif helps:
        lines += paragraph("With none of them does a blow stand that did not before.")
    return lines


_DEEP = " " * 25
_MARK = {
    "stands": "stands",
    "thin": "thin",
    "hungry day": "hungry day",
    "does not stand": "does NOT stand",
    "unknown": "not known",
}


def _left(blow: Blow) -> str:
    if blow.told or blow.share is None:
        return blow.told or "it cannot be said from what is told"
    first, last = blow.first_day, blow.last_day
    days = f"on day {first}" if first == last else f"over days {first} to {last}"
    lacking = f"lacks {_tens(blow.lacking_kcal)} kcal" if blow.lacking_kcal >= 5 else "has enough"
    return f"{blow.walker} {lacking} {days}"


def _swings(swings: tuple[Swing, ...], food_g: float, fuel_g: float) -> list[str]:
    lines = heading("Which assumptions move the answer most")
    lines += paragraph(
        f"The trip's plan, before any menu: {number(food_g)} g of food and {number(fuel_g)} g of "
        "fuel on the whole walk. One thing at a time, the whole trip planned anew."
    )
    rows: list[tuple[str, ...]] = [("", "if it is", "food g", "fuel g")]
    for swing in swings:
        low = _change(swing.low_food_g, swing.low_fuel_g, food_g, fuel_g)
        high = _change(swing.high_food_g, swing.high_fuel_g, food_g, fuel_g)
        rows += [(swing.assumption, swing.low, *low), ("", swing.high, *high)]
    lines += table(rows, (28, 24, -9, -9))
    most = [swing.assumption for swing in swings[:3]]
    return [*lines, *paragraph(f"Most of all: {', '.join(most)}.")]


def _change(
    food: float | None, fuel: float | None, food_g: float, fuel_g: float
) -> tuple[str, str]:
    if food is None or fuel is None:
        return "no plan", ""
    return _signed(round(food - food_g, -1)), _signed(fuel - fuel_g)


def _signed(grams: float) -> str:
    """'+1 710', '−90', '0'."""
    whole = round(grams)
    return f"{'+' if whole > 0 else '−' if whole < 0 else ''}{number(abs(whole))}"


def _tens(kcal: float) -> str:
    """To ten kilocalories: no figure of this page is better known."""
    return number(round(kcal, -1))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
