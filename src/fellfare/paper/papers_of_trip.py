"""Every paper of a trip, by its name: bytes for a folder of files or for a browser."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import cached_property

from msgspec import Struct

from fellfare.files.provision_csv import provision_csv
from fellfare.paper.allergens import allergens_pdf
from fellfare.paper.boxing import box_sheets
from fellfare.paper.buying import shopping_sheet
from fellfare.paper.carrying import carrying_sheet
from fellfare.paper.grid import Grid
from fellfare.paper.kinds import KINDS
from fellfare.paper.labels import Code, labels_pdf
from fellfare.paper.lists import list_pdf, lists_pdf
from fellfare.paper.names import printable
from fellfare.paper.packing import packing_sheets
from fellfare.paper.page import trail_html
from fellfare.paper.preparing import prep_sheet
from fellfare.paper.press import Size
from fellfare.paper.recipes import recipes_pdf
from fellfare.paper.trail import day_sheets_pdf, trail_pdf
from fellfare.provision.cards.allergen import allergen_card
from fellfare.provision.cards.recipe import recipe_card
from fellfare.provision.cards.trail import TrailCard, trail_card
from fellfare.provision.trip.day_words import day_words
from fellfare.provision.trip.provision import Provision
from fellfare.safety import Eater


class LabelSheet(Struct, frozen=True, kw_only=True):
    """How the labels lie on their sheets."""

    grid: Grid
    skip: int = 0
    code: Code = "always"
    outline: bool = False


class Papers:
    """Draws what is asked for; nothing is written here.

    ``findings`` tells of names that the printed papers write otherwise.
    """

    def __init__(self, one: Provision, size: Size, label_sheet: LabelSheet) -> None:
        self.as_written = one
        self.one, self.findings = printable(one)
        self.size, self.label_sheet = size, label_sheet
        self.title = self.one.plan.trip.title

    def made(self, kinds: Sequence[str]) -> dict[str, bytes]:
        """File name to its bytes; a list of boxes only where there is a box."""
        make: Mapping[str, Callable[[], bytes]] = {
            "labels": self.labels,
            "packing": lambda: lists_pdf(
                packing_sheets(self.one), self.size, f"{self.title}: packing"
            ),
            "prep": lambda: list_pdf(
                prep_sheet(self.one.prep, f"{self.title}: at home"), self.size
            ),
            "shopping": lambda: list_pdf(
                shopping_sheet(self.one.shopping, f"{self.title}: shopping list"), self.size
            ),
            "carrying": lambda: list_pdf(
                carrying_sheet(self.one, f"{self.title}: who carries what"), self.size
            ),
            "boxes": lambda: lists_pdf(
                box_sheets(self.one.boxes), self.size, f"{self.title}: boxes"
            ),
            "trail": lambda: trail_pdf(self.pocket_card, self.size),
            "days": lambda: day_sheets_pdf(self.pocket_card, self.size),
            "allergens": lambda: allergens_pdf(
                allergen_card(self.one.dishes), self.size, f"{self.title}: allergens"
            ),
            "cards": self.cards,
            "html": lambda: trail_html(self.trail_card).encode("utf-8"),
        }
        wanted = [kind for kind in kinds if kind in make and (kind != "boxes" or self.one.boxes)]
        if {"trail", "days", "html"} & set(wanted):
            self.pocket_card  # noqa: B018 - made once, before two threads want it
        # Typst sets one page while we fill the next.
        with ThreadPoolExecutor(max_workers=2) as pool:
            drawn = {KINDS[kind]: pool.submit(make[kind]) for kind in wanted}
        files = {name: one.result() for name, one in drawn.items()}
        if "csv" in kinds:
            files |= {name: text.encode() for name, text in provision_csv(self.as_written).items()}
        return files

    def labels(self) -> bytes:
        sheet = self.label_sheet
        return labels_pdf(
            self.one.labels,
            sheet.grid,
            title=f"{self.title}: bag labels",
            skip=sheet.skip,
            code=sheet.code,
            outline=sheet.outline,
        )

    def cards(self) -> bytes:
        eaters = [
            Eater(name=walker.name, avoids=tuple(walker.avoids))
            for walker in self.one.plan.trip.walkers
            if walker.avoids
        ]
        sheets = {dish.dish: dish.sheet for dish in self.one.dishes}
        cards = [recipe_card(s, self.one.pantry, eaters=eaters) for s in sheets.values()]
        return recipes_pdf(cards, self.size, f"{self.title}: recipes")

    @cached_property
    def trail_card(self) -> TrailCard:
        """With the names as they are written, for a screen with fonts of its own."""
        return _trail_card(self.as_written)

    @cached_property
    def pocket_card(self) -> TrailCard:
        """The same for paper."""
        return _trail_card(self.one) if self.findings else self.trail_card


def _trail_card(one: Provision) -> TrailCard:
    return trail_card(
        one.dishes,
        one.bags,
        title=one.plan.trip.title,
        first_day=one.plan.trip.start_date,
        notes=day_words(one.plan),
        said=one.said,
        texts=one.labels,
    )
