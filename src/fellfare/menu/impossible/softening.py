"""By how much does each wish give in a menu, and what does the question look like then?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import ceil, floor

import msgspec
from msgspec.structs import replace

from fellfare.menu.answer import Plate
from fellfare.menu.checking import broken_rules
from fellfare.menu.impossible.singles import Apart, Single
from fellfare.menu.pool import Band, Litres, LoadCap, Question

#: The steps to which a wish that gives is rounded, away from the wish.
STEP = {
    "kcal": 1.0, "g": 0.1, "mg": 1.0, "share": 0.001, "L": 0.01, "g load": 1.0, "ml": 1.0,
    "money": 0.01, "": 1.0,
}  # fmt: skip


class Softer(msgspec.Struct, frozen=True, kw_only=True):
    """A single wish and the limit that it gives way to (dishes: 0, it is given up)."""

    single: Single
    limit: float


def unit_of(question: Question, single: Single) -> str:
    """The key of ``STEP`` for a wish's limit."""
    if single.kind == "band":
        band = question.bands[single.at]
        if band.share:
            return "share"
        return {"energy_kcal": "kcal", "sodium_mg": "mg"}.get(band.nutrient, "g")
    return {
        "litres": "L", "load": "g load", "box g": "g load", "box ml": "ml", "pot": "ml",
        "budget": "money",
    }.get(single.kind, "")  # fmt: skip


def softer(
    apart: Apart, original: Question, plates: Sequence[Plate], dropped: Iterable[int]
) -> tuple[Softer, ...]:
    """Every single wish that these plates miss, with a limit that they keep.

    ``dropped`` are the numbers of fixed, banned and disliked dishes that gave.
    """
    number = {single.tag: at for at, single in enumerate(apart.singles)}
    others = {}
    for at, single in enumerate(apart.singles):
        if single.kind == "pot":
            slot = original.slots[single.at]
            others["what the pot holds", f"day {slot.day}, {slot.time}"] = at
        elif single.kind == "packs":
            others[f"whole packs of {original.packs[single.at].food}", "too many"] = at
    missed: dict[int, float] = {}
    for each in broken_rules(apart.question, plates):
        place = number.get(each.wish, others.get((each.wish, each.what)))
        if place is not None:
            missed[place] = max(missed.get(place, 0.0), each.amount)
    found = [
        Softer(single=apart.singles[at], limit=_limit(original, apart.singles[at], by, plates))
        for at, by in sorted(missed.items())
    ]
    found += [Softer(single=apart.singles[at], limit=0.0) for at in sorted(dropped)]
    return tuple(found)


def _limit(question: Question, single: Single, by: float, plates: Sequence[Plate]) -> float:
    """The limit less (or more) what it is missed by, rounded away from the wish."""
    if unit_of(question, single) == "share":
        energy = sum(
            portion.energy_kcal
            for plate in plates
            if plate.day == single.day
            for portion in plate.portions
            if portion.walker == single.who
        )
        by = by / max(energy, 1e-9)
    return _moved(question, single, by)


def loosened(question: Question, single: Single, part: float) -> Softer:
    """The wish with its limit moved by a part of its own size."""
    if single.kind in ("lock", "ban", "dislike"):
        return Softer(single=single, limit=0.0)
    own = single.limit if single.limit and single.size != 1.0 else single.size
    return Softer(single=single, limit=_moved(question, single, part * abs(own)))


def _moved(question: Question, single: Single, by: float) -> float:
    step = STEP[unit_of(question, single)]
    if single.side == "low":
        return max(0.0, floor((single.limit - by) / step + 1e-6) * step)
    return ceil((single.limit + by) / step - 1e-6) * step


def softened(question: Question, given: Sequence[Softer]) -> Question:
    """The question with these wishes at their new limits, all else as it was."""
    of: dict[str, list[Softer]] = {}
    for each in given:
        of.setdefault(each.single.kind, []).append(each)

    def at(kind: str) -> dict[int, list[Softer]]:
        found: dict[int, list[Softer]] = {}
        for each in of.get(kind, ()):
            found.setdefault(each.single.at, []).append(each)
        return found

    def one(kind: str) -> dict[int, float]:
        return {place: each[0].limit for place, each in at(kind).items()}

    budget = question.budget
    if budget is not None and 0 in one("budget"):
        budget = replace(budget, most=one("budget")[0])
    pots, grams, millilitres = one("pot"), one("box g"), one("box ml")
    packs, repeats, oftens, differents = (
        one("packs"), one("repeat"), one("often"), one("different"),
    )  # fmt: skip
    disliked = {(e.single.who, e.single.word) for e in of.get("dislike", ())}
    return replace(
        question,
        bands=_bands(question, at("band")),
        litres=tuple(_by_night(question, at("litres"))),
        load_caps=tuple(_by_day(question, at("load"))),
        box_caps=tuple(
            replace(box, most_g=grams.get(k, box.most_g), most_ml=millilitres.get(k, box.most_ml))
            for k, box in enumerate(question.box_caps)
        ),
        budget=budget,
        slots=tuple(
            replace(slot, pot_ml=pots.get(k, slot.pot_ml)) for k, slot in enumerate(question.slots)
        ),
        packs=tuple(
            replace(pack, most=round(packs.get(k, pack.most)))
            for k, pack in enumerate(question.packs)
        ),
        repeats=tuple(
            replace(repeat, most=round(repeats.get(k, repeat.most)))
            for k, repeat in enumerate(question.repeats)
        ),
        oftens=tuple(
            replace(often, least=round(oftens.get(k, often.least)))
            for k, often in enumerate(question.oftens)
        ),
        differents=tuple(
            replace(different, least=round(differents.get(k, different.least)))
            for k, different in enumerate(question.differents)
        ),
        locks=tuple(lock for k, lock in enumerate(question.locks) if k not in at("lock")),
        bans=tuple(ban for k, ban in enumerate(question.bans) if k not in at("ban")),
        walkers=tuple(
            replace(
                walker,
                dislikes=tuple(w for w in walker.dislikes if (walker.id, w) not in disliked),
            )
            for walker in question.walkers
        ),
    )


def _bands(question: Question, given: Mapping[int, Sequence[Softer]]) -> tuple[Band, ...]:
    made: list[Band] = []
    for k, band in enumerate(question.bands):
        if k not in given:
            made.append(band)
            continue
        new: dict[int | None, Band] = {}
        for each in given[k]:
            day = each.single.day
            one = new.get(day, band if day is None else replace(band, days=(day,)))
            if each.single.side == "low":
                one = replace(one, low=each.limit)
            else:
                # figures that do not agree may bring more than the whole energy: no ceiling then
                endless = band.share and each.limit > 1.0
                one = replace(one, high=None if endless else each.limit)
            new[day] = one
        days = band.days or tuple(range(1, question.days + 1))
        rest = tuple(day for day in days if day not in new)
        if rest and not band.whole:
            made.append(replace(band, days=rest))
        made.extend(new.values())
    return tuple(made)


def _by_night(question: Question, given: Mapping[int, Sequence[Softer]]) -> Iterable[Litres]:
    last = [leg.first_day for leg in question.legs] or [1]
    for k, litre in enumerate(question.litres):
        if k not in given:
            yield litre
            continue
        nights = litre.days or tuple(
            night for night in range(1, question.days) if night + 1 not in last[1:]
        )
        moved = {each.single.day: each.limit for each in given[k]}
        rest = tuple(night for night in nights if night not in moved)
        if rest:
            yield replace(litre, days=rest)
        for night, limit in moved.items():
            yield replace(litre, days=(night,), litres=limit)


def _by_day(question: Question, given: Mapping[int, Sequence[Softer]]) -> Iterable[LoadCap]:
    for k, cap in enumerate(question.load_caps):
        if k not in given:
            yield cap
            continue
        days = cap.days or tuple(leg.first_day for leg in question.legs) or (1,)
        moved = {each.single.day: each.limit for each in given[k]}
        rest = tuple(day for day in days if day not in moved)
        if rest:
            yield replace(cap, days=rest)
        for day, limit in moved.items():
            yield replace(cap, days=(day,), most_g=limit)
