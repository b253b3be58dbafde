"""What is a recipe without some of its foods, and what is it called?

Such a variant is named after its recipe, 'rice-pot-without-cashew-and-walnut', so that whoever
holds the recipes can make it again from its name alone.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from typing import Final

from msgspec.structs import replace

from fellfare.mistake import Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.document import Line, Recipe
from fellfare.recipe.soaked_cold import hot_name, soaked_cold

_WITHOUT: Final = "-without-"
_AND: Final = "-and-"
_ADDED: Final = "-added-"
_WITH: Final = " with "
_SENTENCE: Final = re.compile(r"(?<=[.!?])\s+")
_CLAUSE: Final = re.compile(r"[^,;]+[,;]?")
#: What is never dropped from a method, whatever food it speaks of; two things joined neither.
_COOKS: Final = re.compile(
    r"\d|\b(water|boil|simmer|soak|steep|minute|hour|cover|lid|heat|cook|hot|core|add|at once)"
    r"|\w\s+and\s",
    re.IGNORECASE,
)
#: Shorter words say nothing of what is in a dish: 'and', 'dry'.
_LEAST_LETTERS: Final = 4


def name_without(name: str, foods: Iterable[str]) -> str:
    """Name of a recipe without these foods (pantry ids); its own where there are none."""
    told = _AND.join(foods)
    return f"{name}{_WITHOUT}{told}" if told else name


def parted_name(name: str) -> tuple[str, tuple[str, ...]]:
    """The recipe's name and the foods that are left out; the inverse of :func:`name_without`."""
    base, _, told = name.rpartition(_WITHOUT)
    foods = tuple(told.split(_AND))
    return (base, foods) if base and all(foods) else (name, ())


def recipe_of(dish: str) -> str:
    """File name of the recipe of which a dish is a way: with all, without some, or cold."""
    whole, more = _added_parts(dish)
    return whole if more else parted_name(hot_name(dish) or dish)[0]


def added_name(name: str, foods: Iterable[str]) -> str:
    """Name of what is left out of a recipe, for the plates of those who may eat it."""
    return f"{name}{_ADDED}{_AND.join(foods)}"


def _added_parts(name: str) -> tuple[str, tuple[str, ...]]:
    base, _, told = name.rpartition(_ADDED)
    foods = tuple(told.split(_AND))
    return (base, foods) if base and all(foods) else (name, ())


def addable(recipe: Recipe) -> tuple[str, ...]:
    """Foods that all could do without, or add at the table: none of their lines is cooked with.

    A line counts where its author marks it optional, or where steps in camp name its bag (or
    the food itself) for serving alone.
    """
    spare: dict[str, bool] = {}
    for line in recipe.lines:
        names = {line.food, line.bag}
        acts = {
            step.act for step in recipe.steps if step.where == "camp" and names & set(step.bags)
        }
        spare[line.food] = spare.get(line.food, True) and (line.optional or acts == {"serve"})
    return tuple(food for food, may in spare.items() if may)


def left_out(recipe: Recipe, foods: Iterable[str], pantry: Pantry) -> Recipe:
    """The recipe without these foods: no line of them, no step for them alone; its title says so.

    Raises
    ------
    Mistake
        ``unknown-food`` (not in the recipe), ``nothing-left``.
    """
    gone = tuple(dict.fromkeys(foods))
    stray = next((food for food in gone if all(food != one.food for one in recipe.lines)), None)
    if stray is not None:
        raise Mistake(
            "unknown-food",
            what=f"{stray[:60]!r} is not in {recipe.title[:60]!r}, and cannot be left out",
            mend="name foods of the recipe's own lines",
        )
    lines = tuple(line for line in recipe.lines if line.food not in gone)
    if not lines:
        raise Mistake(
            "nothing-left",
            what=f"all of {recipe.title[:60]!r} is left out",
            mend="leave at least one food in it, or take another dish",
        )
    names = {line.food for line in lines} | {line.bag for line in lines}
    kept_words = _words_of(lines, pantry)
    gone_words = _words_of([one for one in recipe.lines if one.food in gone], pantry) - kept_words
    steps = []
    for step in recipe.steps:
        kept = tuple(name for name in step.bags if name in names)
        if kept or not step.bags:
            text = text_without(step.text, gone_words, kept_words)
            same = kept == step.bags and text == step.text
            steps.append(step if same else replace(step, bags=kept, text=text))
    return replace(
        recipe,
        title=title_without(recipe.title, [pantry.food(food).name for food in gone]),
        lines=lines,
        steps=tuple(steps),
        bags=tuple(bag for bag in recipe.bags if bag.name in names),
    )


def _words_of(lines: Iterable[Line], pantry: Pantry) -> set[str]:
    """Words by which a method may call these: the food's id and name, its kind, its bag."""
    words: set[str] = set()
    for line in lines:
        food = pantry.food(line.food)
        words |= _stems(f"{food.id} {food.name.split(',')[0]} {food.group} {line.bag}")
    return words


def text_without(text: str, gone: Collection[str], kept: Collection[str]) -> str:
    """A step's words without the clauses that speak of what is left out and of nothing else.

    'Mix the couscous. The pouch stays as it came.' without the fish in its pouch is 'Mix the
    couscous.'  A clause that names other food too stays, and so does one with water, a time,
    a way of cooking or 'and' in it.

    Parameters
    ----------
    gone, kept
        Words, without the ends of plurals, of the food that is left out and of the rest.
    """
    if not _stems(text) & set(gone):
        return text
    sentences = []
    for sentence in _SENTENCE.split(text.strip()):
        clauses = [
            clause
            for clause in _CLAUSE.findall(sentence)
            if _COOKS.search(clause) or _stems(clause) & set(kept) or not _stems(clause) & set(gone)
        ]
        said = "".join(clauses).strip().rstrip(",;").strip()
        if said:
            end = sentence[-1] if sentence[-1] in ".!?" and said[-1] not in ".!?" else ""
            sentences.append(f"{said[:1].upper()}{said[1:]}{end}")
    return " ".join(sentences)


def added(recipe: Recipe, foods: Iterable[str], pantry: Pantry) -> Recipe:
    """What :func:`left_out` leaves out: only these foods, to be put on one's own plate.

    Raises
    ------
    Mistake
        ``unknown-food`` (not in the recipe).
    """
    gone = tuple(dict.fromkeys(foods))
    left_out(recipe, [food for food in gone if food not in _foods(recipe)], pantry)  # refuses
    lines = tuple(line for line in recipe.lines if line.food in gone)
    names = {line.food for line in lines} | {line.bag for line in lines}
    said = ", ".join(pantry.food(food).name.split(",")[0] for food in gone)
    steps = tuple(
        replace(step, bags=tuple(name for name in step.bags if name in names), text="")
        for step in recipe.steps
        if step.where == "camp" and set(step.bags) & names
    )
    return replace(
        recipe,
        title=f"{said[:1].upper()}{said[1:]} for one's own plate of {recipe.title}",
        lines=lines,
        steps=steps,
        bags=tuple(bag for bag in recipe.bags if bag.name in names),
        meals=(),
    )


def _foods(recipe: Recipe) -> set[str]:
    return {line.food for line in recipe.lines}


def title_without(title: str, foods: Iterable[str]) -> str:
    """A title for the rest: what it names of the foods is cut out of it and said to be missing.

    'Couscous with salmon and dill' without 'salmon, pink, pouch' is 'Couscous with dill, without
    salmon', 'Rice pot' without 'cashews, dry roasted' is 'Rice pot, without cashews'.
    """
    head, told = title, list[str]()
    for food in dict.fromkeys(foods):
        short = food.split(",")[0].strip()
        head = _cut_out(head, short)
        told.append(short)
    return f"{head}, without {', '.join(told)}" if told else head


def names_it(title: str, food: str) -> bool:
    """Whether a title names a food, by a word of four letters or more, in one or in many."""
    return bool(_stems(title) & _stems(food.split(",")[0]))


def _stems(text: str) -> set[str]:
    """Words, without the end of a plural: 'berries' and 'berry', 'cashews' and 'cashew'."""
    words = (word.strip("(),.;:'").casefold() for word in text.replace("-", " ").split())
    return {
        word.removesuffix("ies") + "y" if word.endswith("ies") else word.removesuffix("s")
        for word in words
        if len(word) >= _LEAST_LETTERS
    }


def _cut_out(title: str, food: str) -> str:
    """The title without the parts after 'with' that name the food, where it can be cut."""
    head, word, rest = title.partition(_WITH)
    if not word or names_it(head, food) or not names_it(rest, food):
        return title
    parts = [part.strip() for one in rest.split(",") for part in one.split(" and ") if part.strip()]
    kept = [part for part in parts if not names_it(part, food)]
    if not kept:
        return head
    listed = " and ".join([", ".join(kept[:-1]), kept[-1]]) if len(kept) > 1 else kept[0]
    return f"{head}{_WITH}{listed}"


def recipe_named(name: str, recipes: Mapping[str, Recipe], pantry: Pantry) -> Recipe | None:
    """The recipe of that name, or the variant that the name tells; None = there is none.

    Raises
    ------
    Mistake
        As :func:`left_out`.
    """
    if name in recipes:
        return recipes[name]
    whole, more = _added_parts(name)
    if more and whole in recipes:
        return added(recipes[whole], more, pantry)
    hot = hot_name(name)
    if hot is not None and hot in recipes:
        return soaked_cold(recipes[hot], pantry)
    base, foods = parted_name(name)
    if not foods or base not in recipes:
        return None
    return left_out(recipes[base], foods, pantry)
