"""What each button of the editor does to the form: add, move, take out, read, swap."""

from __future__ import annotations

import re
from typing import Final

from msgspec import Struct
from msgspec.structs import asdict, replace

from fellfare.measure.reading import read_amount
from fellfare.mistake import Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.pantry.swaps import Swap, by_flavour, by_form, heat_safe, without_flame
from fellfare.recipe.ingredient_line import read_ingredient
from fellfare.recipe.weighing import weigh
from fellfare.web.pages.recipes.form import (
    MOST_ROWS,
    BagForm,
    LineForm,
    RecipeForm,
    StepForm,
    read_system,
)

_DO: Final = re.compile(r"(line|step)-(up|down|remove)-(\d{1,4})")
_ROW: Final = re.compile(r"(swaps|take|food)-(\d{1,4})(?:-([a-z0-9-]{1,80}))?")


class Done(Struct, kw_only=True):
    """What a button did: the form stands changed, and the page shows this beside it."""

    #: Element that gets the focus.
    focus: str = ""
    faults: dict[str, list[Mistake]] = {}
    new_line: str = ""
    #: Row whose swaps are shown, and the swaps.
    swaps_for: int | None = None
    swaps: tuple[Swap, ...] = ()


def do(what: str, form: RecipeForm, new_line: str, pantry: Pantry) -> Done:
    """Do what one button says; an unknown one does nothing but reckon."""
    if what == "line-read":
        return _read_line(form, new_line, pantry)
    if what == "line-add" and len(form.lines) < MOST_ROWS:
        form.lines.append(LineForm(bag=form.lines[-1].bag if form.lines else ""))
        return Done(focus=f"line-{len(form.lines) - 1}-food", new_line=new_line)
    if what == "step-add" and len(form.steps) < MOST_ROWS:
        form.steps.append(StepForm(act="steep" if not form.steps else "mix"))
        return Done(focus=f"step-{len(form.steps) - 1}-act", new_line=new_line)
    if found := _DO.fullmatch(what):
        return _move(form, found[1], found[2], int(found[3]), new_line)
    if found := _ROW.fullmatch(what):
        row = int(found[2])
        if row < len(form.lines):
            return _line(form, found[1], row, found[3] or "", pantry, new_line)
    return Done(new_line=new_line)


def _read_line(form: RecipeForm, text: str, pantry: Pantry) -> Done:
    """One line as it would stand in a recipe, read by the core's reader."""
    if not text:
        return Done(focus="new-line")
    if len(form.lines) >= MOST_ROWS:
        return Done(focus="new-line", new_line=text)
    try:
        line, _, _ = read_ingredient(text, pantry, read_system(form.system))
    except Mistake as mistake:
        told = Mistake(mistake.code, mistake.what, mistake.mend)
        return Done(focus="new-line", faults={"new-line": [told]}, new_line=text)
    bag = form.lines[-1].bag if form.lines else ""
    form.lines.append(
        LineForm(food=line.food, amount=line.amount, note=line.note, bag=bag,
                 optional="yes" if line.optional else "")
    )  # fmt: skip
    return Done(focus="new-line")


def _move(form: RecipeForm, table: str, how: str, row: int, new_line: str) -> Done:
    many = len(form.lines if table == "line" else form.steps)
    if row >= many:
        return Done(new_line=new_line)
    if how == "remove":
        (form.lines if table == "line" else form.steps).pop(row)
        beside = min(row, many - 2)
        focus = f"do-{table}-remove-{beside}" if beside >= 0 else "new-line"
        return Done(focus=focus, new_line=new_line)
    other = row - 1 if how == "up" else row + 1
    if not 0 <= other < many:
        return Done(new_line=new_line)
    if table == "line":
        form.lines[row], form.lines[other] = form.lines[other], form.lines[row]
    else:
        form.steps[row], form.steps[other] = form.steps[other], form.steps[row]
    turned = {"up": "down", "down": "up"}[how] if other in (0, many - 1) else how
    return Done(focus=f"do-{table}-{turned}-{other}", new_line=new_line)


def _line(form: RecipeForm, what: str, row: int, told: str, pantry: Pantry, new_line: str) -> Done:
    line = form.lines[row]
    if what == "food":
        if told in pantry:
            form.lines[row] = replace(line, food=told)
        return Done(focus=f"line-{row}-amount", new_line=new_line)
    swaps = swaps_of(line, form.system, pantry)
    if what == "take" and told.isdigit() and int(told) < len(swaps):
        swap = swaps[int(told)]
        if swap.stand_in_g is not None:
            amount = f"{float(f'{swap.stand_in_g:.3g}'):g} g"
            form.lines[row] = replace(line, food=swap.stand_in.id, amount=amount)
            return Done(focus=f"line-{row}-amount", new_line=new_line)
    return Done(focus="swaps", new_line=new_line, swaps_for=row, swaps=swaps)


def swaps_of(line: LineForm, system: str, pantry: Pantry) -> tuple[Swap, ...]:
    """Everything that the tables know to stand in for a line, each stand-in once."""
    try:
        food = pantry.food(line.food) if line.food in pantry else pantry.named(line.food)[0]
        amount = read_amount(line.amount, read_system(system))
        mass_g = weigh(amount, food, line.note).mass_g
    except Mistake:
        return ()  # told beside its field already
    if mass_g is None:
        return ()
    found = [
        swap
        for ask in (by_form, by_flavour, heat_safe, without_flame)
        for swap in ask(food, mass_g, pantry)
    ]
    return tuple({swap.stand_in.id: swap for swap in reversed(found)}.values())[::-1]


def with_bag_rows(form: RecipeForm) -> RecipeForm:
    """The form with one row for each bag that its lines name; old rows keep their word."""
    known = {bag.name: bag for bag in form.bags}
    names = dict.fromkeys(line.bag for line in form.lines if line.bag)
    told = [bag for bag in form.bags if bag.name not in names and asdict(bag) != _plain(bag.name)]
    form.bags = [*(known.get(name, BagForm(name=name)) for name in names), *told]
    return form


def _plain(name: str) -> dict[str, str]:
    return asdict(BagForm(name=name))
