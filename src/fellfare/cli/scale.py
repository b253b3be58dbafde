"""``fellfare scale FILE --for N``: the same dish for another number of eaters."""

from __future__ import annotations

from pathlib import Path

import click

from fellfare.files.own_food import own_food_folders, read_own_foods
from fellfare.files.recipe_toml import read_recipe, recipe_text
from fellfare.files.shipped import shipped_pantry
from fellfare.files.writing import write_text
from fellfare.mistake import Mistake
from fellfare.recipe.rewritten import for_eaters


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--for", "eaters", type=int, required=True, metavar="N", help="Number of eaters.")
@click.option("--out", type=click.Path(path_type=Path), help="Write the document here.")
@click.option("--replace", is_flag=True, help="Write over an older file.")
def command(file: Path, eaters: int, out: Path | None, replace: bool) -> None:
    """Write the recipe in FILE for N eaters, from grams; seasoning grows less than the rest."""
    document = read_recipe(file)
    own, _ = read_own_foods(own_food_folders(file))
    try:
        scaled = for_eaters(document.recipe, shipped_pantry().with_foods(own), eaters)
    except Mistake as mistake:
        raise document.placed(mistake) from None
    text = recipe_text(scaled)
    if out is None:
        click.echo(text, nl=False)
    else:
        write_text(out, text, replace=replace)
        click.echo(f"wrote {out}", err=True)
