"""Can this be walking at all?  The one gate before every energy model."""

from __future__ import annotations

from typing import Final

import numpy as np

from fellfare.mistake import Mistake
from fellfare.walk.figures import Figure
from fellfare.walk.legs import LEAST_ETA, MOST_ETA, STEEPEST_GRADE

#: Bounds of the possible, not of any published range (see ``energy.ranges``).
LEAST_BODY_KG: Final = 15.0
MOST_BODY_KG: Final = 300.0
MOST_LOAD_KG: Final = 150.0
#: Faster than this nobody walks for long (race walkers reach 4 m/s; people run from about 2).
FASTEST_WALK_M_S: Final = 3.0


def check_walking(
    *,
    body_kg: Figure,
    load_kg: Figure,
    speed_m_s: Figure,
    grade: Figure,
    eta: Figure = 1.0,
    rest_w: Figure = 0.0,
) -> None:
    """Refuse what no walker on foot can be; NaN is refused too.

    Parameters
    ----------
    body_kg
        Mass of the body [kg], 15 to 300.
    load_kg
        All that is carried or worn [kg], 0 to 150.
    speed_m_s
        Speed on the map [m/s], 0 to 3.
    grade
        Rise over run as a fraction, -1 to 1.
    eta
        Terrain factor, 1 to 6.
    rest_w
        Resting power of the body [W], 0 to 400.

    Raises
    ------
    Mistake
        ``body-mass-out-of-range``, ``load-out-of-range``, ``speed-not-walking``,
        ``grade-out-of-range``, ``terrain-factor-out-of-range``,
        ``resting-power-out-of-range``.
    """
    _within(body_kg, LEAST_BODY_KG, MOST_BODY_KG, "body-mass-out-of-range", "body mass", "kg",
            "give kilograms; one pound is 0.4536 kg")  # fmt: skip
    _within(load_kg, 0.0, MOST_LOAD_KG, "load-out-of-range", "load", "kg",
            "give kilograms carried, zero or more")  # fmt: skip
    _within(speed_m_s, 0.0, FASTEST_WALK_M_S, "speed-not-walking", "speed", "m/s",
            "give metres per second; 4 km/h is 1.11 m/s")  # fmt: skip
    _within(grade, -STEEPEST_GRADE, STEEPEST_GRADE, "grade-out-of-range", "grade", "rise/run",
            "give rise over run: 0.10 for ten per cent")  # fmt: skip
    _within(eta, LEAST_ETA, MOST_ETA, "terrain-factor-out-of-range", "terrain factor", "",
            "give a factor from 1 (road) to 6")  # fmt: skip
    _within(rest_w, 0.0, 400.0, "resting-power-out-of-range", "resting power", "W",
            "give watts: kcal per day times 0.0484")  # fmt: skip


def _within(
    value: Figure, least: float, most: float, code: str, name: str, unit: str, mend: str
) -> None:
    values = np.asarray(value, dtype=np.float64)
    good = (values >= least) & (values <= most)  # False for NaN
    if not good.all():
        first = float(values[~good].flat[0])
        raise Mistake(
            code,
            what=f"{name} {first:g} {unit} is outside {least:g} to {most:g} {unit}".replace(
                "  ", " "
            ).rstrip(),
            mend=mend,
        )
