"""What do one's own boils and soak tests say of the stove and of the food?"""

from __future__ import annotations

from collections.abc import Iterable
from math import exp, log
from typing import Final

from msgspec import Struct

from fellfare.camp.fuel.efficiency import (
    MOST_PLAUSIBLE_ETA,
    Efficiency,
    calibrate_efficiency,
    efficiency,
)
from fellfare.camp.fuel.fuels import find_fuel
from fellfare.camp.soaking.tried import OwnSoak, SoakTried, own_soak
from fellfare.learn.belief import BAND_80, Belief, updated_warily
from fellfare.learn.bounds import SOAK_STEP, STOVE_STEP, stepped
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
#: A boil below this part of the low end of the stove's class is a slip or a gale, not the
#: stove: 0.4 is what is left of it in a strong wind (a judgement, no source).
LEAST_OF_CLASS: Final = 0.4
#: A soak test beyond so many times the ends of the pantry's band is another food, cut or way.
MOST_OFF: Final = 3.0


class StoveLearnt(Struct, frozen=True, kw_only=True):
    """Efficiency of one kitchen's stove, before and after."""

    kitchen: int
    before: Belief
    after: Belief
    boils: int
    findings: tuple[Finding, ...]
    #: Which stove and fuel: another trip may have others in the same place.
    stove: str = ""
    fuel: str = ""

    @property
    def written(self) -> float:
        """What the next trip takes: the belief, held to its step."""
        return stepped(self.before.mean, self.after.mean, STOVE_STEP)


class SoakLearnt(Struct, frozen=True, kw_only=True):
    """Soak time of one food over the pantry's: 1 is as the pantry says."""

    food: str
    #: None where the pantry knows no minutes; then the last test stands alone.
    factor: float | None
    low: float | None
    high: float | None
    tests: tuple[OwnSoak, ...]

    @property
    def written(self) -> float | None:
        """The factor to take for the next trip: what is believed, held to its step."""
        return None if self.factor is None else min(max(self.factor, 1 / SOAK_STEP), SOAK_STEP)


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
        ``efficiency-impossible`` when a boil claims more heat than the fuel holds;
        ``boil-far-off`` when no such stove is reported to be so good or so bad.
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
        # the scale alone may make a small boil look so: only beyond its step it is asked about
        if seen.high < LEAST_OF_CLASS * usual.low or seen.low > MOST_PLAUSIBLE_ETA:
            raise Mistake(
                "boil-far-off",
                f"{boil.fuel_g:g} g of fuel for {boil.water_g:g} g of water from "
                f"{boil.from_c:g} °C would be an efficiency of {100 * seen.eta:.0f} %, where "
                f"such a stove reaches {100 * usual.low:.0f} to {100 * usual.high:.0f} %",
                "was the canister weighed before and after this one boil, all of it melted, no "
                "gale? Mend the figures, or leave the boil out and weigh another",
                f"boiled[{at}].fuel_g",
            )
        findings += seen.findings
        scale = (seen.high - seen.low) / (2 * BAND_80)
        # of what is believed, not of what was seen: a bad boil is not a better known one
        belief = updated_warily(belief, seen.eta, (scale**2 + (BOIL_SD * before.mean) ** 2) ** 0.5)
        many += 1
    return StoveLearnt(
        kitchen=kitchen, before=before, after=belief, boils=many, findings=tuple(findings),
        stove=stove, fuel=fuel,
    )  # fmt: skip


def _sd(usual: Efficiency) -> float:
    """The class's range taken as an 80 % band."""
    return max((usual.high - usual.low) / (2 * BAND_80), 0.01)


def learn_soaks(tests: Iterable[Soaked], pantry: Pantry) -> tuple[SoakLearnt, ...]:
    """Own soak times of every food that was tested.

    Raises
    ------
    Mistake
        ``unknown-food`` and those of :func:`~fellfare.camp.soaking.tried.own_soak`;
        ``soak-far-off`` beyond :data:`MOST_OFF` times the pantry's band.
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
            seen_soak = own_soak(food, tried)
            _refuse_far_off(seen_soak)
            by_food.setdefault(food.id, []).append(seen_soak)
        except Mistake as mistake:
            raise mistake.at(f"soaked[{at}]") from None
    made = []
    for name, seen in by_food.items():
        belief = Belief(0.0, SOAK_PRIOR_SD)
        known = [one.factor for one in seen if one.factor]
        for factor in known:
            belief = updated_warily(belief, log(factor), SOAK_SD)
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


def _refuse_far_off(own: OwnSoak) -> None:
    low, high = own.pantry.low_minutes, own.pantry.high_minutes
    if low is None or high is None or low / MOST_OFF <= own.minutes <= high * MOST_OFF:
        return
    raise Mistake(
        "soak-far-off",
        f"{own.food}: {own.minutes:g} min, where the pantry says {low:.0f} to {high:.0f} min in "
        f"such water ({own.tried.way})",
        "was it minutes, and the same food, cut and way? Mend it, or leave the test out and try "
        "once more",
        "done_minutes",
    )
