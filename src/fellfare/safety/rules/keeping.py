"""Does it keep until it is eaten, and cook where it is eaten?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fellfare.camp.cooking import SEA_LEVEL_BOIL_C, cooking_minutes
from fellfare.camp.soaking.minutes import PRECOOKED, arrhenius_time_factor
from fellfare.camp.water import boil_at
from fellfare.safety.case import Case, Part
from fellfare.safety.reading import dried_at_home, hazards, said, short
from fellfare.safety.rule import Hit, rule
from fellfare.safety.shelf import Q10_LEAST, Q10_MOST, life_used

#: FoodKeeper: home-made jerky 1-2 months at room temperature [days].
JERKY_DAYS: Final = 60.0
#: Share of its life after which a fatty food is told of.
MOST_USED: Final = 0.8
#: Above it the cook notices [m].
HIGH_M: Final = 1500.0


@rule(
    "home-jerky-age",
    "caution",
    "USDA/FSIS FoodKeeper (2018), product 110: home-made jerky 1-2 months at room temperature "
    "[FOODKEEPER]",
    "Meat or fish dried at home is older than two months when eaten, or its age is not known.",
)
def home_jerky_age(case: Case) -> Iterator[Hit]:
    for part in case.parts:
        found = hazards(part.food)
        meat = {"dried-meat", "raw-meat", "raw-fish"} & set(found)
        at_home = part.line.home_made is True or dried_at_home(case, part) is not None
        if not (meat and at_home):
            continue
        days = case.storage_days
        if days is None or not days <= JERKY_DAYS:
            age = "its age when eaten is not known" if days is None else f"{days:g} days old"
            yield Hit(
                "caution",
                f"{short(part.food)}, dried at home: {age}; 1 to 2 months at most, longer only "
                "frozen.",
                said(part),
            )


@rule(
    "keeping",
    "error",
    "the food's own keeping figure; Q10 of 2 to 3 for fat (Labuza 1982, from memory) "
    "[LABUZA-1982] [FOODKEEPER]",
    "Food lies longer than it keeps (fat: from 80 % of its life), or nobody tells how long it "
    "keeps or lies.",
)
def keeping(case: Case) -> Iterator[Hit]:
    if case.storage_days is None:
        return  # a recipe alone has no date; the standing notes say that it is not looked at
    for part in case.parts:
        yield from _kept(case, part, case.storage_days)


def _kept(case: Case, part: Part, days: float) -> Iterator[Hit]:
    of = part.food.keeping
    if of is None or of.unopened_days is None or not of.unopened_days[0] > 0:
        yield Hit(
            "note" if part.food.is_dry else "caution",
            f"{short(part.food)}: nobody has told how long it keeps; go by its printed date.",
            said(part),
        )
        return
    least, most = of.unopened_days
    if of.ends == "bacteria":
        if days > most:
            yield Hit(
                "error",
                f"{short(part.food)} keeps {most} days at {of.at_c:g} °C and is to lie {days:g}.",
                said(part),
            )
        return
    at_c = of.at_c if case.storage_c is None else case.storage_c
    # Warmer than the table: the steeper rule; cooler: the flatter one.  Both cautious.
    used = life_used([(days, at_c)], least, of.at_c, Q10_MOST if at_c > of.at_c else Q10_LEAST)
    fat = of.ends == "fat"
    if used > (MOST_USED if fat else 1.0):
        warmth = "" if case.storage_c is not None else " (its warmth is not known)"
        yield Hit(
            "caution",
            f"{short(part.food)} will have used {used:.0%} of the time it keeps{warmth}: "
            f"{'it turns rancid; smell it before packing' if fat else 'quality suffers'}.",
            said(part),
        )


@rule(
    "altitude",
    "caution",
    "[IAPWS-R7-97], [USSA-1976] for the boiling point; z = 33 to 52 K for doneness (see "
    "fellfare.camp.cooking); poured on: Ea = 12 to 36 kJ/mol (see fellfare.camp.soaking)",
    "Food is boiled or steeped above 1500 m, or at an altitude that is not known.",
)
def altitude(case: Case) -> Iterator[Hit]:
    hot = [
        e
        for e in case.events
        if e.step.where == "camp" and e.step.act in ("boil", "simmer", "steep")
    ]
    if not hot:
        return
    if case.altitude_m is None:
        yield Hit(
            "note",
            "The altitude is not known: above 1500 m water boils under 95 °C and cooking takes "
            "noticeably longer.",
            said(*hot),
        )
    elif case.altitude_m > HIGH_M:
        boils_c = boil_at(case.altitude_m).boils_c
        here = f"At {case.altitude_m:.0f} m water boils at about {boils_c:.0f} °C"
        poured = [e for e in hot if e.step.act == "steep"]
        cooked = [e for e in hot if e.step.act != "steep"]
        if cooked:
            time = cooking_minutes(1.0, case.altitude_m)
            yield Hit(
                "caution",
                f"{here}: simmered food takes {time.low_minutes:.1f} to {time.high_minutes:.1f} "
                "times as long as the minutes written, which are for sea level (doneness only; "
                "for meat, egg and beans the core temperature counts).",
                said(*cooked),
            )
        if poured:
            least, most = (
                arrhenius_time_factor(Ea, boils_c + 273.15, SEA_LEVEL_BOIL_C + 273.15)
                for Ea in (PRECOOKED.low, PRECOOKED.high)
            )
            yield Hit(
                "caution",
                f"{here}: what it is poured on stands about {least:.1f} to {most:.1f} times as "
                "long as the minutes written, which are for sea level (precooked food only, and "
                "wrapped: it cools faster too).  Taste before you eat; what is not soft stands on.",
                said(*poured),
            )
