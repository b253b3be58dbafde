"""When do we get there?  The rules side by side, and a band for the hour of arrival."""

from __future__ import annotations

from math import exp, hypot
from typing import Final

import numpy as np
from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.walk.figures import Array, Figure
from fellfare.walk.legs import Legs
from fellfare.walk.pace import campbell, langmuir, naismith, swiss, tobler
from fellfare.walk.pace.rules import RULE_NAMES
from fellfare.walk.pace.signposts import din_33466_hours, sac_hours

#: Moving time over time under way, stops for food included (judgement; recorded
#: hikes moved 61 to 80 % of the time, signposts leave pauses out altogether).
MOVING_SHARE: Final = 0.80
_MOVING_SHARE_SD: Final = 0.05
#: Scatter of one timed quarter of a day about one's own pace, log units (judgement).
QUARTER_DAY_SD: Final = 0.12
#: How much a walker's own pace differs from the median's before anything is
#: learnt of it, log units (judgement).
UNKNOWN_PACE_SD: Final = 0.20
#: Normal deviate that leaves a tenth on either side.
Z_80: Final = 1.2816


class RuleHours(Struct, frozen=True, kw_only=True):
    """What one rule says of one walk, pauses not included."""

    rule: str
    hours: float


class Arrival(Struct, frozen=True, kw_only=True):
    """Hours under way, pauses included: nine in ten are later than ``early``."""

    moving_hours: float
    early_hours: float
    likely_hours: float
    late_hours: float


def hours_by_rule(legs: Legs) -> tuple[RuleHours, ...]:
    """Moving time of these legs by seven published rules, unloaded and on good paths.

    Five are summed leg by leg; DIN 33466 and its variant take the whole.
    """
    km, up, down = legs.length_m / 1000.0, legs.ascent_m, legs.descent_m
    by_leg = (
        (RULE_NAMES["naismith"], naismith.speed_m_s),
        ("Langmuir 1984", langmuir.speed_m_s),
        (RULE_NAMES["tobler"], tobler.speed_m_s),
        (RULE_NAMES["campbell"], campbell.speed_m_s),
        (RULE_NAMES["swiss"], swiss.speed_m_s),
    )
    summed = tuple(
        RuleHours(rule=rule, hours=float(moving_hours(legs, speed(legs.grade))[-1]))
        for rule, speed in by_leg
    )
    return (
        *summed,
        RuleHours(rule="Alpine club", hours=float(sac_hours(km, up, down))),
        RuleHours(rule="DIN 33466", hours=float(din_33466_hours(km, up, down))),
    )


def moving_hours(legs: Legs, speed_m_s: Figure) -> Array:
    """Hours on the move from the start to the end of each leg.

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
    return np.asarray(np.cumsum(legs.distance_m / speed) / 3600.0, dtype=np.float64)


def arrival_band(
    moving_hours: float, *, pace_sd: float = UNKNOWN_PACE_SD, moving_share: float = MOVING_SHARE
) -> Arrival:
    """Hours under way for a moving time, with its 80 % band.

    Parameters
    ----------
    moving_hours
        Planned time on the move [h], 0 to 48.
    pace_sd
        Doubt about the walker's own pace, log units (0 to 1): 0.20 before
        anything is known, about 0.04 after eight timed quarters of a day.
    moving_share
        Moving time over time under way, 0.3 to 1.

    Raises
    ------
    Mistake
        ``arrival-out-of-range``.
    """
    if not (0 <= moving_hours <= 48 and 0 <= pace_sd <= 1 and 0.3 <= moving_share <= 1):
        raise Mistake(
            "arrival-out-of-range",
            what=f"{moving_hours:g} h at a moving share of {moving_share:g} is no day's walk",
            mend="give at most 48 hours, a share of 0.3 to 1 and a doubt of 0 to 1",
        )
    doubt = hypot(pace_sd, QUARTER_DAY_SD / 2.0, _MOVING_SHARE_SD / MOVING_SHARE)
    likely = moving_hours / moving_share
    return Arrival(
        moving_hours=moving_hours,
        early_hours=likely * exp(-Z_80 * doubt),
        likely_hours=likely,
        late_hours=likely * exp(Z_80 * doubt),
    )
