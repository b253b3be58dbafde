"""What was wished, taken apart into single wishes that can give one by one.

A single wish is a floor or a ceiling on one day, one night's litres, one repeat
rule, one fixed dish. Wishes of one kind, one name and one walker are one *group*:
that is what a person calls a wish ('protein for Ana'), and what a way out counts.

Allergies, diets, keeping, supply and fire rules are not wishes: they never give, nor does
a firm ban, which is what a place says of a dish.
A fixed dish, a banned dish and a dislike can, as the last thing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite

from msgspec.structs import replace

from fellfare.menu.impossible.singles import (
    FIXED_DISH,
    Apart,
    Kind,
    Side,
    Single,
    band_name,
    band_size,
    numbers,
    times,
)
from fellfare.menu.pool import (
    Band,
    BoxCap,
    Budget,
    Different,
    Leg,
    Litres,
    LoadCap,
    Often,
    Question,
    Repeat,
)

#: Kinds of wish whose price is the mean over their days, however they were written.
BY_DAY: tuple[Kind, ...] = ("band", "litres", "load", "pot")


def taken_apart(question: Question) -> Apart:
    """Every wish on its own; those about fixed, banned and disliked dishes only as wishes."""
    taking = _Taking(question)
    apart = replace(
        question,
        bands=tuple(taking.bands()),
        litres=tuple(taking.litres()),
        load_caps=tuple(taking.loads()),
        box_caps=tuple(taking.boxes()),
        budget=taking.budget(),
        repeats=tuple(taking.repeats()),
        oftens=tuple(taking.oftens()),
        differents=tuple(taking.differents()),
        locks=(),
        bans=tuple(ban for ban in question.bans if ban.firm),
        walkers=tuple(replace(walker, dislikes=()) for walker in question.walkers),
    )
    taking.pots()
    taking.packs()
    taking.dishes()
    return Apart(question=apart, singles=taking.priced(), groups=taking.named())


class _Taking:
    """Single wishes and their groups, one after another.

    Each method that yields gives the wishes of one kind back with their tags as names.
    A limit of infinity is no wish.
    """

    def __init__(self, question: Question) -> None:
        self.question = question
        self.legs = question.legs or (Leg(name="walk", first_day=1, last_day=question.days),)
        self.singles: list[Single] = []
        self.groups: dict[tuple[object, ...], int] = {}
        self.names: list[str] = []

    def add(self, key: tuple[object, ...], name: str, single: Single) -> str:
        """Tag it and put it into the group of ``key``; ``name`` has a gap for the limit."""
        if key not in self.groups:
            self.groups[key] = len(self.names)
            self.names.append(f"{single.wish}: {name}")
        tag = f"#{len(self.singles)}"
        self.singles.append(replace(single, tag=tag, group=self.groups[key]))
        return tag

    def priced(self) -> tuple[Single, ...]:
        """All of them; a wish for many days or nights costs the mean over them."""
        many = [0] * len(self.names)
        for single in self.singles:
            many[single.group] += 1
        return tuple(
            replace(single, price=1.0 / many[single.group]) if single.kind in BY_DAY else single
            for single in self.singles
        )

    def named(self) -> tuple[str, ...]:
        """What each group is called, with its limit or the range of its limits."""
        limits: list[list[float]] = [[] for _ in self.names]
        for single in self.singles:
            percent = single.kind == "band" and self.question.bands[single.at].share
            limits[single.group].append(single.limit * (100.0 if percent else 1.0))
        return tuple(name.replace("{}", numbers(limits[at])) for at, name in enumerate(self.names))

    # -- limits ---------------------------------------------------------------------

    def bands(self) -> Iterator[Band]:
        eats = {(who, slot.day, slot.time) for slot in self.question.slots for who in slot.walkers}
        all_times = {slot.time for slot in self.question.slots}
        for at, band in enumerate(self.question.bands):
            days = band.days or tuple(range(1, self.question.days + 1))
            days = tuple(
                day
                for day in days
                if any((band.walker, day, time) in eats for time in band.times or all_times)
            )
            for span in (days,) if band.whole and days else tuple((day,) for day in days):
                if band.low is not None:
                    tag = self._band(at, band, "low", band.low, span)
                    yield replace(band, wish=tag, high=None, days=span)
                if band.high is not None and isfinite(band.high):
                    tag = self._band(at, band, "high", band.high, span)
                    yield replace(band, wish=tag, low=None, days=span)

    def _band(self, at: int, band: Band, side: Side, limit: float, span: Sequence[int]) -> str:
        key = (
            "band", band.wish, band.walker, band.nutrient, band.times, side, band.share, band.whole
        )  # fmt: skip
        single = Single(
            kind="band",
            at=at,
            wish=band.wish,
            limit=limit,
            side=side,
            day=None if band.whole else span[0],
            who=band.walker,
            size=band_size(self.question, band, limit),
        )
        return self.add(key, band_name(band, side), single)

    def limit(
        self, kind: Kind, at: int, wish: str, most: float, name: str, day: int | None, who: str
    ) -> str:
        """A ceiling of the whole party, of one walker or one box."""
        size = 1000.0 * max(most, 0.1) if kind == "litres" else abs(most) or 1.0
        single = Single(kind=kind, at=at, wish=wish, limit=most, day=day, who=who, size=size)
        return self.add((kind, at), name, single)

    def litres(self) -> Iterator[Litres]:
        for at, litre in enumerate(self.question.litres):
            for leg in self.legs if isfinite(litre.litres) else ():
                for night in range(leg.first_day - 1, leg.last_day):
                    if night in litre.days if litre.days else night >= leg.first_day:
                        tag = self.limit(
                            "litres", at, litre.wish, litre.litres, "at most {} L at night",
                            night, ", ".join(litre.walkers),
                        )  # fmt: skip
                        yield replace(litre, wish=tag, days=(night,))

    def loads(self) -> Iterator[LoadCap]:
        for at, cap in enumerate(self.question.load_caps):
            if not isfinite(cap.most_g):
                continue
            name = f"{cap.walker} carries at most {{}} g of food and fuel"
            for day in cap.days or tuple(leg.first_day for leg in self.legs):
                tag = self.limit("load", at, cap.wish, cap.most_g, name, day, cap.walker)
                yield replace(cap, wish=tag, days=(day,))

    def boxes(self) -> Iterator[BoxCap]:
        for at, box in enumerate(self.question.box_caps):
            name = f"the box for {box.leg} holds at most {{}}"
            if box.most_g is not None and isfinite(box.most_g):
                tag = self.limit("box g", at, box.wish, box.most_g, f"{name} g", None, box.leg)
                yield BoxCap(wish=tag, leg=box.leg, most_g=box.most_g)
            if box.most_ml is not None and isfinite(box.most_ml):
                tag = self.limit("box ml", at, box.wish, box.most_ml, f"{name} ml", None, box.leg)
                yield BoxCap(wish=tag, leg=box.leg, most_ml=box.most_ml)

    def budget(self) -> Budget | None:
        budget = self.question.budget
        if budget is None or not isfinite(budget.most):
            return budget
        tag = self.limit("budget", 0, budget.wish, budget.most, "at most {}", None, "")
        return replace(budget, wish=tag)

    def pots(self) -> None:
        for at, slot in enumerate(self.question.slots):
            if slot.shared and slot.pot_ml is not None and isfinite(slot.pot_ml):
                single = Single(
                    kind="pot",
                    at=at,
                    wish="what the pot holds",
                    limit=slot.pot_ml,
                    day=slot.day,
                    size=slot.pot_ml or 1.0,
                )
                self.add(("pot", slot.time), f"{{}} ml for {slot.time}", single)

    def packs(self) -> None:
        if self.question.budget is None and self.question.weights.cost_g == 0:
            return
        for at, pack in enumerate(self.question.packs):
            if pack.most < 10_000:
                wish = f"packs of {pack.food}"
                self.limit("packs", at, wish, float(pack.most), "there are {}", None, "")

    # -- counts -----------------------------------------------------------------------

    def count(
        self, kind: Kind, at: int, wish: str, limit: int, name: str, side: Side, of: int, who: str
    ) -> str:
        """A wish that is counted: giving one costs one of so many (``of``)."""
        single = Single(
            kind=kind, at=at, wish=wish, limit=float(limit), side=side, who=who,
            price=1.0 / max(1, of),
        )  # fmt: skip
        return self.add((kind, at), name, single)

    def repeats(self) -> Iterator[Repeat]:
        at_time: dict[str, int] = {}
        for slot in self.question.slots:
            at_time[slot.time] = at_time.get(slot.time, 0) + slot.most
        for at, repeat in enumerate(self.question.repeats):
            many = sum(at_time.get(time, 0) for time in repeat.times or at_time)
            name = (
                f"the same {repeat.key} at most {times(repeat.most)} in {repeat.within_days} days"
            )
            tag = self.count("repeat", at, repeat.wish, repeat.most, name, "high", many, "")
            yield replace(repeat, wish=tag)

    def oftens(self) -> Iterator[Often]:
        for at, often in enumerate(self.question.oftens):
            name = f"{' or '.join(often.dishes)} at least {times(often.least)}"
            tag = self.count(
                "often", at, often.wish, often.least, name, "low", often.least, often.walker or ""
            )
            yield replace(often, wish=tag)

    def differents(self) -> Iterator[Different]:
        for at, different in enumerate(self.question.differents):
            least = different.least
            name = f"at least {least} different dishes for {' and '.join(different.times)}"
            tag = self.count("different", at, different.wish, least, name, "low", least, "")
            yield replace(different, wish=tag)

    # -- dishes -----------------------------------------------------------------------

    def dishes(self) -> None:
        """Fixed, banned and disliked dishes."""
        titles = {dish.id: dish.title for dish in self.question.dishes}
        for at, lock in enumerate(self.question.locks):
            who = f" for {lock.walker}" if lock.walker else ""
            name = f"{titles[lock.dish]}, {lock.time} on day {lock.day}{who}"
            single = Single(
                kind="lock", at=at, wish="fixed by you", limit=1.0, side="low", day=lock.day,
                price=FIXED_DISH,
            )  # fmt: skip
            self.add(("lock", at), name, single)
        for at, ban in enumerate(self.question.bans):
            if ban.firm or ban.dish not in titles:
                continue
            where = (f"day {ban.day}" if ban.day else "", ban.time or "", ban.walker or "")
            name = ", ".join((titles[ban.dish], *(part for part in where if part)))
            single = Single(
                kind="ban", at=at, wish="banned by you", limit=0.0, day=ban.day, price=FIXED_DISH
            )
            self.add(("ban", at), name, single)
        for at, walker in enumerate(self.question.walkers):
            for word in walker.dislikes:
                single = Single(
                    kind="dislike", at=at, wish="dislikes", limit=0.0, who=walker.id, word=word,
                    price=FIXED_DISH,
                )  # fmt: skip
                self.add(("dislike", at, word), f"{walker.id}, {titles.get(word, word)}", single)
