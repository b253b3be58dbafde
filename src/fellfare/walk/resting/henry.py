"""Resting energy by Henry 2005 (the Oxford equations), by mass and height."""

from __future__ import annotations

from fellfare.mistake import Mistake
from fellfare.walk.resting.body import Sex, check_body


def resting_kcal(*, sex: Sex, age_y: float, height_cm: float, mass_kg: float) -> float:
    """Basal energy [kcal/day] from 10 years on.

    Raises
    ------
    Mistake
        ``henry-too-young`` below 10 years, and those of
        :func:`~fellfare.walk.resting.body.check_body`.
    """
    check_body(sex=sex, age_y=age_y, height_cm=height_cm, mass_kg=mass_kg)
    if age_y < 10:
        raise Mistake(
            "henry-too-young",
            what=f"no equation is held here for {age_y:g} years",
            mend="for a child under ten ask a dietitian for the need",
        )
    return henry_kcal(mass_kg, height_cm / 100.0, age_y, male=sex == "male")


def henry_kcal(W: float, h: float, A: float, *, male: bool) -> float:
    """Basal energy [kcal/day]; W kg, h **metres**, A years (10 and above).

    Henry 2005, "Basal metabolic rate studies in humans", Public Health Nutr
    8(7A):1133-1152 [HENRY-2005], mass-and-height equations by age band.  Seen in a public
    transcription from 18 years on; the bands 10 to 18 are from memory.
    Valid from 10 years on (not checked here).  A band is left on the birthday: 30.0
    is in '30 to 60'.
    """
    if male:
        if A < 18:
            return 15.6 * W + 266.0 * h + 299.0
        if A < 30:
            return 14.4 * W + 313.0 * h + 113.0
        return 11.4 * W + 541.0 * h - (137.0 if A < 60 else 256.0)
    if A < 18:
        return 9.40 * W + 249.0 * h + 462.0
    if A < 30:
        return 10.4 * W + 615.0 * h - 282.0
    if A < 60:
        return 8.18 * W + 502.0 * h - 11.6
    return 8.52 * W + 421.0 * h + 10.7
