"""What does a day without the walk take?  Estimated energy requirement of the US academies.

For zero days only: a trail day lies above the most active class of both
editions.  Two editions, one file: the second is the check of the first.
"""

from __future__ import annotations

from typing import Final, Literal

from fellfare.mistake import Mistake
from fellfare.walk.resting.body import Sex, check_body

#: How one moves on that day; bounds of the physical activity level (total over
#: basal) in adults: 1.00, 1.53, 1.68, 1.85, 2.50 (Health Canada).
Activity = Literal["inactive", "low-active", "active", "very-active"]
ACTIVITIES: Final[tuple[Activity, ...]] = ("inactive", "low-active", "active", "very-active")

#: NASEM 2023: constant, per year, per cm, per kg.
#: Seen in public: male inactive, female active; the other six from memory.
_NASEM: Final[dict[tuple[Sex, Activity], tuple[float, float, float, float]]] = {
    ("male", "inactive"): (753.07, -10.83, 6.50, 14.10),
    ("male", "low-active"): (581.47, -10.83, 8.30, 14.94),
    ("male", "active"): (1004.82, -10.83, 6.52, 15.91),
    ("male", "very-active"): (-517.88, -10.83, 15.61, 19.11),
    ("female", "inactive"): (584.90, -7.01, 5.72, 11.71),
    ("female", "low-active"): (575.77, -7.01, 6.60, 12.14),
    ("female", "active"): (710.25, -7.01, 6.54, 12.34),
    ("female", "very-active"): (511.83, -7.01, 9.07, 12.56),
}

#: IOM 2005: activity coefficients.  The footnote under a widely copied table
#: prints the women's for both sexes; the men's column does not come out then.
_IOM_PA: Final[dict[Sex, tuple[float, float, float, float]]] = {
    "male": (1.0, 1.11, 1.25, 1.48),
    "female": (1.0, 1.12, 1.27, 1.45),
}


def required_kcal(
    *, sex: Sex, age_y: float, height_cm: float, mass_kg: float, activity: Activity = "low-active"
) -> float:
    """Energy requirement of an adult's ordinary day [kcal/day], food's own cost included.

    Raises
    ------
    Mistake
        ``eer-too-young`` below 19 years, ``unknown-activity``, and those of
        :func:`~fellfare.walk.resting.body.check_body`.

    Examples
    --------
    >>> round(required_kcal(sex="male", age_y=30, height_cm=170, mass_kg=70,
    ...     activity="inactive"), 2)
    2520.17
    """
    check_body(sex=sex, age_y=age_y, height_cm=height_cm, mass_kg=mass_kg)
    if age_y < 19:
        raise Mistake(
            "eer-too-young",
            what=f"the adult equations begin at 19 years, not {age_y:g}",
            mend="use resting energy times an activity level for youths",
        )
    if (sex, activity) not in _NASEM:
        raise Mistake(
            "unknown-activity",
            what=f"activity {activity!r} is none of the four classes",
            mend="choose " + ", ".join(ACTIVITIES),
        )
    return nasem_kcal(mass_kg, height_cm, age_y, sex, activity)


def nasem_kcal(W: float, H: float, A: float, sex: Sex, activity: Activity) -> float:
    """EER [kcal/day] of NASEM 2023, "Dietary Reference Intakes for Energy".

    doi 10.17226/26818 [NASEM-2023]; W kg, H cm, A years.  Valid from 19 years on (not
    checked here).
    """
    constant, per_year, per_cm, per_kg = _NASEM[sex, activity]
    return constant + per_year * A + per_cm * H + per_kg * W


def iom_kcal(W: float, h: float, A: float, sex: Sex, activity: Activity) -> float:
    """EER [kcal/day] of IOM 2005; W kg, h **metres**, A years.

    [IOM-2005].  Checked against the published table for 30 years: within a kilocalorie.
    """
    PA = _IOM_PA[sex][ACTIVITIES.index(activity)]
    if sex == "male":
        return 662.0 - 9.53 * A + PA * (15.91 * W + 539.6 * h)
    return 354.0 - 6.91 * A + PA * (9.36 * W + 726.0 * h)
