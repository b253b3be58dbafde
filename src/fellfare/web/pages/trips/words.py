"""The rules of a trip in plain words, one sentence for each."""

from __future__ import annotations

from fellfare.trip.trip import Trip
from fellfare.web.figures import Units, mass


def rules_in_words(trip: Trip, units: Units) -> list[str]:
    """What a menu must keep to, as one would say it."""
    rules = trip.rules
    low, high = rules.energy_band
    said = [
        f"The dishes bring {rules.coverage:.0%} of the need"
        + (", and no more than appetite takes that day." if rules.follow_appetite else "."),
        f"A single day may bring {low:.0%} to {high:.0%} of that.",
    ]
    if rules.protein_g_per_kg is not None:
        said.append(
            f"Protein: {rules.protein_g_per_kg:g} g a day for each kg of body, at least, as far "
            "as the day is on trail food."
        )
    shares = (
        ("Protein", rules.protein_share), ("Fat", rules.fat_share),
        ("Carbohydrate", rules.carbohydrate_share),
    )  # fmt: skip
    said += [
        f"{name} gives {pair[0]:.0%} to {pair[1]:.0%} of each day's energy."
        for name, pair in shares
        if pair is not None
    ]
    if rules.fibre_g_per_1000_kcal is not None:
        said.append(f"Fibre: at least {rules.fibre_g_per_1000_kcal:g} g for 1 000 kcal.")
    if rules.sodium_mg is not None:
        said.append(f"Sodium: {rules.sodium_mg[0]:g} to {rules.sodium_mg[1]:g} mg a day.")
    if rules.most_of_one_dish is not None:
        said.append(f"One dish comes at most {_times(rules.most_of_one_dish)}.")
    if rules.days_between is not None:
        said.append(f"{_days(rules.days_between)} between two of one dish, at least.")
    if rules.base_days_between is not None:
        said.append(f"{_days(rules.base_days_between)} between two of one base, at least.")
    if rules.flavour_days_between is not None:
        said.append(f"{_days(rules.flavour_days_between)} between two of one flavour, at least.")
    for eating in trip.eating:
        if eating.days_between is not None:
            said.append(f"At {eating.name}: {_days(eating.days_between).lower()} between them.")
        for many, what in (
            (eating.base_days_between, "base"),
            (eating.flavour_days_between, "flavour"),
        ):
            if many is not None:
                said.append(f"At {eating.name}: {_days(many).lower()} between two of one {what}.")
        if eating.most_of_one_dish is not None:
            said.append(f"At {eating.name}: one dish at most {_times(eating.most_of_one_dish)}.")
    if rules.least_dinners is not None:
        said.append(f"{rules.least_dinners} different dinners, at least.")
    if rules.most_food_kg is not None:
        said.append(
            f"Nobody sets out with more than {mass(1000 * rules.most_food_kg, units)} of food."
        )
    if rules.spare_days:
        said.append(f"Spare food for {rules.spare_days:g} days is carried all the way.")
    if rules.budget is not None:
        said.append(f"All food costs at most {rules.budget} {rules.currency}".rstrip() + ".")
    if rules.by_ration:
        said.append(f"Fed by weight: {', '.join(rules.by_ration)}.")
    if rules.never:
        said.append(f"Never: {', '.join(name.replace('-', ' ') for name in rules.never)}.")
    if rules.traces == "avoid":
        said.append("What may hold traces of what somebody avoids is kept off the menu.")
    for one in trip.fixed:
        who = f" for {', '.join(one.walkers)}" if one.walkers else ""
        said.append(f"Day {one.day}, {one.eating}: {one.dish.replace('-', ' ')}{who}, fixed.")
    return said


def _times(many: int) -> str:
    return {1: "once", 2: "twice"}.get(many, f"{many} times")


def _days(many: int) -> str:
    return "One day" if many == 1 else f"{many} days"
