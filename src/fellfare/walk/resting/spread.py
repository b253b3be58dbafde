"""How far apart are the resting formulas for this body?"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from fellfare.mistake import Finding
from fellfare.walk.resting import henry, mifflin, roza_shizgal
from fellfare.walk.resting.body import Sex, check_body

#: Error of one person, one standard deviation as a share: four in five people
#: lie within 10 % of Mifflin (Frankenfield 2005, quoted), which is 8 to 9 %.
PERSON_SD_SHARE: Final = 0.09


class Resting(Struct, frozen=True, kw_only=True):
    """Resting energy of one body, with its spread."""

    #: The figure to use [kcal/day].
    kcal: float
    #: One standard deviation of the person about it [kcal/day].
    sd_kcal: float
    #: Every formula that holds for this age: name and [kcal/day].
    by_formula: tuple[tuple[str, float], ...]
    notes: tuple[Finding, ...] = ()


def resting_energy(*, sex: Sex, age_y: float, height_cm: float, mass_kg: float) -> Resting:
    """Resting energy: Mifflin-St Jeor for adults, Henry below 19 years.

    Parameters as :func:`~fellfare.walk.resting.body.check_body`, which also
    tells the refusals; under ten years ``henry-too-young``.
    """
    check_body(sex=sex, age_y=age_y, height_cm=height_cm, mass_kg=mass_kg)
    oxford = henry.resting_kcal(sex=sex, age_y=age_y, height_cm=height_cm, mass_kg=mass_kg)
    if age_y < 19:
        note = Finding(
            severity="caution",
            rule="youth-need",
            text="The need of somebody still growing differs from person to person and from"
            " month to month; these models were made on adults. Carry spare food and let"
            " appetite decide.",
            source="Henry 2005, age band 10 to 18, from memory",
        )
        return Resting(
            kcal=oxford,
            sd_kcal=1.5 * PERSON_SD_SHARE * oxford,
            by_formula=(("Henry 2005", oxford),),
            notes=(note,),
        )
    here = mifflin.resting_kcal(sex=sex, age_y=age_y, height_cm=height_cm, mass_kg=mass_kg)
    revised = roza_shizgal.resting_kcal(sex=sex, age_y=age_y, height_cm=height_cm, mass_kg=mass_kg)
    return Resting(
        kcal=here,
        sd_kcal=PERSON_SD_SHARE * here,
        by_formula=(
            ("Mifflin & St Jeor 1990", here),
            ("Roza & Shizgal 1984", revised),
            ("Henry 2005", oxford),
        ),
    )
