"""What was wished, taken apart into single wishes that can give one by one.

A single wish is a floor or a ceiling on one day, one night's litres, one repeat
rule, one fixed dish. Wishes of one kind, one name and one walker are one *group*:
that is what a person calls a wish ('protein for Ana'), and what a way out counts.

Allergies, diets, keeping, supply and fire rules are not wishes: they never give.
A fixed dish, a banned dish and a dislike can, as the last thing.
"""

from __future__ import annotations

from typing import Literal, TypeAlias

import msgspec
from msgspec.structs import replace

from fellfare.menu.pool import Band, BoxCap, Leg, Question

Kind: TypeAlias = Literal[
    "band", "litres", "load", "box g", "box ml", "budget", "repeat", "often", "different",
    "pot", "packs", "lock", "ban", "dislike",
]  # fmt: skip
Side: TypeAlias = Literal["low", "high"]

#: Weight of giving a fixed dish, a banned one or a dislike; 1 is a limit moved by its own size.
FIXED_DISH = 0.5
#: What each further wish that gives costs on top, so that few give rather than many a little.
EACH_WISH = 0.02


class Single(msgspec.Struct, frozen=True, kw_only=True):
    """One wish that can give.

    ``tag`` names it in the question taken apart; ``at`` is its place in the
    question's own tuple; ``price`` what giving it by its own size (``size``) costs.
    """

    tag: str
    kind: Kind
    at: int
    wish: str
    limit: float
    group: int
    side: Side = "high"
    day: int | None = None
    who: str = ""
    size: float = 1.0
    price: float = 1.0


class Apart(msgspec.Struct, frozen=True, kw_only=True):
    """The question with every wish on its own, without fixed, banned or disliked dishes."""

    question: Question
    singles: tuple[Single, ...]
    groups: tuple[str, ...]


class _Taking:
    def __init__(self, question: Question) -> None:
        self.question = question
        self.singles: list[Single] = []
        self.keys: dict[tuple[object, ...], int] = {}
        self.names: list[str] = []

    def add(self, key: tuple[object, ...], name: str, single: Single) -> str:
        """Tag and group it; the tag."""
        if key not in self.keys:
            self.keys[key] = len(self.names)
            self.names.append(name)
        tag = f"#{len(self.singles)}"
        self.singles.append(replace(single, tag=tag, group=self.keys[key]))
        return tag

    def bands(self) -> tuple[Band, ...]:
        made = []
        eats: dict[str, set[int]] = {}
        for slot in self.question.slots:
            for who in slot.walkers:
                eats.setdefault(who, set()).add(slot.day)
        for at, band in enumerate(self.question.bands):
            days = band.days or tuple(range(1, self.question.days + 1))
            days = tuple(day for day in days if day in eats.get(band.walker, ()))
            if not days:
                continue
            for side, limit in (("low", band.low), ("high", band.high)):
                if limit is None or limit == float("inf"):
                    continue
                spans = (days,) if band.whole else tuple((day,) for day in days)
                key = ("band", band.wish, band.walker, band.nutrient, side, band.share, band.whole)
                for span in spans:
                    single = Single(
                        tag="",
                        kind="band",
                        at=at,
                        wish=band.wish,
                        limit=limit,
                        group=-1,
                        side="low" if side == "low" else "high",
                        day=None if band.whole else span[0],
                        who=band.walker,
                        size=_band_size(self.question, band, limit),
                    )
                    tag = self.add(key, _band_name(band, side, limit), single)
                    made.append(
                        replace(
                            band,
                            wish=tag,
                            low=limit if side == "low" else None,
                            high=limit if side == "high" else None,
                            days=span,
                        )
                    )
        return tuple(made)

    def one(self, kind: Kind, at: int, wish: str, limit: float, name: str, **more: object) -> str:
        """A wish that is a group of its own, or (``key``) one of a group."""
        key = more.pop("key", (kind, at))
        single = Single(tag="", kind=kind, at=at, wish=wish, limit=limit, group=-1)
        single = replace(single, size=max(abs(limit), 1e-3) if limit else 1.0)
        return self.add((key,), name, replace(single, **more))


def _band_size(question: Question, band: Band, limit: float) -> float:
    """What a limit is large against; for a share, that part of the day's energy [kcal]."""
    if not band.share:
        return abs(limit) or 1.0
    energy = [
        other.low
        for other in question.bands
        if other.walker == band.walker and other.nutrient == "energy_kcal" and other.low
    ]
    return max(limit, 0.01) * (energy[0] if energy else 2500.0)


NUTRIENT_WORD = {
    "energy_kcal": ("kcal", "energy"),
    "protein_g": ("g", "protein"),
    "fat_g": ("g", "fat"),
    "carbohydrate_g": ("g", "carbohydrate"),
    "fibre_g": ("g", "fibre"),
    "sodium_mg": ("mg", "sodium"),
}


def _band_name(band: Band, side: str, limit: float) -> str:
    unit, word = NUTRIENT_WORD[band.nutrient]
    bound = "at least" if side == "low" else "at most"
    if band.share:
        return f"{band.wish}: {band.walker}, {bound} {100 * limit:g} % of the energy from {word}"
    over = " over the days" if band.whole else " a day"
    return f"{band.wish}: {band.walker}, {bound} {limit:g} {unit} {word}{over}"


def times(many: float) -> str:
    """'once', 'twice', '3 times'."""
    return {0: "never", 1: "once", 2: "twice"}.get(round(many), f"{many:g} times")


def taken_apart(question: Question) -> Apart:
    """Every wish on its own; those about fixed, banned and disliked dishes only as wishes."""
    taking = _Taking(question)
    legs = question.legs or (Leg(name="walk", first_day=1, last_day=question.days),)
    bands = taking.bands()
    litres = []
    for at, litre in enumerate(question.litres):
        nights = [
            night
            for leg in legs
            for night in range(leg.first_day - 1, leg.last_day)
            if (night in litre.days if litre.days else night >= leg.first_day)
        ]
        for night in nights:
            tag = taking.one(
                "litres", at, litre.wish, litre.litres,
                f"{litre.wish}: at most {litre.litres:g} L at night",
                key=("litres", at), day=night, who=", ".join(litre.walkers),
                size=1000.0 * max(litre.litres, 0.1),
            )  # fmt: skip
            litres.append(replace(litre, wish=tag, days=(night,)))
    loads = []
    for at, cap in enumerate(question.load_caps):
        days = cap.days or tuple(leg.first_day for leg in legs)
        for day in days:
            tag = taking.one(
                "load", at, cap.wish, cap.most_g,
                f"{cap.wish}: {cap.walker} carries at most {cap.most_g:g} g of food and fuel",
                key=("load", at), day=day, who=cap.walker,
            )  # fmt: skip
            loads.append(replace(cap, wish=tag, days=(day,)))
    boxes = []
    for at, box in enumerate(question.box_caps):
        if box.most_g is not None:
            name = f"{box.wish}: the box for {box.leg} holds at most {box.most_g:g} g"
            tag = taking.one("box g", at, box.wish, box.most_g, name, who=box.leg)
            boxes.append(BoxCap(wish=tag, leg=box.leg, most_g=box.most_g))
        if box.most_ml is not None:
            name = f"{box.wish}: the box for {box.leg} holds at most {box.most_ml:g} ml"
            tag = taking.one("box ml", at, box.wish, box.most_ml, name, who=box.leg)
            boxes.append(BoxCap(wish=tag, leg=box.leg, most_ml=box.most_ml))
    budget = question.budget
    if budget is not None:
        name = f"{budget.wish}: at most {budget.most:g}"
        budget = replace(budget, wish=taking.one("budget", 0, budget.wish, budget.most, name))
    eaten_at: dict[str, int] = {}
    for slot in question.slots:
        eaten_at[slot.time] = eaten_at.get(slot.time, 0) + slot.most
    repeats = tuple(
        replace(
            repeat,
            wish=taking.one(
                "repeat", at, repeat.wish, float(repeat.most),
                f"{repeat.wish}: the same {repeat.key} at most {times(repeat.most)} in "
                f"{repeat.within_days} days",
                size=1.0,
                price=1.0 / max(1, sum(eaten_at.get(t, 0) for t in repeat.times or eaten_at)),
            ),
        )
        for at, repeat in enumerate(question.repeats)
    )  # fmt: skip
    oftens = tuple(
        replace(
            often,
            wish=taking.one(
                "often", at, often.wish, float(often.least),
                f"{often.wish}: {' or '.join(often.dishes)} at least {times(often.least)}",
                side="low", who=often.walker or "", size=1.0, price=1.0 / max(1, often.least),
            ),
        )
        for at, often in enumerate(question.oftens)
    )  # fmt: skip
    differents = tuple(
        replace(
            different,
            wish=taking.one(
                "different", at, different.wish, float(different.least),
                f"{different.wish}: at least {different.least} different dishes for "
                f"{' and '.join(different.times)}",
                side="low", size=1.0, price=1.0 / max(1, different.least),
            ),
        )
        for at, different in enumerate(question.differents)
    )  # fmt: skip
    _others(taking)
    apart = replace(
        question,
        bands=bands,
        litres=tuple(litres),
        load_caps=tuple(loads),
        box_caps=tuple(boxes),
        budget=budget,
        repeats=repeats,
        oftens=oftens,
        differents=differents,
        locks=(),
        bans=(),
        walkers=tuple(replace(walker, dislikes=()) for walker in question.walkers),
    )
    return Apart(question=apart, singles=_priced(taking), groups=tuple(taking.names))


def _priced(taking: _Taking) -> tuple[Single, ...]:
    """A wish for many days or nights costs the mean over them, however it was written."""
    many = [0] * len(taking.names)
    for single in taking.singles:
        many[single.group] += 1
    return tuple(
        replace(single, price=1.0 / many[single.group])
        if single.kind in ("band", "litres", "load", "pot")
        else single
        for single in taking.singles
    )


def _others(taking: _Taking) -> None:
    """Wishes that stand in slots, packs, locks, bans and dislikes."""
    question = taking.question
    for at, slot in enumerate(question.slots):
        if slot.shared and slot.pot_ml is not None:
            taking.one(
                "pot", at, "what the pot holds", slot.pot_ml,
                f"what the pot holds: {slot.pot_ml:g} ml for {slot.time}",
                key=("pot", slot.time), day=slot.day,
            )  # fmt: skip
    if question.budget is not None or question.weights.cost_g != 0:
        for at, pack in enumerate(question.packs):
            if pack.most < 10_000:
                name = f"packs of {pack.food}: there are {pack.most}"
                taking.one("packs", at, f"packs of {pack.food}", float(pack.most), name)
    titles = {dish.id: dish.title for dish in question.dishes}
    for at, lock in enumerate(question.locks):
        who = f" for {lock.walker}" if lock.walker else ""
        taking.one(
            "lock", at, "fixed by you", 1.0,
            f"fixed by you: {titles[lock.dish]}, {lock.time} on day {lock.day}{who}",
            day=lock.day, side="low", price=FIXED_DISH,
        )  # fmt: skip
    for at, ban in enumerate(question.bans):
        if ban.dish in titles:
            where = "".join(
                f", {part}"
                for part in (f"day {ban.day}" if ban.day else "", ban.time or "", ban.walker or "")
                if part
            )
            name = f"banned by you: {titles[ban.dish]}{where}"
            taking.one("ban", at, "banned by you", 0.0, name, day=ban.day, price=FIXED_DISH)
    for at, walker in enumerate(question.walkers):
        for word in walker.dislikes:
            name = f"dislikes: {walker.id}, {titles.get(word, word)}"
            taking.one(
                "dislike", at, word, 0.0, name, key=("dislike", at, word), who=walker.id,
                price=FIXED_DISH,
            )  # fmt: skip
