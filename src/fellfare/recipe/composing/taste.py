"""What does it taste of, and what does it lack?

Eight words that cooks use.  Salt, sugar and fat are judged by composition, the others by
what the food is: all of it common practice, no source.  A dish is said to have a taste when
the foods that bring it make up at least a small share of it; whether it is enough is the
cook's tongue's to say.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from fellfare.mistake import Finding
from fellfare.pantry.food import Food
from fellfare.recipe.sheet import Sheet

TASTES: Final = ("sour", "salty", "sweet", "savoury", "hot", "fresh", "crisp", "rich")
BIT: Final = {name: 1 << at for at, name in enumerate(TASTES)}

#: Words of an id that bring the taste.
_WORDS: Final = {
    "sour": """lemon lime vinegar citric sumac tamarind yoghurt sour cranberry amchoor kimchi
        sauerkraut pickled gherkins capers buttermilk lemonade currants barberry tomato
        raspberry hibiscus mandarin""",
    "savoury": """tomato mushroom mushrooms shiitake porcini portobello soy tamari miso fish
        anchovies anchovy parmesan pecorino bonito dashi stock yeast kelp nori oyster
        worcestershire bacon ham cheddar gruyere jerky shrimp gochujang msg beef biltong
        nutritional""",
    "hot": """chilli chili cayenne chipotle pepper ginger mustard horseradish wasabi harissa
        gochujang sriracha jalapeno jalapenos curry berbere cajun jerk sichuan taco shichimi
        hot jalfrezi masala""",
    "fresh": """mint spearmint dill parsley coriander-leaf basil chives chervil tarragon lemon
        lime orange lemongrass curry-leaves celery spring-onion cucumber fennel marjoram
        mandarin""",
    "crisp": """croutons chips crisps crispbread cracker crackers crispy crisp-fried breadcrumbs
        almond hazelnut walnut cashew pecan pistachio macadamia peanut peanuts pine-nut
        brazil-nut nuts pumpkin-seeds sunflower-seeds sesame hemp sticks pretzels breadsticks
        papadum puffed oatcakes flatbrod granola popcorn taco-shells roasted-chickpeas
        soy-nuts toasted""",
}  # fmt: skip
#: Forms that are soft or wet whatever their name says.
_NOT_CRISP: Final = frozenset({"oil", "paste", "liquid", "powder", "canned", "fresh"})
_PEPPERS: Final = ("bell-pepper", "red-peppers")
#: In 100 g of the food: above this it salts, sweetens, enriches.
SALTY_MG: Final = 800.0
SWEET_G: Final = 25.0
RICH_G: Final = 30.0
#: A taste counts from this share of the dish's mass on.
LEAST_SHARE: Final = 0.003


def tastes_of(food: Food) -> int:
    """The tastes that this food brings, one bit each (:data:`BIT`)."""
    bits = 0
    padded = f"-{food.id}-"
    for taste, words in _WORDS.items():
        if taste == "crisp" and food.form in _NOT_CRISP:
            continue
        if taste == "hot" and any(word in food.id for word in _PEPPERS):
            continue
        if any(f"-{word}-" in padded for word in words.split()):
            bits |= BIT[taste]
    per = food.per_100g
    for taste, value, least in (
        ("salty", per.sodium_mg, SALTY_MG),
        ("sweet", per.sugars_g, SWEET_G),
        ("rich", per.fat_g, RICH_G),
    ):
        if value is not None and value >= least:
            bits |= BIT[taste]
    return bits


def names_of(bits: int) -> tuple[str, ...]:
    """The words of a set of tastes, in their usual order."""
    return tuple(name for name in TASTES if bits & BIT[name])


def taste_of_dish(amounts: Iterable[tuple[Food, float]]) -> int:
    """The tastes of a dish from (food, grams): those with a share worth tasting."""
    pairs = tuple(amounts)
    whole = sum(grams for _, grams in pairs)
    shares = dict.fromkeys(TASTES, 0.0)
    for food, grams in pairs:
        for name in names_of(tastes_of(food)):
            shares[name] += grams
    return sum(
        BIT[name] for name, grams in shares.items() if whole and grams / whole >= LEAST_SHARE
    )


_CURES: Final = {
    "sour": "a pinch of citric acid, lemon powder or sumac lifts it",
    "salty": "salt or stock powder, unless the eaters salt it themselves",
    "sweet": "a little sugar, dried onion or dried fruit rounds it",
    "savoury": "tomato powder, dried mushroom, soy or hard cheese deepens it",
    "hot": "chilli, pepper, mustard or ginger wakes it",
    "fresh": "dried mint, dill, parsley or lemon peel freshens it",
    "crisp": "nuts, seeds or crumbs on top give something to bite",
    "rich": "oil, nut butter or milk powder carries the flavour, and the energy",
}
#: Which tastes a dish of a kind is missed without.
_EXPECTED: Final = {
    "sweet": ("sweet", "rich", "crisp"),
    "savoury": ("sour", "salty", "savoury", "rich", "crisp"),
}


def lacking_tastes(bits: int, *, sweet_dish: bool = False) -> tuple[str, ...]:
    """Which tastes such a dish is missed without, and has not."""
    expected = _EXPECTED["sweet" if sweet_dish else "savoury"]
    return tuple(name for name in expected if not bits & BIT[name])


def taste_findings(bits: int, *, sweet_dish: bool = False) -> tuple[Finding, ...]:
    """One note on what the dish lacks, if anything; matter of taste, never more than a note."""
    lacking = lacking_tastes(bits, sweet_dish=sweet_dish)
    if not lacking:
        return ()
    cures = "; ".join(f"{name}: {_CURES[name]}" for name in lacking)
    return (
        Finding(
            severity="note",
            rule="taste-balance",
            text=f"by its foods nothing in it is {_listed(lacking)} ({cures}).",
            source="common practice, no source",
        ),
    )


def taste_findings_of(sheet: Sheet) -> tuple[Finding, ...]:
    """The same for a recipe's sheet; only of lunches and dinners, where it is usual to ask."""
    if not {"lunch", "dinner"} & set(sheet.recipe.meals):
        return ()
    known = [(line.food, line.mass_g) for line in sheet.lines if line.mass_g is not None]
    return taste_findings(taste_of_dish(known))


def _listed(words: tuple[str, ...]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
