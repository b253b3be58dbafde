"""What is to be said of a question: dishes left out, what was assumed, what was not looked at."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from fellfare.menu.asked.dishes import AskedDish, LeftOut
from fellfare.menu.asked.offering import NO_TIME
from fellfare.menu.pool import Pack
from fellfare.mistake import Finding
from fellfare.trip.plan import TripPlan


def question_findings(
    plan: TripPlan,
    offered: Sequence[AskedDish],
    gone: Sequence[LeftOut],
    usual: Sequence[str],
    packs: Sequence[Pack],
    unheard: Sequence[str] = (),
) -> Iterator[Finding]:
    def note(
        severity: str, rule: str, text: str, source: str, about: Iterable[str] = ()
    ) -> Finding:
        return Finding(
            severity=severity,  # type: ignore[arg-type]
            rule=rule,
            text=text,
            source=source,
            about=tuple(about),
        )

    trip = plan.trip
    unasked = [one for one in gone if one.why.endswith(NO_TIME)]
    broken = [one for one in gone if one not in unasked]
    if broken:
        yield note(
            "caution",
            "dish-left-out",
            "Not on offer to this menu: "
            + "; ".join(f"{one.title} ({one.why})" for one in broken)
            + ".",
            "the recipes and foods themselves",
        )
    if unasked:
        yield note(
            "note",
            "dish-without-time",
            f"No eating time takes {', '.join(one.title for one in unasked)}: say kinds = [...] at "
            "an [[eating]] that does.",
            "the documents",
        )
    assumed = [f"{one.recipe.title}: {'; '.join(one.assumed)}" for one in offered if one.assumed]
    if assumed:
        yield note(
            "note",
            "dish-assumed",
            "Counted as best one can: " + ". ".join(assumed) + ".",
            "own judgement; see docs/menu.md",
        )
    if usual:
        yield note(
            "note",
            "usual-variety",
            f"The trip says nothing of it, so: {'; '.join(usual)}.  Say days_between, "
            "base_days_between, most_of_one_dish, or least_dinners under [rules] to have it "
            "otherwise.",
            "common practice, no source",
        )
    if trip.rules.budget is not None and not packs:
        yield note(
            "caution",
            "budget-not-looked-at",
            "A budget is asked for, and no price of any food is known: the menu does not mind it.",
            "the document",
        )
    if unheard:
        yield note(
            "caution",
            "liked-dish-not-to-be-had",
            "Wanted so often, and not to be had at any eating time (diet, allergy, place or kind): "
            + "; ".join(unheard)
            + ".",
            "the document, the walkers and the places",
        )
    if "liking" in trip.rules.order and not trip.liked:
        yield note(
            "caution",
            "no-dish-is-liked",
            "'liking' counts by the rules, and no dish is liked: name some with [[liked]].",
            "the document",
        )
    if "cost" in trip.rules.order and not packs:
        yield note(
            "caution",
            "cost-not-looked-at",
            "'cost' counts by the rules, and no price of any food is known: the menu does not "
            "mind it.",
            "the document",
        )
    if "cost" in trip.rules.order and packs and trip.rules.budget is None:
        unpriced = [one.id for one in offered if one.dish.cost]
        if unpriced:
            yield note(
                "note",
                "price-guessed",
                f"{len(unpriced)} of {len(offered)} dishes have a food of 5 g a serving or more "
                "without price: it counts as dear as the dearest that has one.",
                "own judgement; see docs/menu.md",
            )
    free = [pack.food for pack in packs if pack.price == 0]
    if "cost" in trip.rules.order and free and trip.rules.budget is None:
        yield note(
            "note",
            "at-home-is-free",
            f"At home, and without a price: {', '.join(free)} cost nothing, however much of them "
            "is needed.",
            "own judgement; see docs/menu.md",
        )
    if not trip.kitchens:
        yield note(
            "caution",
            "no-kitchen",
            "The trip names no [[kitchen]]: only dishes that need no heat are planned, and "
            "dinner is one pot for all.",
            "the document is silent",
        )
    owners = {one.walker for one in trip.containers}
    if owners and owners != {walker.name for walker in trip.walkers}:
        yield note(
            "note",
            "litres-not-looked-at",
            "Not every walker has a [[container]]: whether the food has room at night was not "
            "looked at.",
            "the document",
        )
    if trip.rules.spare_days > 0:
        yield note(
            "note",
            "spare-beside-menu",
            f"{trip.rules.spare_days:g} days of spare food are on the back as the plan reckons "
            "them, and are none of this menu: choose them among what needs no water.",
            "the document",
        )
