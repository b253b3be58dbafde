"""Resting energy by Roza and Shizgal 1984, the revised Harris-Benedict equation."""

from __future__ import annotations

from fellfare.walk.resting.body import Sex, check_body


def resting_kcal(*, sex: Sex, age_y: float, height_cm: float, mass_kg: float) -> float:
    """Resting energy [kcal/day]; refusals as :func:`~fellfare.walk.resting.body.check_body`."""
    check_body(sex=sex, age_y=age_y, height_cm=height_cm, mass_kg=mass_kg)
    return roza_shizgal_kcal(mass_kg, height_cm, age_y, male=sex == "male")


def roza_shizgal_kcal(W: float, H: float, A: float, *, male: bool) -> float:
    """Basal energy [kcal/day]; W kg, H cm, A years.

    Roza & Shizgal 1984, Am J Clin Nutr 40:168-182 [ROZA-1984]; precision 14 % (abstract).
    """
    if male:
        return 88.362 + 13.397 * W + 4.799 * H - 5.677 * A
    return 447.593 + 9.247 * W + 3.098 * H - 4.330 * A
