"""Which diet may a publication name?  Only the two that the author claims and no food denies.

schema.org has eleven values of ``RestrictedDiet``.  We write ``VeganDiet`` and
``VegetarianDiet``: the author's tag claims them, and every food may veto.  We never write
the others.  'Gluten-free', 'low lactose', 'low salt' or 'diabetic' are read by people whom
a wrong word makes ill, and a recipe cannot show them: labels differ, spoons and boards are
shared.  'Halal', 'kosher' and 'Hindu' are not ours to say.  For the same reason a tag that
promises absence ('nut-free-as-written') is not published as a keyword.

Which foods deny what is common knowledge, from memory; that hard cheeses of protected name
are made with animal rennet is from memory too.
"""

from __future__ import annotations

from typing import Final

from fellfare.pantry.food import Allergen, Food
from fellfare.pantry.names import fold
from fellfare.recipe.sheet import Sheet

_FLESH: Final[frozenset[Allergen]] = frozenset({"fish", "crustacean", "mollusc"})
_ANIMAL: Final[frozenset[Allergen]] = _FLESH | {"milk", "egg"}
#: Words of a food's names that speak of a slaughtered animal, gelatine or rennet.
_FLESH_WORDS: Final = frozenset(
    "meat beef pork bacon ham chicken turkey duck goose lamb mutton veal venison bison rabbit "
    "sausage salami pepperoni jerky biltong pemmican chorizo liver lard tallow suet dripping "
    "grease schmaltz fish anchovy tuna salmon oyster shrimp prawn crab worcestershire dashi "
    "bonito katsuobushi gelatin gelatine jelly gummy gummies marshmallow collagen "
    "parmesan grana gruyere pecorino rennet".split()
)
_ANIMAL_WORDS: Final = _FLESH_WORDS | frozenset(
    "milk cream butter ghee cheese cheddar yoghurt yogurt whey casein lactose egg honey".split()
)
#: Words that turn such a word round: coconut milk, peanut butter, soya yoghurt.
_PLANT_WORDS: Final = frozenset(
    "coconut almond oat soy soya rice cashew hazelnut peanut nut seed sesame cocoa vegan "
    "meatless plant mushroom".split()
)


def diets(sheet: Sheet) -> tuple[str, ...]:
    """Values of schema.org's ``RestrictedDiet`` that the publication may name."""
    tags = {tag.casefold() for tag in sheet.recipe.tags}
    foods = [line.food for line in sheet.lines]
    vegan = "vegan" in tags and not any(_denies_vegan(food) for food in foods)
    vegetarian = tags & {"vegan", "vegetarian"} and not any(_has_flesh(food) for food in foods)
    return ("VeganDiet",) * vegan + ("VegetarianDiet",) * bool(vegetarian)


def keywords(sheet: Sheet) -> tuple[str, ...]:
    """The author's tags as words, without those that promise the absence of something."""
    words = (" ".join(fold_tag(tag).split()) for tag in sheet.recipe.tags)
    claimed = {"vegan": "VeganDiet", "vegetarian": "VegetarianDiet"}
    allowed = diets(sheet)
    return tuple(
        word
        for word in dict.fromkeys(words)
        if word
        and not {"free", "without", "no", "safe"} & set(word.casefold().split())
        and (word.casefold() not in claimed or claimed[word.casefold()] in allowed)
    )


def fold_tag(tag: str) -> str:
    """'cold-soak' as two words; a comma would split a keyword."""
    return tag.replace("-", " ").replace("_", " ").replace(",", " ")


def _has_flesh(food: Food) -> bool:
    allergens = food.allergens
    told = {*allergens.contains, *allergens.unknown}
    return (
        food.group in ("meat", "fish")
        or allergens.open_mix
        or bool(told & _FLESH)
        or bool({"raw-meat", "raw-fish", "dried-meat"} & set(food.hazards))
        or _speaks_of(food, _FLESH_WORDS)
    )


def _denies_vegan(food: Food) -> bool:
    allergens = food.allergens
    told = {*allergens.contains, *allergens.unknown}
    return (
        _has_flesh(food)
        or food.group in ("dairy", "egg")
        or bool(told & _ANIMAL)
        or bool({"honey", "raw-egg", "raw-milk", "animal-powder"} & set(food.hazards))
        or _speaks_of(food, _ANIMAL_WORDS)
    )


def _speaks_of(food: Food, words: frozenset[str]) -> bool:
    spoken = {*fold(food.id), *fold(food.name)}
    return bool(spoken & words) and not spoken & _PLANT_WORDS
