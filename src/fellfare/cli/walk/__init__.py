"""``fellfare walk TRIP``: stages, arrival, need, load, camps, fuel and water."""

from __future__ import annotations

import json
from pathlib import Path

import click
from msgspec.structs import replace

from fellfare.cli.camp import options
from fellfare.cli.layout import paragraph
from fellfare.cli.told import tell
from fellfare.cli.walk.jar import jar_data, jar_days, jar_lines
from fellfare.cli.walk.minding import told_once
from fellfare.files.trip_toml import read_ground, read_trip
from fellfare.files.walk_json import walk_data
from fellfare.mistake import Mistake, worst
from fellfare.safety import standing_findings
from fellfare.safety.trip.planned import findings_of_plan
from fellfare.trip.plan import plan_trip, rationing_of_plan
from fellfare.walk.pace.rules import PACE_RULES, PaceRule

#: What is always said under a walk; the rest belongs to the food.
_STANDING = ("who-decides", "water", "stove", "emergency")


@click.command()
@click.argument("trip", type=click.Path(path_type=Path))
@click.option(
    "--walker", "chosen", multiple=True, metavar="NAME", help="Need of this walker only (repeat)."
)
@click.option(
    "--pace",
    "pace_rule",
    type=click.Choice(PACE_RULES),
    help="Plan the hours by this rule instead of the document's.",
)
@click.option(
    "--ration",
    "column",
    type=float,
    metavar="LB",
    help="Ration factors of this column: 1.5, 1.75, 2, 2.25 or 2.5 lb a person-day.",
)
@click.option(
    "--jar",
    "jar",
    multiple=True,
    metavar="FOOD",
    help="Also tell when a jar with it is wetted for each dinner (repeat for what soaks with it).",
)
@options.tested
@options.own_folders
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command(
    trip: Path,
    chosen: tuple[str, ...],
    pace_rule: PaceRule | None,
    column: float | None,
    jar: tuple[str, ...],
    tested: tuple[str, ...],
    own_folders: tuple[Path, ...],
    as_json: bool,
) -> None:
    """What the walk in TRIP (a TOML document) asks for, day by day and walker by walker."""
    file = read_trip(trip)
    try:
        asked = file.trip
        if pace_rule is not None:
            asked = replace(asked, way=replace(asked.way, pace_rule=pace_rule))
        plan = plan_trip(asked, read_ground(file))
    except Mistake as mistake:
        # A mistake of the track carries its file and line already.
        raise (mistake if str(trip) in mistake.where else file.placed(mistake)) from None
    if column is not None:
        rationing = rationing_of_plan(
            plan.trip,
            plan.laid.stages,
            tuple(day.frame for day in plan.days),
            plan.walkers,
            column,
        )
        plan = replace(plan, rationing=rationing)
    findings = findings_of_plan(plan)
    names = [walker.name for walker in file.trip.walkers]
    for name in chosen:
        if name not in names:
            raise Mistake(
                "unknown-walker", f"nobody is called {name!r}", f"choose from {', '.join(names)}"
            )
    jars = jar_days(plan, jar, tested, own_folders) if jar else ()
    if as_json:
        data = walk_data(plan, findings)
        if jar:
            data["jar"] = jar_data(jars)
        click.echo(json.dumps(data, ensure_ascii=False, indent=1))
    else:
        from fellfare.cli.walk.text import walk_text  # JSON needs none of it

        click.echo(walk_text(plan, chosen or tuple(names), jar_lines(jars, jar) if jar else ()))
        for note in standing_findings():
            if note.rule in _STANDING:
                click.echo("\n".join(paragraph(note.text, "    ", "  · ")))
        tell(told_once(findings, file.trip))
    raise SystemExit(1 if worst(findings) == "error" else 0)
