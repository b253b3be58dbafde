"""What there is to say of a bulk ration: who must not eat of it, and what it does not hold."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fellfare.menu.asked.diets import diets_kept
from fellfare.mistake import Finding
from fellfare.pantry.allergens import agent_name, combine
from fellfare.pantry.food import Allergen, Food
from fellfare.provision.bulk.asked import BulkAsked
from fellfare.walk.walker import Walker


def no_factor(group: str, column_lb: float) -> Finding:
    return Finding(
        severity="caution",
        rule="ration-factor-not-legible",
        text=f"For {group} the table's factor at {column_lb:g} lb is not legible in any copy: "
        "it is left out. Say g_per_person_day yourself.",
        source="college outdoor-education slide deck (Rumble, Oliver & Finke); common practice",
        about=(group,),
    )


def avoided(foods: Sequence[Food], agents: Mapping[Allergen, Sequence[str]]) -> list[Finding]:
    """``agents`` with the names of those who avoid them, where they are told."""
    found = []
    for one in foods:
        told = combine((one,))
        for severity, word, group in (
            ("error", "contains", told.contains),
            ("error", "may or may not contain (it differs by maker, or is not told)", told.unknown),
            ("caution", "may contain traces of", told.may_contain),
        ):
            met = [each.agent for each in group if each.agent in agents]
            if met:
                names = dict.fromkeys(name for agent in met for name in agents[agent])
                words = ", ".join(agent_name(agent) for agent in met)
                who = f" (avoided by {', '.join(names)})" if names else ""
                found.append(
                    Finding(
                        severity="error" if severity == "error" else "caution",
                        rule="bulk-allergen",
                        text=f"{one.name} {word} {words}{who}: bulk food is shared by "
                        "all, so leave it out, or bag the avoiding eater's food apart.",
                        source="declared by the pantry; the label rules",
                        about=(one.id,),
                    )
                )
    return found


def against_diets(foods: Sequence[Food], eaters: Sequence[Walker]) -> list[Finding]:
    found = []
    for one in foods:
        kept = diets_kept((one,))
        broken: dict[str, list[str]] = {}
        for eater in eaters:
            for diet in eater.diets:
                if diet not in kept:
                    broken.setdefault(diet, []).append(eater.name)
        if broken:
            told = "; ".join(f"{diet} ({', '.join(names)})" for diet, names in broken.items())
            found.append(
                Finding(
                    severity="error",
                    rule="bulk-diet",
                    text=f"{one.name} is not, or not known to be, {told}: bulk food is shared "
                    "by all, so leave it out, or bag the others' food apart.",
                    source="the food's own kind and label, and the walkers' own words",
                    about=(one.id,),
                )
            )
    return found


def another_walk(asked: BulkAsked) -> tuple[Finding, ...]:
    if asked.need_kcal is None or asked.as_the_walk:
        return ()
    return (
        Finding(
            severity="caution",
            rule="bulk-another-walk",
            text=f"The ration is for {asked.people} × {asked.days:g} (people × days), the walk has "
            f"{asked.need_people or asked.people} × {asked.need_days or asked.days:g}: they are "
            "compared for a person and day. Mend 'people' and 'days', or name another 'trip'.",
            source="the two documents' own figures",
        ),
    )


def under_need(share: float | None) -> tuple[Finding, ...]:
    """``share`` of the walk's need that the ration holds; None = not known."""
    if share is None or share >= 0.7:
        return ()
    return (
        Finding(
            severity="caution",
            rule="bulk-under-need",
            text=f"The ration holds {100 * share:.0f} % of what the walk asks for: take a heavier "
            "column, or denser foods.",
            source="need of the walk; coverage of 0.7 to 1 is usual (common practice, no source)",
        ),
    )
