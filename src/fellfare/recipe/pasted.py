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
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Line, Place, Recipe, Step
from fellfare.recipe.ingredient_line import read_ingredient
from fellfare.recipe.method_line import (
    act_of,
    brings_to_the_boil,
    clauses,
    minutes_of,
    only_water,
    sentences,
    water_of,
    water_treated_of,
)
from fellfare.recipe.naming import Naming
from fellfare.recipe.stepping import joined, poured_once, taker_of_water

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
    rf"{_COUNT}(?:\s*(?:people|persons?|eaters?|servings?|portions?|walkers?|hikers?|adults?))?\.?$",
    re.I,
)
#: It speaks of eaters, but not plainly; or of a yield that is no number of eaters.
_SERVES_ODDLY: Final = re.compile(rf"^(?:serves|servings|portions|feeds)\s*:?\s*{_COUNT}", re.I)
_YIELD: Final = re.compile(rf"^(?:makes|yield|yields)\s*:?\s*(?:about\s+)?{_COUNT}", re.I)
#: 'Ingredients (serves two)'.
_HEADED_SERVES: Final = re.compile(
    r"^(ingredients|ingredient list|what you need|you need)\s*[(,:–—-]?\s*"
    r"((?:serves|servings|for|makes|feeds)\s[^()]*?)\)?\s*:?$",
    re.I,
)
#: Water without an amount is told in the method, if at all.
_BARE_WATER: Final = re.compile(
    r"^(?:enough\s)?(?:(?:cold|hot|boiling|drinking|treated|boiled|fresh|clean)\s)*water"
    r"(?:[,:]?\s\(?(?:as (?:needed|required)|if needed|to (?:cover|cook|boil|soak|taste|mix))"
    r"\)?.*)?$",
    re.I,
)
#: Said when the text is silent.
SERVES_ASSUMED: Final = "serves 1, because the text does not say how many it serves ('Serves 2')"
#: Done at home unless the text says otherwise.
_HOME_ACTS: Final = frozenset({"dry", "bake", "pack", "toast"})


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
    #: What was taken because the text says nothing of it.
    assumed: tuple[str, ...] = ()

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
        self.pantry, self.system, self.naming = pantry, system, Naming(pantry)
        self.title, self.serves, self.serves_told = "", 1, False
        #: A title was found, or its absence was told.
        self.titled = False
        self.part: Literal["top", "ingredients", "method", "aside"] = "top"
        self.place: Place | None = None
        self.bag: str | None = None
        self.lines: list[Line] = []
        self.foods: list[Food] = []
        self.steps: list[Step] = []
        #: Ingredient lines that were refused.
        self.unread: list[str] = []
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
        inner = _HEADED_SERVES.match(line.strip("#*_ "))
        if inner and self.take_serves(number, line, inner.group(2)):
            self.take_heading(number, line, "ingredients", said=False)
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
                self.serves, self.serves_told = count, True
                self.note(number, line, "serves", f"serves {count}")
                return True
        if found or _SERVES_ODDLY.match(bare):
            self.serves_told = True
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

    def take_heading(self, number: int, line: str, heading: str, *, said: bool = True) -> None:
        if heading in _INGREDIENTS:
            self.part, self.bag = "ingredients", None
            if said:
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
        if _BARE_WATER.match(bare):
            said = "water, not carried; how much is said in the method, if anywhere"
            self.note(number, line, "step", said)
            return
        try:
            made, food, understood = read_ingredient(bare, self.pantry, self.system)
        except Mistake as mistake:
            if self.opens_method(bare):
                self.part = "method"
                self.take_step(number, line)
            else:
                self.refuse(number, line, mistake)
                self.unread.append(bare)
            return
        self.lines.append(replace(made, bag=self.bag))
        self.foods.append(food)
        self.note(number, line, "ingredient", understood)

    def opens_method(self, bare: str) -> bool:
        """Prose after the ingredients, without a heading: it opens with what is done."""
        if self.method_headed or not (self.lines or self.unread) or _opens_with_number(bare):
            return False
        try:
            act_of(clauses(bare)[0])
        except IndexError:
            return False
        except Mistake as mistake:  # 'never boil …' is prose of a method all the same
            return mistake.code != "no-act"
        return True

    def take_step(self, number: int, line: str) -> None:
        steps = list(self.steps)
        touched: dict[int, None] = {}
        for sentence in sentences(_bare(line)):
            for place, clause in enumerate(sentence):
                try:
                    step = self.step(clause, steps)
                except Mistake as mistake:
                    self.refuse(number, line, mistake)
                    return
                steps = joined(step, steps, same_sentence=place > 0)
                touched[len(steps) - 1] = None
        self.steps = steps
        said = "; ".join(_said(steps[place]) for place in touched if place < len(steps))
        self.note(number, line, "step", said)

    def step(self, clause: str, earlier: list[Step]) -> Step:
        before = frozenset(name for step in earlier for name in step.bags)
        lines = list(zip(self.lines, self.foods, strict=True))
        act = act_of(clause)
        minutes = minutes_of(clause, act)
        if act == "boil" and minutes is None and brings_to_the_boil(clause):
            act = "heat"  # it comes to the boil; how long it boils is not said
        place: Place = self.place or ("home" if act in _HOME_ACTS else "camp")
        if act == "pack" and earlier and earlier[-1].act in ("soak", "steep"):
            place = earlier[-1].where  # 'pour on, stir, seal'
        return Step(
            act=act,
            bags=self.naming.in_clause(clause, lines, before, self.unread),
            water=water_of(clause, self.system),
            water_treated=water_treated_of(clause),
            minutes=minutes,
            where=place,
            text=clause,
        )

    def place_water(self) -> None:
        """Water is not carried as food: it belongs to the first step that takes some."""
        self.steps = poured_once(self.steps)
        for number, text, amount in self.water:
            place = taker_of_water(self.steps)
            if place is None and any(one.kind == "refused" for one in self.read):
                said = f"{amount} water, not carried; its step is not read yet"
                self.note(number, text, "step", said)
                continue
            if place is None:
                mend = "say in the method what is soaked, steeped or boiled in it"
                what = "no step without water takes this water"
                self.refuse(number, text, Mistake("water-without-step", what, mend))
                continue
            step = self.steps[place]
            treated = water_treated_of(text)
            if treated is None:
                treated = step.water_treated
            self.steps[place] = replace(step, water=amount, water_treated=treated)
            said = f"{amount} water, not carried: it goes to step {place + 1} ({step.act})"
            self.note(number, text, "step", said)

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
        assumed = () if self.serves_told else (SERVES_ASSUMED,)
        return Pasted(recipe=recipe, lines=tuple(read), assumed=assumed)


def _bag_name(heading: str) -> str:
    words = re.sub(r"^(?:for|bag)\s+(?:the\s+)?", "", heading)
    return re.sub(r"[^\w]+", "-", words).strip("-") or "bag"


def _opens_with_number(text: str) -> bool:
    return bool(text) and (text[0].isnumeric() or text[0] in "~½")


def _treated(step: Step) -> str:
    return {True: "treated ", False: "untreated ", None: ""}[step.water_treated]


def _said(step: Step) -> str:
    parts: list[str] = [step.act]
    if step.bags:
        parts.append(", ".join(step.bags))
    if step.water:
        parts.append(f"{step.water} {_treated(step)}water")
    elif step.water_treated is not None:
        parts.append(f"{_treated(step)}water")
    if step.minutes is not None:
        parts.append(f"{step.minutes:g} min")
    if not step.bags and step.act not in ("serve", "rest", "pack", "heat", "mix", "drain"):
        parts.append("(names no food: what is in the pot by then)")
    return " · ".join(parts)
