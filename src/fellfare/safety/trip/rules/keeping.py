"""Does it keep through shelf, car, mail, box and pack?

Quality (fat, aroma, mould) is a caution, as it is seen and smelt; what bacteria spoil is an
error, for that is not.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fellfare.pantry.food import Keeping
from fellfare.safety.reading import COLD_HOLD_C
from fellfare.safety.rule import Hit, rule
from fellfare.safety.rules.wet import HOT_AIR_C
from fellfare.safety.trip.facts import CarriedFood, TripCase
from fellfare.safety.trip.reading import listed
from fellfare.safety.trip.stays import FAT_MOST_USED, MOST_USED, life_used_over

#: Figures given for this or colder belong to a refrigerator [°C].
FRIDGE_C: Final = 7.0
#: So much warmer than its figure, what bacteria end keeps for nobody knows how long [K].
WARMER_K: Final = 5.0
_HOURS: Final = 24.0


@rule(
    "life-used",
    "error",
    "the food's own keeping figure; Q10 of 2 to 3 for fat (Labuza 1982, from memory) "
    "[LABUZA-1982] [FOODKEEPER]; [USDA-FSIS-OUTDOORS] 2 h, 1 h above 32 °C for what must be cold",
    "A food that bacteria spoil lies longer or warmer than it keeps (error); any other uses up "
    "its life (fat: 80 % of it), or nobody knows how long it keeps, lies, or how warm (caution).",
)
def life_used(case: TripCase) -> Iterator[Hit]:
    if case.foods is None:
        yield Hit(
            "note",
            "No food is known yet: whether it keeps was not looked at.",
            (case.trip.title,),
        )
        return
    yield from _untold(case.foods)
    for food in case.foods:
        of = food.keeping
        if of is None or of.unopened_days is None or not food.stays:
            continue
        if of.ends == "bacteria":
            yield from _bacteria(food, of)
        else:
            yield from _quality(food, of)


def _untold(foods: tuple[CarriedFood, ...]) -> Iterator[Hit]:
    no_figure = [f.name for f in foods if f.keeping is None or f.keeping.unopened_days is None]
    no_stay = [food.name for food in foods if not food.stays]
    no_warmth = [f.name for f in foods if any(stay.c is None for stay in f.stays)]
    for names, what in (
        (no_figure, "nobody has told how long it keeps; go by its printed date"),
        (no_stay, "it is not known how long and where it lies"),
        (no_warmth, "it is not known how warm it lies; that stay counts as cool"),
    ):
        if names:
            yield Hit("caution", f"{listed(names)}: {what}.", tuple(names))


def _bacteria(food: CarriedFood, of: Keeping) -> Iterator[Hit]:
    least, most = of.unopened_days or (0, 0)
    days = sum(stay.days for stay in food.stays)
    if days > most:
        yield Hit(
            "error",
            f"{food.name} keeps {most} days at {of.at_c:g} °C and is to lie {days:g}.",
            (food.name,),
        )
        return
    if of.at_c <= FRIDGE_C:
        warm = [s for s in food.stays if s.c is not None and s.c > max(COLD_HOLD_C, of.at_c)]
        hot = any(stay.c is not None and stay.c > HOT_AIR_C for stay in warm)
        hours = _HOURS * sum(stay.days for stay in warm)
        if hours > (1.0 if hot else 2.0):
            yield Hit(
                "error",
                f"{food.name} must be kept cold and is to lie {hours:g} h warmer than "
                f"{max(COLD_HOLD_C, of.at_c):g} °C; at most 2 h, 1 h above 32 °C.",
                (food.name,),
            )
    elif any(stay.c is not None and stay.c > of.at_c + WARMER_K for stay in food.stays):
        yield Hit(
            "caution",
            f"{food.name}: its {least} to {most} days belong to {of.at_c:g} °C and it lies "
            "warmer; no rule tells how long what bacteria spoil keeps then.",
            (food.name,),
        )


def _quality(food: CarriedFood, of: Keeping) -> Iterator[Hit]:
    least = (of.unopened_days or (0, 0))[0]
    if not least > 0:
        yield Hit(
            "caution",
            f"{food.name}: some say it does not keep at all; go by its printed date.",
            (food.name,),
        )
        return
    used = life_used_over(food.stays, least, of.at_c)
    fat = of.ends == "fat"
    if used.high > (FAT_MOST_USED if fat else MOST_USED):
        yield Hit(
            "caution",
            f"{food.name} will have used {100 * used.low:.0f} to {100 * used.high:.0f} % of "
            "the time it keeps: "
            f"{'it turns rancid; smell it before packing' if fat else 'quality suffers'}.",
            (food.name,),
        )
