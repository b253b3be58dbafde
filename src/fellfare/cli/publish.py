"""``fellfare publish RECIPE``: the recipe, ready to be sent out."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from fellfare.cli.told import tell as tell_findings
from fellfare.files.lists_csv import sheet_lines_csv
from fellfare.files.own_food import own_food_folders, read_own_foods
from fellfare.files.publish import (
    USUAL_LIMIT,
    Measures,
    card_text,
    json_ld,
    markdown,
    plain_text,
    tell,
)
from fellfare.files.recipe_toml import read_recipe
from fellfare.files.shipped import shipped_pantry
from fellfare.files.writing import write_text
from fellfare.mistake import Mistake, worst
from fellfare.recipe.sheet import make_sheet
from fellfare.safety import check
from fellfare.safety.dish import case_of_dish

Form = Literal["text", "markdown", "json-ld", "card", "csv"]


@click.command()
@click.argument("recipe", type=click.Path(path_type=Path))
@click.option(
    "--as",
    "form",
    type=click.Choice(["text", "markdown", "json-ld", "card", "csv"]),
    default="text",
    show_default=True,
    help="text: for a description field; card: 40 lines of 48 columns; csv: the lines.",
)
@click.option("--for", "eaters", type=int, metavar="N", help="For N eaters instead of its own.")
@click.option(
    "--measures",
    type=click.Choice(["metric", "us", "both"]),
    default="both",
    show_default=True,
    help="Whose measures to print.",
)
@click.option("--author", default="", metavar="NAME", help="json-ld: name the author.")
@click.option("--date", "published", default="", metavar="YYYY-MM-DD", help="json-ld: its date.")
@click.option("--bom", is_flag=True, help="csv: open with a byte-order mark, for spreadsheets.")
@click.option(
    "--foods",
    multiple=True,
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    help="Folder of own foods; 'foods' beside or above the recipe is found by itself.",
)
@click.option("--out", type=click.Path(path_type=Path), help="Write it here.")
@click.option("--replace", is_flag=True, help="Write over an older file.")
def command(
    recipe: Path,
    form: Form,
    eaters: int | None,
    measures: Measures,
    author: str,
    published: str,
    bom: bool,
    foods: tuple[Path, ...],
    out: Path | None,
    replace: bool,
) -> None:
    """Publish the recipe in RECIPE (a TOML document) as text, Markdown, JSON-LD or a card."""
    document = read_recipe(recipe)
    own, said = read_own_foods((*own_food_folders(recipe), *foods))
    pantry = shipped_pantry().with_foods(own)
    try:
        sheet = make_sheet(document.recipe, pantry, eaters)
    except Mistake as mistake:
        raise document.placed(mistake) from None
    used = {line.food.id for line in sheet.lines}
    findings = (
        *(finding for finding in said if used & set(finding.about)),
        *check(case_of_dish(sheet, pantry)),
    )
    told = tell(sheet, findings, pantry, measures)
    if form == "json-ld":
        text = json_ld(sheet, told, pantry, author=author, published=published)
    elif form == "csv":
        text = sheet_lines_csv(sheet, bom=bom)
    else:
        text = {"text": plain_text, "markdown": markdown, "card": card_text}[form](told)
    if out is None:
        click.echo(text, nl=False)
    else:
        write_text(out, text, replace=replace)
        click.echo(f"wrote {out}", err=True)
    click.echo(f"{len(text)} characters in {text.count(chr(10))} lines", err=True)
    if form == "text" and len(text) > USUAL_LIMIT:
        click.echo(
            f"caution: longer than {USUAL_LIMIT} characters, a usual limit of description fields "
            "(common practice, no source)\n  mend: --measures metric or us, or --as card",
            err=True,
        )
    tell_findings(findings)
    raise SystemExit(1 if worst(findings) == "error" else 0)
