"""What if less is carried than is needed?  The gap, and what is known of gaps.

Nobody carries 5 000 kcal a day for long.  Three knobs stand apart and are never
mixed: the need; the *coverage*, the share of it that one means to carry; the
*appetite*, the share that will be eaten on that day.
"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from fellfare.mistake import Finding, Mistake

#: Energy that body fat can give, per kg of it and day [kcal] (Alpert 2005: 290 +/- 25 kJ).
FAT_KCAL_PER_KG_DAY: Final = 69.0
#: Total gaps of a whole operation [kcal] after which power fell by 0 to 2 % and
#: by 7 to 10 % (Murphy 2018, Sports Med 48:2169).  The total counts, not the day.
SMALL_LOSS_KCAL: Final = (5_686.0, 19_109.0)
GREAT_LOSS_KCAL: Final = (39_243.0, 59_377.0)
#: Energy of body mass lost [kcal/kg]; too high for lean people (Hall 2008).
LOST_MASS_KCAL_PER_KG: Final = 7700.0


class Deficit(Struct, frozen=True, kw_only=True):
    """The planned gap of one walker."""

    #: Need less intake, each day [kcal]; below zero where more is carried.
    by_day_kcal: tuple[float, ...]
    #: Sum over all days [kcal].
    total_kcal: float
    #: Body mass that this gap stands for [kg], at 7 700 kcal/kg; 0 when there is none.
    lost_mass_kg: float
    notes: tuple[Finding, ...]


def target_kcal(need_kcal: float, *, coverage: float = 1.0, appetite: float = 1.0) -> float:
    """Energy to carry for a day [kcal] = need x coverage x appetite.

    ``coverage`` is the share of the need one means to carry, ``appetite`` what
    is eaten of the usual on that day (``Walker.appetite_on``); both 0 to 2.

    Raises
    ------
    Mistake
        ``coverage-out-of-range``, ``appetite-out-of-range``, ``need-out-of-range``.
    """
    for code, value, most, mend in (
        ("need-out-of-range", need_kcal, 20_000, "give kcal per day, 0 to 20 000"),
        ("coverage-out-of-range", coverage, 2, "give 0.8 for four fifths"),
        ("appetite-out-of-range", appetite, 2, "give 0.9 for nine tenths of the usual"),
    ):
        if not 0 <= value <= most:
            raise Mistake(code, what=f"{value:g} is outside 0 to {most:g}", mend=mend)
    return need_kcal * coverage * appetite


def planned_deficit(
    need_kcal: tuple[float, ...], intake_kcal: tuple[float, ...], *, fat_kg: float | None = None
) -> Deficit:
    """The gap between need and intake day by day, with what is known of such gaps.

    Parameters
    ----------
    need_kcal, intake_kcal
        One figure per day [kcal], as many of each.
    fat_kg
        Body fat [kg], 1 to 150; None = not known: the fat limit is then not checked.

    Raises
    ------
    Mistake
        ``days-uneven``, ``fat-out-of-range``, ``need-out-of-range``.
    """
    if len(need_kcal) != len(intake_kcal):
        raise Mistake(
            "days-uneven",
            what=f"{len(need_kcal)} needs and {len(intake_kcal)} intakes",
            mend="give one of each per day",
        )
    if fat_kg is not None and not 1 <= fat_kg <= 150:
        raise Mistake(
            "fat-out-of-range",
            what=f"body fat of {fat_kg:g} kg is outside 1 to 150 kg",
            mend="give kilograms of fat, or leave it out",
        )
    if not all(0 <= kcal <= 20_000 for kcal in (*need_kcal, *intake_kcal)):
        raise Mistake(
            "need-out-of-range",
            what="a day's need or intake is outside 0 to 20 000 kcal",
            mend="give kcal per day",
        )
    gaps = tuple(need - intake for need, intake in zip(need_kcal, intake_kcal, strict=True))
    total = sum(gaps)
    return Deficit(
        by_day_kcal=gaps,
        total_kcal=total,
        lost_mass_kg=max(total, 0.0) / LOST_MASS_KCAL_PER_KG,
        notes=(*_total_notes(total), *_fat_notes(gaps, fat_kg)),
    )


def _total_notes(total: float) -> tuple[Finding, ...]:
    source = "Murphy et al. 2018, Sports Med 48:2169"
    if total >= GREAT_LOSS_KCAL[0]:
        return (
            Finding(
                severity="caution",
                rule="great-energy-gap",
                text=f"The planned gap is {total:.0f} kcal in all. Soldiers with gaps of 39 000 to"
                " 59 000 lost 7 to 10 % of leg power and strength.",
                source=source,
            ),
        )
    if total >= SMALL_LOSS_KCAL[0]:
        return (
            Finding(
                severity="note",
                rule="energy-gap",
                text=f"The planned gap is {total:.0f} kcal in all. Gaps of 5 700 to 19 000 cost"
                " soldiers up to 2 % of leg power and strength; what lies between 19 000 and"
                " 39 000 was not told.",
                source=source,
            ),
        )
    return ()


def _fat_notes(gaps: tuple[float, ...], fat_kg: float | None) -> tuple[Finding, ...]:
    if fat_kg is None:
        return ()
    limit = FAT_KCAL_PER_KG_DAY * fat_kg
    over = [day for day, gap in enumerate(gaps, start=1) if gap > limit]
    if not over:
        return ()
    return (
        Finding(
            severity="caution",
            rule="gap-beyond-fat",
            text=f"On day {', '.join(map(str, over))} the gap is more than {fat_kg:g} kg of body"
            f" fat can give in a day ({limit:.0f} kcal); the rest comes from muscle.",
            source="Alpert 2005, J Theor Biol (290 +/- 25 kJ per kg of fat and day)",
        ),
    )
