"""Raw grain and pulses whose soaking in cold water was measured and published.

They are soaked *through* by then, for the pot: a soaked raw bean is still raw.  The pantry's own
minutes go before these.
"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from fellfare.camp.soaking.minutes import Activation
from fellfare.camp.soaking.peleg import peleg_time
from fellfare.camp.soaking.sphere import sphere_soak_minutes
from fellfare.pantry.food import Soak, Trust


class PublishedSoak(Struct, frozen=True, kw_only=True):
    """One published soak, with the activation energy of the same paper."""

    foods: tuple[str, ...]
    minutes: float
    at_c: float
    water_ml_per_g: float | None
    activation: Activation
    #: Waters between which it was measured [°C].
    measured_c: tuple[float, float]
    trust: Trust
    source: str

    def soak(self) -> Soak:
        """As a soak of the pantry."""
        return Soak(
            way="cold-soak",
            minutes=self.minutes,
            at_c=self.at_c,
            water_ml_per_g=self.water_ml_per_g,
            trust=self.trust,
            source=self.source,
        )


def _energy(usual: float, spread: float, source: str) -> Activation:
    return Activation(
        usual=usual,
        low=usual - spread,
        high=usual + spread,
        source=f"Ea {usual:g} kJ/mol: {source}",
    )


_CIMINI: Final = "Cimini, Poliziani & Moresi 2021, Chem Eng Trans 87:31 (abstract seen)"
_KWOFIE: Final = "Kwofie 2019, ACES 9:27 (abstract seen)"
_TURK: Final = "Turk J Agric For 25(5), 2001 (abstract seen)"
_TEFF: Final = "'Hydration kinetics of teff grain', CIGR J (abstract seen)"

#: Each for the whole, raw, dry food.
PUBLISHED: Final = (
    PublishedSoak(
        foods=("chickpeas-dry",),
        # 5 h at 24 °C make half of the wet mass water; in the end 1.4 g/g.
        minutes=300.0,
        at_c=24.0,
        water_ml_per_g=1.4,
        activation=_energy(36.0, 6.0, _CIMINI),
        measured_c=(12.0, 36.0),
        trust="tabulated",
        source=f"5 h at 24 °C to half water by mass: {_CIMINI}",
    ),
    PublishedSoak(
        foods=(
            "black-beans-dry",
            "borlotti-beans-dry",
            "flageolet-beans-dry",
            "great-northern-beans-dry",
            "kidney-beans-dry",
            "navy-beans-dry",
            "pink-beans-dry",
            "pinto-beans-dry",
            "white-beans-dry",
        ),
        minutes=600.0,
        at_c=25.0,
        water_ml_per_g=1.27,
        # From 10 h at 25 °C and 4 h at 45 °C: R ln(10/4) / (1/298.15 - 1/318.15) = 36.1.
        activation=_energy(36.1, 5.0, f"from the ends of {_KWOFIE}; spread by judgement"),
        measured_c=(25.0, 45.0),
        trust="tabulated",
        source=f"common beans take up 127 % in 10 h at 25 °C: {_KWOFIE}",
    ),
    PublishedSoak(
        foods=("lentils",),
        minutes=sphere_soak_minutes(2.0, 3.53e-10, 0.9),
        at_c=15.0,
        water_ml_per_g=None,
        activation=_energy(39.7, 5.0, f"{_TURK}; spread by judgement"),
        measured_c=(15.0, 40.0),
        trust="derived",
        source=f"nine tenths of the uptake of a seed of 2 mm radius (assumed), D at 15 °C: {_TURK}",
    ),
    PublishedSoak(
        foods=("teff",),
        minutes=peleg_time(0.9, 0.714, 0.043),
        at_c=20.0,
        water_ml_per_g=None,
        activation=_energy(24.6, 5.0, f"{_TEFF}; spread by judgement"),
        measured_c=(20.0, 50.0),
        trust="derived",
        source=f"nine tenths of the uptake by Peleg's k1 and k2 at 20 °C: {_TEFF}",
    ),
)


def published_soak(food_id: str) -> PublishedSoak | None:
    """The published soak of that food; None = none is known to us."""
    return next((one for one in PUBLISHED if food_id in one.foods), None)
