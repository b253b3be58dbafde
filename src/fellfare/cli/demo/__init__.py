"""``fellfare demo``: the invented documents, their papers, and a summary on one screen."""

from __future__ import annotations

import json
import time
from collections import Counter
from pathlib import Path
from typing import Any

import click

from fellfare.cli.layout import WIDTH, heading, number, paragraph, table
from fellfare.cli.sheet_text import sheet_text
from fellfare.cli.walk.minding import told_once
from fellfare.cli.walk.text import walk_text
from fellfare.files.demo_documents import write_demo
from fellfare.files.own_food import own_food_folders, read_own_foods
from fellfare.files.recipe_toml import read_recipe
from fellfare.files.sheet_json import sheet_data
from fellfare.files.shipped import shipped_pantry
from fellfare.files.trip_toml import read_ground, read_trip
from fellfare.files.walk_json import walk_data
from fellfare.files.writing import write_text
from fellfare.mistake import Finding, Mistake
from fellfare.paper.kinds import KINDS as PAPERS
from fellfare.recipe.sheet import Sheet, make_sheet
from fellfare.safety import check, standing_notes
from fellfare.safety.dish import case_of_dish
from fellfare.safety.trip.planned import findings_of_plan
from fellfare.trip.plan import plan_trip


@click.command()
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("demo"),
    show_default=True,
    help="Folder for the documents and papers.",
)
@click.option("--documents", is_flag=True, help="Documents and sheets alone: no menu, no papers.")
@click.option("--json", "as_json", is_flag=True, help="Print the summary as JSON.")
def command(out: Path, documents: bool, as_json: bool) -> None:
    """Write the invented demo into a folder, go the whole way with it, and print a summary.

    Documents, sheets of the recipes, the walk, its menu, every paper (labels, lists, cards,
    boxes), what may go wrong, an invented log and what it teaches, the same party in bulk, and
    a season of two parties.  Documents that you have changed are left as they are.
    """
    fates = write_demo(out)
    rows = [_dish(path, out) for path in sorted((out / "recipes").glob("*.toml"))]
    walk = _walk(out)
    kept = [path for path, fate in fates if fate == "kept"]
    eaten, after = (None, None) if documents else _eaten(out, kept)
    if as_json:
        data = {"folder": str(out), "recipes": rows, "walk": walk, "menu": eaten}
        if not documents:
            data["after"] = after
        click.echo(json.dumps(data, ensure_ascii=False, indent=1))
        return
    click.echo("\n".join(_summary(out, rows, walk, eaten, after, kept)))


def _walk(out: Path) -> dict[str, Any]:
    """Make the walk's papers; its part of the summary."""
    file = read_trip(out / "trip.toml")
    try:
        plan = plan_trip(file.trip, read_ground(file))
    except Mistake as mistake:
        raise (mistake if str(file.path) in mistake.where else file.placed(mistake)) from None
    findings = findings_of_plan(plan)
    names = [walker.name for walker in file.trip.walkers]
    paper = "\n".join([walk_text(plan, names), *_below(told_once(findings, file.trip))]) + "\n"
    write_text(out / "sheets" / "walk.txt", paper, replace=True)
    text = json.dumps(walk_data(plan, findings), ensure_ascii=False, indent=1) + "\n"
    write_text(out / "sheets" / "walk.json", text, replace=True)
    said = Counter(finding.severity for finding in findings)
    return {
        "title": file.trip.title,
        "days": len(plan.days),
        "distance_m": round(sum(day.stage.distance_m for day in plan.days)),
        "ascent_m": round(sum(day.stage.ascent_m for day in plan.days)),
        "need_kcal": {one.walker: round(one.need.kcal) for one in plan.walkers},
        "food_g": {one.walker: round(sum(one.food_g)) for one in plan.walkers},
        "errors": said["error"],
        "cautions": said["caution"],
    }


def _eaten(out: Path, kept: list[Path]) -> tuple[dict[str, Any] | None, dict[str, Any] | None]:
    """The menu (a saved one is kept), every paper, and what follows; None without a menu."""
    from fellfare.cli.demo.sequel import follow
    from fellfare.cli.menu import MENU_SECONDS, planned_menu  # the solver is slow to import
    from fellfare.cli.menu.text import menu_text
    from fellfare.cli.provision import provided
    from fellfare.files.menu_toml import menu_text as menu_document
    from fellfare.files.recipe_folder import read_recipes_of
    from fellfare.files.writing_together import write_together
    from fellfare.menu.asked import question_of_trip
    from fellfare.menu.trying import Trying
    from fellfare.menu.written import written
    from fellfare.paper.grid import read_grid
    from fellfare.paper.papers_of_trip import LabelSheet, Papers

    file = read_trip(out / "trip.toml")
    saved = out / "menu.toml"
    told: dict[str, Any] = {}
    if not saved.exists():
        folder = read_recipes_of(file)
        plan = plan_trip(file.trip, read_ground(file))
        asked = question_of_trip(plan, folder.recipes, folder.pantry)
        menu = planned_menu(asked, Trying(gap=0.02, seconds=MENU_SECONDS, clock=time.monotonic))
        if not menu.plates:
            return None, None
        write_text(saved, menu_document(written(menu)))
        times = [one.name for one in file.trip.eating]
        write_text(out / "sheets" / "menu.txt", menu_text(menu, times) + "\n", replace=True)
        told = {"gap": menu.gap, "bound_mass_g": round(menu.bound_mass_g)}
    whole = provided(file)
    one = whole[0]
    sheet = LabelSheet(grid=read_grid(None, "a4"), skip=0, code="always", outline=False)
    made = Papers(one, "a4", sheet).made(list(PAPERS))
    write_together({out / "papers" / name: data for name, data in made.items()})
    eaten = told | {
        "dishes": len({dish.dish for dish in one.dishes}),
        "food_g": round(one.food_g),
        "bags": len(one.bags),
        "papers": sorted(made),
        "errors": sum(finding.severity == "error" for finding in one.findings),
        "cautions": sum(finding.severity == "caution" for finding in one.findings),
    }
    return eaten, follow(out, file, one, kept)


def _dish(path: Path, out: Path) -> dict[str, Any]:
    """Make one recipe's papers; its row of the summary."""
    document = read_recipe(path)
    own, _ = read_own_foods(own_food_folders(path))
    pantry = shipped_pantry().with_foods(own)
    sheet = make_sheet(document.recipe, pantry)
    findings = check(case_of_dish(sheet, pantry))
    name = path.stem
    write_text(out / "sheets" / f"{name}.txt", _paper(sheet, findings), replace=True)
    data = sheet_data(sheet, findings)
    text = json.dumps(data, ensure_ascii=False, indent=1) + "\n"
    write_text(out / "sheets" / f"{name}.json", text, replace=True)
    said = Counter(finding.severity for finding in findings)
    return {
        "recipe": name,
        "title": sheet.recipe.title,
        "meals": list(sheet.recipe.meals),
        "serves": sheet.eaters,
        "mass_g_per_serving": _tenth(sheet.mass.over(sheet.eaters).told),
        "mass_unknown": list(sheet.mass.unknown),
        "energy_kcal_per_serving": _tenth(sheet.energy.over(sheet.eaters).told),
        "energy_unknown": list(sheet.energy.unknown),
        "energy_kcal_per_oz": _tenth(sheet.energy_kcal_per_oz),
        "water_ml_per_serving": round(sheet.water_add_ml.value / sheet.eaters, 1),
        "errors": said["error"],
        "cautions": said["caution"],
    }


def _paper(sheet: Sheet, findings: tuple[Finding, ...]) -> str:
    """The sheet with its findings below: on paper there is no second stream."""
    return "\n".join([sheet_text(sheet, findings), *_below(findings)]) + "\n"


def _below(findings: tuple[Finding, ...]) -> list[str]:
    """Findings and standing notes as they stand under a paper."""
    lines: list[str] = []
    for one in findings:
        text = f"{one.severity}: {one.text} [{one.rule}; {one.source}]"
        lines += paragraph(text, "    ", "  ")
    for note in standing_notes():
        lines += paragraph(note, "    ", "  · ")
    return lines


def _tenth(value: float | None) -> float | None:
    return None if value is None else round(value, 1)


def _after(after: dict[str, Any]) -> list[str]:
    """Four parts in a few lines each, with the files that say it whole."""
    robust, lessons, bulk, season = (
        after[name] for name in ("robust", "lessons", "bulk", "season")
    )
    lines = heading("If it goes wrong")
    lines += paragraph(
        f"Of {robust['blows']} blows tried {robust['stand']} leave enough for everybody. "
        + (f"It does not stand when: {'; '.join(robust['fall'])}. " if robust["fall"] else "")
        + (f"150 g that help most: {robust['helps_most']}." if robust["helps_most"] else "")
    )
    lines += _where(robust)
    lines += heading("What came home (an invented log), and the next trip")
    if lessons["file"]:
        said = [
            f"{name}'s pace factor {was:g} becomes {now:g}"
            for name, (was, now) in lessons["pace"].items()
        ]
        if lessons["appetite"]:
            said.append(f"appetites move of {', '.join(lessons['appetite'])}")
        lines += paragraph(f"{'; '.join(said) or 'Nothing moves'}.")
    lines += _where(lessons, "log", "next")
    lines += heading("The same party in bulk, without a menu")
    if bulk["file"]:
        covers = "" if bulk["covers"] is None else f", {100 * bulk['covers']:.0f} % of the need"
        lines += paragraph(
            f"{bulk['people']} people, {bulk['days']:g} days at {bulk['column_lb']:g} lb each: "
            f"{bulk['mass_g'] / 1000:.1f} kg{covers} "
            f"({_mind(bulk['errors'], bulk['cautions']) or 'no caution'}"
            f"{': not every food suits everybody' if bulk['errors'] else ''})."
        )
    lines += _where(bulk, "document")
    lines += heading("A season: a second party a month later")
    if season["file"]:
        lines += paragraph("One purchase in whole cases for both parties.")
    return lines + _where(season, "document")


def _where(part: dict[str, Any], *more: str) -> list[str]:
    """The files of one part, or why there is none."""
    if part["file"] is None:
        return paragraph(f"Left out: {part['why']}.")
    return [f"    {name}" for name in (part["file"], *(part[key] for key in more))]


def _shown(value: float | None, unknown: list[str]) -> str:
    """'733', '≥733' where a part is unknown, '?' where all of it is."""
    return "?" if value is None else f"{'≥' if unknown else ''}{value:.0f}"


def _mind(errors: int, cautions: int) -> str:
    return "ERROR" if errors else f"{cautions}!" if cautions else ""


def _summary(
    out: Path,
    rows: list[dict[str, Any]],
    walk: dict[str, Any],
    eaten: dict[str, Any] | None,
    after: dict[str, Any] | None,
    kept: list[Path],
) -> list[str]:
    head = ["recipe", "meal", "g", "kcal", "kcal/oz", "water", "mind"]
    cells = [
        [
            row["title"],
            row["meals"][0] if row["meals"] else "-",
            _shown(row["mass_g_per_serving"], row["mass_unknown"]),
            _shown(row["energy_kcal_per_serving"], row["energy_unknown"]),
            _shown(row["energy_kcal_per_oz"], row["energy_unknown"]),
            f"{row['water_ml_per_serving']:.0f}",
            _mind(row["errors"], row["cautions"]),
        ]
        for row in rows
    ]
    lines = ["The Harrowmoor Round: invented, as are its people, recipes and labels."]
    lines += heading(f"{len(rows)} recipes, per serving")
    lines += table([head, *cells], [40, 9, -4, -5, -7, -5, 5])
    lines += heading(f"The walk: {walk['days']} days, {walk['distance_m'] / 1000:.0f} km")
    lines += paragraph(
        ", ".join(
            f"{name} needs {number(kcal)} kcal and carries {walk['food_g'][name] / 1000:.1f} kg"
            for name, kcal in walk["need_kcal"].items()
        )
        + f" ({_mind(walk['errors'], walk['cautions']) or 'no caution'})."
    )
    if eaten is not None:
        lines += heading("The menu and its papers")
        proof = f", proven to {100 * eaten['gap']:.1f} %" if eaten.get("gap") is not None else ""
        lines += paragraph(
            f"{eaten['dishes']} dishes, {eaten['food_g'] / 1000:.1f} kg of food in {eaten['bags']} "
            f"bags{proof}; {len(eaten['papers'])} papers: labels, lists, boxes, cards, trail card "
            f"({_mind(eaten['errors'], eaten['cautions']) or 'no caution'})."
        )
        lines += [f"    {out / 'menu.toml'}, {out / 'papers'}"]
    if after is not None:
        lines += _after(after)
    lines += [
        "─" * WIDTH,
        *paragraph(
            "'2!' says two cautions: read them on the sheet before you cook.  That no rule fired "
            "is no verdict on the food."
        ),
        "  Documents (trip.toml, walk.gpx, recipes, foods), sheets and papers are in",
        f"    {out}",
        f"  Next: fellfare recipe {out}/recipes/{rows[0]['recipe']}.toml" if rows else "",
        f"        fellfare walk {out}/trip.toml",
        f"        fellfare menu {out}/trip.toml",
        f"        fellfare provision {out}/trip.toml --out papers",
    ]
    if kept:
        lines.append(f"  Kept as you changed them: {', '.join(path.name for path in kept)}")
    return lines
