"""Which diets does a dish keep, as far as its foods tell?

Only what every food allows is kept.  A food of which one does not know what is in it
(an open mix; a ready meal, soup or sauce whose makers differ) keeps no diet by itself;
there the author's own tag ('vegan', 'vegetarian') is believed, for the author has read
the label.  No tag outweighs a food that tells: meat stays meat.  What names say is common
knowledge, from memory; that hard cheeses of protected name are made with calf rennet too.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from fellfare.pantry.food import Allergen, Food
from fellfare.pantry.names import fold
from fellfare.walk.walker import Diet

_FISH: Final[frozenset[Allergen]] = frozenset({"fish", "crustacean", "mollusc"})
_FISH_WORDS: Final = frozenset(
    "fish anchovy tuna salmon cod sardine mackerel herring oyster shrimp prawn crab squid "
    "worcestershire dashi bonito katsuobushi".split()
)
_PORK_WORDS: Final = frozenset(
    "pork bacon ham lard salami pepperoni chorizo prosciutto pancetta speck sausage gelatin "
    "gelatine jelly gummy gummies marshmallow".split()
)
_BEEF_WORDS: Final = frozenset(
    "beef veal tallow suet jerky biltong pemmican bresaola pastrami salami sausage gelatin "
    "gelatine jelly gummy gummies marshmallow".split()
)
_MEAT_WORDS: Final = (
    _PORK_WORDS
    | _BEEF_WORDS
    | frozenset(
        "meat chicken turkey duck goose lamb mutton venison bison rabbit liver dripping grease "
        "schmaltz collagen".split()
    )
)
#: Slaughtered for it all the same, though neither flesh nor fat of the animal is eaten.
_RENNET_WORDS: Final = frozenset("parmesan grana gruyere pecorino rennet".split())
_ANIMAL: Final[frozenset[Allergen]] = frozenset({"milk", "egg"})
_ANIMAL_WORDS: Final = frozenset(
    "milk cream butter ghee cheese cheddar yoghurt yogurt whey casein lactose egg honey".split()
)
#: Words that turn such a word round: coconut milk, peanut butter, soya yoghurt.
_PLANT_WORDS: Final = frozenset(
    "coconut almond oat soy soya rice cashew hazelnut peanut nut seed sesame cocoa vegan "
    "vegetarian meatless plant mushroom".split()
)
#: Words that turn a word of meat or fish round.
_NO_FLESH_WORDS: Final = frozenset("vegan vegetarian meatless plant soy soya mushroom".split())
_ALCOHOL_WORDS: Final = frozenset(
    "wine beer rum brandy whisky whiskey vodka liqueur sherry mirin sake cider".split()
)
#: Groups whose contents differ from maker to maker.
_MADE: Final = ("ready", "soup", "sauce")

DIETS: Final[tuple[Diet, ...]] = (
    "vegetarian", "vegan", "pescetarian", "no-pork", "no-beef", "no-alcohol",
)  # fmt: skip
#: What an author's tag vouches for where a food is silent.
_VOUCHED: Final[dict[str, tuple[Diet, ...]]] = {
    "vegan": ("vegan", "vegetarian", "pescetarian", "no-pork", "no-beef"),
    "vegetarian": ("vegetarian", "pescetarian", "no-pork", "no-beef"),
}


def diets_kept(foods: Sequence[Food], tags: Iterable[str] = ()) -> tuple[Diet, ...]:
    """The diets that every food keeps, in the order of :data:`DIETS`.

    ``tags`` are the author's own, believed only where a food does not tell.
    """
    vouched = {diet for tag in tags for diet in _VOUCHED.get(tag.casefold(), ())}
    return tuple(
        diet
        for diet in DIETS
        if all(not _breaks(food, diet) for food in foods)
        and (diet in vouched or not any(is_untold(food) for food in foods))
    )


def against(
    foods: Iterable[Food], diets: Sequence[Diet], tags: Iterable[str] = ()
) -> dict[str, str]:
    """Food id to why somebody with these diets does not eat it: 'not vegan', by its own kind.

    'not known whether it is vegan', where only its label tells and no tag of the author does.
    """
    vouched = {diet for tag in tags for diet in _VOUCHED.get(tag.casefold(), ())}
    found: dict[str, str] = {}
    for food in foods:
        broken = [diet for diet in diets if _breaks(food, diet)]
        doubtful = [diet for diet in diets if diet not in vouched] if is_untold(food) else []
        said = [f"not {_as_kind(diet)}" for diet in broken]
        said += [
            f"not known whether it is {_as_kind(diet)}" for diet in doubtful if diet not in broken
        ]
        if said:
            found[food.id] = "; ".join(said)
    return found


def _as_kind(diet: Diet) -> str:
    """'vegan', 'free of pork': what a food is that keeps it."""
    return f"free of {diet.removeprefix('no-')}" if diet.startswith("no-") else diet


def is_untold(food: Food) -> bool:
    """Whether nobody can say what is in it without its label."""
    told = food.allergens
    return told.open_mix or (food.group in _MADE and bool(told.unknown))


def _breaks(food: Food, diet: Diet) -> bool:
    """Whether the food itself speaks against the diet."""
    if diet == "no-alcohol":
        return _speaks_of(food, _ALCOHOL_WORDS)
    meat = _meat(food)
    if diet == "no-pork":
        return _speaks_of(food, _PORK_WORDS) or (meat and not _speaks_of(food, _MEAT_WORDS))
    if diet == "no-beef":
        return _speaks_of(food, _BEEF_WORDS) or (meat and not _speaks_of(food, _MEAT_WORDS))
    if meat or _speaks_of(food, _RENNET_WORDS):
        return True
    if diet == "pescetarian":
        return False
    if _fish(food):
        return True
    if diet == "vegetarian":
        return False
    told = {*food.allergens.contains, *food.allergens.unknown}
    return bool(told & _ANIMAL) or food.group in ("dairy", "egg") or _speaks_of(food, _ANIMAL_WORDS)


def _meat(food: Food) -> bool:
    return (
        food.group == "meat"
        or bool({"raw-meat"} & set(food.hazards))
        or ("dried-meat" in food.hazards and not _fish(food))
        or _speaks_of(food, _MEAT_WORDS)
    )


def _fish(food: Food) -> bool:
    told = {*food.allergens.contains, *food.allergens.unknown}
    return food.group == "fish" or bool(told & _FISH) or _speaks_of(food, _FISH_WORDS)


def _speaks_of(food: Food, words: frozenset[str]) -> bool:
    """By a name of the food; 'coconut milk' and 'soya mince' do not speak of an animal."""
    plants = _PLANT_WORDS if words is _ANIMAL_WORDS else _NO_FLESH_WORDS
    for name in (food.id.replace("-", " "), food.name):
        found = set(fold(name))
        if found & words and not found & plants:
            return True
    return False
