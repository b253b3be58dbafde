"""What does a schema.org Recipe hold?  Its lines for the reader, and what is left over.

Instructions come as a string, strings, ``HowToStep``s, ``HowToSection``s, ``ItemList``s, or
any of these within each other.
"""

from __future__ import annotations

import re
from typing import Any, Final

from msgspec import Struct

from fellfare.files.jsonld.duration import read_duration
from fellfare.files.jsonld.page import Unread, types_of
from fellfare.files.jsonld.words import lines_of, one_line_of, printable, sentences, shown, text_of
from fellfare.mistake import Mistake
from fellfare.recipe.document import Place
from fellfare.recipe.pasted import MOST_LINE

#: Steps within sections within lists: more is no recipe.
MOST_DEPTH: Final = 8
#: More lines than any recipe; the reader refuses what is over.
MOST_TEXTS: Final = 1000

_PLACES: Final[dict[str, Place]] = {
    "at home": "home", "home": "home", "before the walk": "home",
    "in camp": "camp", "at camp": "camp", "camp": "camp", "on the trail": "camp", "trail": "camp",
}  # fmt: skip
_SERVING: Final = re.compile(
    r"(?:serves\s*:?\s*)?(\d{1,4})\s*"
    r"(?:serving|servings|serves|portion|portions|people|persons|person|eaters?|walkers?)?\.?",
    re.I,
)
_OF_EATERS: Final = re.compile(r"serv|portion|people|person|eater|\d\s*(?:-|–|to)\s*\d", re.I)


class Told(Struct, frozen=True):
    """One line for the reader, and where it stood."""

    text: str
    #: 'recipeIngredient[3]', 'recipeInstructions[2]'.
    where: str
    #: Where the step is done, if its section says so.
    place: Place | None = None


class Collector:
    """Takes texts out of nested values; what it cannot take, it lists once."""

    def __init__(self, by_id: dict[str, Any]) -> None:
        self.by_id = by_id
        self.lines: list[Told] = []
        self._unread: dict[str, tuple[int, str]] = {}

    @property
    def unread(self) -> list[Unread]:
        """What was not taken, each kind once, with its number."""
        return [
            Unread(what=what if count == 1 else f"{what} ({count} times)", why=why)
            for what, (count, why) in self._unread.items()
        ]

    def leave(self, what: str, why: str) -> None:
        """Not taken over."""
        what, why = printable(what)[:80] or "(no name)", printable(why)
        if what in self._unread or len(self._unread) < 100:
            count, first = self._unread.get(what, (0, why))
            self._unread[what] = (count + 1, first)

    def ingredients(self, value: object) -> None:
        """Every string of ``recipeIngredient`` is a line."""
        for number, one in enumerate(value if isinstance(value, list) else [value]):
            where = f"recipeIngredient[{number}]"
            node = self.resolved(one)
            if isinstance(node, dict):  # written by some as {"@type": …, "name": "90 g bulgur"}
                one = node.get("name", node.get("text"))
            self.text(one, where, "recipeIngredient", None)

    def text(self, value: object, where: str, kind: str, place: Place | None) -> None:
        """One string: a line, or as many as it holds."""
        told = text_of(value)
        if told is None:
            self.leave(kind, "is no text")
            return
        lines = [part for line in lines_of(told) for part in sentences(line, MOST_LINE)]
        if not lines:
            self.leave(kind, "is empty")
        if kind == "recipeIngredient" and len(lines) > 1:
            lines = [" ".join(lines)]
        for line in lines:
            if len(self.lines) < MOST_TEXTS:
                self.lines.append(Told(line, where, place))

    def instructions(self, value: object) -> None:
        """Every step of ``recipeInstructions``, in order."""
        for number, one in enumerate(value if isinstance(value, list) else [value]):
            self._step(one, f"recipeInstructions[{number}]", None, 0)

    def _step(self, value: object, where: str, place: Place | None, depth: int) -> None:
        node = self.resolved(value)
        if depth > MOST_DEPTH:
            self.leave("steps within steps", f"deeper than {MOST_DEPTH} levels")
        elif isinstance(node, list):
            for one in node:
                self._step(one, where, place, depth + 1)
        elif isinstance(node, dict):
            self._node(node, where, place, depth)
        else:
            self.text(node, where, "recipeInstructions", place)

    def _node(self, node: dict[str, Any], where: str, place: Place | None, depth: int) -> None:
        kind = next(iter(types_of(node)), "step")[:40]
        if kind == "HowToTip":
            self.leave("HowToTip", "tips are no steps; the rules make their own cautions")
            return
        inner = next((key for key in ("itemListElement", "steps", "step") if key in node), None)
        if inner is not None and "text" in node and not self._directs(node[inner]):
            inner = None  # the text says it all
        taken = {"@type", "@id", "position"}
        if inner is not None:
            name = one_line_of(node.get("name"))
            place = _PLACES.get(name.casefold().rstrip(":"), place)
            if name.casefold().rstrip(":") in _PLACES:
                taken.add("name")
            taken.add(inner)
            self._step(node[inner], where, place, depth + 1)
        elif text_of(node.get("text")) is not None:
            taken |= {"text"}
            if one_line_of(node.get("name"))[:40] in one_line_of(node["text"]):
                taken.add("name")  # says nothing more
            self.text(node["text"], where, "recipeInstructions", place)
        elif isinstance(node.get("item"), (dict, list, str)):
            taken.add("item")
            self._step(node["item"], where, place, depth + 1)
        elif text_of(node.get("name")) is not None:
            taken.add("name")
            self.text(node["name"], where, "recipeInstructions", place)
        for key in sorted(node.keys() - taken):
            parted = key == "text" and inner is not None
            why = "its parts were read instead" if parted else "no place for it in a step"
            self.leave(f"{kind}.{key[:40]}", why)

    def _directs(self, value: object) -> bool:
        """Whether a list of parts says what to do, and not only how."""
        parts = value if isinstance(value, list) else [value]
        return any("HowToDirection" in types_of(self.resolved(one)) for one in parts)

    def resolved(self, value: object) -> object:
        """The object that ``{"@id": …}`` alone refers to."""
        if isinstance(value, dict) and len(value) == 1 and isinstance(value.get("@id"), str):
            return self.by_id.get(value["@id"], value)
        return value

    def eaters(self, value: object) -> int | str | None:
        """Number of eaters of ``recipeYield``; a text that speaks of eaters, but not plainly."""
        odd: str | None = None
        said: list[str] = []
        for one in value if isinstance(value, list) else [value]:
            node = self.resolved(one)
            if isinstance(node, dict):
                unit = one_line_of(node.get("unitText"))
                node = f"{one_line_of(node.get('value'))} {unit}".strip()
            text = one_line_of(node)
            found = _SERVING.fullmatch(text)
            if found and int(found.group(1)):
                return int(found.group(1))
            said.append(text)
            if _OF_EATERS.search(text):
                odd = odd or text[:80]
        if odd is None:
            why = f"{'; '.join(said)[:80]!r} names no number of eaters: set 'serves' yourself"
            self.leave("recipeYield", why)
        return odd

    def durations(self, recipe: dict[str, Any]) -> str:
        """'Times as told: preparation 10 min, …'; '' when there are none."""
        names = {
            "prepTime": "preparation", "cookTime": "cooking", "performTime": "making",
            "totalTime": "in all",
        }  # fmt: skip
        told = []
        for key, name in names.items():
            if key not in recipe:
                continue
            try:
                told.append(f"{name} {read_duration(one_line_of(recipe[key])):.4g} min")
            except Mistake as mistake:
                self.leave(key, mistake.what)
        return f"Times as told: {', '.join(told)}." if told else ""

    def source(self, recipe: dict[str, Any]) -> str:
        """Whose recipe it is: author, credit and address, as far as they are told."""
        people = recipe.get("author")
        names = []
        for one in people if isinstance(people, list) else [people]:
            node = self.resolved(one)
            name = one_line_of(node.get("name") if isinstance(node, dict) else node)
            names += [name[:80]] * bool(name)
        if people is not None and not names:
            self.leave("author", f"{shown(people)!r} gives no name")
        credit = one_line_of(recipe.get("creditText"))[:500]
        if "creditText" in recipe and not credit:
            self.leave("creditText", "is no text")
        told = (", ".join(names[:5]), credit, _address(recipe))
        return "; ".join(dict.fromkeys(part for part in told if part))


def _address(recipe: dict[str, Any]) -> str:
    text = one_line_of(recipe.get("url"))
    return text[:200] if text.startswith(("http://", "https://")) else ""
