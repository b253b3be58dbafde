"""The menu of a trip as text of at most 80 columns; it draws, it does not reckon."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from fellfare.cli.layout import bar, fit, heading, number, paragraph, shown_width, table
from fellfare.menu.asked.at_table import AT_TABLE
from fellfare.menu.asked.here import DishHere
from fellfare.menu.front import Front
from fellfare.menu.resupply.of_trip import StopsOfTrip
from fellfare.menu.trip_menu import DayOfMenu, MealOfMenu, TripMenu

#: Walkers side by side in the table of days.
_ABREAST: Final = 3
_BAR: Final = 30
#: Walkers with a column of their own, and what their names may take of a heading.
_BESIDE: Final = 6
_NAMES_WIDTH: Final = 44
_DINNER: Final = "dinner"
_FATES: Final = {
    "planned": "", "proven-worse": "no better", "not-planned": "not known",
    "impossible": "cannot be", "stopped": "not found",
}  # fmt: skip
#: A gap that is rounding alone.
_NOTHING: Final = 1e-6
#: Further ways out that are printed; all are in the JSON.
_OTHER_WAYS: Final = 1
_WAYS: Final = {
    "dry": "as it is",
    "cold-soak": "cold",
    "hot-pour": "pour-on",
    "boil": "on the fire",
}


def menu_text(menu: TripMenu, times: Sequence[str]) -> str:
    """The whole menu; ``times`` are the eating times in the order of a day."""
    lines = [*_head(menu)]
    if not menu.days:
        return "\n".join([*lines, *_otherwise(menu), *_none(menu)])
    lines += _otherwise(menu) + _changes(menu) + _shared(menu)
    for walker in menu.walkers:
        lines += _own(menu, walker, times)
    lines += (
        _cold(menu) + _legend(menu) + _by_day(menu) + _curve(menu) + _taken(menu) + _proof(menu)
    )
    return "\n".join(lines)


def _head(menu: TripMenu) -> list[str]:
    title = paragraph(menu.title, "", "")
    lines = [*title, "═" * max(map(shown_width, title))]
    if menu.days:
        food_g = (menu.mass_g or 0.0) - menu.fuel_g + menu.ration_g
        parts = [
            f"{len(menu.walkers)} walker{'s' * (len(menu.walkers) != 1)}",
            f"{len(menu.days)} day{'s' * (len(menu.days) != 1)}",
            f"{food_g / 1000:.2f} kg of food as packed",
            f"{number(menu.energy_kcal)} kcal, {menu.energy_kcal / max(food_g, 1.0):.1f} kcal/g",
        ]
        lines += paragraph(" · ".join(parts), "  ")
    return lines


def _none(menu: TripMenu) -> list[str]:
    if menu.verdict == "stopped":
        lines = paragraph(
            "No menu was found in the time given; whether there is one is not known.  Give it "
            "longer (--seconds 120), or loosen a rule.",
            "  ",
        )
    else:
        lines = paragraph("There is no menu that keeps all of these rules.", "  ")
    if menu.clashes:
        lines += heading("What clashes")
        for wishes in menu.clashes:
            lines += paragraph("; ".join(dict.fromkeys(wishes)), "      ", "  · ")
    for way, gives in enumerate((menu.gives, *menu.other_ways[:_OTHER_WAYS])):
        if gives:
            lines += heading("What would have to give" if way == 0 else "Or")
        for give in gives:
            lines += paragraph(f"{give.wish}: {give.gives}", "      ", "  · ")
        if way == 0 and gives and not menu.gives_least and menu.verdict == "impossible":
            lines += paragraph("So much is enough; whether less would do is not proven.", "  ")
    return lines


def _otherwise(menu: TripMenu) -> list[str]:
    """What was asked beside the document."""
    if not menu.asked_otherwise:
        return []
    lines = heading("Otherwise than the trip says")
    for said in menu.asked_otherwise:
        lines += paragraph(said, "      ", "  · ")
    return lines


def _taken(menu: TripMenu) -> list[str]:
    """Start, boxes and shops: what is taken up where, and what each of them asks."""
    if len(menu.taken) < 2:
        return []
    lines = heading("Where it is taken up")
    rows = [["day", "where", "kg", "past it", "price", "effort"]]
    for one in menu.taken:
        where = f"{one.name} ({one.kind})" if one.name else "start"
        rows.append(
            [
                str(one.day),
                where,
                f"{one.food_g / 1000:.1f}",
                f"{one.past_g / 1000:.1f}" if one.past_g > 0 else "",
                _price(one.fee),
                _minutes(one.effort_min),
            ]
        )
    return lines + table(rows, [-3, 40, -5, -7, -8, -7])


def _price(fee: float | None) -> str:
    return "" if fee is None else f"{fee:.2f}"


def _minutes(effort_min: float | None) -> str:
    return "" if effort_min is None else f"{effort_min:.0f} min"


def stops_text(title: str, found: StopsOfTrip) -> str:
    """Which boxes and shops are worth using."""
    head = paragraph(title, "", "")
    lines = [*head, "═" * max(map(shown_width, head))]
    lines += heading("The stops")
    rows = [["from", "stop", "what it has", "price", "effort"]]
    for stop in found.stops:
        has = "all" if stop.dishes is None else f"{stop.dishes} of {stop.of} dishes"
        rows.append(
            [
                f"day {stop.day}",
                f"{stop.name} ({stop.kind})",
                has,
                _price(stop.fee),
                _minutes(stop.effort_min),
            ]
        )
    lines += table(rows, [7, 34, 16, -8, -7])
    if found.left_out:
        lines += paragraph(
            f"Not weighed, as no day begins after it: {', '.join(found.left_out)}.", "    ", "  "
        )
    lines += heading("Which to use, the best first")
    rows = [["stops used", "mean load", "heaviest", "balance", "none under", "money"]]
    for one in found.resupply.choices:
        load = "-" if one.mean_load_g is None else number(one.mean_load_g)
        most = "-" if one.heaviest_g is None else number(one.heaviest_g)
        least = number(one.bound_g) if 0 < one.bound_g < float("inf") else _FATES[one.fate]
        money = "" if one.money is None else f"{one.money:.2f}"
        name = " + ".join(one.stops) or "none, all from the start"
        score = "-" if one.score_g is None else number(one.score_g)
        rows.append([name, load, most, score, least, money])
    lines += table(rows, [30, -9, -8, -8, -10, -8])
    lines += paragraph(
        "Mean and heaviest load: food and fuel of all on their backs at the start of a day [g].  "
        "Balance: mean load, water for dry camps, and money and effort as far as they are worth "
        "grams; under 'none under' no menu with these stops gets.",
        "    ",
        "  ",
    )
    for sentence in found.resupply.sentences:
        lines += paragraph(f"{sentence[:1].upper()}{sentence[1:]}.", "    ", "  · ")
    return "\n".join(lines)


def _changes(menu: TripMenu) -> list[str]:
    """What is otherwise than in the menu that it stays near to."""
    if not menu.change_sentences:
        return []
    lines = heading("Beside the saved menu")
    for sentence in menu.change_sentences:
        lines += paragraph(f"{sentence[:1].upper()}{sentence[1:]}.", "    ", "  ")
    for one in menu.changes:
        who = f", {one.walker}" if one.walker else ""
        told = f"day {one.day}, {one.time}{who}: {one.before or 'nothing'} → "
        told += f"{one.after or 'nothing'}" + (f" ({one.why})" if one.why else "")
        lines += paragraph(told, "      ", "  · ")
    return lines


def _shared(menu: TripMenu) -> list[str]:
    """Meals out of one pot, with everybody's part; dinners also of those who eat alone."""
    pots: dict[tuple[str, tuple[str, ...]], list[MealOfMenu]] = {}
    for day in menu.days:
        for meal in day.meals:
            if meal.shared or meal.time in (_DINNER, AT_TABLE):
                who = tuple(one.walker for one in meal.helpings)
                pots.setdefault((meal.time, who), []).append(meal)
    lines = []
    for (time, who), meals in pots.items():
        how = "out of one pot" if len(who) > 1 else "of one's own"
        if time == AT_TABLE:
            how = "on one's own plate, beside the pot"
        few = len(who) <= _BESIDE
        lines += heading(f"{time.capitalize()} {how}: {_who(who)} [g]")
        heads = [_cut(name) for name in who] if few else ["least", "most", "all"]
        rows = [["day", "dish", *heads]]
        for meal in meals:
            grams = [one.mass_g for one in meal.helpings]
            told = grams if few else [min(grams), max(grams), sum(grams)]
            rows.append([str(meal.day), meal.title, *(f"{each:.0f}" for each in told)])
        lines += table(rows, [-3, 80, *(-max(4, len(name)) for name in rows[0][2:])])
        for meal in meals:
            if meal.batches > 1:
                said = (
                    f"Day {meal.day}: in {meal.batches} batches, the pots do not hold it at once."
                )
                lines += paragraph(said, "      ", "  ")
    return lines


def _own(menu: TripMenu, walker: str, times: Sequence[str]) -> list[str]:
    """A walker's own dishes: days down, eating times across."""
    mine: dict[tuple[int, str], list[tuple[str, str]]] = {}
    for day in menu.days:
        for meal in day.meals:
            helping = next((one for one in meal.helpings if one.walker == walker), None)
            if helping is None or meal.shared or meal.time in (_DINNER, AT_TABLE):
                continue
            name = meal.dish + (f" ×{meal.times}" if meal.times > 1 else "")
            cell = (name, f"{helping.mass_g:.0f}")
            mine.setdefault((day.day, meal.time), []).append(cell)
        for ration in day.rations:
            if ration.walker == walker:
                for time in ration.times:
                    mine.setdefault((day.day, time), []).append(
                        ("by weight", f"{ration.mass_g:.0f}")
                    )
    across = [time for time in times if any(key[1] == time for key in mine)]
    if not across:
        return []
    width = max(8, (80 - 3 - 5 * len(across)) // len(across))
    rows = [["day", *(cell for time in across for cell in (time, "g"))]]
    for day in menu.days:
        cells = [mine.get((day.day, time), []) for time in across]
        for at in range(max(map(len, cells))):
            first = str(day.day) if at == 0 else ""
            each = [cell[at] if at < len(cell) else ("", "") for cell in cells]
            rows.append([first, *(part for pair in each for part in pair)])
    widths = [part for _ in across for part in (width, -3)]
    return heading(f"{_cut(walker, 60)}, own dishes") + table(rows, [-3, *widths])


def _cold(menu: TripMenu) -> list[str]:
    """What is soaked cold for want of a fire, and when it is wetted."""
    told: dict[str, None] = {}
    for day in menu.days:
        for meal in day.meals:
            if meal.cold_instead:
                title = meal.title.removesuffix(", soaked cold")
                who = _who([one.walker for one in meal.helpings])
                told[f"day {day.day}, {meal.time}, {who}: {title}.  {meal.wet}"] = None
    if not told:
        return []
    lines = heading("Without a fire: soaked cold instead of poured on")
    for said in told:
        lines += paragraph(said, "      ", "  · ")
    return lines


def _legend(menu: TripMenu) -> list[str]:
    """Every dish of the menu with its full name and how much of it there is."""
    eaten: dict[str, tuple[str, float, float, float]] = {}
    for day in menu.days:
        for meal in day.meals:
            _, servings, mass, energy = eaten.get(meal.dish, ("", 0.0, 0.0, 0.0))
            eaten[meal.dish] = (
                meal.title,
                servings + sum(one.servings for one in meal.helpings),
                mass + sum(one.mass_g for one in meal.helpings),
                energy + meal.energy_kcal,
            )
    rows = [["dish", "name", "serv.", "g", "kcal/g"]]
    for dish, (title, servings, mass, energy) in sorted(eaten.items()):
        rows.append([dish, title, f"{servings:.2f}", f"{mass:.0f}", f"{energy / mass:.1f}"])
    lines = heading(f"The {len(eaten)} dishes")
    return lines + table(rows, [32, 27, -5, -5, -6])


def _by_day(menu: TripMenu) -> list[str]:
    lines: list[str] = []
    for begin in range(0, len(menu.walkers), _ABREAST):
        names = menu.walkers[begin : begin + _ABREAST]
        lines += heading("Mass and energy by day")
        rows = [["day", *(cell for name in names for cell in (_cut(name, 7), "kcal", "of"))]]
        rows += [[str(day.day), *_eaters(day, names)] for day in menu.days]
        rows.append(["all", *_sums(menu, names)])
        lines += table(rows, [-3, *[-7, -7, -7] * len(names)])
    lines += paragraph(
        "Grams as packed and kcal of what is eaten that day, 'of' so many kcal that are to be "
        "carried: need under the load of this menu, times coverage and appetite.",
        "  ",
    )
    return lines


def _eaters(day: DayOfMenu, names: Sequence[str]) -> list[str]:
    mine = {one.walker: one for one in day.eaters}
    return [
        cell
        for name in names
        for cell in (
            f"{mine[name].food_g:.0f} g",
            number(mine[name].energy_kcal),
            number(mine[name].target_kcal),
        )
    ]


def _sums(menu: TripMenu, names: Sequence[str]) -> list[str]:
    out = []
    for name in names:
        mine = [one for day in menu.days for one in day.eaters if one.walker == name]
        out += [
            f"{number(sum(one.food_g for one in mine))} g",
            number(sum(one.energy_kcal for one in mine)),
            number(sum(one.target_kcal for one in mine)),
        ]
    return out


def _curve(menu: TripMenu) -> list[str]:
    """Food on the backs, morning by morning; of many walkers the lightest and the heaviest."""
    totals = [sum(one.load_g for one in day.eaters) for day in menu.days]
    most = max(totals, default=0.0)
    few = len(menu.walkers) <= _BESIDE
    heads = [_cut(name) for name in menu.walkers] if few else ["least", "most"]
    rows = [["day", "", "kg", *heads]]
    widths = [max(5, shown_width(name)) for name in rows[0][3:]]
    room = max(8, min(_BAR, 80 - 3 - 5 - sum(widths) - len(widths) - 3))
    for day, total in zip(menu.days, totals, strict=True):
        loads = [one.load_g for one in day.eaters]
        told = loads if few else [min(loads), max(loads)]
        drawn = bar(total / most if most else 0.0, room)
        rows.append(
            [str(day.day), drawn, f"{total / 1000:.1f}", *(f"{each / 1000:.1f}" for each in told)]
        )
    lines = heading("Food on the backs in the morning")
    return lines + table(rows, [-3, room, -5, *(-width for width in widths)])


def _cut(name: str, width: int = 9) -> str:
    """A name for the head of a column."""
    return fit(name, width).rstrip()


def _who(names: Sequence[str]) -> str:
    """Names, or how many where they are too many for a line."""
    told = ", ".join(names)
    return (
        told
        if shown_width(told) <= _NAMES_WIDTH
        else f"{_cut(names[0], 30)} and {len(names) - 1} more"
    )


def _proof(menu: TripMenu) -> list[str]:
    lines = heading("How good is it?")
    mass = menu.mass_g or 0.0
    fuel = f", {menu.fuel_g:.0f} g of it fuel beyond the kit's" if menu.fuel_g >= 1 else ""
    plain = menu.counts == ("mass",)
    if not plain:
        lines += paragraph("What counts: " + "; then ".join(menu.counts) + ".", "  ")
    if menu.bound_kg_km is not None and menu.kg_km:
        short = max(1.0 - menu.bound_kg_km / menu.kg_km, 0.0)
        lines += paragraph(
            f"No menu under {number(menu.bound_kg_km)} kg km exists within these rules; this one "
            f"has {number(menu.kg_km)} kg km, within {100 * short:.1f} % of that.",
            "  ",
        )
    elif menu.kg_km:
        lines += paragraph(f"Each gram by the way it is carried: {number(menu.kg_km)} kg km.", "  ")
    if menu.cost is not None and menu.cost > 0:
        money = f"{menu.cost:.2f} {menu.currency}".strip()
        lines += paragraph(f"Money, in whole packs: {money}.", "  ")
    if menu.verdict == "optimal" and menu.gap <= _NOTHING and plain:
        told = f"No menu lighter than {number(mass)} g exists within these rules: this is it{fuel}."
    else:
        if menu.bound_mass_g > 0:
            told = (
                f"No menu under {number(menu.bound_mass_g)} g exists within these rules; this one "
                f"has {number(mass)} g, within {100 * menu.gap:.1f} % of that{fuel}."
            )
            if not plain:
                told += "  It is not the mass alone that was made least."
        else:
            told = (
                f"This menu has {number(mass)} g{fuel}.  How much lighter another could be is not "
                "proven."
            )
            if menu.weighed_gap < 1.0:
                told += (
                    "  Of all that was weighed (with what counts beside mass, and staying near to "
                    f"another menu), it is within {100 * menu.weighed_gap:.1f} % of the best."
                )
        if menu.verdict == "stopped":
            told += "  The search was ended by time or by you; longer may find a lighter one."
    lines += paragraph(told, "  ")
    if menu.rounds:
        last = menu.rounds[-1]
        many = "one round" if last.number == 1 else f"{last.number} rounds"
        how = "agree" if menu.settled else "do not yet agree"
        lines += paragraph(
            f"Need and load {how} after {many}: the need it was planned for and the need that it "
            f"brings about differ by {last.residual_kcal:.1f} kcal a day at most, "
            f"{last.residual_g:.1f} g of food.",
            "  ",
        )
    return lines


def dishes_text(title: str, here: Iterable[DishHere]) -> str:
    """What can be made at each eating time, and why not the rest; days that are alike together."""
    times: dict[tuple[str, tuple[str, ...]], dict[int, list[DishHere]]] = {}
    for one in here:
        times.setdefault((one.time, one.walkers), {}).setdefault(one.day, []).append(one)
    head = paragraph(title, "", "")
    lines = [*head, "═" * max(map(shown_width, head))]
    for (time, who), days in times.items():
        lines += heading(f"{time.capitalize()}: {_who(who)}")
        alike: dict[tuple[str, ...], list[int]] = {}
        for day, dishes in days.items():
            alike.setdefault(tuple(_time_here(dishes)), []).append(day)
        for told, numbers in alike.items():
            many = "day" if len(numbers) == 1 else "days"
            good = sum(not one.why_not for one in days[numbers[0]])
            lines.append(
                f"  {many} {_spans(numbers)}: {good} of {len(days[numbers[0]])} can be made"
            )
            lines += told
    return "\n".join(lines)


def _spans(numbers: Sequence[int]) -> str:
    """'1 to 4, 7, 8'."""
    parts: list[list[int]] = []
    for number_ in numbers:
        if parts and number_ == parts[-1][-1] + 1:
            parts[-1].append(number_)
        else:
            parts.append([number_])
    out = []
    for part in parts:
        out += [f"{part[0]} to {part[-1]}"] if len(part) > 2 else [str(one) for one in part]
    return ", ".join(out)


def _time_here(dishes: Sequence[DishHere]) -> list[str]:
    lines = []
    for way, said in _WAYS.items():
        good = []
        for one in dishes:
            if one.why_not or one.way != way:
                continue
            marks = [f"not for {', '.join(one.barred_for)}"] if one.barred_for else []
            if one.eat_by_day is not None:
                marks.append(f"by day {one.eat_by_day}")
            good.append(one.dish + (f" ({'; '.join(marks)})" if marks else ""))
        if good:
            lines += paragraph(", ".join(good), "        ", f"    + {said}: ")
    why: dict[str, list[str]] = {}
    for one in dishes:
        if one.why_not:
            why.setdefault(one.why_not, []).append(one.dish)
    for reason, names in why.items():
        lines += paragraph(f"{reason}: {', '.join(names)}", "        ", "    – ")
    return lines


def front_text(title: str, front: Front) -> str:
    """The front: what one more different dinner, or less money, costs in grams."""
    head = paragraph(title, "", "")
    lines = [*head, "═" * max(map(shown_width, head))]
    if not front.points:
        lines += paragraph(f"No front: {front.ended or front.first.verdict}.")
        return "\n".join([*lines, *(paragraph(front.left_out) if front.left_out else [])])
    heavy = max(point.menu.mass_g or 0.0 for point in front.points)
    light = min(point.menu.mass_g or 0.0 for point in front.points)
    by = "different" if front.by == "variety" else "cost"
    lines += heading(f"Mass against {front.by}")
    beside = any(
        abs((point.menu.weighed_g or 0.0) - (point.menu.mass_g or 0.0)) >= 0.5
        for point in front.points
    )
    rows = [[by, "g", "none under", *(["as weighed"] if beside else []), "more", ""]]
    for point in front.points:
        mass = point.menu.mass_g or 0.0
        rows.append(
            [
                str(point.different) if front.by == "variety" else f"{point.cost or 0.0:.2f}",
                number(mass),
                number(point.menu.bound_mass_g) if point.menu.bound_mass_g > 0 else "-",
                *([number(point.menu.weighed_g or 0.0)] if beside else []),
                "" if point.step_g is None else f"+{number(point.step_g)}",
                bar((mass - light) / (heavy - light) if heavy > light else 0.0, _BAR),
            ]
        )
    lines += table(rows, [-9, -7, -10, *([-10] if beside else []), -6, _BAR])
    if beside:
        lines += paragraph(
            "As weighed: with what counts beside plain mass (water carried to a dry camp, the way "
            "that food is carried, liking, money); 'more' and the steps are of this sum.",
            "    ",
            "  ",
        )
    for sentence in front.sentences:
        lines += paragraph(sentence, "    ", "  ")
    if front.ended:
        lines += paragraph(f"It ends here: {front.ended}.", "    ", "  ")
    if front.left_out:
        lines += paragraph(front.left_out, "    ", "  ")
    return "\n".join(lines)
