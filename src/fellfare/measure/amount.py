"""How much of it?  An amount as a cook states it, exact."""

from __future__ import annotations

from fractions import Fraction
from typing import Final, Literal

from msgspec import Struct
from msgspec.structs import replace

from fellfare.measure.units import KINDS, SIZES, Kind, System

#: How high the spoon or cup is filled.  Only a level one has a known volume.
Fill = Literal["level", "scant", "rounded", "heaped"]

#: Size word of a counted thing ('1 small packet', '2 large eggs').
Size = Literal["", "small", "medium", "large"]

_TWO: Final = Fraction(2)


class Amount(Struct, frozen=True, kw_only=True):
    """So many of one unit, as written; nothing is guessed and nothing rounded.

    Made by :func:`fellfare.measure.read_amount`.  A sum ('1 cup plus 2 tbsp')
    is held in its first unit, exactly.  'To taste' is one unit without a size,
    so it has no mass and no volume: unknown, not zero.
    """

    #: The number written, or the lower end of a range.
    low: Fraction
    #: Upper end of a range ('2-3 cloves'); None when one number was written.
    high: Fraction | None = None
    #: A name of :data:`fellfare.measure.UNITS`; bare numbers count 'piece'.
    unit: str = "piece"
    #: Whose cup, spoon, ounce and pint it is.
    system: System = "us"
    fill: Fill = "level"
    size: Size = ""
    #: 'packed' or 'sifted', when that is said of the measure itself.
    note: str = ""
    #: The author wrote 'about' or '~'.
    about: bool = False
    #: What one of them holds: '1 (14 oz) can', '2 x 85 g packets'.
    each: Amount | None = None
    #: The same amount said once more: '1/2 cup (70 g)'; it may have one beside it too.
    beside: Amount | None = None

    @property
    def value(self) -> Fraction:
        """The number, or the middle of a range."""
        return self.low if self.high is None else (self.low + self.high) / _TWO

    @property
    def kind(self) -> Kind:
        """'mass', 'volume', 'count' or 'unmeasured'."""
        return KINDS[self.unit]

    @property
    def unmeasured(self) -> str | None:
        """'pinch', 'dash', 'to taste', 'as needed' ...; None for all that is measured."""
        return self.unit.replace("-", " ") if KINDS[self.unit] == "unmeasured" else None

    @property
    def mass_g(self) -> Fraction | None:
        """Its mass [g] (middle of a range), as far as the text itself says so.

        From its own unit, else from what each holds, else from the measure
        beside it ('1/2 cup (70 g)': the mass wins).  None = the text gives no
        mass; only the food's own measure can tell.
        """
        return _middle(self.mass_range_g)

    @property
    def volume_ml(self) -> Fraction | None:
        """Its volume [mL] (middle of a range), found as for :attr:`mass_g`.

        A heaped, rounded or scant measure has no known volume: None.
        """
        return _middle(self.volume_range_ml)

    @property
    def mass_range_g(self) -> tuple[Fraction, Fraction] | None:
        """Lower and upper end [g]; alike when one number was written."""
        return _range(self, "mass")

    @property
    def volume_range_ml(self) -> tuple[Fraction, Fraction] | None:
        """Lower and upper end [mL]; alike when one number was written."""
        return _range(self, "volume")

    @property
    def level_volume_ml(self) -> Fraction | None:
        """What the spoon or cup would hold if filled level [mL], whatever its fill."""
        size = SIZES[self.system].get(self.unit)
        return self.value * size if size is not None and self.kind == "volume" else None

    def times(self, factor: Fraction | int) -> Amount:
        """So many times as much; the measure beside it grows, what each holds does not.

        An unmeasured amount stays as it is: nobody scales 'to taste'.
        """
        if self.unmeasured:
            return self
        return replace(
            self,
            low=self.low * factor,
            high=None if self.high is None else self.high * factor,
            beside=None if self.beside is None else self.beside.times(factor),
        )


def _middle(ends: tuple[Fraction, Fraction] | None) -> Fraction | None:
    if ends is None:
        return None
    low, high = ends
    return low if low is high else (low + high) / _TWO


def _range(amount: Amount, kind: Kind) -> tuple[Fraction, Fraction] | None:
    low, high = amount.low, amount.low if amount.high is None else amount.high
    if KINDS[amount.unit] == kind and amount.fill == "level":
        size = SIZES[amount.system].get(amount.unit)
        if size is not None:
            bottom = low * size
            return (bottom, bottom) if high is low else (bottom, high * size)
    if amount.each is not None and (one := _range(amount.each, kind)) is not None:
        return low * one[0], high * one[1]
    return None if amount.beside is None else _range(amount.beside, kind)
