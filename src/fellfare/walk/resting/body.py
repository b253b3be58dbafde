"""Is this a body that the resting formulas know?"""

from __future__ import annotations

from typing import Final, Literal

from fellfare.mistake import Mistake

#: The published equations exist for these two groups only and were fitted to
#: the sex recorded in their studies.  Somebody on hormones, or between the
#: two, takes the one that fits their body better, or shows both.
Sex = Literal["female", "male"]
SEXES: Final[tuple[Sex, ...]] = ("female", "male")

LEAST_AGE_Y: Final = 5.0
MOST_AGE_Y: Final = 100.0
LEAST_HEIGHT_CM: Final = 80.0
MOST_HEIGHT_CM: Final = 230.0
LEAST_MASS_KG: Final = 15.0
MOST_MASS_KG: Final = 250.0


def check_body(*, sex: Sex, age_y: float, height_cm: float, mass_kg: float) -> None:
    """Refuse what is no walker's body; NaN is refused too.

    Parameters
    ----------
    sex
        'female' or 'male', as the equations need it.
    age_y, height_cm, mass_kg
        Age in years (5 to 100), height [cm] (80 to 230), mass [kg] (15 to 250).

    Raises
    ------
    Mistake
        ``unknown-sex``, ``age-out-of-range``, ``height-out-of-range``,
        ``body-mass-out-of-range``.
    """
    mistakes = body_mistakes(sex=sex, age_y=age_y, height_cm=height_cm, mass_kg=mass_kg)
    if mistakes:
        raise mistakes[0]


def body_mistakes(
    *, sex: str, age_y: float, height_cm: float, mass_kg: float
) -> tuple[Mistake, ...]:
    """All that is wrong with these four, in this order; empty when nothing is."""
    found: list[Mistake] = []
    if sex not in SEXES:
        found.append(
            Mistake(
                "unknown-sex",
                what=f"sex {sex!r} is not known to the equations",
                mend="give 'female' or 'male': the published equations know only these two",
                where="sex",
            )
        )
    if not LEAST_AGE_Y <= age_y <= MOST_AGE_Y:
        found.append(
            Mistake(
                "age-out-of-range",
                what=f"age {age_y:g} years is outside 5 to 100",
                mend="give the age in whole years",
                where="age",
            )
        )
    if not LEAST_HEIGHT_CM <= height_cm <= MOST_HEIGHT_CM:
        found.append(
            Mistake(
                "height-out-of-range",
                what=f"height {height_cm:g} cm is outside 80 to 230 cm",
                mend="give centimetres; 1.78 m is 178, 5 ft 10 in is 178",
                where="height_cm",
            )
        )
    if not LEAST_MASS_KG <= mass_kg <= MOST_MASS_KG:
        found.append(
            Mistake(
                "body-mass-out-of-range",
                what=f"body mass {mass_kg:g} kg is outside 15 to 250 kg",
                mend="give kilograms; one pound is 0.4536 kg",
                where="mass_kg",
            )
        )
    return tuple(found)
