"""Is the water fit to drink and to soak in?"""

from __future__ import annotations

from collections.abc import Iterator

from fellfare.safety.rule import Hit, rule
from fellfare.safety.trip.facts import TripCase, WaterFact
from fellfare.safety.trip.reading import (
    camp_said,
    days_listed,
    days_said,
    eats_cold,
    heats,
    listed,
)
from fellfare.safety.water_treatment import agency_name, boil_minutes

_TABLE = "[CDC-EID-2025] Emerging Infectious Diseases 31(8), 25-0208, table of agencies"


@rule(
    "water-treatment",
    "error",
    f"{_TABLE}; filters and tablets by their labels",
    "Water is not treated, nobody tells how, or it can only be boiled on a day without a flame "
    "(error).",
)
def water_treatment(case: TripCase) -> Iterator[Hit]:
    if case.treatment is None:
        yield Hit(
            "caution",
            "It is not told how water is treated: boil, filter, tablets or light, each as its "
            "label says; filters stop no viruses, tablets few cysts.",
            (case.trip.title,),
        )
        return
    if not case.treatment:
        yield Hit(
            "caution",
            "Water is to be drunk untreated: clear and cold does not mean clean.",
            (case.trip.title,),
        )
        return
    if set(case.treatment) != {"boil"} or not case.trip.kitchens:
        return
    dark = [
        day
        for day in case.days
        if day.fire == "no-flame" or not any(heats(day, kitchen) for kitchen in case.trip.kitchens)
    ]
    if dark:
        yield Hit(
            "error",
            f"Water is only boiled, and on {days_listed(dark)} nothing burns: carry a filter, "
            "tablets or light for those days.",
            days_said(dark),
        )
    lone = [
        walker.name
        for walker in case.trip.walkers
        if any(eats_cold(case, day, walker.name) and day not in dark for day in case.days)
    ]
    if lone:
        yield Hit(
            "caution",
            f"Water is only boiled, and {listed(lone)} carry no flame of their own: the others "
            "must boil for them, or they carry a filter or tablets.",
            tuple(lone),
        )


@rule(
    "soak-water",
    "error",
    f"{_TABLE}; cold-soak water is treated before soaking: own judgement",
    "Somebody who eats cold soaks in water that is not treated, or nobody tells.",
)
def soak_water(case: TripCase) -> Iterator[Hit]:
    cold = [
        walker.name
        for walker in case.trip.walkers
        if any(eats_cold(case, day, walker.name) for day in case.days)
    ]
    if not cold:
        return
    if case.treatment is None:
        yield Hit(
            "caution",
            f"{listed(cold)}: it is not told how soaking water is treated; nothing is boiled "
            "afterwards.",
            tuple(cold),
        )
    elif not case.treatment:
        yield Hit(
            "error",
            f"{listed(cold)}: food is soaked in untreated water and never boiled afterwards.",
            tuple(cold),
        )
    else:
        yield Hit(
            "note",
            f"{listed(cold)}: treat the water before it touches the food, and let tablets work "
            "out their full time first.",
            tuple(cold),
        )


@rule(
    "water-boil-minutes",
    "caution",
    _TABLE,
    "At a camp the chosen agency asks for a longer boil than in the lowlands.",
)
def water_boil_minutes(case: TripCase) -> Iterator[Hit]:
    if case.treatment is not None and "boil" not in case.treatment:
        return
    low = boil_minutes(0.0, case.agency)
    high = [day for day in case.nights() if boil_minutes(day.camp_m, case.agency) > low]
    if high:
        longest = max(boil_minutes(day.camp_m, case.agency) for day in high)
        untold = any(day.camp_m is None for day in high)
        yield Hit(
            "caution",
            f"At {listed([camp_said(day) for day in high])}: {longest:g} min at a rolling boil "
            f"({agency_name(case.agency)})"
            f"{'; a camp of unknown height counts as high' if untold else ''}.  Agencies differ.",
            days_said(high),
        )
    apart = [
        day
        for day in case.nights()
        if boil_minutes(day.camp_m) > boil_minutes(day.camp_m, case.agency)
    ]
    if apart:
        yield Hit(
            "note",
            f"{agency_name(case.agency)} asks for less than the strictest agency on "
            f"{days_listed(apart)}: {max(boil_minutes(d.camp_m) for d in apart):g} min there.",
            days_said(apart),
        )


def _told(case: TripCase, word: str) -> tuple[list[WaterFact], bool]:
    """Sources of which it is told that they are so, and whether any is not told."""
    yes = [source for source in case.sources if getattr(source, word) is True]
    untold = not case.sources or any(getattr(source, word) is None for source in case.sources)
    return yes, untold


@rule(
    "cloudy-water",
    "caution",
    f"{_TABLE}: filter cloudy water first",
    "A source is cloudy; a note where nobody tells.",
)
def cloudy_water(case: TripCase) -> Iterator[Hit]:
    cloudy, untold = _told(case, "cloudy")
    if cloudy:
        names = [source.name for source in cloudy]
        yield Hit(
            "caution",
            f"{listed(names)}: cloudy water is let settle and strained through cloth or filter "
            "before it is boiled or treated; tablets and light do little in it.",
            tuple(names),
        )
    elif untold:
        yield Hit(
            "note",
            "Whether the water runs clear is not told: let cloudy water settle and filter it "
            "before boiling or treating.",
            (case.trip.title,),
        )


@rule(
    "water-chemicals",
    "caution",
    f"{_TABLE}: boiling takes out no chemicals or fuel",
    "A source may hold chemicals; a note where nobody tells.",
)
def water_chemicals(case: TripCase) -> Iterator[Hit]:
    doubted, untold = _told(case, "chemicals")
    if doubted:
        names = [source.name for source in doubted]
        yield Hit(
            "caution",
            f"{listed(names)}: chemicals, fuel, salt or the poison of algae may be in it, and "
            "boiling, filters, tablets and light leave them in.  Take other water.",
            tuple(names),
        )
    elif untold:
        yield Hit(
            "note",
            "Whether mines, fields, roads or algae lie above the water is not told: no treatment "
            "carried on foot takes chemicals out.",
            (case.trip.title,),
        )
