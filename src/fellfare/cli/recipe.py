"""``fellfare recipe FILE``: the sheet."""

from __future__ import annotations

import json
from pathlib import Path

import click

from fellfare.cli.layout import paragraph
from fellfare.cli.sheet_text import Measures, Panel, sheet_text
from fellfare.cli.told import tell
from fellfare.files.own_food import own_food_folders, read_own_foods, shadowed
from fellfare.files.recipe_toml import read_recipe
from fellfare.files.sheet_json import sheet_data
from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake, worst
from fellfare.recipe.composing.taste import taste_findings_of
from fellfare.recipe.sheet import make_sheet
from fellfare.safety import Eater, check, no_rule_fired, standing_notes
from fellfare.safety.dish import case_of_dish


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--for", "eaters", type=int, metavar="N", help="For N eaters instead of its own.")
@click.option(
    "--measures",
    type=click.Choice(["metric", "us", "both"]),
    default="both",
    show_default=True,
    help="Whose measures to print.",
)
@click.option(
    "--panel",
    type=click.Choice(["us", "eu", "both", "none"]),
    default="both",
    show_default=True,
    help="Nutrition panels to print.",
)
@click.option(
    "--avoid", multiple=True, metavar="ALLERGEN", help="An eater avoids it (may be repeated)."
)
@click.option("--air", "air_c", type=float, metavar="°C", help="Warmest air where food is kept.")
@click.option("--altitude", "altitude_m", type=float, metavar="M", help="Altitude of the camp.")
@click.option(
    "--foods",
    multiple=True,
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    help="Folder of own foods; 'foods' beside or above the recipe is found by itself.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command(
    file: Path,
    eaters: int | None,
    measures: Measures,
    panel: Panel,
    avoid: tuple[str, ...],
    air_c: float | None,
    altitude_m: float | None,
    foods: tuple[Path, ...],
    as_json: bool,
) -> None:
    """The sheet of the recipe in FILE (a TOML document)."""
    document = read_recipe(file)
    own, said = read_own_foods((*own_food_folders(file), *foods))
    pantry = shipped_pantry().with_foods(own)
    try:
        sheet = make_sheet(document.recipe, pantry, eaters)
    except Mistake as mistake:
        raise document.placed(mistake) from None
    used = {line.food.id for line in sheet.lines}
    eater = Eater(avoids=avoid)
    case = case_of_dish(sheet, pantry, eaters=(eater,), air_c=air_c, altitude_m=altitude_m)
    findings = (
        *(
            finding
            for finding in (*said, *shadowed(own, shipped_pantry()))
            if used & set(finding.about)
        ),
        *check(case),
        *taste_findings_of(sheet),
    )
    if as_json:
        click.echo(json.dumps(sheet_data(sheet, findings), ensure_ascii=False, indent=1))
    else:
        click.echo(sheet_text(sheet, findings, measures, panel))
        if not findings:
            click.echo("\n".join(paragraph(no_rule_fired())))
        for note in standing_notes():
            click.echo("\n".join(paragraph(note, "    ", "  · ")))
        tell(findings)
    raise SystemExit(1 if worst(findings) == "error" else 0)
