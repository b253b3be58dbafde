"""How far apart are the published models on the same walk?"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np
from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.walk.energy import (
    acsm,
    lcda_backpacking,
    lcda_graded,
    ludlow_weyand,
    minetti,
    santee,
)
from fellfare.walk.energy.ranges import Range
from fellfare.walk.figures import Array, Figure
from fellfare.walk.legs import Legs

#: Joule per kilocalorie.
J_PER_KCAL: Final = 4184.0


class Model(Struct, frozen=True, kw_only=True):
    """One published model behind the common door."""

    name: str
    power_w: Callable[..., Figure]
    published: Range


#: All that answer for every grade; the first is the one used for the need.
MODELS: Final = (
    Model(
        name="LCDA backpacking 2022",
        power_w=lcda_backpacking.walking_power_w,
        published=lcda_backpacking.RANGE,
    ),
    Model(name="LCDA graded 2019", power_w=lcda_graded.walking_power_w,
          published=lcda_graded.RANGE),
    Model(name="Pandolf 1977 with Santee 2001", power_w=santee.walking_power_w,
          published=santee.RANGE),
    Model(name="Ludlow & Weyand 2017", power_w=ludlow_weyand.walking_power_w,
          published=ludlow_weyand.RANGE),
    Model(name="Minetti 2002", power_w=minetti.walking_power_w, published=minetti.RANGE),
    Model(name="Minetti 2002, Herzog's refit", power_w=minetti.walking_power_refit_w,
          published=minetti.RANGE),
    Model(name="ACSM walking", power_w=acsm.walking_power_w, published=acsm.RANGE),
)  # fmt: skip


class ModelEnergy(Struct, frozen=True, kw_only=True):
    """What one model says of one walk."""

    model: str
    #: Gross energy while walking [kcal].
    walking_kcal: float


def energy_by_model(
    legs: Legs, *, body_kg: float, load_kg: float | Array, speed_m_s: float | Array, rest_w: float
) -> tuple[ModelEnergy, ...]:
    """Gross walking energy of these legs by every model of :data:`MODELS`.

    ``load_kg`` and ``speed_m_s`` are one number or one per leg.  Raises as
    :func:`~fellfare.walk.energy.door.check_walking`; a speed of zero is
    refused too (``speed-not-walking``), for a leg would never end.
    """
    seconds = leg_seconds(legs, speed_m_s)
    return tuple(
        ModelEnergy(
            model=model.name,
            walking_kcal=float(
                np.sum(
                    np.asarray(
                        model.power_w(
                            body_kg=body_kg,
                            load_kg=load_kg,
                            speed_m_s=speed_m_s,
                            grade=legs.grade,
                            eta=legs.eta,
                            rest_w=rest_w,
                        ),
                        dtype=np.float64,
                    )
                    * seconds
                )
            )
            / J_PER_KCAL,
        )
        for model in MODELS
    )


def leg_seconds(legs: Legs, speed_m_s: float | Array) -> Array:
    """Time on each leg [s] at one speed or one per leg.

    Raises
    ------
    Mistake
        ``speed-not-walking`` when a speed is not above zero.
    """
    speed = np.asarray(speed_m_s, dtype=np.float64)
    if not (speed > 0).all():
        raise Mistake(
            "speed-not-walking",
            what="a leg walked at no speed never ends",
            mend="give metres per second above zero",
        )
    return np.asarray(legs.distance_m / speed, dtype=np.float64)
