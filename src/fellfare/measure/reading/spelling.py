"""Which words do cooks write?  Spellings of units, numbers and their company.

Everything is lower case except where capitals carry the meaning: ``T`` is a
tablespoon and ``t`` a teaspoon, an old and common habit in US recipes.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from fellfare.measure.amount import Fill, Size
from fellfare.measure.units import UNITS, System


def _table(text: str) -> dict[str, str]:
    """'unit: spelling spelling ...', one unit a line."""
    lines = (line.split(":") for line in text.strip().splitlines())
    return {word: unit.strip() for unit, words in lines for word in words.split()}


#: One-word spellings, lower case, without the full stop.
_SPELLINGS: Final = _table("""
    mg: milligram milligrams milligramme milligrammes
    g: gm gms gram grams gramme grammes
    kg: kgs kilo kilos kilogram kilograms kilogramme kilogrammes
    oz: ozs ounce ounces
    lb: lbs pound pounds
    ml: mls millilitre millilitres milliliter milliliters cc
    cl: centilitre centilitres centiliter centiliters
    dl: decilitre decilitres deciliter deciliters
    l: lt ltr ltrs litre litres liter liters
    tsp: tsps tspn tspns teaspoon teaspoons teaspoonful teaspoonfuls teaspoonsful
    dessertspoon: dsp dsps dstspn dessertspoons dessertspoonful dessertspoonfuls
    tbsp: tbsps tbspn tbspns tbs tbl tbls tblsp tblsps tb tablespoon tablespoons tablespoonful tablespoonfuls tablespoonsful
    fl-oz: floz
    cup: c cups cupful cupfuls
    pint: pt pts pints
    quart: qt qts quarts
    gallon: gal gals gallons
    packet: pkt pkts pkg pkgs pack packs package packages
    sachet: envelope envelopes
    can: tin tins
    piece: pc pcs
    handful: handsful
    smidgen: smidge smidgeon smidgens
    sprinkle: sprinkling
""")  # fmt: skip  # noqa: E501

#: Every one-word spelling (lower case) to the name of its unit.
SPELLINGS: Final[dict[str, str]] = {
    **{unit.name: name for name, unit in UNITS.items() if name.isalpha()},
    **{unit.plural: name for name, unit in UNITS.items() if unit.plural.isalpha()},
    **_SPELLINGS,
}

#: Two-word units: first word, then the second words that complete it.
PAIRS: Final[dict[str, dict[str, str]]] = {
    "fl": dict.fromkeys(("oz", "ozs", "ounce", "ounces"), "fl-oz"),
    "fluid": dict.fromkeys(("oz", "ozs", "ounce", "ounces"), "fl-oz"),
    "dry": {
        **dict.fromkeys(("pint", "pints", "pt"), "dry pint"),
        **dict.fromkeys(("quart", "quarts", "qt"), "dry quart"),
    },
    "tea": dict.fromkeys(("bag", "bags"), "teabag"),
}

#: Case carries the meaning of these.
CASED: Final[dict[str, str]] = {"T": "tbsp", "t": "tsp"}

#: Spellings that two readers would take for two things: refused, with the way out.
DOUBTFUL: Final[dict[str, str]] = {
    "C": "a capital C may be cup or Celsius; write 'cup' or 'c'",
    "gr": "'gr' may be gram or grain; write 'g'",
    "grs": "'grs' may be gram or grain; write 'g'",
    "mcg": "no kitchen weighs micrograms; write milligrams or grams",
}

#: Foods that are counted as pieces of themselves: '2 eggs'.
FOOD_NOUNS: Final = frozenset(
    "egg eggs tortilla tortillas wrap wraps cracker crackers biscuit biscuits bagel bagels "
    "onion onions lemon lemons lime limes apple apples date dates fig figs".split()
)

#: Numbers written out, up to twelve.
NUMBER_WORDS: Final[dict[str, Fraction]] = {
    word: Fraction(number)
    for number, word in enumerate(
        "one two three four five six seven eight nine ten eleven twelve".split(), 1
    )
} | {"a": Fraction(1), "an": Fraction(1)}

#: Parts: 'half a cup', 'three quarters'.
PART_WORDS: Final[dict[str, Fraction]] = {
    word: Fraction(1, part)
    for part, words in (
        (2, "half halves"),
        (3, "third thirds"),
        (4, "quarter quarters fourth fourths"),
        (8, "eighth eighths"),
    )
    for word in words.split()
}

#: Fractions that are one character.
VULGAR: Final[dict[str, Fraction]] = {
    "½": Fraction(1, 2), "⅓": Fraction(1, 3), "⅔": Fraction(2, 3), "¼": Fraction(1, 4),
    "¾": Fraction(3, 4), "⅕": Fraction(1, 5), "⅖": Fraction(2, 5), "⅗": Fraction(3, 5),
    "⅘": Fraction(4, 5), "⅙": Fraction(1, 6), "⅚": Fraction(5, 6), "⅐": Fraction(1, 7),
    "⅛": Fraction(1, 8), "⅜": Fraction(3, 8), "⅝": Fraction(5, 8), "⅞": Fraction(7, 8),
    "⅑": Fraction(1, 9), "⅒": Fraction(1, 10),
}  # fmt: skip

FILL_WORDS: Final[dict[str, Fill]] = {
    "level": "level", "scant": "scant", "rounded": "rounded", "heaped": "heaped",
    "heaping": "heaped",
}  # fmt: skip

SIZE_WORDS: Final[dict[str, Size]] = {
    "small": "small", "sm": "small", "medium": "medium", "med": "medium", "large": "large",
    "lg": "large", "big": "large",
}  # fmt: skip

NOTE_WORDS: Final[dict[str, str]] = {"packed": "packed", "sifted": "sifted"}

#: 'firmly packed' is packed; 'lightly packed' is not, and is refused.
FIRMLY: Final = frozenset({"firmly", "tightly", "well"})

ABOUT: Final = frozenset({"about", "approx", "approximately", "around", "roughly", "ca", "~", "≈"})

#: Words that name whose measure it is: '1 metric cup', '1 imperial pint'.
WHOSE: Final[dict[str, System]] = {
    "us": "us", "american": "us", "metric": "metric", "imperial": "imperial", "imp": "imperial",
    "uk": "imperial", "british": "imperial", "australian": "australian", "aus": "australian",
    "aussie": "australian", "label": "us-label",
}  # fmt: skip

#: Amounts in words only: 'to taste', 'as needed'.
PHRASES: Final[dict[tuple[str, str], str]] = {
    ("to", "taste"): "to-taste",
    **dict.fromkeys((("as", w) for w in ("needed", "required", "desired", "wanted")), "as-needed"),
}

#: They promise an amount and give none.
VAGUE: Final = frozenset({"few", "some", "several", "little", "bit", "couple", "many", "lots"})

#: Character for character, so that a column stays a column: the spaces, hyphens,
#: slashes and signs that word processors and the web put in for ours.
PLAIN: Final[dict[int, str]] = {
    **dict.fromkeys((0x09, 0xA0, 0x1680, *range(0x2000, 0x200B), 0x202F, 0x205F, 0x3000), " "),
    **dict.fromkeys((0x2010, 0x2011, 0x2012, 0x2013, 0x2014, 0x2212), "-"),
    **dict.fromkeys((0x2044, 0x2215), "/"),
    **dict.fromkeys((0xD7, 0x2715), "x"),
}
