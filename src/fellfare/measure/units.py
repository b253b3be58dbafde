"""How much is a cup?  Exact constants, and whose cup it is.

Every size is an exact :class:`~fractions.Fraction` of grams or millilitres.

Sources: NIST SP 811 (2008) Appendix B and NIST HB 44 Appendix C for the US
customary and avoirdupois units; 21 CFR 101.9(b)(5)(viii) for the label units;
the UK Weights and Measures Act 1985 (gallon of 4.546 09 L) for the imperial
ones; the metric and Australian spoons and cups are their national kitchen
standards.  See [NIST-SP-811], [CFR-101.9] in ``docs/bibliography.md``.

Where no statute speaks we say so here:

* imperial spoons: none is defined by law; 5 and 15 mL (common practice, no
  source; older British spoons were larger).  The imperial cup of 10 fl oz
  (half a pint) is common practice too.
* label pint, quart and gallon: the rule names teaspoon, tablespoon, cup, fluid
  ounce and ounce only; ours are 2, 4 and 16 label cups.  The pound stays the
  avoirdupois pound, so 16 label ounces are a little less than a pound.
* metric fluid ounce, pint, quart and gallon: there are none; a text that means
  one must say whose ('US pint', 'imperial pint').  Australia's are imperial.
* dessertspoon: two teaspoons in every system (common practice, no source).
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final, Literal

from msgspec import Struct

#: Whose kitchen measures are meant by a bare 'cup' or 'tbsp'.
#: ``us`` US customary, ``us-label`` the rounded set of US nutrition labels,
#: ``metric`` 5/15/250 mL, ``imperial`` British, ``australian`` 5/20/250 mL.
System = Literal["us", "us-label", "metric", "imperial", "australian"]
SYSTEMS: Final[tuple[System, ...]] = ("us", "us-label", "metric", "imperial", "australian")

#: ``mass`` has a size in grams, ``volume`` in millilitres; a ``count`` (clove,
#: packet) weighs what that food's own table says; an ``unmeasured`` one (pinch,
#: to taste) has no size that anybody could state.
Kind = Literal["mass", "volume", "count", "unmeasured"]

#: International avoirdupois pound, exact [NIST-SP-811 B.8].
POUND_G: Final = Fraction("453.59237")
OUNCE_G: Final = POUND_G / 16
#: The ounce of US nutrition labels [CFR-101.9(b)(5)(viii)].
LABEL_OUNCE_G: Final = Fraction(28)

#: One inch is 25.4 mm exactly; a US gallon is 231 cubic inches [NIST-HB-44].
CUBIC_INCH_ML: Final = Fraction("2.54") ** 3
US_GALLON_ML: Final = 231 * CUBIC_INCH_ML
#: US bushel for dry goods, 2150.42 cubic inches [NIST-HB-44].
US_BUSHEL_ML: Final = Fraction("2150.42") * CUBIC_INCH_ML
#: Imperial gallon, exact.
UK_GALLON_ML: Final = Fraction("4546.09")

KILOCALORIE_KJ: Final = Fraction("4.184")

#: International foot and mile, exact [NIST-SP-811 B.8]; not the US survey foot, gone since 2023.
FOOT_M: Final = Fraction("0.3048")
MILE_M: Final = 5280 * FOOT_M


class Unit(Struct, frozen=True, kw_only=True):
    """One unit in which an amount may be written."""

    #: As it stands in :attr:`Amount.unit`: 'g', 'tbsp', 'fl-oz', 'clove', 'pinch'.
    name: str
    kind: Kind
    #: Grams or millilitres of one, in the order of :data:`SYSTEMS`; None where
    #: that system has no such unit; empty for counted and unmeasured ones.
    sizes: tuple[Fraction | None, ...] = ()
    #: How we write it after 1 or less, and after more than 1.
    singular: str = ""
    plural: str = ""

    def size(self, system: System) -> Fraction | None:
        """Grams or millilitres of one; None = no size, or none in that system."""
        return self.sizes[SYSTEMS.index(system)] if self.sizes else None


def _everywhere(name: str, kind: Kind, size: Fraction | int, plural: str = "") -> Unit:
    sizes = (Fraction(size),) * len(SYSTEMS)
    return Unit(name=name, kind=kind, sizes=sizes, singular=name, plural=plural or name)


def _kitchen(name: str, plural: str, *sizes: Fraction | int | None) -> Unit:
    exact = tuple(None if size is None else Fraction(size) for size in sizes)
    singular = name.replace("-", " ")
    return Unit(name=name, kind="volume", sizes=exact, singular=singular, plural=plural)


_US_FL_OZ: Final = US_GALLON_ML / 128
_UK_FL_OZ: Final = UK_GALLON_ML / 160
_US_TSP: Final = US_GALLON_ML / 768

_MEASURED: Final = (
    _everywhere("mg", "mass", Fraction(1, 1000)),
    _everywhere("g", "mass", 1),
    _everywhere("kg", "mass", 1000),
    _everywhere("lb", "mass", POUND_G),
    Unit(
        name="oz",
        kind="mass",
        sizes=(OUNCE_G, LABEL_OUNCE_G, OUNCE_G, OUNCE_G, OUNCE_G),
        singular="oz",
        plural="oz",
    ),
    _everywhere("ml", "volume", 1),
    _everywhere("cl", "volume", 10),
    _everywhere("dl", "volume", 100),
    _everywhere("l", "volume", 1000),
    #                                    us            us-label  metric  imperial       australian
    _kitchen("tsp", "tsp", _US_TSP, 5, 5, 5, 5),
    _kitchen("dessertspoon", "dessertspoons", 2 * _US_TSP, 10, 10, 10, 10),
    _kitchen("tbsp", "tbsp", _US_FL_OZ / 2, 15, 15, 15, 20),
    _kitchen("fl-oz", "fl oz", _US_FL_OZ, 30, None, _UK_FL_OZ, _UK_FL_OZ),
    _kitchen("cup", "cups", US_GALLON_ML / 16, 240, 250, 10 * _UK_FL_OZ, 250),
    _kitchen("pint", "pints", US_GALLON_ML / 8, 480, None, UK_GALLON_ML / 8, UK_GALLON_ML / 8),
    _kitchen("quart", "quarts", US_GALLON_ML / 4, 960, None, UK_GALLON_ML / 4, UK_GALLON_ML / 4),
    _kitchen("gallon", "gallons", US_GALLON_ML, 3840, None, UK_GALLON_ML, UK_GALLON_ML),
    _everywhere("dry pint", "volume", US_BUSHEL_ML / 64, "dry pints"),
    _everywhere("dry quart", "volume", US_BUSHEL_ML / 32, "dry quarts"),
    _everywhere("bushel", "volume", US_BUSHEL_ML, "bushels"),
)

#: Things that are counted.  The list is open: add a noun when cooks use it.
_COUNTED: Final = (
    "piece clove slice packet sachet stick cube sheet leaf:leaves sprig head can pouch jar bar "
    "bag box:boxes bottle carton tub tube bunch:bunches stalk rib fillet strip square tablet "
    "loaf:loaves bulb wedge nest block floret scoop serving teabag sleeve"
).split()

#: Words for an amount without a size; 'to taste' is one of them.
_UNMEASURED: Final = (
    "pinch:pinches dash:dashes smidgen handful splash:splashes drizzle glug knob dollop drop "
    "sprinkle squeeze mug to-taste:to-taste as-needed:as-needed"
).split()


def _plain(entry: str, kind: Kind) -> Unit:
    singular, _, plural = entry.partition(":")
    plural = plural or singular + "s"
    return Unit(
        name=singular,
        kind=kind,
        singular=singular.replace("to-", "to ").replace("as-", "as "),
        plural=plural.replace("to-", "to ").replace("as-", "as "),
    )


#: Every unit by its name.
UNITS: Final[dict[str, Unit]] = {
    unit.name: unit
    for unit in (
        *_MEASURED,
        *(_plain(entry, "count") for entry in _COUNTED),
        *(_plain(entry, "unmeasured") for entry in _UNMEASURED),
    )
}

#: Counted things that are packs: each holds something.
PACKS: Final = frozenset(
    "packet sachet can pouch jar bar bag box bottle carton tub tube block tablet loaf".split()
)

#: ``SIZES[system][unit]`` in grams or millilitres, for those that have a size there.
SIZES: Final[dict[str, dict[str, Fraction]]] = {
    system: {name: size for name, unit in UNITS.items() if (size := unit.size(system)) is not None}
    for system in SYSTEMS
}
KINDS: Final[dict[str, Kind]] = {name: unit.kind for name, unit in UNITS.items()}
