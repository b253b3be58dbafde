"""A way out in words: what gives, how far, in the person's own units."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor

from fellfare.menu.answer import Give, Plate
from fellfare.menu.impossible.examples import named
from fellfare.menu.impossible.singles import NUTRIENT_WORD, number, times
from fellfare.menu.impossible.softening import Softer, unit_of
from fellfare.menu.pool import Question


def gives_of(
    question: Question, given: Sequence[Softer], plates: Sequence[Plate] = ()
) -> tuple[Give, ...]:
    """One line for each group that gives; the amount is the largest on any one day.

    ``plates``: a menu in which they give; what comes too often in it is named.
    """
    groups: dict[int, list[Softer]] = {}
    for each in given:
        groups.setdefault(each.single.group, []).append(each)
    return tuple(_give(question, members, plates) for members in groups.values())


def _give(question: Question, members: Sequence[Softer], plates: Sequence[Plate]) -> Give:
    worst = max(members, key=lambda each: abs(each.limit - each.single.limit))
    single = worst.single
    unit = unit_of(question, single)
    amount = abs(worst.limit - single.limit)
    if unit == "share":
        amount *= 100.0
    told = {"share": "% of the energy", "g load": "g"}.get(unit, unit)
    if single.kind in ("repeat", "often"):
        told = "times"
    elif single.kind in ("different", "lock", "ban", "dislike"):
        told = "dishes"
        amount = max(amount, 1.0)
    elif single.kind == "packs":
        told = "packs"
    return Give(
        wish=single.wish,
        gives=_text(question, members, worst, told, plates),
        amount=round(amount, 2),
        unit=told,
    )


def _text(
    question: Question,
    members: Sequence[Softer],
    worst: Softer,
    unit: str,
    plates: Sequence[Plate],
) -> str:
    single = worst.single
    limit, new = single.limit, worst.limit
    if unit.startswith("%"):
        limit, new = 100 * limit, 100 * new
    bound = "at least" if single.side == "low" else "at most"
    days = days_in_words([each.single.day for each in members if each.single.day is not None])
    down = ""
    if len({each.limit for each in members}) > 1:
        down = "down to " if single.side == "low" else "up to "
    if single.kind == "band":
        band = question.bands[single.at]
        word = NUTRIENT_WORD[band.nutrient][1]
        of = f" from {word}" if band.share else f" of {word}"
        over = " over the days" if band.whole else f", {days}"
        if band.times:
            over += f", {meals_in_words(band.times)}"
        told = f"{single.who}{over}: {down}{new:g} {unit}{of} instead of {bound} {number(limit)}"
        return told + _as_key(members)
    if single.kind == "litres":
        nights = days.replace("day", "night")
        much = f"{new - limit:.2f}".rstrip("0").rstrip(".")
        return f"{much} L too much on {nights}: {down}{new:g} L instead of {bound} {number(limit)}"
    if single.kind == "load":
        return f"{single.who}, {days}: {down}{new:g} g to carry instead of {bound} {number(limit)}"
    if single.kind in ("box g", "box ml"):
        return f"the box for {single.who}: {new:g} {unit} instead of {bound} {number(limit)}"
    if single.kind == "budget":
        return f"{new:.2f} instead of {bound} {limit:.2f}"
    if single.kind == "pot":
        time = question.slots[single.at].time
        slot = question.slots[single.at]
        batches = ceil(new / (limit / slot.batches) - 1e-9) if limit > 0 else 0
        told = f"{time}, {days}: {down}{new:g} ml in the pot instead of {bound} {number(limit)}"
        return told + (
            f"; or cook it in {batches} batches (batches = {batches})" if batches else ""
        )
    if single.kind == "packs":
        food = question.packs[single.at].food
        return f"{new:g} packs of {food} instead of {bound} {number(limit)}"
    return _of_dishes(question, worst, plates)


def _as_key(members: Sequence[Softer]) -> str:
    """' (as protein_g_per_kg = 1.39)': the figure of the document that would let all this through.

    For a floor whose name is a key with one figure, to which its limits are in proportion.
    """
    single = members[0].single
    key, _, figure = single.wish.partition(" = ")
    if single.side != "low" or not _is_figure(figure) or not key.isidentifier():
        return ""
    least = min(each.limit / each.single.limit for each in members if each.single.limit > 0)
    return f" (as {key} = {floor(100.0 * float(figure) * least + 1e-9) / 100.0:g})"


def _is_figure(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _of_dishes(question: Question, worst: Softer, plates: Sequence[Plate]) -> str:
    single = worst.single
    titles = {dish.id: dish.title for dish in question.dishes}
    if single.kind == "repeat":
        repeat = question.repeats[single.at]
        when = f" for {meals_in_words(repeat.times)}" if repeat.times else ""
        return (
            f"the same {repeat.key}{when} {times(worst.limit)} in {repeat.within_days} days "
            f"instead of at most {times(single.limit)}"
        ) + (f": {which}" if (which := named(question, repeat, plates)) else "")
    if single.kind == "often":
        often = question.oftens[single.at]
        names = " or ".join(titles[dish] for dish in often.dishes)
        who = f" for {often.walker}" if often.walker else ""
        return f"{names}{who} {times(worst.limit)} instead of at least {times(single.limit)}"
    if single.kind == "different":
        of = question.differents[single.at].times
        when = of[0] if len(of) == 1 else meals_in_words(of)
        return f"{worst.limit:g} different dishes for {when} instead of at least {single.limit:g}"
    if single.kind == "lock":
        lock = question.locks[single.at]
        who = f" for {lock.walker}" if lock.walker else ""
        return f"another dish than {titles[lock.dish]} for {lock.time} on day {lock.day}{who}"
    if single.kind == "ban":
        return f"{titles[question.bans[single.at].dish]} after all"
    return f"{single.who} eats {titles.get(single.word, single.word)} after all"


def meals_in_words(times: Sequence[str]) -> str:
    """'breakfast, lunch and dinner', each once, without whose it is ('dinner (Ana, Ben)')."""
    names = list(dict.fromkeys(time.split(" (")[0] for time in times))
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def days_in_words(days: Sequence[int]) -> str:
    """'day 3', 'days 1 to 4', 'days 1, 3 and 4'."""
    ordered = sorted(set(days))
    if not ordered:
        return ""
    if len(ordered) == 1:
        return f"day {ordered[0]}"
    if len(ordered) > 2 and ordered == list(range(ordered[0], ordered[-1] + 1)):
        return f"days {ordered[0]} to {ordered[-1]}"
    return "days " + ", ".join(map(str, ordered[:-1])) + f" and {ordered[-1]}"
