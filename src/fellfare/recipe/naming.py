"""Which foods of the recipe does a clause of the method name?

A food is named by any of its whole names, by the end of one ('rice' for the only
rice of the list), or by its kind ('the nuts', 'spices').  A word that could be two
foods of the list, or a food that is not in the list, is refused: a food must not
fall out of a step unseen, for a step may be the one that makes it fit to eat.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Final, NamedTuple

from fellfare.mistake import Mistake
from fellfare.pantry.food import Food, Group
from fellfare.pantry.names import PREPARATION, fold
from fellfare.pantry.pantry import Pantry
from fellfare.pantry.search import names_of
from fellfare.recipe.document import Line
from fellfare.recipe.method_line import main_clause

Words = tuple[str, ...]
Lines = Sequence[tuple[Line, Food]]

#: 'The nuts' means every nut of the list.
_KINDS: Final[dict[str, tuple[Group, ...]]] = {
    "nut": ("nut",),
    "seed": ("seed",),
    "spice": ("spice", "herb"),
    "seasoning": ("spice", "herb"),
    "herb": ("herb",),
    "vegetable": ("vegetable", "mushroom"),
    "veg": ("vegetable", "mushroom"),
    "veggy": ("vegetable", "mushroom"),
    "fruit": ("fruit",),
}
#: Heads of food names that are no whole names themselves, yet are foods to a reader.
_GENERIC: Final = frozenset(
    "noodle bean meat fish poultry berry juice stock bouillon broth syrup cracker cereal beef pork"
    " lamb turkey powder flake granule paste cube grain pulse sauce".split()
) | {word for word in _KINDS if word != "seasoning"}
#: What may be left off the end of a name: 'milk' for the only milk powder.
_FORMS: Final = frozenset(
    "powder flake cube granule cheese crumb leaf chip piece slice mix crystal puree paste".split()
)
_EVERYTHING: Final = re.compile(
    r"\b(?:everything|all (?:of )?(?:it|the ingredients|ingredients)|all together|the bags?"
    r"|the (?:dry )?mix|the mixture|the contents?|(?:the )?ingredients|the lot"
    r"|all(?! (?:but|of the|the|the way)\b))\b"
)
_ALL_BUT: Final = re.compile(
    r"\b(?:everything|all|all the ingredients) (?:except|apart from|other than|but)(?: for)?\b"
    r"(?! a little| a splash| a bit| some)"
)
_DRY: Final = re.compile(r"\b(?:all )?(?:the )?dry (?:ingredients|goods|things|stuff)\b")
_REST: Final = re.compile(
    r"\b(?:(?:the )?rest of the (?:ingredients|bags?|food)|the rest(?! of)|everything else"
    r"|(?:all )?(?:the )?(?:other|remaining) (?:ingredients?|things?))\b"
)
#: States in which a food is no part of 'the dry ingredients'.
_WET: Final = frozenset({"oil", "liquid", "paste", "fresh", "canned", "cured"})
#: Names of foods, or ends of them, that are ordinary words of a method as well.
_ORDINARY: Final = frozenset(
    fold(word)[0]
    for word in "water ice snow date season top mix stock bar bap cover rest cup pot bowl dish meal"
    " soup dinner breakfast lunch snack porridge dressing salad mash taste grit elbow gum mince"
    " crisp frank swiss wrap preserve relish ramp spiral shell stuffing squash rub bag jar piece"
    " bit half packet sachet can tin drink side top hot dry light thick thin whole heat roll slice"
    " leaf stick strip ball base block tube treat touch fine firm dark brown green white red black"
    " long short soft fresh part pack".split()
) - {"stock"}
#: Before one of these the name of a food says what a thing is for ('coffee mug').
_THINGS: Final = frozenset("bag mug cup towel pot pan jar tin bowl water spoon".split())
_MOST_WORDS: Final = 6


class _Span(NamedTuple):
    """Some words of the clause that name something."""

    start: int
    size: int
    #: 0 = bag or whole name of a line's food, 1 = kind, 2 = part of a name, 3 = a stranger.
    rank: int
    foods: tuple[str, ...]


class Naming:
    """Finds what the clauses of one method name.

    Parameters
    ----------
    pantry
        Knows what else is a food.
    """

    def __init__(self, pantry: Pantry) -> None:
        self._pantry = pantry
        self._names: frozenset[Words] | None = None

    def in_clause(
        self,
        clause: str,
        lines: Lines,
        before: frozenset[str] = frozenset(),
        refused: Sequence[str] = (),
    ) -> tuple[str, ...]:
        """Bags and food ids that the clause names, in the order of the lines.

        Parameters
        ----------
        clause
            One act of the method.
        lines
            The recipe's lines with their foods.
        before
            Ids and bags that earlier steps named, for 'the rest'.
        refused
            Ingredient lines that were refused: what they name is not told again.

        Raises
        ------
        Mistake
            ``ambiguous-food``: a word that fits several lines; ``food-not-listed``:
            a food that no line has.
        """
        clause = main_clause(clause)
        words = fold(clause)
        lowered = " ".join(clause.casefold().split())
        known = [frozenset(fold(line)) for line in refused]
        rest, dry = _REST.search(lowered), _DRY.search(lowered)
        spans = _longest([*_bags(words, lines), *_own(words, lines), *self._strangers(words)])
        found: set[str] = set()
        for span in spans:
            if span.rank < 2:
                found.update(span.foods)
        for span in spans:
            said = " ".join(words[span.start : span.start + span.size])
            if span.rank == 3 and not _within(said.split(), known):
                raise _not_listed(said, clause)
            if span.rank == 2 and len(span.foods) > 1 and not found & set(span.foods):
                raise Mistake(
                    "ambiguous-food",
                    f"{said!r} could be {' or '.join(sorted(span.foods))}",
                    "name the food as in its ingredient line",
                )
            if span.rank == 2 and len(span.foods) == 1:
                found.update(span.foods)
        named = [words[span.start : span.start + span.size] for span in spans]
        _refuse_unread(clause, named, known)
        if found and _ALL_BUT.search(lowered):
            found = {food.id for line, food in lines if not {food.id, line.bag} & found}
        elif rest:
            found |= {food.id for line, food in lines if not {food.id, line.bag} & (before | found)}
        elif dry:
            found |= {food.id for _, food in lines if food.form not in _WET}
        elif not found and _EVERYTHING.search(lowered):
            found |= {line.bag or food.id for line, food in lines}
        order = [name for line, food in lines for name in (line.bag, food.id) if name in found]
        inside = {food.id for line, food in lines if line.bag in found}
        return tuple(dict.fromkeys(name for name in order if name and name not in inside))

    def _strangers(self, words: Words) -> Iterable[_Span]:
        """Foods of the pantry, and words that can only be foods."""
        if self._names is None:
            self._names = frozenset(name for food in self._pantry for name in names_of(food))
        for start in range(len(words)):
            for size in range(min(_MOST_WORDS, len(words) - start), 0, -1):
                part = words[start : start + size]
                generic = size == 1 and part[0] in _GENERIC
                if not generic and (part not in self._names or set(part) <= _ORDINARY):
                    continue
                if words[start + size : start + size + 1] and words[start + size] in _THINGS:
                    continue
                yield _Span(start, size, 3, ())


def _bags(words: Words, lines: Lines) -> Iterable[_Span]:
    for bag in dict.fromkeys(line.bag for line, _ in lines if line.bag):
        name = fold(bag)
        for start in range(len(words) - len(name) + 1):
            if name and words[start : start + len(name)] == name:
                yield _Span(start, len(name), 0, (bag,))


def _own(words: Words, lines: Lines) -> Iterable[_Span]:
    """Foods of the lines: by a whole name, by their kind, by a part of a name."""
    names = {food.id: {fold(food.name.split(",")[0]), *names_of(food)} for _, food in lines}
    for start in range(len(words)):
        for size in range(min(_MOST_WORDS, len(words) - start), 0, -1):
            part = words[start : start + size]
            if whole := tuple(food for food, own in names.items() if part in own):
                yield _Span(start, size, 0, whole)
                continue
            if size == 1 and (groups := _KINDS.get(part[0])):
                kind = tuple(dict.fromkeys(food.id for _, food in lines if food.group in groups))
                if kind:
                    yield _Span(start, size, 1, kind)
                    continue
            if set(part) <= _ORDINARY:
                continue
            if ending := tuple(food for food, own in names.items() if _is_part(part, own)):
                yield _Span(start, size, 2, ending)


def _is_part(part: Words, names: Iterable[Words]) -> bool:
    """'rice' of 'instant rice', 'milk' of 'milk powder'; not 'peanut' of 'peanut butter'."""
    size = len(part)
    return any(
        name[-size:] == part or (name[:size] == part and set(name[size:]) <= _FORMS)
        for name in names
    )


def _longest(spans: Iterable[_Span]) -> list[_Span]:
    """Longer names first; what lies inside a longer name is not named."""
    taken: set[int] = set()
    kept = []
    for span in sorted(spans, key=lambda one: (-one.size, one.rank, one.start)):
        here = set(range(span.start, span.start + span.size))
        if not here & taken:
            taken |= here
            kept.append(span)
    return sorted(kept)


#: After these a list of foods follows, and each of them must be found.
_TAKES_FOOD: Final = re.compile(
    r"\b(?:add|stir in|mix in|tip in|fold in|throw in|crumble|sprinkle|scatter|drizzle|top)\b"
    r"(?:\s(?:in|over|on|with|both|all))*\s(?P<list>[^.;:!()]*)",
    re.I,
)
_LIST_ENDS: Final = re.compile(
    r"\b(?:to|into|in|over|on|onto|upon|with|until|till|for|from|while|so|when|once|if|as|at|off"
    r"|before|after|then|per|each|by|without)\b",
    re.I,
)
_FILLERS: Final = (
    frozenset(
        fold(
            "a an the some any more extra little bit of it them these those this that everything"
            " all rest else other remaining half quarter third both each water boiling hot cold"
            " warm just boiled treated fresh enough splash dash pinch drop handful spoon spoonful"
            " glug knob lot tbsp tsp teaspoon tablespoon cup ml g kg gram litre liter l dl oz"
            " ounce pint pot pan bowl mug bag jar packet pouch sachet content ingredient mixture"
            " mix dry wet your my our its their together gently slowly stirring lid heat serving"
            " plenty needed required desired taste topping top liquid about around approximately"
            " or so another one two three four five six clean drinking filtered tap cool up down"
            " well thing stuff and then straight gradually evenly carefully quickly generously"
            " back pack last first next now also again soaked cooked drained soaking cooking"
            " rehydrated dish meal porridge soup not too very good as minute min hour second once"
            " twice time"
        )
    )
    | PREPARATION
)


def _within(words: Sequence[str], lines: Iterable[frozenset[str]]) -> bool:
    return any(line.issuperset(words) for line in lines)


def _refuse_unread(clause: str, named: list[Words], known: Sequence[frozenset[str]]) -> None:
    """'Add rice, kryptonite and salt': a thing of the list that names nothing."""
    found = _TAKES_FOOD.search(" ".join(clause.split()))
    if found is None:
        return
    listed = _LIST_ENDS.split(found["list"], maxsplit=1)[0]
    for piece in re.split(r",|\s(?:and|or|plus)\s|&|\+", listed):
        words = fold(re.sub(r"[\d¼½¾⅓⅔⅛/.]+", " ", piece))
        if any(_holds(words, name) for name in named):
            continue
        left = [word for word in words if word not in _FILLERS and not word.endswith("ly")]
        if left and not _within(left, known):
            raise _not_listed(" ".join(left), clause)


def _holds(words: Words, name: Words) -> bool:
    size = len(name)
    return any(words[at : at + size] == name for at in range(len(words) - size + 1))


def _not_listed(said: str, clause: str) -> Mistake:
    return Mistake(
        "food-not-listed",
        f"names {said[:40]!r}: not found among the ingredient lines ({clause[:40]!r})",
        "add an ingredient line for it, or name the food as in its line",
    )
