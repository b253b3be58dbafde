"""One soak test of one's own: what does it make of that food's soak time?

The tested minutes take the place of the pantry's; only the step to another water
temperature still comes from other foods.  One test is one test: its band says so.
"""

from __future__ import annotations

from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.camp.cooking import SEA_LEVEL_BOIL_C
from fellfare.camp.soaking.food import soak_food
from fellfare.camp.soaking.minutes import SoakTime, soak_minutes
from fellfare.mistake import Finding, Mistake
from fellfare.pantry.food import Food, Soak, Way

#: How far a second test of the same food may lie from the first, either way: another bag, cut
#: or idea of 'done' [judgement, no source].
ONE_TEST_SPREAD: Final = 1.25
#: Beyond so many times the pantry's band, either way, a slip is more likely than the food.
FAR_OFF: Final = 2.0
#: A test of less or more than this is no soak test [min].
_LEAST_MIN: Final = 0.5
_MOST_MIN: Final = 7 * 1440.0

SOURCE: Final = (
    f"one soak test of your own; taken as good to x{ONE_TEST_SPREAD:g} either way (judgement)"
)


class SoakTried(Struct, frozen=True, kw_only=True):
    """What was seen: fit to eat after so long in such water."""

    #: Time at which it was fit to eat [min].
    done_minutes: float
    #: Last look at which it was not yet [min]; None = nobody looked before.
    not_yet_minutes: float | None = None
    #: Water while it soaked (of the pour, for a hot pour) [°C].
    water_c: float
    way: Way = "cold-soak"


class OwnSoak(Struct, frozen=True, kw_only=True):
    """The soak of one food as it was tried, beside what the pantry says of that water."""

    food: str
    tried: SoakTried
    #: The low end, the time to reckon with and the end to plan with, in that water [min].
    low_minutes: float
    minutes: float
    high_minutes: float
    #: The pantry's answer for the same water; its minutes are None when it knows none.
    pantry: SoakTime
    #: Own minutes over the pantry's in that water; None when it knows none.
    factor: float | None
    findings: tuple[Finding, ...] = ()

    def soak(self) -> Soak:
        """As a soak of the pantry, to be written down or stepped to another water."""
        return Soak(
            way=self.tried.way,
            minutes=self.minutes,
            most_minutes=self.high_minutes,
            at_c=self.tried.water_c,
            water_ml_per_g=self.pantry.water_ml_per_g,
            trust="measured",
            source=SOURCE,
        )


def own_soak(food: Food, tried: SoakTried, *, boils_c: float = SEA_LEVEL_BOIL_C) -> OwnSoak:
    """What one soak test says of that food in that water.

    The time to reckon with is that of the test; the band is the test's scatter, its low end
    not below the last look at which the food was still hard.

    Parameters
    ----------
    food
        The food that was tried.
    tried
        What was seen.
    boils_c
        Boiling point where it was tried. [°C]

    Returns
    -------
    OwnSoak
        With a caution ``soak-test-far-off`` when it lies beyond twice the pantry's band.

    Raises
    ------
    Mistake
        ``soak-test-unusable`` and those of :func:`~fellfare.camp.soaking.minutes.soak_minutes`.
    """
    done, before = tried.done_minutes, tried.not_yet_minutes
    if not _LEAST_MIN <= done <= _MOST_MIN or not (before is None or 0.0 <= before < done):
        looked = "" if before is None else f" after a look at {before:g} min"
        raise Mistake(
            "soak-test-unusable",
            what=f"done at {done:g} min{looked} is no soak test",
            mend="give the minutes at which it was fit to eat, and an earlier look (if any) at "
            "which it was not",
            where=food.id,
        )
    pantry = soak_food(food, tried.water_c, tried.way, boils_c)
    own = OwnSoak(
        food=food.id,
        tried=tried,
        low_minutes=max(done / ONE_TEST_SPREAD, before or 0.0),
        minutes=done,
        high_minutes=done * ONE_TEST_SPREAD,
        pantry=pantry,
        factor=done / pantry.minutes if pantry.minutes else None,
    )
    soak_minutes(own.soak(), tried.water_c, boils_c=boils_c)  # refuses ice and steam
    return replace(own, findings=_far_off(food, own))


def _far_off(food: Food, own: OwnSoak) -> tuple[Finding, ...]:
    low, high = own.pantry.low_minutes, own.pantry.high_minutes
    if low is None or high is None or low / FAR_OFF <= own.minutes <= high * FAR_OFF:
        return ()
    less = own.minutes < low
    return (
        Finding(
            severity="caution",
            rule="soak-test-far-off",
            text=f"{food.name}: {own.minutes:.0f} min is {'far below' if less else 'far above'} "
            f"the usual {low:.0f} to {high:.0f} min in such water.  Was it the same food and cut, "
            "and tender to the core?  Try it once more before you rely on it.",
            source="own judgement: beyond twice the pantry's band",
            about=(food.id,),
        ),
    )


def own_soak_minutes(
    own: OwnSoak, food: Food, water_c: float, *, boils_c: float = SEA_LEVEL_BOIL_C
) -> SoakTime:
    """How long that food soaks in other water, by its own test.

    The band is the test's, widened by the published spread of activation energies for the
    step from the tested water.

    Raises
    ------
    Mistake
        As :func:`~fellfare.camp.soaking.minutes.soak_minutes`, with the food's id as place.
    """
    try:
        stepped = soak_minutes(own.soak(), water_c, raw=food.form == "raw-dry", boils_c=boils_c)
    except Mistake as mistake:
        raise mistake.at(food.id) from mistake
    assert stepped.low_minutes is not None
    return replace(stepped, low_minutes=stepped.low_minutes * own.low_minutes / own.minutes)
