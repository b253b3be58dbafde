"""What do one's own boils and soak tests say of the stove and of the food?"""

from __future__ import annotations

from collections.abc import Iterable
from math import exp, log
from typing import Final

from msgspec import Struct

from fellfare.camp.fuel.efficiency import Efficiency, calibrate_efficiency, efficiency
from fellfare.camp.fuel.fuels import find_fuel
from fellfare.camp.soaking.tried import OwnSoak, SoakTried, own_soak
from fellfare.learn.belief import BAND_80, Belief, updated
from fellfare.learn.log import Boiled, Soaked
from fellfare.mistake import Finding, Mistake
from fellfare.pantry.pantry import Pantry

#: Besides the scale: wind, flame and water level differ from boil to boil, as a share of the
#: efficiency (a judgement, no source).
BOIL_SD: Final = 0.08
#: One soak test, in log units: taste, batch and water differ (a judgement, no source).
SOAK_SD: Final = 0.18
#: The pantry's minutes before any test, in log units.
SOAK_PRIOR_SD: Final = 0.30
BOILING_C: Final = 99.0


class StoveLearnt(Struct, frozen=True, kw_only=True):
    """Efficiency of one kitchen's stove, before and after."""

    kitchen: int
    before: Belief
    after: Belief
    boils: int
    findings: tuple[Finding, ...]


class SoakLearnt(Struct, frozen=True, kw_only=True):
    """Soak time of one food over the pantry's: 1 is as the pantry says."""

    food: str
    #: None where the pantry knows no minutes; then the last test stands alone.
    factor: float | None
    low: float | None
    high: float | None
    tests: tuple[OwnSoak, ...]


def learn_stove(
    kitchen: int, stove: str, fuel: str, own: float | None, boils: Iterable[Boiled]
) -> StoveLearnt:
    """The stove's efficiency after some weighed boils.

    Parameters
    ----------
    kitchen
        Its place in the trip document, from 1.
    stove, fuel
        Ids of :data:`fellfare.camp.STOVES` and :data:`fellfare.camp.FUELS`.
    own
        The kitchen's own efficiency so far; None = that of the class of stove.
    boils
        Weighed boils; those of other kitchens are passed over.

    Raises
    ------
    Mistake
        Those of :func:`~fellfare.camp.fuel.efficiency.calibrate_efficiency`;
        ``efficiency-impossible`` when a boil claims more heat than the fuel holds.
    """
    usual = efficiency(stove)
    before = Belief(usual.eta if own is None else own, _sd(usual))
    belief, many = before, 0
    findings: list[Finding] = []
    for at, boil in enumerate(boils):
        if boil.kitchen != kitchen:
            continue
        try:
            seen = calibrate_efficiency(
                find_fuel(fuel), boil.fuel_g, boil.water_g, boil.from_c,
                BOILING_C if boil.to_c is None else boil.to_c, scale_step_g=boil.scale_step_g,
            )  # fmt: skip
        except Mistake as mistake:
            raise mistake.at(f"boiled[{at}]") from None
        if seen.eta >= 1.0:
            raise Mistake(
                "efficiency-impossible",
                f"the boil would have used {100 * seen.eta:.0f} % of the fuel's heat",
                "check the masses: more heat than the fuel holds cannot come of it",
                f"boiled[{at}]",
            )
        findings += seen.findings
        scale = (seen.high - seen.low) / (2 * BAND_80)
        belief = updated(belief, seen.eta, (scale**2 + (BOIL_SD * seen.eta) ** 2) ** 0.5)
        many += 1
    return StoveLearnt(
        kitchen=kitchen, before=before, after=belief, boils=many, findings=tuple(findings)
    )


def _sd(usual: Efficiency) -> float:
    """The class's range taken as an 80 % band."""
    return max((usual.high - usual.low) / (2 * BAND_80), 0.01)


def learn_soaks(tests: Iterable[Soaked], pantry: Pantry) -> tuple[SoakLearnt, ...]:
    """Own soak times of every food that was tested.

    Raises
    ------
    Mistake
        ``unknown-food`` and those of :func:`~fellfare.camp.soaking.tried.own_soak`.
    """
    by_food: dict[str, list[OwnSoak]] = {}
    for at, test in enumerate(tests):
        tried = SoakTried(
            done_minutes=test.done_minutes,
            not_yet_minutes=test.not_yet_minutes,
            water_c=test.water_c,
            way=test.way,
        )
        try:
            food = pantry.food(test.food)
            by_food.setdefault(food.id, []).append(own_soak(food, tried))
        except Mistake as mistake:
            raise mistake.at(f"soaked[{at}]") from None
    made = []
    for name, seen in by_food.items():
        belief = Belief(0.0, SOAK_PRIOR_SD)
        known = [one.factor for one in seen if one.factor]
        for factor in known:
            belief = updated(belief, log(factor), SOAK_SD)
        made.append(
            SoakLearnt(
                food=name,
                factor=exp(belief.mean) if known else None,
                low=exp(belief.low) if known else None,
                high=exp(belief.high) if known else None,
                tests=tuple(seen),
            )
        )
    return tuple(made)
