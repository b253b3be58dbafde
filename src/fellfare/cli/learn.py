"""``fellfare learn TRIP LOG``: what came home, and what it changes."""

from __future__ import annotations

import json
from pathlib import Path

import click

from fellfare.cli.layout import heading, paragraph, table
from fellfare.files.lessons_json import lessons_data
from fellfare.files.log_toml import empty_log, read_log
from fellfare.files.menu_toml import read_menu
from fellfare.files.shipped import shipped_pantry
from fellfare.files.trip_patch import patched
from fellfare.files.trip_toml import TripFile, read_ground, read_trip
from fellfare.files.writing import write_text
from fellfare.learn.bounds import STATEMENT
from fellfare.learn.lessons import Lessons, items_of_plan, items_of_plates, lessons_of
from fellfare.learn.next_trip import NextTrip, next_trip
from fellfare.learn.said import percent, said_of
from fellfare.mistake import Mistake
from fellfare.trip.plan import plan_trip


@click.command()
@click.argument("trip", type=click.Path(path_type=Path))
@click.argument("log", type=click.Path(path_type=Path), required=False)
@click.option(
    "--menu", type=click.Path(path_type=Path, dir_okay=False),
    help="The menu document that was carried; without it items are whole eating times.",
)  # fmt: skip
@click.option("--form", is_flag=True, help="Print an empty log of the trip to fill in.")
@click.option(
    "--next", "other", type=click.Path(path_type=Path, dir_okay=False), metavar="TRIP",
    help="Correct this trip document instead: its figures are told, and written with --out.",
)  # fmt: skip
@click.option(
    "--out", type=click.Path(path_type=Path, dir_okay=False),
    help="Where the corrected trip document is written.",
)  # fmt: skip
@click.option("--replace", is_flag=True, help="Write over a file that is there.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command(
    trip: Path,
    log: Path | None,
    menu: Path | None,
    form: bool,
    other: Path | None,
    out: Path | None,
    replace: bool,
    as_json: bool,
) -> None:
    """Learn from the LOG of a TRIP: appetite, need, pace, stove, soak times, liking.

    Every figure begins from a stated prior and moves only as far as what was seen carries it.
    """
    document = read_trip(trip)
    try:
        plan = plan_trip(document.trip, read_ground(document))
    except Mistake as mistake:
        raise document.placed(mistake) from None
    planned = None if menu is None else items_of_plates(read_menu(menu).plates)
    if form:
        items = items_of_plan(plan) if planned is None else planned
        click.echo(empty_log(document.trip.title, items), nl=False)
        return
    if log is None:
        raise click.UsageError("name the LOG of the trip, or ask for an empty one: --form")
    written = read_log(log)
    try:
        lessons = lessons_of(written.log, plan, shipped_pantry(), planned, _recipe_names(document))
    except Mistake as mistake:
        raise written.placed(mistake) from None
    target = document if other is None else read_trip(other)
    try:
        made = next_trip(target.trip, lessons, read_ground(target))
    except Mistake as mistake:
        raise target.placed(mistake) from None
    if out is not None:
        write_text(out, patched(target.text, made.before, made.trip), replace=replace)
    if as_json:
        data = lessons_data(lessons, made) | {"written": None if out is None else str(out)}
        click.echo(json.dumps(data, ensure_ascii=False, indent=1))
        return
    click.echo("\n".join(_text(document.trip.title, lessons, made)))
    if other is not None:
        told = "" if out is not None else "; nothing is written without --out"
        click.echo("\n".join(paragraph(f"The next trip is {target.trip.title}{told}.")))
    if out is not None:
        click.echo(f"  wrote {out}")
        if out.parent.resolve() != target.path.parent.resolve():
            names = ", ".join([*target.trip.recipes, target.trip.way.gpx or ""]).rstrip(", ")
            click.echo("\n".join(paragraph(f"It looks for {names} beside itself: copy them too.")))


def _recipe_names(document: TripFile) -> list[str] | None:
    """Recipes that the trip may cook, by file name; None where it has none at hand."""
    folders = [document.path.parent / name for name in document.trip.recipes]
    found = sorted({path.stem for folder in folders for path in folder.glob("*.toml")})
    return found or None


def _text(title: str, lessons: Lessons, made: NextTrip) -> list[str]:
    lines = [f"{title}: what came home"]
    if not lessons.by_dish:
        lines += paragraph(
            "Reckoned by eating times, from the plan's weights: no menu says it dish by dish."
        )
    for lesson in lessons.walkers:
        lines += heading(lesson.walker)
        for said in said_of(lesson, made):
            lines += paragraph(said)
        moved = made.of(lesson.walker)
        change = {} if moved is None else {meal.eating: meal.change for meal in moved.meals}
        if lesson.meals:
            rows: list[tuple[str, ...]] = [
                ("", "carried g", "home g", "wish", "80 % band", "next"),
                *(
                    (
                        meal.eating,
                        f"{meal.carried_g:.0f}",
                        f"{meal.home_g:.0f}",
                        f"{percent(meal.wish.mean)} %",
                        f"{percent(meal.wish.low)} to {percent(meal.wish.high)} %",
                        f"{percent(change[meal.eating])} %" if meal.eating in change else "",
                    )
                    for meal in lesson.meals
                ),
            ]
            lines += table(rows, (16, -10, -8, -8, -16, -8))
    if lessons.stoves:
        lines += heading("Stoves")
        for stove in lessons.stoves:
            lines += paragraph(
                f"Kitchen {stove.kitchen}: efficiency {100 * stove.before.mean:.0f} % becomes "
                f"{100 * stove.written:.0f} % (what is believed: {100 * stove.after.mean:.0f} %, "
                f"80 % band {100 * stove.after.low:.0f} to "
                f"{100 * stove.after.high:.0f} %) after {stove.boils} weighed "
                f"boil{'s' * (stove.boils != 1)}."
            )
            lines += [line for one in stove.findings for line in paragraph(one.text)]
    if lessons.soaks:
        lines += heading("Soak times")
        for soak in lessons.soaks:
            told = "; ".join(
                f"{test.minutes:.0f} min in {test.tried.water_c:g} °C" for test in soak.tests
            )
            if soak.factor is None or soak.low is None or soak.high is None:
                said = "the pantry knows no time of its own"
            else:
                said = (
                    f"for the next trip {soak.written:.2f} times the pantry's minutes (what is "
                    f"believed: {soak.factor:.2f}, 80 % band {soak.low:.2f} to {soak.high:.2f})"
                )
            lines += paragraph(f"{soak.food}: {told}; {said}.")
            for test in soak.tests:
                lines += [line for one in test.findings for line in paragraph(one.text)]
    if lessons.dishes:
        lines += heading("Dishes")
        rows = [("", "liking", "80 % band", "marks", "left half")]
        rows += [
            (
                dish.dish,
                f"{dish.liking.mean:.1f}",
                f"{dish.liking.low:.1f} to {dish.liking.high:.1f}",
                str(dish.marks),
                str(dish.left),
            )
            for dish in lessons.dishes
        ]
        lines += table(rows, (34, -7, -12, -6, -9))
    lines += ["", *paragraph(STATEMENT)]
    return lines
