"""Resting energy by Mifflin and St Jeor 1990.  The house's own choice."""

from __future__ import annotations

from fellfare.walk.resting.body import Sex, check_body


def resting_kcal(*, sex: Sex, age_y: float, height_cm: float, mass_kg: float) -> float:
    """Resting energy [kcal/day]; refusals as :func:`~fellfare.walk.resting.body.check_body`.

    >>> resting_kcal(sex="male", age_y=40, height_cm=178, mass_kg=75)
    1667.5
    """
    check_body(sex=sex, age_y=age_y, height_cm=height_cm, mass_kg=mass_kg)
    return mifflin_kcal(mass_kg, height_cm, age_y, male=sex == "male")


def mifflin_kcal(W: float, H: float, A: float, *, male: bool) -> float:
    """10 W + 6.25 H - 5 A + 5 (men) or - 161 (women) [kcal/day]; kg, cm, years.

    Mifflin, St Jeor, Hill, Scott, Daugherty & Koh 1990, Am J Clin Nutr
    51:241-247 [MIFFLIN-1990].  Valid 19 to 78 years (from memory; not checked here).
    Misprints that circulate: '(5 - age)' for '5 x age', and -151 for women.
    """
    return 10.0 * W + 6.25 * H - 5.0 * A + (5.0 if male else -161.0)
