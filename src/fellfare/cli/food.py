"""``fellfare food WORDS``: search, or one food with its sources."""

from __future__ import annotations

import json
from pathlib import Path

import click
from msgspec import to_builtins

from fellfare.cli.layout import WIDTH, fit, heading, paragraph, shown_width, table
from fellfare.files.own_food import read_own_foods
from fellfare.files.shipped import shipped_pantry
from fellfare.measure.units import OUNCE_G
from fellfare.mistake import Mistake
from fellfare.pantry.allergens import agent_name
from fellfare.pantry.food import Food
from fellfare.pantry.names import fold
from fellfare.pantry.nutrients import NUTRIENTS

OWN_FOOD = """\
\b
A food of your own is a TOML file in a folder 'foods' beside your recipes:
  id = "oat-bar"
  name = "oat bar"
  ways = ["dry"]
  contains = ["oats"]        # read the label; leave the key out while unread
  [label]
  style = "eu"               # or "us"
  per_g = 100                # the grams that the figures belong to
  energy_kcal = 450
  protein_g = 9
  fat_g = 20
  carbohydrate_g = 55
  fibre_g = 6
  salt_g = 0.4
  [[measure]]
  unit = "piece"
  mass_g = 45
"""


@click.command(epilog=OWN_FOOD)
@click.argument("words", nargs=-1, required=True)
@click.option("--most", default=10, show_default=True, type=click.IntRange(1, 500))
@click.option(
    "--foods",
    multiple=True,
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    help="Folder of own foods.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command(words: tuple[str, ...], most: int, foods: tuple[Path, ...], as_json: bool) -> None:
    """Search foods by plain words; an exact id or name shows that food whole."""
    own, _ = read_own_foods(foods)
    pantry = shipped_pantry().with_foods(own)
    text = " ".join(words)
    exact = [food for food in pantry if text == food.id or fold(text) == fold(food.name)]
    if exact:
        click.echo(_json(exact[:1]) if as_json else _whole(exact[0]))
        return
    found = pantry.search(text, most)
    if not found:
        raise Mistake(
            "unknown-food", f"nothing is like {text[:80]!r}", "try one plain word of its name"
        )
    click.echo(_json(list(found)) if as_json else _list(found))


def _json(foods: list[Food]) -> str:
    plain = [
        # Every nutrient is told: null is unknown.
        to_builtins(food) | {"per_100g": dict(zip(NUTRIENTS, food.per_100g.in_order, strict=True))}
        for food in foods
    ]
    return json.dumps(plain, ensure_ascii=False, indent=1)


def _list(foods: tuple[Food, ...]) -> str:
    rows = [["id", "name", "kcal/oz", "source"]]
    for food in foods:
        energy = food.per_100g.energy_kcal
        per_oz = "?" if energy is None else f"{energy * float(OUNCE_G) / 100:.0f}"
        rows.append([food.id, food.name, per_oz, food.source.ref])
    return "\n".join(table(rows, [22, 30, -7, 18]))


def _hanging(text: str) -> list[str]:
    return paragraph(text, "      ", "  ")


def _whole(food: Food) -> str:
    lines = [fit(food.name, WIDTH).rstrip(), "═" * min(WIDTH, shown_width(food.name))]
    lines += paragraph(f"id {food.id} · {food.group} · {food.form} · ways: {', '.join(food.ways)}")
    lines += paragraph(f"composition: {food.source.ref} ({food.source.kind})")
    if food.source.note:
        lines += paragraph(food.source.note)
    if food.source.factor and food.source.factor != 1:
        lines += paragraph(f"every figure of the parent × {food.source.factor:g}")
    lines += heading("Per 100 g")
    values = [(name, value) for name, value in zip(NUTRIENTS, food.per_100g.in_order, strict=True)]
    cells = []
    for name, value in values:
        plain, unit = name.rsplit("_", 1)
        shown = "unknown" if value is None else f"{value:g} {unit}"
        cells.append(f"{fit('  ' + plain.replace('_', ' '), 16)}{shown:>14}")
    half = (len(cells) + 1) // 2
    lines += [
        f"{cells[row]:<40}{cells[row + half] if row + half < len(cells) else ''}".rstrip()
        for row in range(half)
    ]
    if food.measures or food.bulk_density_g_per_ml is not None:
        lines += heading("Measures")
    for measure in food.measures:
        note = f" {measure.note}" if measure.note else ""
        lines += _hanging(f"1 {measure.unit}{note} = {measure.mass_g:g} g  ({measure.source})")
    if food.bulk_density_g_per_ml is not None:
        said = f"{food.bulk_density_trust}; {food.bulk_density_source}"
        lines += _hanging(f"bulk density {food.bulk_density_g_per_ml:g} g/ml  ({said})")
    if food.soaks or food.uptake_ml_per_g is not None:
        lines += heading("In camp")
    for soak in food.soaks:
        water = "" if soak.water_ml_per_g is None else f", {soak.water_ml_per_g:g} ml water per g"
        most = f"-{soak.most_minutes:g}" if soak.most_minutes else ""
        at = "" if soak.at_c is None else f" at {soak.at_c:g} °C"
        lines += _hanging(f"{soak.way}: {soak.minutes:g}{most} min{at}{water}  ({soak.source})")
    if food.uptake_ml_per_g is not None:
        lines += _hanging(
            f"takes up {food.uptake_ml_per_g:g} ml per g cooked  ({food.uptake_source})"
        )
    lines += heading("Mind")
    allergens = food.allergens
    for word, group in (
        ("contains", allergens.contains),
        ("may contain", allergens.may_contain),
        ("differs by maker", allergens.unknown),
    ):
        if group:
            lines += paragraph(f"{word}: " + ", ".join(agent_name(agent) for agent in group))
    if allergens.open_mix:
        lines += paragraph("a mix whose parts are not known: every other allergen is unknown too")
    for word, tags in (("hazards", food.hazards), ("in the pack", food.traits)):
        if tags:
            lines += paragraph(f"{word}: {', '.join(tags)}")
    keeping = food.keeping
    if keeping is not None and keeping.unopened_days is not None:
        low, high = keeping.unopened_days
        span = f"{low}" if low == high else f"{low} to {high}"
        opened = "opened: unknown"
        if keeping.opened_days is not None:
            low, high = keeping.opened_days
            opened = f"opened {low}" + ("" if low == high else f" to {high}") + " days"
        lines += paragraph(
            f"keeps {span} days unopened at {keeping.at_c:g} °C, {opened} ({keeping.source})"
        )
    else:
        lines += paragraph("keeping quality: unknown")
    if food.water_activity is not None:
        low_aw, high_aw = food.water_activity
        said = food.water_activity_source or "source unknown"
        lines += paragraph(f"water activity {low_aw:g} to {high_aw:g} ({said})")
    return "\n".join(lines)
