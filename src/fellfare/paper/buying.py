"""The shopping list on paper."""

from __future__ import annotations

from typing import Final

from fellfare.measure.printing import print_mass
from fellfare.paper.lists import Part, Row, Sheet
from fellfare.paper.words import capital
from fellfare.provision.shopping.list import ShoppingList, ShoppingRow

#: So many dishes are named beside a food.
_MOST_DISHES: Final = 3


def shopping_sheet(shopping: ShoppingList, title: str = "Shopping list") -> Sheet:
    """By place and section: what, how much, which packs, what is left over."""
    rows = [row for place in shopping.places for section in place.sections for row in section.rows]
    # A column that would stand empty all the way down is left out.
    shown = [
        (head, width, cell)
        for head, width, cell, needed in (
            ("Food", 2.4, _food, True),
            ("Buy", 1.7, _buy, True),
            ("Packs", 1.5, _packs, any(row.packs for row in rows)),
            ("Left over", 0.9, _spare, any(row.spare_g for row in rows)),
            ("Cost", 0.9, _cost, any(row.cost is not None for row in rows)),
        )
        if needed
    ]
    parts = []
    for place in shopping.places:
        for section in place.sections:
            where = f"{place.name}: " if place.name else ""
            parts.append(
                Part(
                    heading=capital(f"{where}{section.group.replace('-', ' ')}"),
                    head=tuple(head for head, _, _ in shown),
                    widths=tuple(width for _, width, _ in shown),
                    rows=tuple(
                        Row(
                            cells=tuple(cell(row) for _, _, cell in shown),
                            notes=shopping_notes(row),
                        )
                        for row in section.rows
                    ),
                )
            )
    cost = ""
    if any(row.cost is not None for row in rows):
        least = "at least " if shopping.cost_unknown else ""
        cost = f"All together: {least}{shopping.cost:.2f} {shopping.currency}".rstrip()
    return Sheet(title=title, parts=tuple(parts), foot=(cost,) if cost else ())


def _food(row: ShoppingRow) -> str:
    return capital(row.food.name)


def _buy(row: ShoppingRow) -> str:
    if row.amount is not None:
        spoons = row.amount.us_household
        return f"{row.amount.metric} ({row.amount.us})" + (f" · {spoons}" if spoons else "")
    if row.buy_g > 0:
        return f"{print_mass(row.buy_g).text} ({print_mass(row.buy_g, 'us').text})"
    return "some" if row.unmeasured else "nothing: it is at home"


def _packs(row: ShoppingRow) -> str:
    said = (
        f"{one.count} × {one.pack.name or print_mass(one.pack.size_g).text}" for one in row.packs
    )
    return " + ".join(said) or "loose"


def _spare(row: ShoppingRow) -> str:
    return print_mass(row.spare_g).text if row.spare_g else ""


def _cost(row: ShoppingRow) -> str:
    return "not known" if row.cost is None else f"{row.cost:.2f}"


def shopping_notes(row: ShoppingRow) -> tuple[str, ...]:
    """What stands small under a food: what is at home, what it is dried to, for which dishes."""
    notes = list(row.notes)
    if row.home_g > 0:
        notes.append(f"{print_mass(row.home_g).text} is at home")
    notes += [f"dries to {one.dried.name}, {print_mass(one.dried_g).text}" for one in row.dries_to]
    if row.dishes:
        more = len(row.dishes) - _MOST_DISHES
        rest = f" and {more} more dish{'es' * (more > 1)}" if more > 0 else ""
        notes.append(f"for {'; '.join(row.dishes[:_MOST_DISHES])}{rest}")
    return tuple(notes)
