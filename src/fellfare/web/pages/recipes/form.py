"""The recipe as the fields of a form, and back; whatever is typed is kept as typed.

Field names: ``title``, ``line-0-food``, ``step-2-minutes``, ``bag-1-packing``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any, Final, TypeVar, get_args

import msgspec
from msgspec import Struct
from msgspec.structs import asdict

from fellfare.measure.units import System
from fellfare.mistake import Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Act, Bag, Line, Packing, Place, Recipe, Step
from fellfare.web.fields import Faults, put, read_choice, read_number, read_whole

#: Longest text of one field; more is a slip of the hand, and would come back in full.
MOST_TEXT: Final = 4000
#: More rows than any recipe has.
MOST_ROWS: Final = 200

ACTS: Final[tuple[Act, ...]] = get_args(Act)
PLACES: Final[tuple[Place, ...]] = get_args(Place)
PACKINGS: Final[tuple[Packing, ...]] = get_args(Packing)
SYSTEMS: Final[tuple[System, ...]] = get_args(System)
MEALS: Final = ("breakfast", "lunch", "snack", "dinner", "drink", "sweet")

_ROW: Final = re.compile(r"(line|step|bag)-(\d{1,4})-(\w+)")
_WHERE: Final = re.compile(r"(line|step|bag)\[(\d+)\](?:(?:\.| > )(\w+))?")
_TOP: Final = re.compile(r"(?:^|> )(title|serves|meals|tags|system|hold_minutes|air_c)\b")


class LineForm(Struct, kw_only=True):
    """One ingredient as typed."""

    food: str = ""
    amount: str = ""
    bag: str = ""
    note: str = ""
    optional: str = ""
    swap: str = ""
    scale_exponent: str = ""
    preheated: str = ""
    home_made: str = ""


class StepForm(Struct, kw_only=True):
    """One step as typed."""

    act: str = ""
    bags: str = ""
    water: str = ""
    minutes: str = ""
    where: str = "camp"
    text: str = ""
    at_c: str = ""
    discard_water: str = ""
    water_treated: str = ""


class BagForm(Struct, kw_only=True):
    """The word of one bag as typed."""

    name: str = ""
    packing: str = "zip"
    kept: str = "ambient"
    tare_g: str = ""


class RecipeForm(Struct, kw_only=True):
    """A recipe as typed."""

    title: str = ""
    serves: str = "1"
    meals: tuple[str, ...] = ()
    tags: str = ""
    about: str = ""
    origin: str = ""
    system: str = "us"
    hold_minutes: str = ""
    air_c: str = ""
    lines: list[LineForm] = msgspec.field(default_factory=list)
    steps: list[StepForm] = msgspec.field(default_factory=list)
    bags: list[BagForm] = msgspec.field(default_factory=list)


Row = TypeVar("Row", LineForm, StepForm, BagForm)


# ---------------------------------------------------------------- recipe → fields


def form_of(recipe: Recipe) -> RecipeForm:
    """The fields that show a recipe."""
    return RecipeForm(
        title=recipe.title,
        serves=str(recipe.serves),
        meals=recipe.meals,
        tags=", ".join(recipe.tags),
        about=recipe.about,
        origin=recipe.origin,
        system=recipe.system,
        hold_minutes=_number_text(recipe.hold_minutes),
        air_c=_number_text(recipe.air_c),
        lines=[_row(LineForm, asdict(line)) for line in recipe.lines],
        steps=[_row(StepForm, asdict(step)) for step in recipe.steps],
        bags=[_row(BagForm, asdict(bag)) for bag in recipe.bags],
    )


def _row(shape: type[Row], values: Mapping[str, Any]) -> Row:
    return shape(**{key: _text(value) for key, value in values.items()})


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ", ".join(value)
    return _number_text(value) if isinstance(value, float) else str(value)


def _number_text(value: float | None) -> str:
    return "" if value is None else f"{value:.12g}"


# ---------------------------------------------------------------- posted data → fields


def form_from(data: Mapping[str, Any]) -> RecipeForm:
    """The fields as they were posted, rows in the order of their numbers."""
    rows: dict[str, dict[int, dict[str, str]]] = {"line": {}, "step": {}, "bag": {}}
    for key, value in data.items():
        found = _ROW.fullmatch(key)
        if found is not None:
            table, number, field = found.groups()
            rows[table].setdefault(int(number), {})[field] = _posted(value)
    meals = data.get("meals", ())
    return RecipeForm(
        title=_posted(data.get("title", "")),
        serves=_posted(data.get("serves", "")),
        meals=tuple(str(meal) for meal in ([meals] if isinstance(meals, str) else meals)),
        tags=_posted(data.get("tags", "")),
        about=_posted(data.get("about", "")),
        origin=_posted(data.get("origin", "")),
        system=_posted(data.get("system", "us")),
        hold_minutes=_posted(data.get("hold_minutes", "")),
        air_c=_posted(data.get("air_c", "")),
        lines=_rows(LineForm, rows["line"]),
        steps=_rows(StepForm, rows["step"]),
        bags=_rows(BagForm, rows["bag"]),
    )


def _rows(shape: type[Row], rows: Mapping[int, Mapping[str, str]]) -> list[Row]:
    known = shape.__struct_fields__
    return [
        shape(**{key: value for key, value in rows[number].items() if key in known})
        for number in sorted(rows)[:MOST_ROWS]
    ]


def _posted(value: Any) -> str:
    """One value of a form, without what no text of ours holds (control characters)."""
    text = str(value[-1] if isinstance(value, list) and value else value)[:MOST_TEXT]
    return "".join(one for one in text if one >= " " or one in "\n\t").replace("\r", "").strip()


# ---------------------------------------------------------------- fields → recipe


class Read(Struct, frozen=True):
    """What a form gives: a recipe as far as it goes, and what is wrong with which field."""

    recipe: Recipe
    faults: Faults
    #: Row of the form for each line and step of the recipe (blank rows are passed over).
    line_rows: tuple[int, ...]
    step_rows: tuple[int, ...]
    bag_rows: tuple[int, ...]

    def field_of(self, mistake: Mistake) -> str:
        """The field beside which a mistake about the recipe belongs; '' = about the whole."""
        found = _WHERE.search(mistake.where)
        if found is None:
            top = _TOP.search(mistake.where)
            if top is not None:
                return top.group(1)
            return "title" if mistake.code == "no-title" else ""
        table, number, field = found.group(1), int(found.group(2)), found.group(3)
        rows = {"line": self.line_rows, "step": self.step_rows, "bag": self.bag_rows}[table]
        if number >= len(rows):
            return ""
        shapes = {"line": LineForm, "step": StepForm, "bag": BagForm}
        if field not in shapes[table].__struct_fields__:
            usual = {"line": "amount", "step": "water", "bag": "name"}[table]
            field = "bags" if table == "step" and mistake.code == "unknown-bag" else usual
        return f"{table}-{rows[number]}-{field}"

    def add(self, mistakes: Iterable[Mistake]) -> None:
        """Put mistakes about the recipe beside their fields."""
        for mistake in mistakes:
            put(self.faults, self.field_of(mistake), mistake)


def read_form(form: RecipeForm, pantry: Pantry) -> Read:
    """The recipe that the fields hold; what cannot be read is told and left at its default."""
    faults: Faults = {}
    lines, line_rows = [], []
    for row, line in enumerate(form.lines):
        if any(asdict(line).values()):
            lines.append(_line(line, f"line-{row}", pantry, faults))
            line_rows.append(row)
    steps, step_rows = [], []
    for row, step in enumerate(form.steps):
        if step.act or step.text or step.bags or step.water or step.minutes:
            steps.append(_step(step, f"step-{row}", faults))
            step_rows.append(row)
    bags, bag_rows = [], []
    for row, bag in enumerate(form.bags):
        if bag.name and (bag.packing, bag.kept, bag.tare_g) != ("zip", "ambient", ""):
            bags.append(_bag(bag, f"bag-{row}", faults))
            bag_rows.append(row)
    serves = read_whole(form.serves, "serves", faults)
    recipe = Recipe(
        title=form.title,
        serves=1 if serves is None else serves,
        lines=tuple(lines),
        steps=tuple(steps),
        bags=tuple(bags),
        meals=tuple(meal for meal in form.meals if meal),
        tags=_words(form.tags),
        about=form.about,
        system=read_choice(form.system, SYSTEMS, "system", faults),
        hold_minutes=read_number(form.hold_minutes, "hold_minutes", faults),
        air_c=read_number(form.air_c, "air_c", faults),
        origin=form.origin,
    )
    return Read(recipe, faults, tuple(line_rows), tuple(step_rows), tuple(bag_rows))


def _line(line: LineForm, field: str, pantry: Pantry, faults: Faults) -> Line:
    food, note = line.food, line.note
    if food and food not in pantry:
        try:
            found, taken = pantry.named(food)
            food, note = found.id, note or taken
        except Mistake as mistake:
            put(faults, f"{field}-food", mistake)
    swap = []
    for word in _words(line.swap):
        try:
            swap.append(word if word in pantry else pantry.named(word)[0].id)
        except Mistake as mistake:
            put(faults, f"{field}-swap", mistake)
    return Line(
        food=food,
        amount=line.amount,
        bag=line.bag or None,
        note=note,
        optional=line.optional == "yes",
        scale_exponent=read_number(line.scale_exponent, f"{field}-scale_exponent", faults),
        swap=tuple(swap),
        preheated=_maybe(line.preheated),
        home_made=_maybe(line.home_made),
    )


def _step(step: StepForm, field: str, faults: Faults) -> Step:
    return Step(
        act=read_choice(step.act, ACTS, f"{field}-act", faults),
        bags=_words(step.bags),
        water=step.water or None,
        minutes=read_number(step.minutes, f"{field}-minutes", faults),
        where=read_choice(step.where, PLACES, f"{field}-where", faults),
        text=step.text,
        at_c=read_number(step.at_c, f"{field}-at_c", faults),
        discard_water=step.discard_water == "yes",
        water_treated=_maybe(step.water_treated),
    )


def _bag(bag: BagForm, field: str, faults: Faults) -> Bag:
    return Bag(
        name=bag.name,
        packing=read_choice(bag.packing, PACKINGS, f"{field}-packing", faults),
        kept="cold" if bag.kept == "cold" else "ambient",
        tare_g=read_number(bag.tare_g, f"{field}-tare_g", faults),
    )


def _words(text: str) -> tuple[str, ...]:
    words = (word.strip() for word in text.replace("\n", ",").split(","))
    return tuple(dict.fromkeys(word for word in words if word))


def _maybe(text: str) -> bool | None:
    return {"yes": True, "no": False}.get(text)


def read_system(text: str) -> System:
    """Whose cups and spoons; US customary when the form says nothing that is known."""
    return next((one for one in SYSTEMS if one == text), "us")
