"""What holds the energy density down, line by line?  And where does the energy come from?"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from fellfare.measure.units import OUNCE_G
from fellfare.recipe.sheet import Sheet, SheetLine

#: The step of the question 'and with a little more of it?' [g].
MORE_G: Final = 10.0

#: General Atwater factors [kcal/g], as in 21 CFR 101.9(c)(1)(i)(B); used for the
#: shares only, so that they add up to one whatever each food's own factors are.
ATWATER: Final = {"protein_g": 4.0, "fat_g": 9.0, "carbohydrate_g": 4.0, "alcohol_g": 7.0}


class Pull(Struct, frozen=True):
    """How one line moves the energy density of the dish [kcal per 100 g]."""

    line: int
    food: str
    #: Density of the line's own food.
    own: float
    #: Of the dish as it is, without the line, and with MORE_G more of it.
    as_is: float
    without: float | None
    with_more: float

    @property
    def lifts(self) -> bool:
        """More of it makes the dish denser."""
        return self.with_more > self.as_is


def pulls(sheet: Sheet) -> tuple[Pull, ...]:
    """Each measured line's pull on the density, the heaviest drag first.

    The drag is what the dish would gain in density by leaving the line out.
    Lines without a known mass or energy are left out: nobody can tell.
    """
    known = [
        (number, line, mass_g, energy)
        for number, line in enumerate(sheet.lines, 1)
        if (mass_g := line.mass_g) and (energy := line.energy_kcal) is not None
    ]
    mass_all = sum(mass_g for _, _, mass_g, _ in known)
    energy_all = sum(energy for _, _, _, energy in known)
    if not mass_all:
        return ()
    as_is = 100 * energy_all / mass_all
    made = [
        Pull(
            line=number,
            food=line.food.id,
            own=100 * energy / mass_g,
            as_is=as_is,
            without=_density(energy_all - energy, mass_all - mass_g),
            with_more=100 * (energy_all + MORE_G * energy / mass_g) / (mass_all + MORE_G),
        )
        for number, line, mass_g, energy in known
    ]
    return tuple(sorted(made, key=lambda pull: as_is - (pull.without or 0.0)))


def _density(energy_kcal: float, mass_g: float) -> float | None:
    return 100 * energy_kcal / mass_g if mass_g > 1e-9 else None


class Share(Struct, frozen=True):
    """A share of the energy, 0 to 1; its two ends differ where something is unknown."""

    low: float
    #: None = a part of it has no upper end (an unmeasured line).
    high: float | None

    @property
    def known(self) -> bool:
        """Both ends are the same to a thousandth."""
        return self.high is not None and self.high - self.low < 1e-3


class Shares(Struct, frozen=True):
    """Where the energy comes from, by the general factors 4/9/4/7."""

    protein: Share
    fat: Share
    carbohydrate: Share
    alcohol: Share
    #: Foods for which one of them is unknown.
    unknown: tuple[str, ...]


def energy_shares(sheet: Sheet) -> Shares | None:
    """Where the energy comes from; None when nothing in it is known.

    A share is least when its own part is as small and all others as large as
    they can be, and most the other way round.
    """
    ends = {name: _ends(sheet, name, factor) for name, factor in ATWATER.items()}
    if not any(low for low, _ in ends.values()):
        return None
    # Hardly any table row of a dry food states alcohol; its absence is no gap worth a word.
    told = (sheet.total(name) for name in ATWATER if name != "alcohol_g")
    unknown = tuple(sorted({food for total in told for food in total.unknown}))
    return Shares(
        _share(ends, "protein_g"),
        _share(ends, "fat_g"),
        _share(ends, "carbohydrate_g"),
        _share(ends, "alcohol_g"),
        unknown,
    )


Ends = tuple[float, float | None]


def _ends(sheet: Sheet, nutrient: str, factor: float) -> Ends:
    total = sheet.total(nutrient)
    if not total.unknown:
        return factor * total.value, factor * total.value
    if nutrient == "alcohol_g" and total.value == 0:
        return 0.0, 0.0
    return factor * total.value, None if total.most is None else factor * total.most


def _share(ends: dict[str, Ends], name: str) -> Share:
    low, high = ends[name]
    others = [pair for other, pair in ends.items() if other != name]
    least_rest = sum(one for one, _ in others)
    tops = [top for _, top in others]
    most_rest = None if None in tops else sum(top for top in tops if top is not None)
    least = 0.0 if most_rest is None or not low + most_rest else low / (low + most_rest)
    if high is None:
        return Share(least, None)
    return Share(least, high / (high + least_rest) if high + least_rest else 0.0)


def energy_kcal_per_oz(line: SheetLine) -> float | None:
    """Density of one line's food as the trade compares foods."""
    per_100g = line.food.per_100g.energy_kcal
    return None if per_100g is None else per_100g * float(OUNCE_G) / 100
