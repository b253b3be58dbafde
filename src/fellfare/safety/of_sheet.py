"""What do the rules say of a recipe's sheet?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fellfare.mistake import Finding
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.sheet import Sheet, SheetLine
from fellfare.safety.case import Case, Eater, case_of
from fellfare.safety.registry import check
from fellfare.safety.sorption import Isotherm


def check_sheet(
    sheet: Sheet,
    *,
    eater: Eater | None = None,
    eaters: Sequence[Eater] = (),
    pantry: Pantry | None = None,
    air_c: float | None = None,
    altitude_m: float | None = None,
    storage_days: float | None = None,
    storage_c: float | None = None,
    carried_minutes: float | None = None,
    isotherms: Mapping[str, Isotherm] | None = None,
) -> tuple[Finding, ...]:
    """Every finding of :func:`~fellfare.safety.check`, gravest first.

    Parameters
    ----------
    sheet
        The recipe with its foods and masses.
    eater, eaters
        One eater, or all of them.
    pantry
        Where the swaps of the lines are looked up; without it nothing is known
        of them, and they are told as unknown.
    air_c, altitude_m, storage_days, storage_c, carried_minutes, isotherms
        As in :func:`~fellfare.safety.case_of`.

    Raises
    ------
    Mistake
        Those of :func:`~fellfare.safety.case_of`.
    """
    return check(
        case_of_sheet(
            sheet,
            eaters=(*((eater,) if eater is not None else ()), *eaters),
            pantry=pantry,
            air_c=air_c,
            altitude_m=altitude_m,
            storage_days=storage_days,
            storage_c=storage_c,
            carried_minutes=carried_minutes,
            isotherms=isotherms,
        )
    )


def case_of_sheet(
    sheet: Sheet,
    *,
    eaters: Sequence[Eater] = (),
    pantry: Pantry | None = None,
    air_c: float | None = None,
    altitude_m: float | None = None,
    storage_days: float | None = None,
    storage_c: float | None = None,
    carried_minutes: float | None = None,
    isotherms: Mapping[str, Isotherm] | None = None,
) -> Case:
    """What the rules look at, made from a sheet; arguments as :func:`check_sheet`."""
    foods = {line.food.id: line.food for line in sheet.lines}
    foods |= {line.line.food: line.food for line in sheet.lines}
    if pantry is not None:
        swaps = {swap for line in sheet.lines for swap in line.line.swap if swap in pantry}
        foods = {swap: pantry.food(swap) for swap in swaps} | foods
    return case_of(
        sheet.recipe,
        foods,
        {index: line.mass_g for index, line in enumerate(sheet.lines)},
        eaters=eaters,
        air_c=air_c,
        altitude_m=altitude_m,
        storage_days=storage_days,
        storage_c=storage_c,
        carried_minutes=carried_minutes,
        own_measures={index: _own_measure_g(line) for index, line in enumerate(sheet.lines)},
        isotherms=isotherms,
    )


def _own_measure_g(line: SheetLine) -> float | None:
    """What the measure beside a mass weighs, for as many eaters as the sheet [g]."""
    own, written = line.weighed.own_measure_g, line.weighed.mass_g
    if own is None or written is None or line.mass_g is None or not written > 0:
        return own
    return own * line.mass_g / written
