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
from fellfare.files.trip_toml import read_ground, read_trip, trip_text
from fellfare.files.writing import write_text
from fellfare.learn.applied import with_lessons
from fellfare.learn.lessons import Lessons, items_of_plan, items_of_plates, lessons_of, said_of
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
    "--next", "next_trip", type=click.Path(path_type=Path, dir_okay=False), metavar="TRIP",
    help="Correct this trip document with what was learnt; with --out.",
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
    next_trip: Path | None,
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
        lessons = lessons_of(written.log, plan, shipped_pantry(), planned)
    except Mistake as mistake:
        raise written.placed(mistake) from None
    if out is not None:
        target = document if next_trip is None else read_trip(next_trip)
        write_text(out, trip_text(with_lessons(target.trip, lessons)), replace=replace)
    if as_json:
        data = lessons_data(lessons) | {"written": None if out is None else str(out)}
        click.echo(json.dumps(data, ensure_ascii=False, indent=1))
        return
    click.echo("\n".join(_text(document.trip.title, lessons)))
    if out is not None:
        click.echo(f"  wrote {out}")


def _text(title: str, lessons: Lessons) -> list[str]:
    lines = [f"{title}: what came home"]
    if not lessons.by_dish:
        lines += paragraph(
            "Reckoned by eating times, from the plan's weights: no menu says it dish by dish."
        )
    for lesson in lessons.walkers:
        lines += heading(lesson.walker)
        for said in said_of(lesson):
            lines += paragraph(said)
        if lesson.meals:
            rows: list[tuple[str, ...]] = [
                ("", "carried g", "home g", "wish", "80 % band", "next"),
                *(
                    (
                        meal.eating,
                        f"{meal.carried_g:.0f}",
                        f"{meal.home_g:.0f}",
                        f"{_signed(meal.wish.mean)} %",
                        f"{_signed(meal.wish.low)} to {_signed(meal.wish.high)} %",
                        f"{_signed(meal.change)} %",
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
                f"{100 * stove.after.mean:.0f} % (80 % band {100 * stove.after.low:.0f} to "
                f"{100 * stove.after.high:.0f} %) after {stove.boils} weighed "
                f"boil{'s' * (stove.boils != 1)}."
            )
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
                    f"{soak.factor:.2f} times the pantry's minutes "
                    f"(80 % band {soak.low:.2f} to {soak.high:.2f})"
                )
            lines += paragraph(f"{soak.food}: {told}; {said}.")
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
    lines += ["", *paragraph(
        "A small appetite is no small need, and one trip is one trip: nothing moves by more "
        "than 15 % at once, and nothing is cut for somebody who was hungry or lost weight. "
        "Losing weight fast, fainting or never being hungry is for a doctor, not for a plan."
    )]  # fmt: skip
    return lines


def _signed(share: float) -> str:
    return f"{100 * share:+.0f}".replace("-", "−")
