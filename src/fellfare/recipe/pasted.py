"""From pasted text to a recipe: line by line, and nothing guessed.

The text is a title, ingredient lines and method lines, with or without
headings.  Each line comes back with what was understood, or with the mistake
that says why it was refused.  Only whole names of foods count.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final, Literal

from msgspec import Struct
from msgspec.structs import replace

from fellfare.measure.lint import check_text
from fellfare.measure.reading import read_amount
from fellfare.measure.units import System
from fellfare.mistake import Finding, Mistake
from fellfare.pantry.food import Food
from fellfare.pantry.names import fold
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Line, Place, Recipe, Step
from fellfare.recipe.ingredient_line import read_ingredient
from fellfare.recipe.method_line import act_of, clauses, minutes_of, only_water, water_of

#: A recipe is a page or two; more than this is another kind of text.
MOST_LINES: Final = 400
MOST_LINE: Final = 500

Kind = Literal["title", "serves", "about", "heading", "ingredient", "step", "refused"]

_INGREDIENTS: Final = frozenset({"ingredients", "ingredient list", "what you need", "you need"})
_METHOD: Final[dict[str, Place | None]] = {
    "method": None, "directions": None, "instructions": None, "steps": None, "preparation": None,
    "how to make it": None, "at home": "home", "home": "home", "before the walk": "home",
    "in camp": "camp", "at camp": "camp", "camp": "camp", "on the trail": "camp", "trail": "camp",
}  # fmt: skip
#: Headings of parts that are neither: kept as text about the dish.
_ASIDE: Final = frozenset({
    "about", "description", "equipment", "note", "notes", "nutrition", "storage", "tip", "tips",
    "variation", "variations",
})  # fmt: skip
_BULLET: Final = re.compile(
    r"^\s*(?:[-*•▪·–—☐]\s+|\d{1,2}[.)]\s+|step\s+\d{1,2}\s*[:.)-]\s*)(?:\[[ xX]?\]\s*)?", re.I
)
_COUNT: Final = r"(\d{1,4}|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve)\b"
_SERVES: Final = re.compile(
    r"^(?:serves|servings|portions|feeds|for|makes|yield|yields)\s*:?\s*(?:about\s+)?"
    rf"{_COUNT}(?:\s*(?:people|persons|eaters|servings|portions|walkers|hikers))?\.?$",
    re.I,
)
#: It speaks of eaters, but not plainly; or of a yield that is no number of eaters.
_SERVES_ODDLY: Final = re.compile(rf"^(?:serves|servings|portions|feeds)\s*:?\s*{_COUNT}", re.I)
_YIELD: Final = re.compile(rf"^(?:makes|yield|yields)\s*:?\s*(?:about\s+)?{_COUNT}", re.I)
#: Done at home unless the text says otherwise.
_HOME_ACTS: Final = frozenset({"dry", "bake", "pack", "toast"})
_EVERYTHING: Final = frozenset(
    {"everything", "all", "ingredient", "bag", "mix", "rest", "content", "mixture"}
)


class ReadLine(Struct, frozen=True, kw_only=True):
    """One line of the pasted text and what became of it."""

    number: int
    text: str
    kind: Kind
    #: In plain words, for the person to confirm.
    understood: str = ""
    mistake: Mistake | None = None


class Pasted(Struct, frozen=True, kw_only=True):
    """A pasted recipe: what could be read, and every line's fate."""

    recipe: Recipe
    lines: tuple[ReadLine, ...]
    #: Units that seem to have slipped in the text itself ('1 teaspoon (15 mL)').
    findings: tuple[Finding, ...] = ()

    @property
    def refused(self) -> tuple[ReadLine, ...]:
        """The lines that were not fully understood."""
        return tuple(line for line in self.lines if line.mistake is not None)


def read_pasted(text: str, pantry: Pantry, system: System = "us") -> Pasted:
    """Read a recipe that somebody pasted or typed.

    Parameters
    ----------
    text
        Title, ingredient lines, method lines.
    pantry
        Foods that may be named.
    system
        Whose cup and spoon are meant.

    Raises
    ------
    Mistake
        ``no-text``, ``text-too-long``, ``line-too-long``: the text as a whole
        cannot be a recipe.  A single line that is not understood is no error
        here; it comes back in :attr:`Pasted.refused`.
    """
    lines = list(_lines(text))
    if not lines:
        raise Mistake("no-text", "there is nothing to read", "paste a title and ingredient lines")
    reader = _Reader(pantry, system, frozenset(_heading(line) for _, line in lines))
    for number, line in lines:
        reader.take(number, line)
    return replace(reader.done(), findings=check_text(text, system))


def _lines(text: str) -> Iterator[tuple[int, str]]:
    rows = text.splitlines()
    if len(rows) > MOST_LINES:
        raise Mistake(
            "text-too-long",
            f"{len(rows)} lines are no recipe",
            f"paste one recipe of at most {MOST_LINES} lines",
        )
    for number, row in enumerate(rows, 1):
        if len(row) > MOST_LINE:
            raise Mistake(
                "line-too-long",
                f"the line has {len(row)} characters",
                f"break it into lines of at most {MOST_LINE}",
                f"line {number}",
            )
        line = row.strip().strip("\ufeff").strip()
        if line:
            yield number, line


def _bare(line: str) -> str:
    return _BULLET.sub("", line).strip()


def _heading(line: str) -> str | None:
    """'Ingredients:' → 'ingredients'; None when it is no heading."""
    words = line.strip("#*_ ").rstrip(":").strip().casefold()
    if words in _INGREDIENTS or words in _METHOD or words in _ASIDE:
        return words
    marked = line.startswith("#") or (line.startswith("**") and line.endswith("**"))
    return words if marked or line.rstrip("*_ ").endswith(":") else None


class _Reader:
    """Walks down the text; knows which part it is in."""

    def __init__(self, pantry: Pantry, system: System, headings: frozenset[str | None]) -> None:
        self.pantry, self.system = pantry, system
        self.title, self.serves = "", 1
        #: A title was found, or its absence was told.
        self.titled = False
        self.part: Literal["top", "ingredients", "method", "aside"] = "top"
        self.place: Place | None = None
        self.bag: str | None = None
        self.lines: list[Line] = []
        self.foods: list[Food] = []
        self.steps: list[Step] = []
        #: Is there a heading 'Ingredients'?  Then prose may stand above it.
        self.headed = bool(headings & _INGREDIENTS)
        #: Is there a heading 'Method'?  Without one, prose after the ingredients opens it.
        self.method_headed = bool(headings & _METHOD.keys())
        self.about: list[str] = []
        #: Water among the ingredients: (line number, text, amount).
        self.water: list[tuple[int, str, str]] = []
        self.read: list[ReadLine] = []

    def note(self, number: int, text: str, kind: Kind, understood: str) -> None:
        self.read.append(ReadLine(number=number, text=text, kind=kind, understood=understood))

    def refuse(self, number: int, text: str, mistake: Mistake) -> None:
        self.read.append(
            ReadLine(number=number, text=text, kind="refused", mistake=mistake.at(f"line {number}"))
        )

    def take(self, number: int, line: str) -> None:
        heading = _heading(line)
        bare = _bare(line)
        if self.part != "method" and self.take_serves(number, line, bare):
            return
        if heading in _INGREDIENTS or heading in _METHOD or heading in _ASIDE:
            self.take_heading(number, line, heading)
        elif not self.titled and self.part == "top" and not self.is_ingredient(bare):
            self.title, self.titled = line.strip("#*_ ").rstrip(":").strip(), True
            self.note(number, line, "title", "the title")
        elif self.part == "aside" or (self.part == "top" and self.headed):
            self.about.append(line.lstrip("# "))
            self.note(number, line, "about", "about the dish")
        elif heading is not None:
            self.take_heading(number, line, heading)
        else:
            self.take_content(number, line, bare)

    def take_serves(self, number: int, line: str, bare: str) -> bool:
        """Whether the line speaks of the number of eaters."""
        if found := _SERVES.match(bare):
            count = (
                int(read_amount(f"{found.group(1)} pieces").value)
                if found.group(1).strip("0")
                else 0
            )
            if count:
                self.serves = count
                self.note(number, line, "serves", f"serves {count}")
                return True
        if found or _SERVES_ODDLY.match(bare):
            what, mend = f"{bare[:60]!r} is not one number of eaters", "write 'Serves 4'"
            self.refuse(number, line, Mistake("serves-not-understood", what, mend))
            return True
        if self.part == "top" and self.titled and _YIELD.match(bare):
            self.about.append(bare)
            said = "about the dish; no number of eaters ('Serves 2') is taken from it"
            self.note(number, line, "about", said)
            return True
        return False

    def is_ingredient(self, bare: str) -> bool:
        """Whether a line that could be the title is an ingredient line instead."""
        try:
            read_ingredient(bare, self.pantry, self.system)
        except Mistake:
            return False
        return True

    def take_heading(self, number: int, line: str, heading: str) -> None:
        if heading in _INGREDIENTS:
            self.part, self.bag = "ingredients", None
            self.note(number, line, "heading", "ingredients follow")
        elif heading in _METHOD:
            self.part, self.place = "method", _METHOD[heading]
            where = f" ({self.place})" if self.place else ""
            self.note(number, line, "heading", f"steps follow{where}")
        elif heading in _ASIDE:
            self.part = "aside"
            self.note(number, line, "heading", "what follows is kept as text about the dish")
        elif self.part != "method":
            self.part, self.bag = "ingredients", _bag_name(heading)
            self.note(number, line, "heading", f"what follows goes into the bag '{self.bag}'")
        else:
            self.note(number, line, "heading", "a heading among the steps; nothing taken from it")

    def take_content(self, number: int, line: str, bare: str) -> None:
        if not self.titled:
            self.titled = True
            mend = "write the name of the dish above the ingredients"
            self.refuse(number, line, Mistake("no-title", "no title stands above this line", mend))
        if self.part == "method":
            self.take_step(number, line)
        else:
            self.take_ingredient(number, line, bare)

    def take_ingredient(self, number: int, line: str, bare: str) -> None:
        if (amount := only_water(bare)) is not None:
            self.water.append((number, line, amount))
            return
        try:
            made, food, understood = read_ingredient(bare, self.pantry, self.system)
        except Mistake as mistake:
            if self.opens_method(bare):
                self.part = "method"
                self.take_step(number, line)
            else:
                self.refuse(number, line, mistake)
            return
        self.lines.append(replace(made, bag=self.bag))
        self.foods.append(food)
        self.note(number, line, "ingredient", understood)

    def opens_method(self, bare: str) -> bool:
        """Prose after the ingredients, without a heading: it opens with what is done."""
        if self.method_headed or not self.lines or _opens_with_number(bare):
            return False
        try:
            act_of(clauses(bare)[0])
        except (Mistake, IndexError):
            return False
        return True

    def take_step(self, number: int, line: str) -> None:
        steps: list[Step] = []
        for clause in clauses(_bare(line)):
            try:
                steps.append(self.step(clause))
            except Mistake as mistake:
                self.refuse(number, line, mistake)
                return
        self.steps += steps
        self.note(number, line, "step", "; ".join(_said(step) for step in steps))

    def step(self, clause: str) -> Step:
        act = act_of(clause)
        place: Place = self.place or ("home" if act in _HOME_ACTS else "camp")
        return Step(
            act=act,
            bags=self.named_in(clause),
            water=water_of(clause, self.system),
            minutes=minutes_of(clause, act),
            where=place,
            text=clause,
        )

    def named_in(self, clause: str) -> tuple[str, ...]:
        """The foods and bags of the recipe that the clause names."""
        words = fold(clause)
        bags = [line.bag for line in self.lines if line.bag]
        found = [bag for bag in dict.fromkeys(bags) if _stands_in(fold(bag), words)]
        for line, food in zip(self.lines, self.foods, strict=True):
            if line.bag in found:
                continue
            names = {fold(name) for name in (food.id, food.name.split(",")[0], *food.words)}
            if any(_stands_in(name, words) for name in names):
                found.append(food.id)
        if not found and _EVERYTHING & set(words):
            found = [*dict.fromkeys(bags), *(line.food for line in self.lines if not line.bag)]
        return tuple(dict.fromkeys(found))

    def place_water(self) -> None:
        """Water is not carried as food: it belongs to the first step that takes some."""
        for place, step in enumerate(self.steps):
            if step.act == "heat" and step.water is not None and not step.bags:
                # 'Boil 200 ml water.  Pour the boiling water over …': added once.
                taker = self.taker_of_water(place)
                if taker is not None:
                    self.steps[taker] = replace(self.steps[taker], water=step.water)
                    self.steps[place] = replace(step, water=None)
        for number, text, amount in self.water:
            place_or_none = self.taker_of_water(0)
            if place_or_none is None:
                mend = "say in the method what is soaked, steeped or boiled in it"
                what = "no step without water takes this water"
                self.refuse(number, text, Mistake("water-without-step", what, mend))
                continue
            step = self.steps[place_or_none]
            self.steps[place_or_none] = replace(step, water=amount)
            said = f"{amount} water, not carried: it goes to step {place_or_none + 1} ({step.act})"
            self.note(number, text, "step", said)

    def taker_of_water(self, first: int) -> int | None:
        """The first step from there on that takes water and has none yet."""
        for place in range(first, len(self.steps)):
            step = self.steps[place]
            if step.act in ("soak", "steep", "boil", "simmer") and step.water is None:
                return place
        return None

    def done(self) -> Pasted:
        self.place_water()
        recipe = Recipe(
            title=self.title,
            serves=self.serves,
            lines=tuple(self.lines),
            steps=tuple(self.steps),
            system=self.system,
            about=" ".join(self.about),
        )
        read = sorted(self.read, key=lambda line: line.number)
        return Pasted(recipe=recipe, lines=tuple(read))


def _bag_name(heading: str) -> str:
    words = re.sub(r"^(?:for|bag)\s+(?:the\s+)?", "", heading)
    return re.sub(r"[^\w]+", "-", words).strip("-") or "bag"


def _opens_with_number(text: str) -> bool:
    return bool(text) and (text[0].isnumeric() or text[0] in "~½")


def _stands_in(name: tuple[str, ...], words: tuple[str, ...]) -> bool:
    size = len(name)
    return bool(size) and any(
        words[start : start + size] == name for start in range(len(words) - size + 1)
    )


def _said(step: Step) -> str:
    parts: list[str] = [step.act]
    if step.bags:
        parts.append(", ".join(step.bags))
    if step.water:
        parts.append(f"{step.water} water")
    if step.minutes is not None:
        parts.append(f"{step.minutes:g} min")
    if not step.bags and step.act not in ("serve", "rest", "pack"):
        parts.append("(names no food: say which in the document)")
    return " · ".join(parts)
