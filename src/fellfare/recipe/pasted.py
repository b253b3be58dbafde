"""From pasted text to a recipe: line by line, and nothing guessed.

The text is a title, ingredient lines and method lines, with or without
headings.  Each line comes back with what was understood, or with the mistake
that says why it was refused.  Only whole names of foods count.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from typing import Final, Literal

from msgspec import Struct
from msgspec.structs import replace

from fellfare.measure.amount import Amount
from fellfare.measure.reading import read_amount, read_leading_amount
from fellfare.measure.units import System
from fellfare.mistake import Mistake
from fellfare.pantry.food import Food
from fellfare.pantry.names import fold
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Act, Line, Place, Recipe, Step
from fellfare.recipe.weighing import weigh

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
_BULLET: Final = re.compile(
    r"^\s*(?:[-*•▪·–—☐]\s+|\d{1,2}[.)]\s+|step\s+\d{1,2}\s*[:.)-]\s*)", re.I
)
_SERVES: Final = re.compile(
    r"^(?:serves|servings|portions|feeds|for|makes|yield|yields)\s*:?\s*(?:about\s+)?(\d{1,4})"
    r"(?:\s*(?:people|persons|eaters|servings|portions|walkers))?\.?$",
    re.I,
)
#: The verb that opens a clause says what is done; longer phrases first.
_ACTS: Final[tuple[tuple[str, Act], ...]] = (
    ("cold soak", "soak"), ("pour boiling water", "steep"), ("add boiling water", "steep"),
    ("cover with boiling water", "steep"), ("pour over boiling water", "steep"),
    ("bring to the boil", "boil"), ("bring to a boil", "boil"), ("leave to soak", "soak"),
    ("let soak", "soak"), ("leave to stand", "rest"), ("let stand", "rest"), ("let sit", "rest"),
    ("stir in", "mix"), ("soak", "soak"), ("rehydrate", "soak"), ("steep", "steep"),
    ("boil", "boil"), ("simmer", "simmer"), ("cook", "simmer"), ("fry", "fry"), ("sauté", "fry"),
    ("saute", "fry"), ("toast", "toast"), ("roast", "bake"), ("bake", "bake"), ("dry", "dry"),
    ("dehydrate", "dry"), ("mix", "mix"), ("combine", "mix"), ("stir", "mix"), ("shake", "mix"),
    ("whisk", "mix"), ("blend", "mix"), ("fold", "mix"), ("add", "mix"), ("rest", "rest"),
    ("wait", "rest"), ("leave", "rest"), ("let", "rest"), ("stand", "rest"), ("cover", "rest"),
    ("heat", "heat"), ("warm", "heat"), ("drain", "drain"), ("pack", "pack"), ("bag", "pack"),
    ("weigh", "pack"), ("seal", "pack"), ("serve", "serve"), ("eat", "serve"), ("top", "serve"),
    ("scatter", "serve"), ("sprinkle", "serve"), ("drizzle", "serve"), ("finish", "serve"),
    ("season", "serve"), ("enjoy", "serve"),
)  # fmt: skip
_FIRE: Final = frozenset({"boil", "simmer", "fry", "bake", "toast", "heat"})
_HOME_ACTS: Final = frozenset({"dry", "bake", "pack", "toast"})
_MINUTES: Final = re.compile(
    r"(\d+(?:[.,]\d+)?)(?:\s*(?:-|–|to)\s*(\d+(?:[.,]\d+)?))?\s*(minutes?|mins?|hours?|hrs?|h)\b",
    re.I,
)
_WATER: Final = re.compile(
    r"([\d¼½¾⅓⅔⅛/., ]+\s*"
    r"(?:ml|millilit(?:re|er)s?|dl|l|lit(?:re|er)s?|cups?|fl\.? ?oz|tbsp|pints?))"
    r"\s*(?:of\s+)?(?:(?:cold|hot|boiling|warm|just-boiled)\s+)*water",
    re.I,
)
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
    headed = any(_heading(line) in _INGREDIENTS for _, line in lines)
    reader = _Reader(pantry, system, headed=headed)
    for number, line in lines:
        reader.take(number, line)
    return reader.done()


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
    known = words in _INGREDIENTS or words in _METHOD
    return words if known or line.rstrip("*_ ").endswith(":") else None


class _Reader:
    """Walks down the text; knows which part it is in."""

    def __init__(self, pantry: Pantry, system: System, *, headed: bool) -> None:
        self.pantry, self.system = pantry, system
        self.title, self.serves = "", 1
        self.part: Literal["top", "ingredients", "method"] = "top"
        self.place: Place | None = None
        self.bag: str | None = None
        self.lines: list[Line] = []
        self.foods: list[Food] = []
        self.steps: list[Step] = []
        #: Is there a heading 'Ingredients'?  Then prose may stand above it.
        self.headed = headed
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
        if serves := _SERVES.match(_bare(line)):
            self.serves = max(1, int(serves.group(1)))
            self.note(number, line, "serves", f"serves {self.serves}")
        elif heading is not None and (self.title or heading in _INGREDIENTS or heading in _METHOD):
            self.take_heading(number, line, heading)
        elif not self.title:
            self.title = line.strip("#*_ ")
            self.note(number, line, "title", "the title")
        elif self.part == "top" and self.headed:
            self.about.append(line)
            self.note(number, line, "about", "about the dish")
        elif self.part == "method":
            self.take_step(number, line)
        else:
            self.take_ingredient(number, line)

    def take_heading(self, number: int, line: str, heading: str) -> None:
        if heading in _INGREDIENTS:
            self.part, self.bag = "ingredients", None
            self.note(number, line, "heading", "ingredients follow")
        elif heading in _METHOD:
            self.part, self.place = "method", _METHOD[heading]
            where = f" ({self.place})" if self.place else ""
            self.note(number, line, "heading", f"steps follow{where}")
        elif self.part != "method":
            self.part, self.bag = "ingredients", _bag_name(heading)
            self.note(number, line, "heading", f"what follows goes into the bag '{self.bag}'")
        else:
            self.note(number, line, "heading", "a heading among the steps; nothing taken from it")

    def take_ingredient(self, number: int, line: str) -> None:
        bare = _bare(line)
        if water := _WATER.fullmatch(bare.split(",")[0].strip()):
            self.water.append((number, line, water.group(1).strip()))
            return
        try:
            made, food, understood = read_ingredient(bare, self.pantry, self.system)
        except Mistake as mistake:
            if self.part == "top" and self.lines and not _opens_with_number(bare):
                self.part = "method"  # prose after the ingredients, without a heading
                self.take_step(number, line)
            else:
                self.refuse(number, line, mistake)
            return
        self.lines.append(replace(made, bag=self.bag))
        self.foods.append(food)
        self.note(number, line, "ingredient", understood)

    def take_step(self, number: int, line: str) -> None:
        steps: list[Step] = []
        for clause in _clauses(_bare(line)):
            try:
                steps.append(self.step(clause))
            except Mistake as mistake:
                self.refuse(number, line, mistake)
                return
        self.steps += steps
        self.note(number, line, "step", "; ".join(_said(step) for step in steps))

    def step(self, clause: str) -> Step:
        act = _act(clause)
        minutes = _minutes(clause, act)
        water = _WATER.search(clause)
        place: Place = self.place or ("home" if act in _HOME_ACTS else "camp")
        return Step(
            act=act,
            bags=self.named_in(clause),
            water=_water(water.group(1), self.system) if water else None,
            minutes=minutes,
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
        for number, text, amount in self.water:
            for place, step in enumerate(self.steps):
                if step.act in ("soak", "steep", "boil", "simmer") and step.water is None:
                    self.steps[place] = replace(step, water=amount)
                    said = f"{amount} water, not carried: it goes to step {place + 1} ({step.act})"
                    self.note(number, text, "step", said)
                    break
            else:
                mend = "say in the method what is soaked, steeped or boiled in it"
                what = "no step without water takes this water"
                self.refuse(number, text, Mistake("water-without-step", what, mend))

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


def read_ingredient(text: str, pantry: Pantry, system: System = "us") -> tuple[Line, Food, str]:
    """One ingredient line: the Line, its food, and what was understood.

    >>> # '1 3/4 cups rolled oats, toasted' → rolled-oats, '1 3/4 cups', note 'toasted'

    Raises
    ------
    Mistake
        ``amount-…`` or ``unknown-unit`` with the place in the line,
        ``unknown-food`` with suggestions, ``no-measure``, ``no-food-named``.
    """
    amount, rest = read_leading_amount(text, system)
    written = text[: len(text) - len(rest)].strip() if text.endswith(rest) else text
    phrase, note, optional = _split_note(rest)
    if not phrase:
        raise Mistake(
            "no-food-named",
            f"{text[:60]!r} names no food after the amount",
            "write amount, food, then a comma and how it is prepared",
        )
    food, taken = pantry.named(phrase)
    note = ", ".join(part for part in (taken, note) if part)
    weighed = weigh(amount, food, note)
    line = Line(food=food.id, amount=_amount_text(amount, written), note=note, optional=optional)
    mass = weighed.measure if weighed.mass_g is None else f"{weighed.mass_g:.4g} g"
    how = "" if weighed.measure == "by mass" or weighed.mass_g is None else f" by {weighed.measure}"
    extra = f", note: {note}" if note else ""
    return line, food, f"{line.amount} → {mass} of {food.id}{how}{extra}"


def _amount_text(amount: Amount, written: str) -> str:
    written = re.sub(r"\s+of$", "", written.strip().rstrip(",")).strip()
    try:
        if written and read_amount(written, amount.system) == amount:
            return unicodedata.normalize("NFC", written)
    except Mistake:
        pass
    return amount.unmeasured or written


def _split_note(rest: str) -> tuple[str, str, bool]:
    """('rolled oats', 'toasted', False) of 'rolled oats, toasted'."""
    optional = bool(re.search(r"\boptional\b", rest, re.I))
    rest = re.sub(r"\(?\boptional\b\)?", "", rest, flags=re.I).strip(" ,;")
    notes: list[str] = []

    def aside(match: re.Match[str]) -> str:
        notes.append(match.group(1).strip())
        return " "

    rest = re.sub(r"\(([^()]*)\)", aside, rest)
    head, _, tail = rest.partition(",")
    if tail.strip():
        notes.insert(0, tail.strip())
    head = re.sub(r"\s+", " ", head).strip(" .;")
    return head, ", ".join(note for note in notes if note), optional


def _bag_name(heading: str) -> str:
    words = re.sub(r"^(?:for|bag)\s+(?:the\s+)?", "", heading)
    return re.sub(r"[^\w]+", "-", words).strip("-") or "bag"


def _opens_with_number(text: str) -> bool:
    return bool(text) and (text[0].isnumeric() or text[0] in "~½")


def _clauses(text: str) -> list[str]:
    parts = re.split(r"(?<=[.!;])\s+|;\s*|,?\s+(?:and then|then)\s+", text)
    return [part.strip().rstrip(".;") for part in parts if part.strip(" .;")]


def _act(clause: str) -> Act:
    lowered = " ".join(re.sub(r"[^\w\s-]", " ", clause.casefold()).split())
    best: tuple[int, int, Act] | None = None
    for phrase, act in _ACTS:
        match = re.search(rf"\b{re.escape(phrase)}\b", lowered)
        if match and (best is None or (match.start(), -len(phrase)) < best[:2]):
            best = (match.start(), -len(phrase), act)
    if best is None:
        raise Mistake(
            "no-act",
            f"no act is recognised in {clause[:60]!r}",
            "open with what is done: soak, boil, simmer, steep, fry, toast, mix, rest, serve …",
        )
    return best[2]


def _minutes(clause: str, act: Act) -> float | None:
    """Sum of the times named; of a range the end that promises less.

    A boil counts with its shorter time (it may have to kill something), a soak
    or rest with its longer one (it may become too long).
    """
    total = 0.0
    for match in _MINUTES.finditer(clause):
        first, last = match.group(1), match.group(2) or match.group(1)
        number = float((first if act in _FIRE else last).replace(",", "."))
        total += number * (60 if match.group(3)[0] in "hH" else 1)
    return total or None


def _water(text: str, system: System) -> str:
    text = text.strip(" ,.")
    amount = read_amount(text, system)
    if amount.volume_ml is None:
        raise Mistake("water-not-measured", f"{text!r} is no volume", "write '110 ml' or '1/2 cup'")
    return text


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
