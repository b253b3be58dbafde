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
    lines = [f"{title}: when something goes wrong", *heading("What is left then")]
    for blow in blows:
        lines += paragraph(f"{blow.what}.", "      ", f"  {_MARK[blow.verdict]:15} ")
        if blow.told:
            lines += paragraph(f"{blow.told}.", " " * 18)
        elif blow.share is not None:
            days = (
                f"day {blow.first_day}"
                if blow.first_day == blow.last_day
                else f"days {blow.first_day} to {blow.last_day}"
            )
            lacking = (
                f" ({number(blow.lacking_kcal)} kcal lacking)" if blow.lacking_kcal >= 1 else ""
            )
            lines += paragraph(
                f"{blow.walker} has {100 * blow.share:.0f} % of the need for {days}{lacking}.",
                " " * 18,
            )
    lines += paragraph(
        "'stands' from 80 % of the worst-off walker's need, 'thin' from 55 %; one single day, even "
        "without any food, is never called worse than thin (one walks out hungry): judgements, no "
        "source. What is left is taken as spread evenly over those days."
    )
    if unknown:
        lines += paragraph(
            f"No whole energy is known of {', '.join(unknown)}: they count for less than they are."
        )
    lines += heading(f"Which {EXTRA_G:.0f} g would help most")
    rows: list[tuple[str, ...]] = [("", "kcal", "mends", "adds to the shares")]
    rows += [
        (one.what, "" if one.energy_kcal is None else number(one.energy_kcal),
         str(len(one.mended)), f"{100 * one.gain:+.0f} %")
        for one in helps
    ]  # fmt: skip
    lines += table(rows, (36, -6, -6, -19))
    if helps and helps[0].mended:
        lines += paragraph(f"With {helps[0].what}: {'; '.join(helps[0].mended[:3])} would stand.")
    return lines


_MARK = {
    "stands": "stands",
    "thin": "thin",
    "does not stand": "does NOT stand",
    "unknown": "not known",
}


def _swings(swings: tuple[Swing, ...], food_g: float, fuel_g: float) -> list[str]:
    lines = heading("Which assumptions move the answer most")
    lines += paragraph(
        f"The trip's plan, before any menu: {number(food_g)} g of food and {number(fuel_g)} g of "
        "fuel on the whole walk."
    )
    rows: list[tuple[str, ...]] = [("", "if", "food g", "fuel g", "if", "food g", "fuel g")]
    rows += [
        (swing.assumption, swing.low, *_change(swing.low_food_g, swing.low_fuel_g, food_g, fuel_g),
         swing.high, *_change(swing.high_food_g, swing.high_fuel_g, food_g, fuel_g))
        for swing in swings
    ]  # fmt: skip
    lines += table(rows, (14, 13, -7, -7, 13, -7, -7))
    most = [swing.assumption for swing in swings[:3]]
    return [*lines, *paragraph(f"Most of all: {', '.join(most)}.")]


def _change(
    food: float | None, fuel: float | None, food_g: float, fuel_g: float
) -> tuple[str, str]:
    if food is None or fuel is None:
        return "none", ""
    return _signed(food - food_g), _signed(fuel - fuel_g)


def _signed(grams: float) -> str:
    return f"{grams:+.0f}".replace("-", "−")
