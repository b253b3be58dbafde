"""``fellfare provision TRIP``: what is bought, dried, bagged, posted and carried."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Literal, get_args

import click

from fellfare.cli.label_options import label_options
from fellfare.cli.provision.plates import MENU, Chosen, plates_for
from fellfare.cli.told import tell
from fellfare.files.provision_json import findings_data, provision_data
from fellfare.files.provision_toml import NAME, read_own
from fellfare.files.recipe_folder import RecipeFolder, read_recipes_of
from fellfare.files.trip_toml import TripFile, read_ground, read_trip
from fellfare.files.writing_together import write_together
from fellfare.mistake import Finding, Mistake, worst
from fellfare.paper.kinds import KINDS
from fellfare.provision.bags.tree import View
from fellfare.provision.minding import gathered
from fellfare.provision.trip.provision import Provision, provision_of
from fellfare.trip.plan import plan_trip


@click.command()
@click.argument("trip", type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder for the papers, all but the recipe cards; those of the same name are replaced.",
)
@click.option(
    "--kind",
    "kinds",
    multiple=True,
    type=click.Choice([*KINDS, "all"]),
    help="Only this paper (may be repeated); into 'papers' where --out is not said.",
)
@click.option(
    "--own",
    "own_path",
    type=click.Path(path_type=Path, dir_okay=False),
    help=f"Packs, cupboard, dryer, boxes; '{NAME}' beside the trip is found by itself.",
)
@click.option(
    "--menu",
    "menu_path",
    type=click.Path(path_type=Path, dir_okay=False),
    help=f"A saved menu; '{MENU}' beside the trip is found by itself.",
)
@click.option(
    "--seconds",
    type=click.FloatRange(0.5, 86_400),
    default=30.0,
    show_default=True,
    help="Longest search for a menu, where none is saved.",
)
@click.option("--view", type=click.Choice(list(get_args(View))), help="The bags under one heading.")
@click.option("--size", type=click.Choice(["a4", "letter"]), default="a4", show_default=True,
              help="Sheet of paper.")  # fmt: skip
@label_options
@click.option("--code", type=click.Choice(["always", "if-room", "never"]), default="always",
              show_default=True, help="QR code with the label's own text.")  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command(
    trip: Path,
    out: Path | None,
    kinds: tuple[str, ...],
    own_path: Path | None,
    menu_path: Path | None,
    seconds: float,
    view: View | None,
    size: Literal["a4", "letter"],
    grid: str | None,
    width_mm: float | None,
    height_mm: float | None,
    margin_left_mm: float | None,
    margin_top_mm: float | None,
    gap_across_mm: float | None,
    gap_down_mm: float | None,
    skip: int,
    outline: bool,
    code: Literal["always", "if-room", "never"],
    as_json: bool,
) -> None:
    """Buy, dry, weigh, bag, post and carry what the walk in TRIP (a TOML document) eats.

    The dishes come from the menu saved beside the trip; without one, from a menu that is
    worked out now; and where there can be none, from the trip's fixed dishes.
    """
    wanted = list(dict.fromkeys(kinds))
    if "all" in kinds or (out is not None and not kinds):
        wanted = [kind for kind in KINDS if kind != "cards" or "all" in kinds]
    label_sheet = None
    if wanted:  # typst and its like are slow to import
        from fellfare.paper.grid import read_grid
        from fellfare.paper.papers_of_trip import LabelSheet, Papers

        cells = read_grid(
            grid,
            size,
            width_mm=width_mm,
            height_mm=height_mm,
            margin_left_mm=margin_left_mm,
            margin_top_mm=margin_top_mm,
            gap_across_mm=gap_across_mm,
            gap_down_mm=gap_down_mm,
        )
        label_sheet = LabelSheet(grid=cells, skip=skip, code=code, outline=outline)
    file = read_trip(trip)
    try:
        one, folder, chosen = provided(file, own_path, menu_path, seconds)
    except Mistake as mistake:
        if mistake.code != "no-menu":
            raise
        _no_menu(file, mistake, as_json)
        raise SystemExit(1) from None  # what was given is in order, but there is no plan
    told = chosen.told
    used = {line.food.id for dish in one.dishes for line in dish.sheet.lines}
    about = tuple(f for f in folder.findings if used & set(f.about))
    findings = (*chosen.findings, *one.findings, *about)
    written: dict[Path, bytes] = {}
    if label_sheet is not None:
        papers = Papers(one, size, label_sheet)
        findings += papers.findings
        made = papers.made(wanted)
        written = {(out or Path("papers")) / name: data for name, data in made.items()}
        write_together(written)
    if as_json:
        data = provision_data(one, findings) | {
            "menu": told,
            "papers": [
                {"file": str(path), "bytes": len(content)} for path, content in written.items()
            ],
        }
        click.echo(json.dumps(data, ensure_ascii=False, indent=1))
    else:
        from fellfare.cli.provision.text import papers_text, provision_text, view_text

        if view is not None:
            click.echo(view_text(one, view))
        elif written:
            click.echo(papers_text(written, told))
        else:
            click.echo(provision_text(one, told))
        tell(gathered(finding for finding in findings if finding.severity != "note"))
    raise SystemExit(1 if worst(findings) == "error" else 0)


def _no_menu(file: TripFile, mistake: Mistake, as_json: bool) -> None:
    finding = Finding(
        severity="error",
        rule=mistake.code,
        text=f"{mistake.what[:1].upper()}{mistake.what[1:]}.  To mend it: {mistake.mend}.",
        source="the search for a menu",
    )
    if as_json:
        told = {"title": file.trip.title, "menu": None, "findings": findings_data((finding,))}
        click.echo(json.dumps(told, ensure_ascii=False, indent=1))
    else:
        tell((finding,))


def provided(
    file: TripFile,
    own_path: Path | None = None,
    menu_path: Path | None = None,
    seconds: float = 30.0,
) -> tuple[Provision, RecipeFolder, Chosen]:
    """The provision of a trip, its recipes, and where its plates come from.

    Raises
    ------
    Mistake
        Of the documents, each with its file and line.
    """
    try:
        plan = plan_trip(file.trip, read_ground(file))
    except Mistake as mistake:
        raise (mistake if str(file.path) in mistake.where else file.placed(mistake)) from None
    folder = read_recipes_of(file)
    beside = file.path.parent / NAME
    path = own_path or (beside if beside.exists() else None)
    own = None if path is None else read_own(path, folder.pantry)
    chosen = plates_for(file, plan, folder, menu_path, seconds)
    try:
        one = provision_of(
            plan,
            chosen.plates,
            folder.recipes,
            folder.pantry,
            own,
            steps_per_serving=chosen.steps_per_serving,
            rations=chosen.rations,
        )
    except Mistake as mistake:
        if chosen.path is not None and mistake.where.startswith("day "):
            raise mistake.at(str(chosen.path)) from None
        raise
    return one, folder, chosen
