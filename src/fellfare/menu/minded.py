"""What should be minded about a menu: traces, shops, fuel, doubts, a need that did not settle?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from fellfare.menu.asked.at_table import AT_TABLE
from fellfare.menu.asked.offering import fuel_g_of, may_eat
from fellfare.menu.asked.question import Asked
from fellfare.menu.carried import Carried
from fellfare.menu.settling import Settled
from fellfare.mistake import Finding
from fellfare.pantry.allergens import agent_name, us_major
from fellfare.trip.wishes import USUAL_KINDS

_DINNER: Final = "dinner"


def menu_findings(asked: Asked, done: Settled, whole: Carried) -> tuple[Finding, ...]:
    """Findings of the menu itself, beside those of the question and of the walk."""
    if not done.menu.plates:
        return tuple(_nothing_fits(asked))
    return (
        *_traces(asked, whole),
        *_at_table(asked, whole),
        *_carried_past(asked, whole),
        *_fuel(asked, whole),
        *_unknown(done),
        *_at_least(asked, done, whole),
        *_settling(done),
    )


def _nothing_fits(asked: Asked) -> Iterator[Finding]:
    """Eating times at which too few dishes may stand, with the reasons; days alike in one."""
    alike: dict[tuple[str, tuple[str, ...], str], list[int]] = {}
    people = {walker.id: walker for walker in asked.base.walkers}
    never = {ban.dish for ban in asked.base.bans if ban.day is None}
    for slot in asked.base.slots:
        place = asked.places[slot.day, slot.time]
        kinds = [one for one in asked.dishes if slot.meal in one.dish.meals]
        pots = [slot.walkers] if slot.shared else [(who,) for who in slot.walkers]
        for pot in pots:
            why: dict[str, int] = {}
            fit = 0
            for one in kinds:
                told = asked.barred.get((one.id, slot.day, slot.time), "")
                barred = [who for who in pot if not may_eat(people[who], one.dish)]
                if not told and barred:
                    told = f"{', '.join(barred)} may not eat it"
                if not told and one.id in never:
                    told = "nobody wants it"
                if told:
                    why[told] = why.get(told, 0) + 1
                fit += not told
            if fit * slot.twice >= slot.least:
                continue
            reasons = sorted(why.items(), key=lambda each: -each[1])
            said = (
                f"{fit} of {len(kinds)} dishes of that kind may stand there, and {slot.least} "
                f"{'is' if slot.least == 1 else 'are'} wanted"
                + "".join(f"; {many} not: {reason}" for reason, many in reasons)
                if kinds
                else f"no recipe is of a kind that is eaten then ({_kinds(asked, place.eating)})"
            )
            alike.setdefault((place.eating, tuple(pot), said), []).append(slot.day)
    for (eating, eaters, said), days in alike.items():
        when = f"Day {days[0]}" if len(days) == 1 else f"Days {', '.join(map(str, days))}"
        yield _finding(
            "error",
            "too-few-dishes",
            f"{when}, {eating}, {', '.join(eaters)}: {said}.",
            "the recipes, the walkers and the place",
            (*(f"day {day}" for day in days), *eaters),
        )


def _kinds(asked: Asked, eating: str) -> str:
    """'supper' or 'drink', as the trip or usage has it: what a recipe's meals must name."""
    told = next((one.kinds for one in asked.plan.trip.eating if one.name == eating), ())
    return ", ".join(told or USUAL_KINDS.get(eating, (eating,)))


def _traces(asked: Asked, whole: Carried) -> Iterator[Finding]:
    """Who eats what may contain traces of what they avoid."""
    for walker in asked.plan.trip.walkers:
        found: dict[str, None] = {}
        agents: dict[str, None] = {}
        for one in whole.plates:
            if all(part.walker != walker.name for part in one.plate.portions):
                continue
            hits = [a for a in walker.avoids if a in one.dish.dish.may_contain]
            if hits:
                found[one.dish.dish.title] = None
                agents |= dict.fromkeys(us_major(a) or agent_name(a) for a in hits)
        if found:
            yield _finding(
                "caution",
                "menu-traces",
                f"{walker.name}: these may contain traces of what must not be eaten "
                f"({', '.join(agents)}): {'; '.join(found)}"
                '.  Read every label, or say traces = "avoid" under [rules].',
                "declared by the pantry; the label rules [EU-1169-2011] [FDA-ALLERGENS-2025]",
                (walker.name,),
            )


def _at_table(asked: Asked, whole: Carried) -> Iterator[Finding]:
    """What some put on their plates, and others of the pot must not meet."""
    told: dict[tuple[str, tuple[str, ...]], list[int]] = {}
    for one in whole.plates:
        if one.place.eating != AT_TABLE:
            continue
        pot = next(
            place.walkers
            for (day, _), place in asked.places.items()
            if day == one.plate.day and len(place.walkers) > 1 and place.eating == _DINNER
            and set(one.place.walkers) <= set(place.walkers)
        )  # fmt: skip
        people = {walker.id: walker for walker in asked.base.walkers}
        barred = tuple(name for name in pot if not may_eat(people[name], one.dish.dish))
        if barred:
            told.setdefault((one.dish.dish.title, barred), []).append(one.plate.day)
    for (title, names), days in told.items():
        when = ", ".join(map(str, sorted(set(days))))
        yield _finding(
            "caution",
            "menu-at-table",
            f"Day {when}: {title}, and {', '.join(names)} must not eat it: nothing of it goes into "
            "the pot.  Theirs is served first, from a clean spoon; the others open the bag after.",
            "own judgement; common practice of group kitchens, no source",
            names,
        )


def _carried_past(asked: Asked, whole: Carried) -> Iterator[Finding]:
    for k, take in enumerate(asked.takes):
        if take.has_all or k == 0:
            continue
        past = sum(g for one in whole.plates if one.taken < k <= one.last for _, g in one.grams)
        here = sum(g for one in whole.plates if one.taken == k for _, g in one.grams)
        if past > 0:
            yield _finding(
                "caution",
                "carried-past-a-shop",
                f"{take.name}: {past / 1000:.1f} kg of what is eaten after it is not sold there by "
                "what the trip says, and is carried from before; "
                + (f"{here / 1000:.1f} kg is bought there." if here else "nothing is bought there.")
                + "  Post it there, write recipes of what is sold, or tell what else is.",
                "the trip's own word on what the stop offers",
                (take.name,),
            )


def _fuel(asked: Asked, whole: Carried) -> Iterator[Finding]:
    """Fuel of the dishes beside what the kitchen sets out with."""
    for leg in asked.plan.fuel:
        cooks = asked.plan.trip.kitchens[leg.kitchen].walkers
        until = [
            (other.from_day, other.from_m)
            for other in asked.plan.fuel
            if other.kitchen == leg.kitchen
            and (other.from_day, other.from_m) > (leg.from_day, leg.from_m)
        ]
        end = min(until, default=(len(asked.plan.days) + 1, 0.0))
        grams = sum(
            fuel_g_of(asked.plan, one.dish) * part.steps / one.dish.dish.steps_per_serving
            for one in whole.plates
            if one.place.kitchen == leg.kitchen
            and (leg.from_day, leg.from_m) <= (one.plate.day, one.place.at_m) < end
            for part in one.plate.portions
        )
        if grams * (1.0 + leg.reserve) > leg.filled_g:
            yield _finding(
                "caution",
                "fuel-short",
                f"{', '.join(cooks)}: the dishes from {leg.from_name} on burn about {grams:.0f} g, "
                f"and {leg.filled_g:.0f} g are planned with {leg.reserve:.0%} in reserve.  Take a "
                "larger canister, or say more hot water under [[kitchen]].",
                "own reckoning; hot water of the recipes",
                (leg.from_name,),
            )


def _unknown(done: Settled) -> Iterator[Finding]:
    told: dict[str, list[str]] = {}
    for nutrient, dish in done.menu.unknown:
        told.setdefault(nutrient, []).append(dish)
    for nutrient, dishes in told.items():
        yield _finding(
            "caution",
            "menu-figure-unknown",
            f"{_NAMES.get(nutrient, nutrient)} is not known of {', '.join(dishes)}: counted as "
            "nothing in a floor, so totals are 'at least', and a ceiling may be passed.",
            "the foods' own figures",
        )


def _at_least(asked: Asked, done: Settled, whole: Carried) -> Iterator[Finding]:
    """Sums that a rule asks about and that are lower bounds."""
    floors = {band.nutrient for band in done.question.bands if band.low is not None}
    ceilings = {
        band.nutrient
        for band in done.question.bands
        if band.high is not None and band.nutrient != "energy_kcal"
    }
    told: dict[str, dict[str, None]] = {}
    for one in whole.plates:
        for nutrient in one.dish.at_least:
            if nutrient in floors | ceilings:
                told.setdefault(nutrient, {})[one.dish.id] = None
    for nutrient, dishes in told.items():
        name = _NAMES.get(nutrient, nutrient)
        capped = nutrient in ceilings
        yield _finding(
            "caution" if capped else "note",
            "menu-figure-at-least",
            f"{name} of {', '.join(dishes)} is 'at least', as it is not known of all their foods: "
            + ("a ceiling may be passed." if capped else "floors are kept all the same."),
            "the foods' own figures",
        )


_NAMES = {
    "protein_g": "Protein", "fat_g": "Fat", "carbohydrate_g": "Carbohydrate",
    "fibre_g": "Fibre", "sodium_mg": "Sodium",
}  # fmt: skip


def _settling(done: Settled) -> Iterator[Finding]:
    last = done.rounds[-1]
    if not done.settled:
        yield _finding(
            "caution",
            "need-not-settled",
            f"After {last.number} rounds the need asked for and the need that this menu brings "
            f"about still differ by up to {last.residual_kcal:.0f} kcal a day "
            f"({last.residual_g:.0f} g of food).",
            "own reckoning",
        )
    if not done.contracts and not done.settled:
        yield _finding(
            "caution",
            "need-does-not-contract",
            "A round was further off than the one before it: food and load drive each other up "
            "more than they should.  Shorter carries, or denser food.",
            "own reckoning",
        )


def _finding(
    severity: str, rule: str, text: str, source: str, about: Iterable[str] = ()
) -> Finding:
    return Finding(
        severity=severity,  # type: ignore[arg-type]
        rule=rule,
        text=text,
        source=source,
        about=tuple(about),
    )
