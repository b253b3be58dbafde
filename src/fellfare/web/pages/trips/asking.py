"""How is one figure, choice or list of a trip asked for?  In the reader's own measures."""

from __future__ import annotations

from typing import Any, Final, Literal

from msgspec import Struct

from fellfare.measure.units import FOOT_M, MILE_M, OUNCE_G, POUND_G, US_GALLON_ML

#: 'pair' is two numbers, 'words' and 'numbers' lists with commas, 'answer' yes, no or not
#: told, 'money' a figure that stays exact.
Asks = Literal[
    "text", "long", "number", "whole", "money", "date", "choice", "words", "numbers", "ticks",
    "pair", "answer",
]  # fmt: skip
Options = tuple[tuple[str, str], ...]

#: What the browser may offer while one types: names that stand elsewhere.
Offers = Literal["", "people", "recipes", "times", "places"]


class Unit(Struct, frozen=True):
    """One unit of a form: its word, and what 1 of it is in the document."""

    word: str
    scale: float = 1.0
    #: What 0 of it is in the document.
    zero: float = 0.0
    #: Places behind the point that are shown.
    places: int = 6

    def of_form(self, told: float) -> float:
        """The figure of the document."""
        return round(told * self.scale + self.zero, 6)

    def of_document(self, value: float) -> float:
        """The figure of the form."""
        return round((value - self.zero) / self.scale, self.places)


class Measure(Struct, frozen=True):
    """A unit for those who think metric, and one for those who do not."""

    metric: Unit
    us: Unit

    def unit(self, us: bool) -> Unit:
        """The one of the two."""
        return self.us if us else self.metric


def _same(word: str, scale: float = 1.0) -> Measure:
    return Measure(Unit(word, scale), Unit(word, scale))


_LB: Final = float(POUND_G) / 1000.0
_FL_OZ: Final = float(US_GALLON_ML) / 128.0
DISTANCE: Final = Measure(Unit("km", 1000.0), Unit("mi", float(MILE_M), 0.0, 2))
RISE: Final = Measure(Unit("m"), Unit("ft", float(FOOT_M), 0.0, 0))
STATURE: Final = Measure(Unit("cm"), Unit("in", 2.54, 0.0, 1))
BODY: Final = Measure(Unit("kg"), Unit("lb", _LB, 0.0, 1))
GRAMS: Final = Measure(Unit("g"), Unit("oz", float(OUNCE_G), 0.0, 2))
AIR: Final = Measure(Unit("°C"), Unit("°F", 1 / 1.8, -32 / 1.8, 1))
HOLDS: Final = Measure(Unit("L", 1000.0), Unit("fl oz", _FL_OZ, 0.0, 1))
YEARS, DAYS, HOURS, CLOCK = _same("years"), _same("days"), _same("hours"), _same("h")
#: Litres of a food bag and grams of a canister are what is printed on them everywhere.
LITRES, NET_G, SODIUM_MG = _same("L"), _same("g"), _same("mg a day")
PER_BODY, PER_ENERGY = _same("g for 1 kg of body a day"), _same("g per 1 000 kcal")
PACKED: Final = Measure(Unit("kcal/g"), Unit("kcal/oz", 1 / float(OUNCE_G), 0.0, 0))
DRUNK: Final = Measure(Unit("L an hour", 1000.0), Unit("fl oz an hour", _FL_OZ, 0.0, 1))
OXYGEN: Final = _same("mL/kg/min")


class Field(Struct, frozen=True):
    """One key."""

    key: str
    label: str
    asks: Asks = "text"
    options: Options = ()
    hint: str = ""
    measure: Measure | None = None
    must: bool = False
    #: Fields of one group are folded away together; '' = in sight.
    group: str = ""
    #: What an empty field means; written in the document it may stay there.
    usual: Any = None
    offers: Offers = ""

    def asked(self, us: bool) -> str:
        """The label with its unit."""
        unit = self.unit(us)
        return self.label if unit is None else f"{self.label} [{unit.word}]"

    def unit(self, us: bool) -> Unit | None:
        """In what a figure is asked; None = a bare number, or no figure."""
        return None if self.measure is None else self.measure.unit(us)


class Part(Struct, frozen=True):
    """A table of the document, or its plain keys (''); ``many``: one row for each."""

    table: str
    title: str
    fields: tuple[Field, ...]
    many: bool = False
    #: What one row is.
    one: str = ""
    lead: str = ""
    #: Heading under which this part and the next ones stand.
    under: str = ""

    @property
    def groups(self) -> tuple[str, ...]:
        """What is folded away, in order."""
        return tuple(dict.fromkeys(one.group for one in self.fields if one.group))


def plain(words: tuple[str, ...]) -> Options:
    """Words of a document as a choice."""
    return tuple((word, word.replace("-", " ")) for word in words)
