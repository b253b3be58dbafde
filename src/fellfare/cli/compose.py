"""``fellfare compose FILE``: every combination of a few parts, scored."""

from __future__ import annotations

import json
import sys
import time
from collections import Counter
from pathlib import Path
from typing import Final

import click

from fellfare.cli.layout import WIDTH, heading, number, paragraph, table
from fellfare.cli.told import tell
from fellfare.files.composed_json import composed_data
from fellfare.files.composition_toml import read_composition
from fellfare.files.own_food import own_food_folders, read_own_foods
from fellfare.files.recipe_toml import recipe_text
from fellfare.files.shipped import shipped_pantry
from fellfare.files.writing import write_text
from fellfare.mistake import Mistake
from fellfare.recipe.composing.differing import most_different
from fellfare.recipe.composing.hindering import told_of
from fellfare.recipe.composing.sweeping import Composed, Dish, Progress, compose
from fellfare.recipe.composing.taste import TASTES, lacking_tastes, names_of
from fellfare.recipe.composing.written import recipe_of

#: Stands between a number and its unit while lines are broken.
_TIE: Final = "\u237d"
#: Figures of every table, then those that a table shows where an aim or a limit asks of them.
_ALWAYS: Final = {
    "mass_g": "dry g",
    "energy_kcal": "kcal",
    "energy_kcal_per_100g": "kcal/100 g",
    "protein_g": "protein g",
    "minutes": "min",
    "water_add_ml": "water mL",
}
_ASKED: Final = {
    "cost": "cost",
    "sodium_mg": "sodium mg",
    "fat_g": "fat g",
    "carbohydrate_g": "carb. g",
    "fibre_g": "fibre g",
    "sugars_g": "sugars g",
    "tastes": "tastes",
    "protein_g_per_1000_kcal": "protein/*",
    "fibre_g_per_1000_kcal": "fibre/*",
    "sodium_mg_per_1000_kcal": "sodium/*",
    "cost_per_1000_kcal": "cost/*",
}
#: Meals of which it is usual to ask whether a taste is missed.
_SAVOURY: Final = frozenset({"lunch", "dinner"})


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--choose", default=12, show_default=True, type=click.IntRange(1, 100), metavar="N",
    help="Show N dishes that differ most.",
)  # fmt: skip
@click.option(
    "--out", type=click.Path(path_type=Path, file_okay=False),
    help="Write the chosen dishes as recipe documents into this folder.",
)  # fmt: skip
@click.option("--seconds", type=click.FloatRange(0.5, 86_400), default=600.0, show_default=True,
              help="Stop after so long.")  # fmt: skip
@click.option(
    "--foods",
    multiple=True,
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    help="Folder of own foods; 'foods' beside or above the file is found by itself.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command(
    file: Path,
    choose: int,
    out: Path | None,
    seconds: float,
    foods: tuple[Path, ...],
    as_json: bool,
) -> None:
    """Score every combination that the composition in FILE allows.

    What no other dish beats is the front; of the front and of the best of every kind those
    that differ most are shown.  Figures are for one eater.
    """
    document = read_composition(file)
    own, said = read_own_foods((*own_food_folders(file), *foods))
    pantry = shipped_pantry().with_foods(own)
    began, shows = time.monotonic(), sys.stderr.isatty() and not as_json
    shown = began

    def watch(progress: Progress) -> bool:
        nonlocal shown
        now = time.monotonic()
        spent = now - began
        if shows and spent > 1 and now - shown > 0.25:
            shown = now
            share = 100 * progress.seen / progress.of
            click.echo(f"\r{share:3.0f} %, front of {progress.front}  ", err=True, nl=False)
        return spent > seconds

    try:
        found = compose(document.asked, pantry, watch)
    except Mistake as mistake:
        raise document.placed(mistake) from None
    if shows and time.monotonic() - began > 1:
        click.echo("\r" + " " * 40 + "\r", err=True, nl=False)
    chosen = most_different((*found.dishes, *found.kinds), choose)
    written = [] if out is None else _write(out, found, chosen)
    if as_json:
        data = composed_data(found, chosen) | {"written": [str(path) for path in written]}
        click.echo(json.dumps(data, ensure_ascii=False, indent=1))
    else:
        click.echo("\n".join(_text(found, chosen)))
        for path in written:
            click.echo(f"  wrote {path}")
        if found.findings:
            tell((*said, *found.findings))
        if chosen:
            click.echo("\n".join(paragraph(_caution())))
    raise SystemExit(0 if found.dishes else 1)


def _caution() -> str:
    return (
        "These are sums, not tastes, and no rule of hygiene has been asked yet: write them with "
        "--out, look at each with 'fellfare recipe', and taste it at home first."
    )


def _write(out: Path, found: Composed, chosen: tuple[Dish, ...]) -> list[Path]:
    """One document for each; none when one of the names is taken already."""
    texts = {}
    for at, dish in enumerate(chosen, 1):
        foods = [p.food.id for filling in dish.fillings for p in filling]
        path = out / f"{at:02}-{'-'.join(foods)[:60].strip('-')}.toml"
        texts[path] = recipe_text(recipe_of(dish, found.asked, at))
    taken = next((path for path in texts if path.exists()), None)
    if taken is not None:
        raise Mistake(
            "file-exists", "the file is there already", "name an empty folder", str(taken)
        )
    for path, text in texts.items():
        write_text(path, text)
    return list(texts)


def _text(found: Composed, chosen: tuple[Dish, ...]) -> list[str]:
    asked = found.asked
    lines = [asked.title]
    told = f"{found.combinations:,} combinations".replace(",", " ")
    if found.stopped:
        told += f", stopped after {number(found.seen)}"
    lines += paragraph(
        f"{told}; {number(found.fitting)} keep every limit and pairing; "
        f"{len(found.dishes)} of them are beaten by none in "
        + ", ".join(f"{aim.better} {aim.figure}" for aim in asked.aims)
        + (f" (steps widened {found.coarser:g} times)" if found.coarser > 1 else "")
        + ". "
        + (_unscored(found) if found.fitting else "")
    )
    if not chosen:
        lines += paragraph("Nothing keeps them all: widen a limit, or add foods.")
        for told in () if found.hindered is None else told_of(found.hindered):
            lines += paragraph(told, "    ", "  - ")
        return lines
    lines += heading("Unlike one another")
    front = {dish.number for dish in found.dishes}
    wanted = [*(aim.figure for aim in asked.aims), *(limit.figure for limit in asked.limits)]
    also = [name for name in dict.fromkeys(wanted) if name in _ASKED]
    numbers = [f"{at}{'*' if dish.number in front else ''}" for at, dish in enumerate(chosen, 1)]
    columns = [
        ((_ALWAYS.get(name) or _ASKED[name]).replace("*", "Mcal"),
         *(_figure(name, dish.figure(name)) for dish in chosen))
        for name in (*_ALWAYS, *also)
    ]  # fmt: skip
    for some in _abreast(columns):
        rows = list(zip(("", *numbers), *some, strict=True))
        lines += table(rows, (-4, *(-len(column[0]) for column in some)))
    lines.append("  * on the front; the others are the best of their kind")
    if any(title.endswith("/Mcal") for title, *_ in columns):
        lines.append("  Mcal: 1000 kcal")
    if any(name.startswith("cost") for name in also) and all(
        dish.figure("cost") is None for dish in chosen
    ):
        lines += paragraph("No cost is known: give money for a kilogram of each food in [price].")
    common = Counter(t for dish in chosen for t in names_of(dish.tastes))
    lacking = [taste for taste in TASTES if not common[taste]]
    if lacking:
        lines += paragraph("In none of them: " + ", ".join(lacking) + ".")
    for at, dish in enumerate(chosen, 1):
        held = [
            " + ".join(f"{p.amount.replace(' ', _TIE)} {p.food.name}" for p in filling)
            for filling in dish.fillings
            if filling
        ]
        wrapped = paragraph("; ".join(held), "      ", f"{at:>4}  ")
        lines += [line.replace(_TIE, " ") for line in wrapped]
        lacks = lacking_tastes(dish.tastes) if _SAVOURY & set(asked.meals) else ()
        tastes = "tastes: " + (", ".join(names_of(dish.tastes)) or "none of the eight")
        lines += paragraph(tastes + (f"; lacks {', '.join(lacks)}" if lacks else ""), "      ")
    return lines


def _unscored(found: Composed) -> str:
    """Which dishes were never scored, and how it is known that they are not wanted."""
    through = " gone through" if found.stopped else ""
    if found.scored >= found.fitting:
        return "Each of them was scored one by one."
    return (
        f"{number(found.scored)} of them were scored one by one; of the others{through} the best "
        "figures that any dish like them has are beaten already."
    )


def _abreast(columns: list[tuple[str, ...]]) -> list[list[tuple[str, ...]]]:
    """As many columns beside one another as the screen holds, each table with its row numbers."""
    tables: list[list[tuple[str, ...]]] = [[]]
    room = WIDTH - 4
    for column in columns:
        width = 1 + max(len(cell) for cell in column)
        if width > room and tables[-1]:
            tables.append([])
            room = WIDTH - 4
        tables[-1].append(column)
        room -= width
    return tables


def _figure(name: str, value: float | None) -> str:
    if value is None:
        return "?"
    return f"{value:.2f}" if name.startswith("cost") else number(value)
