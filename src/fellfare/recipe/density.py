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


class Shares(Struct, frozen=True):
    """Shares of the energy, 0 to 1, by the general factors 4/9/4/7."""

    protein: float
    fat: float
    carbohydrate: float
    alcohol: float
    #: Foods for which one of them is unknown: the shares are then of the rest.
    unknown: tuple[str, ...]


def energy_shares(sheet: Sheet) -> Shares | None:
    """Where the energy comes from; None when nothing in it is known."""
    parts = {name: sheet.total(name) for name in ATWATER}
    # Hardly any table row of a dry food states alcohol; its absence is no gap worth a word.
    told = [total for name, total in parts.items() if name != "alcohol_g"]
    unknown = {food for total in told for food in total.unknown}
    energy = {name: factor * parts[name].value for name, factor in ATWATER.items()}
    whole = sum(energy.values())
    if not whole:
        return None
    return Shares(
        energy["protein_g"] / whole,
        energy["fat_g"] / whole,
        energy["carbohydrate_g"] / whole,
        energy["alcohol_g"] / whole,
        tuple(sorted(unknown)),
    )


def energy_kcal_per_oz(line: SheetLine) -> float | None:
    """Density of one line's food as the trade compares foods."""
    per_100g = line.food.per_100g.energy_kcal
    return None if per_100g is None else per_100g * float(OUNCE_G) / 100
