"""``fellfare paper RECIPE…``: cards, labels and lists to print, and the card for a telephone."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Any, Final

import click

from fellfare.cli.label_options import label_options
from fellfare.cli.told import tell
from fellfare.files.own_food import own_food_folders, read_own_foods
from fellfare.files.recipe_toml import read_recipe
from fellfare.files.shipped import shipped_pantry
from fellfare.files.writing import write_bytes
from fellfare.mistake import Finding, Mistake, worst
from fellfare.pantry.pantry import Pantry
from fellfare.paper.allergens import allergens_pdf
from fellfare.paper.buying import shopping_sheet
from fellfare.paper.grid import Grid, read_grid
from fellfare.paper.labels import Code, labels_pdf
from fellfare.paper.lists import list_pdf
from fellfare.paper.page import trail_html
from fellfare.paper.preparing import prep_sheet
from fellfare.paper.press import Size
from fellfare.paper.recipes import recipes_pdf
from fellfare.paper.trail import day_sheets_pdf, trail_pdf
from fellfare.provision.bags.plan import bags_of
from fellfare.provision.cards.allergen import allergen_card
from fellfare.provision.cards.recipe import recipe_card
from fellfare.provision.cards.trail import TrailCard, trail_card
from fellfare.provision.label import labels
from fellfare.provision.planned import Planned, Share, findings_for, in_order, planned_recipe
from fellfare.provision.prep.list import prep_list
from fellfare.provision.shopping.list import shopping_list
from fellfare.recipe.sheet import Sheet, make_sheet
from fellfare.safety import Eater

#: Kind → file name.
KINDS: Final = {
    "card": "recipe-cards.pdf",
    "labels": "bag-labels.pdf",
    "allergens": "allergen-card.pdf",
    "trail": "trail-card.pdf",
    "days": "day-sheets.pdf",
    "shopping": "shopping-list.pdf",
    "prep": "prep-list.pdf",
    "html": "trail-card.html",
}

_AT_DAY: Final = re.compile(r"(.+)@(\d{1,3})")


@click.command()
@click.argument("recipes", nargs=-1, required=True, metavar="RECIPE[@DAY]...")
@click.option(
    "--kind",
    "kinds",
    multiple=True,
    type=click.Choice([*KINDS, "all"]),
    default=("card",),
    show_default=True,
    help="What to print (may be repeated).",
)
@click.option("--size", type=click.Choice(["a4", "letter"]), default="a4", show_default=True,
              help="Sheet of paper.")  # fmt: skip
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("papers"),
    show_default=True,
    help="Folder for the papers; what lies there under the same names is replaced.",
)
@click.option("--title", default="", help="Title of the trail card and the lists.")
@click.option(
    "--eater",
    "eaters",
    multiple=True,
    metavar="NAME[:ALLERGEN,...]",
    help="Who eats, and what they must not (may be repeated): Ada:tree-nut,milk.",
)
@click.option("--for", "count", type=int, metavar="N", help="For N eaters without names.")
@click.option("--first-day", metavar="DATE", help="Date of day 1: 2027-07-01.")
@click.option("--packed", metavar="DATE", help="When the bags are filled.")
@click.option("--air", "air_c", type=float, metavar="°C", help="Warmest air where food is kept.")
@click.option("--altitude", "altitude_m", type=float, metavar="M", help="Altitude of the camp.")
@label_options
@click.option(
    "--code",
    type=click.Choice(["always", "if-room", "never"]),
    default="always",
    show_default=True,
    help="QR code with the label's own text.",
)
@click.option(
    "--foods",
    multiple=True,
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    help="Folder of own foods; 'foods' beside or above the recipe is found by itself.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command(
    recipes: tuple[str, ...],
    kinds: tuple[str, ...],
    size: Size,
    out: Path,
    title: str,
    eaters: tuple[str, ...],
    count: int | None,
    first_day: str | None,
    packed: str | None,
    air_c: float | None,
    altitude_m: float | None,
    grid: str | None,
    width_mm: float | None,
    height_mm: float | None,
    margin_left_mm: float | None,
    margin_top_mm: float | None,
    gap_across_mm: float | None,
    gap_down_mm: float | None,
    skip: int,
    outline: bool,
    code: Code,
    foods: tuple[Path, ...],
    as_json: bool,
) -> None:
    """Print recipes (TOML documents): cards, bag labels, lists, the trail card.

    'soup.toml@3' is eaten on day 3; without a day it is day 1.
    """
    wanted = list(KINDS) if "all" in kinds else list(dict.fromkeys(kinds))
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
    start, filled = _date(first_day, "--first-day"), _date(packed, "--packed")
    pantry, plan, sheets, said = _read(recipes, _shares(eaters, count), foods, air_c, altitude_m)
    papers = _Papers(pantry, plan, sheets, size, title, start, filled, air_c, altitude_m)
    make: dict[str, Callable[[], bytes]] = {
        "card": papers.cards,
        "labels": lambda: papers.labels(cells, skip, code, outline),
        "allergens": papers.allergens,
        "trail": papers.trail,
        "days": papers.days,
        "shopping": papers.shopping,
        "prep": papers.prep,
        "html": papers.html,
    }
    with ThreadPoolExecutor(max_workers=2) as pool:  # typst sets one page while we fill the next
        drawn = {kind: pool.submit(make[kind]) for kind in wanted}
    made = {kind: one.result() for kind, one in drawn.items()}  # all of them, or none is written
    for kind, data in made.items():
        write_bytes(out / KINDS[kind], data, replace=True)
    rows: list[dict[str, Any]] = [
        {"kind": kind, "file": str(out / KINDS[kind]), "bytes": len(data)}
        for kind, data in made.items()
    ]
    findings = (*said, *_once(finding for dish in plan for finding in findings_for(dish)))
    if as_json:
        told = [
            {"severity": f.severity, "rule": f.rule, "text": f.text, "source": f.source}
            for f in findings
        ]
        answer = {"papers": rows, "findings": told}
        click.echo(json.dumps(answer, ensure_ascii=False, indent=1))
    else:
        for row in rows:
            click.echo(f"{row['file']}  {row['bytes'] / 1000:.0f} kB")
        tell(finding for finding in findings if finding.severity != "note")
    raise SystemExit(1 if worst(findings) == "error" else 0)


class _Papers:
    """The plan, and each paper that can be made of it."""

    def __init__(
        self,
        pantry: Pantry,
        plan: tuple[Planned, ...],
        sheets: tuple[Sheet, ...],
        size: Size,
        title: str,
        first_day: date | None,
        packed_on: date | None,
        air_c: float | None,
        altitude_m: float | None,
    ) -> None:
        self.pantry, self.plan, self.sheets, self.size = pantry, plan, sheets, size
        self.title, self.first_day, self.packed_on = title, first_day, packed_on
        self.air_c, self.altitude_m = air_c, altitude_m
        self.bags = bags_of(plan)

    def cards(self) -> bytes:
        avoids = {share.name: share.avoids for dish in self.plan for share in dish.eaters}
        eaters = [Eater(name=name, avoids=said) for name, said in avoids.items() if said]
        cards = [
            recipe_card(sheet, self.pantry, eaters=eaters, altitude_m=self.altitude_m)
            for sheet in self.sheets
        ]
        return recipes_pdf(cards, self.size)

    def labels(self, cells: Grid, skip: int, code: Code, outline: bool) -> bytes:
        made = labels(
            self.plan,
            self.bags,
            first_day=self.first_day,
            packed_on=self.packed_on,
            storage_c=self.air_c,
        )
        return labels_pdf(made, cells, skip=skip, code=code, outline=outline)

    def allergens(self) -> bytes:
        return allergens_pdf(allergen_card(self.plan), self.size, self._named("Allergens"))

    def trail(self) -> bytes:
        return trail_pdf(self._trail_card, self.size)

    def days(self) -> bytes:
        return day_sheets_pdf(self._trail_card, self.size)

    def shopping(self) -> bytes:
        bought = shopping_list(self.bags, self.pantry)
        return list_pdf(shopping_sheet(bought, self._named("Shopping list")), self.size)

    def prep(self) -> bytes:
        bought = shopping_list(self.bags, self.pantry)
        ready = {} if self.packed_on is None else {"": self.packed_on}
        done = prep_list(
            self.plan,
            self.bags,
            bought,
            first_day=self.first_day,
            ready_by=ready,
            storage_c=self.air_c,
        )
        return list_pdf(prep_sheet(done, self._named("At home")), self.size)

    def html(self) -> bytes:
        return trail_html(self._trail_card).encode("utf-8")

    @cached_property
    def _trail_card(self) -> TrailCard:
        return trail_card(
            self.plan, self.bags, title=self.title or "Trail card", first_day=self.first_day
        )

    def _named(self, kind: str) -> str:
        return f"{self.title}: {kind.lower()}" if self.title else kind


def _read(
    recipes: tuple[str, ...],
    shares: tuple[Share, ...] | int | None,
    foods: tuple[Path, ...],
    air_c: float | None,
    altitude_m: float | None,
) -> tuple[Pantry, tuple[Planned, ...], tuple[Sheet, ...], tuple[Finding, ...]]:
    """The pantry, what is eaten when, each recipe's sheet, and what own foods say."""
    places = [_place(text) for text in recipes]
    folders = dict.fromkeys(
        folder for path, _ in places for folder in (*own_food_folders(path), *foods)
    )
    own, said = read_own_foods(tuple(folders))
    pantry = shipped_pantry().with_foods(own)
    plan: list[Planned] = []
    sheets: dict[str, Sheet] = {}
    for path, day in places:
        document = read_recipe(path)
        recipe = document.recipe
        try:
            number = shares if isinstance(shares, int) else None
            sheets.setdefault(str(path), make_sheet(recipe, pantry, number))
            planned = planned_recipe(recipe, pantry, shares or recipe.serves, days=(day,))
        except Mistake as mistake:
            raise document.placed(mistake) from None
        plan += planned
    placed = (
        Planned(
            day=one.day,
            time=one.time,
            sheet=one.sheet,
            eaters=one.eaters,
            air_c=air_c,
            altitude_m=altitude_m,
        )
        for one in plan
    )
    used = {line.food.id for one in plan for line in one.sheet.lines}
    about = tuple(finding for finding in said if used & set(finding.about))
    return pantry, in_order(placed), tuple(sheets.values()), about


def _place(text: str) -> tuple[Path, int]:
    """'soup.toml@3': the file and the day."""
    found = _AT_DAY.fullmatch(text)
    if found is not None and not Path(text).exists():
        return Path(found[1]), int(found[2])
    return Path(text), 1


def _shares(eaters: tuple[str, ...], count: int | None) -> tuple[Share, ...] | int | None:
    if eaters and count is not None:
        raise Mistake(
            "eaters-twice",
            "both --eater and --for say who eats",
            "name every eater with --eater, or give a number with --for",
        )
    if count is not None:
        if not 1 <= count <= 200:
            raise Mistake(
                "eaters-out-of-range", f"for {count} eaters", "give 1 to 200 eaters", "--for"
            )
        return count
    shares = []
    for text in eaters:
        name, _, avoids = text.partition(":")
        words = tuple(word.strip() for word in avoids.split(",") if word.strip())
        shares.append(Share(name=name.strip() or "eater", avoids=words))
    return tuple(shares) or None


def _date(text: str | None, where: str) -> date | None:
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Mistake(
            "bad-date", f"{text[:40]!r} is no date", "write it as 2031-05-01", where
        ) from None


def _once(findings: Any) -> tuple[Finding, ...]:
    return tuple({(one.rule, one.text): one for one in findings}.values())
