"""How long must this food of the pantry soak?"""

from __future__ import annotations

from msgspec.structs import replace

from fellfare.camp.cooking import SEA_LEVEL_BOIL_C
from fellfare.camp.soaking.minutes import SoakTime, soak_minutes
from fellfare.camp.soaking.published import published_soak
from fellfare.mistake import Mistake
from fellfare.pantry.food import Food, Way


def soak_food(
    food: Food, water_c: float, way: Way = "cold-soak", boils_c: float = SEA_LEVEL_BOIL_C
) -> SoakTime:
    """Answer 'how long must this food soak in that water?'.

    Raw-dry food counts as raw, every other form as precooked.  When the pantry knows no cold
    soak of a raw grain or pulse, a published one is taken
    (:data:`~fellfare.camp.soaking.published.PUBLISHED`): it is then soaked through and still
    raw.  When neither knows one the minutes are None and the trust is unknown.

    Raises
    ------
    Mistake
        As :func:`~fellfare.camp.soaking.minutes.soak_minutes`, with the food's id as place.
    """
    known = next((soak for soak in food.soaks if soak.way == way), None)
    paper = published_soak(food.id) if known is None and way == "cold-soak" else None
    try:
        if paper is not None:
            time = soak_minutes(paper.soak(), water_c, activation=paper.activation, boils_c=boils_c)
            low_c, high_c = paper.measured_c
            return replace(
                time,
                temperature_source=time.temperature_source.replace("no step", "as published"),
                temperature_trust="tabulated",
                trust=paper.trust,
                extrapolated=not low_c <= water_c <= high_c,
            )
        if known is not None:
            return soak_minutes(known, water_c, raw=food.form == "raw-dry", boils_c=boils_c)
    except Mistake as mistake:
        raise mistake.at(food.id) from mistake
    return SoakTime(
        way=way,
        water_c=water_c,
        minutes=None,
        low_minutes=None,
        high_minutes=None,
        minutes_source=f"{food.id}: no {way} time is known",
    )
