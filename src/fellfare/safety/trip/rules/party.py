"""Who eats with whom, and what was asked?"""

from __future__ import annotations

from collections.abc import Iterator

from fellfare.pantry.allergens import agent_name
from fellfare.safety.rule import Hit, rule
from fellfare.safety.trip.facts import TripCase
from fellfare.safety.trip.reading import listed
from fellfare.trip.stop import TripStop


@rule(
    "shared-pot",
    "caution",
    "[FDA-ALLERGENS-2025] on cross-contact (from memory); own judgement",
    "Somebody with an allergy eats with others who do not avoid the same, and no pot and spoon "
    "of their own is planned.",
)
def shared_pot(case: TripCase) -> Iterator[Hit]:
    for walker in case.trip.walkers:
        if not walker.avoids or walker.name in case.own_pot:
            continue
        kitchen = case.trip.kitchen_of(walker.name)
        if kitchen is None:
            mates = [one for one in case.trip.walkers if one.name != walker.name]
        else:
            mates = [
                one
                for one in case.trip.walkers
                if one.name in kitchen.walkers and one.name != walker.name
            ]
        others = [one.name for one in mates if not set(walker.avoids) <= set(one.avoids)]
        if others:
            avoided = listed([agent_name(agent) for agent in walker.avoids])
            yield Hit(
                "caution",
                f"{walker.name} must not eat {avoided} and shares a kitchen with "
                f"{listed(others)}: plan a pot, spoon and cloth of their own, cook theirs first, "
                "and pack their bags apart.  Their medicine is carried where all can find it.",
                (walker.name, *others),
            )


@rule(
    "stops-and-diets",
    "caution",
    "own judgement: what is not known is not harmless",
    "Somebody with an allergy or a diet is to eat or buy at a stop that was not asked.",
)
def stops_and_diets(case: TripCase) -> Iterator[Hit]:
    allergic = [walker.name for walker in case.trip.walkers if walker.avoids]
    choosy = [walker.name for walker in case.trip.walkers if walker.diets and not walker.avoids]
    stops = [
        stop.name for stop in case.trip.stops if stop.name not in case.stops_asked and _feeds(stop)
    ]
    if stops and (allergic or choosy):
        who = [*allergic, *choosy]
        yield Hit(
            "caution",
            f"{listed(stops)}: not asked what {listed(who)} can eat there.  Ask before the walk"
            f"{', read each label, and carry a meal in reserve' if allergic else ''}.",
            (*stops, *who),
        )


def _feeds(stop: TripStop) -> bool:
    """A box holds what one has packed; a hut or shop sells what others have made."""
    return stop.kind != "box" and (bool(stop.meals) or stop.takes_food)


@rule(
    "health-untold",
    "caution",
    "own judgement: what is not told is not absent",
    "Somebody was not asked about allergies and illness; a note where the document names none.",
)
def health_untold(case: TripCase) -> Iterator[Hit]:
    if case.health_asked:
        return
    plain = [w.name for w in case.trip.walkers if not w.avoids or not w.high_risk]
    if plain:
        yield Hit(
            "caution" if case.health_asked is False else "note",
            f"{listed(plain)}: ask each about allergies, illness and medicine; none named in the "
            "document does not mean none.",
            tuple(plain),
        )
