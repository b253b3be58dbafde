"""From a question to a board: which dishes fit which cells, and the rows of every wish."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

import msgspec
import numpy as np

from fellfare.menu.model.board import Board, Extras, Family, Flags, Floats, Indices, Rows
from fellfare.menu.pool import SHARE_KCAL_PER_G, Band, Dish, Leg, Lock, Question, Slot, Walker
from fellfare.mistake import Mistake

INFINITE = float("inf")
NUTRIENTS = ("energy_kcal", "protein_g", "fat_g", "carbohydrate_g", "fibre_g", "sodium_mg")
BASE = ("carried_g", "water_ml", *NUTRIENTS, "volume_ml", "cost", "pot_ml")
FIGURE = {name: at for at, name in enumerate(BASE)}
UNIT = {
    "energy_kcal": "kcal",
    "protein_g": "g",
    "fat_g": "g",
    "carbohydrate_g": "g",
    "fibre_g": "g",
    "sodium_mg": "mg",
}
#: More terms than this are refused before memory is asked for (about 1 GB).
MOST_TERMS = 20_000_000


def legs_of(question: Question) -> tuple[Leg, ...]:
    """The legs, or one leg over all days."""
    return question.legs or (Leg(name="walk", first_day=1, last_day=question.days),)


def figure_table(question: Question) -> tuple[Floats, dict[str, int]]:
    """Dishes x figures, unknown as 0, and the place of each figure (shares and foods too)."""
    place = dict(FIGURE)
    columns = [
        [dish.mass_g + dish.fuel_g for dish in question.dishes],
        [dish.water_ml for dish in question.dishes],
    ]
    columns += [
        [getattr(dish, name) or 0.0 for dish in question.dishes]
        for name in (*NUTRIENTS, "volume_ml", "cost", "pot_ml")
    ]
    for band in question.bands:
        if not band.share:
            continue
        for side, limit in (("low", band.low), ("high", band.high)):
            name = share_name(band, side)
            if limit is None or name in place:
                continue
            place[name] = len(columns)
            factor = SHARE_KCAL_PER_G[band.nutrient]
            columns.append(
                [
                    factor * (getattr(dish, band.nutrient) or 0.0) - limit * dish.energy_kcal
                    for dish in question.dishes
                ]
            )
    sold = {pack.food for pack in question.packs}
    for food in sorted(sold):
        place[f"food {food}"] = len(columns)
        columns.append([sum(g for f, g in dish.foods if f == food) for dish in question.dishes])
    return np.array(columns, dtype=np.float64).T.copy(), place


def share_name(band: Band, side: str) -> str:
    """The figure that a band on a share of energy is reckoned with."""
    return f"share {band.nutrient} {getattr(band, side)}"


def refusals(walker: Walker, dish: Dish) -> str | None:
    """Why this walker must not be served this dish (None: nothing speaks against it)."""
    for avoid in walker.avoids:
        if avoid.allergen in dish.contains:
            return f"it contains {avoid.allergen}"
        if avoid.may_contain and avoid.allergen in dish.may_contain:
            return f"it may contain {avoid.allergen}"
        if avoid.unknown and avoid.allergen in dish.unknown_allergens:
            return f"whether it contains {avoid.allergen} is not known"
    for diet in walker.diets:
        if diet not in dish.diets:
            return f"it is not known to be {diet}"
    if dish.id in walker.dislikes or (dish.family and dish.family in walker.dislikes):
        return "it is disliked"
    return None


def why_not(question: Question, slot: Slot, walker: str | None, dish: Dish) -> str | None:
    """Why a dish cannot stand in a slot (for one walker where each chooses), in words."""
    leg = next(g for g in legs_of(question) if g.first_day <= slot.day <= g.last_day)
    if slot.meal not in dish.meals:
        return f"it is no {slot.meal}"
    if not set(slot.ways) & set(dish.ways):
        return f"it needs {' or '.join(dish.ways)}"
    if dish.shared_only and not slot.shared:
        return "it is made for a common pot"
    if dish.stops is not None and leg.name not in dish.stops:
        return f"it cannot be had for the leg {leg.name}"
    age = slot.day - leg.first_day
    if (dish.keeps_days is None and age > 0) or (
        dish.keeps_days is not None and age >= dish.keeps_days
    ):
        return f"it does not keep until day {slot.day}"
    if question.litres and dish.volume_ml is None:
        return "its volume is not known, and litres are limited"
    if question.budget is not None and dish.cost is None and not dish.foods:
        return "its price is not known, and money is limited"
    for one in question.walkers:
        if one.id in slot.walkers and walker in (None, one.id):
            reason = refusals(one, dish)
            if reason:
                return f"{reason} ({one.id})"
    for ban in question.bans:
        if (
            ban.dish == dish.id
            and ban.day in (None, slot.day)
            and ban.time in (None, slot.time)
            and ban.walker in (None, walker)
        ):
            return "it is banned by the person"
    return None


def _may_eat(walker: Walker, dish: Dish) -> bool:
    return refusals(walker, dish) is None


class _Masks:
    """Which dishes fit a cell, put together from parts that are made once."""

    def __init__(self, question: Question) -> None:
        self.question = question
        self.dishes = question.dishes
        self.walker = {walker.id: walker for walker in question.walkers}
        self.parts: dict[tuple[object, ...], Flags] = {}
        unlimited = np.ones(len(self.dishes), dtype=np.bool_)
        if question.litres:
            unlimited &= self._flags(lambda dish: dish.volume_ml is not None)
        if question.budget is not None:
            unlimited &= self._flags(lambda dish: dish.cost is not None or bool(dish.foods))
        self.always = unlimited

    def _flags(self, fits: Callable[[Dish], bool]) -> Flags:
        return np.fromiter((fits(d) for d in self.dishes), dtype=np.bool_, count=len(self.dishes))

    def _part(self, key: tuple[object, ...], fits: Callable[[Dish], bool]) -> Flags:
        if key not in self.parts:
            self.parts[key] = self._flags(fits)
        return self.parts[key]

    def of(self, slot: Slot, leg: Leg, walker: str | None) -> Flags:
        """Flags of the dishes that fit; the same verdict as ``why_not``, faster."""
        age = slot.day - leg.first_day
        ways = set(slot.ways)
        flags = (
            self.always
            & self._part(("meal", slot.meal), lambda d: slot.meal in d.meals)
            & self._part(("ways", slot.ways), lambda d: bool(ways & set(d.ways)))
            & self._part(("leg", leg.name), lambda d: d.stops is None or leg.name in d.stops)
            & self._part(
                ("age", age),
                lambda d: age == 0 if d.keeps_days is None else age < d.keeps_days,
            )
        )
        if not slot.shared:
            flags = flags & self._part(("own",), lambda d: not d.shared_only)
        for one in slot.walkers if walker is None else (walker,):
            eater = self.walker[one]
            flags = flags & self._part(("walker", one), partial(_may_eat, eater))
        return np.asarray(flags, dtype=np.bool_)


class _Cells(msgspec.Struct):
    """Cells while they are being laid."""

    day: list[int]
    time: list[str]
    slot: list[int]
    walker: list[int]
    least: list[int]
    most: list[int]
    twice: list[int]
    mask: list[int]
    plates: list[tuple[int, ...]]


def _lay_cells(question: Question) -> tuple[_Cells, Flags]:
    masks = _Masks(question)
    number = {walker.id: at for at, walker in enumerate(question.walkers)}
    dish_at = {dish.id: at for at, dish in enumerate(question.dishes)}
    locks: dict[tuple[int, str, str | None], list[Lock]] = {}
    for lock in question.locks:
        locks.setdefault((lock.day, lock.time, lock.walker), []).append(lock)
    classes: dict[bytes, int] = {}
    kept: list[Flags] = []
    cells = _Cells([], [], [], [], [], [], [], [], [])
    used: set[tuple[int, str, str | None]] = set()

    def lay(at: int, who: str | None, least: int, most: int, twice: int, flags: Flags) -> None:
        slot = question.slots[at]
        seen = flags.tobytes()
        if seen not in classes:
            classes[seen] = len(kept)
            kept.append(flags)
        cells.day.append(slot.day)
        cells.time.append(slot.time)
        cells.slot.append(at)
        cells.walker.append(-1 if who is None else number[who])
        cells.least.append(least)
        cells.most.append(most)
        cells.twice.append(twice)
        cells.mask.append(classes[seen])
        eaters = slot.walkers if who is None else (who,)
        cells.plates.append(tuple(number[name] for name in eaters))

    for at, slot in enumerate(question.slots):
        leg = next(g for g in legs_of(question) if g.first_day <= slot.day <= g.last_day)
        for who in (None,) if slot.shared else slot.walkers:
            flags = masks.of(slot, leg, who)
            for ban in question.bans:
                fits = ban.day in (None, slot.day) and ban.time in (None, slot.time)
                if fits and ban.walker in (None, who) and ban.dish in dish_at:
                    flags = flags.copy()
                    flags[dish_at[ban.dish]] = False
            least, most = slot.least, slot.most
            for key in ((slot.day, slot.time, None), (slot.day, slot.time, who)):
                if key in used and who is None:
                    continue
                for lock in locks.get(key, ()):
                    used.add(key)
                    only = np.zeros_like(flags)
                    dish = question.dishes[dish_at[lock.dish]]
                    reason = why_not(question, slot, who, dish)
                    if reason is None and most == 0:
                        reason = "there is no place left at this time"
                    if reason is not None:
                        raise Mistake(
                            "locked-dish-does-not-fit",
                            what=f"'{dish.title}' is fixed there, but {reason}",
                            mend="fix another dish, or change what speaks against it",
                            where=f"day {slot.day} > {slot.time}",
                        )
                    only[dish_at[lock.dish]] = True
                    lay(at, who, 1, 1, 1, only)
                    least, most = max(0, least - 1), most - 1
                if who is None:
                    break
            if most > 0:
                lay(at, who, least, most, slot.twice, flags)
    for key, held in locks.items():
        if key not in used:
            raise Mistake(
                "lock-without-eating-time",
                what=f"'{held[0].dish}' is fixed on day {key[0]} at '{key[1]}', "
                "which is no eating time of that walker",
                mend="give the day, the eating time and (where each chooses) the walker",
            )
    return cells, np.array(kept, dtype=np.bool_).reshape(len(kept), len(question.dishes))


class _RowDraft(msgspec.Struct):
    wish: list[str]
    unit: list[str]
    where: list[str]
    rule: list[int]
    day: list[int]
    low: list[float]
    high: list[float]
    scale: list[float]
    row: list[Indices]
    plate: list[Indices]
    figure: list[Indices]
    value: list[Floats]
    extra: list[tuple[int, int, float]]
    terms: int

    def add(
        self,
        wish: str,
        unit: str,
        where: str,
        rule: int,
        day: int,
        low: float,
        high: float,
        terms: Sequence[tuple[int, Indices, Floats]],
    ) -> int:
        at = len(self.low)
        self.wish.append(wish)
        self.unit.append(unit)
        self.where.append(where)
        self.rule.append(rule)
        self.day.append(day)
        self.low.append(low)
        self.high.append(high)
        finite = [abs(x) for x in (low, high) if np.isfinite(x) and x != 0]
        self.scale.append(max(finite) if finite else 0.0)
        for figure, plates, numbers in terms:
            self.row.append(np.full(plates.shape[0], at, dtype=np.int64))
            self.plate.append(plates)
            self.figure.append(np.full(plates.shape[0], figure, dtype=np.int64))
            self.value.append(numbers)
            self.terms += plates.shape[0]
            if self.terms > MOST_TERMS:
                raise Mistake(
                    "menu-too-large",
                    what=f"the rules of this walk take more than {MOST_TERMS:,} terms",
                    mend="split the party or the walk, or give the load in the need itself",
                )
        return at


def lay_board(question: Question) -> Board:
    """The whole board. The question has been checked (``menu.asking``) before."""
    cells, masks = _lay_cells(question)
    figures, place = figure_table(question)
    counts = [len(p) for p in cells.plates]
    plate_start = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
    plate_cell = np.repeat(np.arange(len(counts)), counts).astype(np.int64)
    plate_walker = np.array([w for p in cells.plates for w in p], dtype=np.int64)
    cell_day = np.array(cells.day, dtype=np.int64)
    cell_slot = np.array(cells.slot, dtype=np.int64)
    cell_walker = np.array(cells.walker, dtype=np.int64)
    plate_day = cell_day[plate_cell]
    legs = legs_of(question)
    leg_of_day = np.zeros(question.days, dtype=np.int64)
    for at, leg in enumerate(legs):
        leg_of_day[leg.first_day - 1 : leg.last_day] = at

    laid = _Laid(
        question=question,
        place=place,
        cell_day=cell_day,
        cell_slot=cell_slot,
        cell_time=tuple(cells.time),
        cell_walker=cell_walker,
        plate_cell=plate_cell,
        plate_walker=plate_walker,
        plate_day=plate_day,
        leg_of_day=leg_of_day,
    )
    draft = _RowDraft([], [], [], [], [], [], [], [], [], [], [], [], [], 0)
    extras = _ExtraDraft([], [], [], [], [], [])
    _band_rows(laid, draft)
    _room_rows(laid, draft)
    _money_rows(laid, draft, extras)
    families = _families(laid, draft, extras)
    rows = _sorted_rows(draft, plate_cell.shape[0])

    weights = question.weights
    day_weight = np.array(weights.day or (1.0,) * question.days, dtype=np.float64)
    plate_cost = np.zeros((plate_cell.shape[0], figures.shape[1]))
    plate_cost[:, place["carried_g"]] = weights.mass * day_weight[plate_day - 1]
    water = np.array([slot.water_g_per_ml for slot in question.slots])
    plate_cost[:, place["water_ml"]] = weights.mass * water[cell_slot[plate_cell]]
    plate_cost[:, place["cost"]] = weights.cost_g
    families_of: list[list[int]] = [[] for _ in cells.day]
    for at, family in enumerate(families):
        for cell in family.cells.tolist():
            families_of[cell].append(at)
    steps = np.array([dish.steps_per_serving for dish in question.dishes], dtype=np.float64)
    return Board(
        days=question.days,
        dish_ids=tuple(dish.id for dish in question.dishes),
        walker_ids=tuple(walker.id for walker in question.walkers),
        figures=figures,
        least=np.array([dish.least_steps for dish in question.dishes]) / steps,
        most=np.array([dish.most_steps for dish in question.dishes]) / steps,
        steps=steps,
        cell_day=cell_day,
        cell_time=tuple(cells.time),
        cell_slot=cell_slot,
        cell_walker=cell_walker,
        cell_least=np.array(cells.least, dtype=np.int64),
        cell_most=np.array(cells.most, dtype=np.int64),
        cell_twice=np.array(cells.twice, dtype=np.int64),
        cell_mask=np.array(cells.mask, dtype=np.int64),
        masks=masks,
        plate_start=plate_start,
        plate_cell=plate_cell,
        plate_walker=plate_walker,
        plate_cost=plate_cost,
        dish_bonus=np.array([-weights.liking_g * dish.liking for dish in question.dishes]),
        cell_bonus=(),
        rows=rows,
        families=tuple(families),
        families_of=tuple(tuple(each) for each in families_of),
        extras=extras.done(),
        offset=weights.cost_g * sum(leg.fee for leg in legs),
        legs=leg_of_day,
    )


class _ExtraDraft(msgspec.Struct):
    name: list[str]
    cost: list[float]
    low: list[float]
    high: list[float]
    dish: list[int]
    food: list[str]

    def add(self, name: str, cost: float, high: float, dish: int = -1, food: str = "") -> int:
        self.name.append(name)
        self.cost.append(cost)
        self.low.append(0.0)
        self.high.append(high)
        self.dish.append(dish)
        self.food.append(food)
        return len(self.name) - 1

    def done(self) -> Extras:
        return Extras(
            name=tuple(self.name),
            cost=np.array(self.cost, dtype=np.float64),
            low=np.array(self.low, dtype=np.float64),
            high=np.array(self.high, dtype=np.float64),
            dish=np.array(self.dish, dtype=np.int64),
            food=tuple(self.food),
        )


class _Laid(msgspec.Struct, eq=False):
    question: Question
    place: dict[str, int]
    cell_day: Indices
    cell_slot: Indices
    cell_time: tuple[str, ...]
    cell_walker: Indices
    plate_cell: Indices
    plate_walker: Indices
    plate_day: Indices
    leg_of_day: Indices

    def carried(self, walker: int, day: int, whole_day: bool) -> tuple[Indices, Floats]:
        """Plates of which ``walker`` carries a part on ``day``, and the part.

        What a slot's food counts on its own day is the slot's ``carried_share``,
        or all of it (``whole_day``: the load at the start of the day).
        """
        question = self.question
        share = question.walkers[walker].common_share
        if share is None:
            share = 1.0 / len(question.walkers)
        own = self.cell_walker[self.plate_cell]
        part = np.where(own == walker, 1.0, np.where(own == -1, share, 0.0))
        same_leg = self.leg_of_day[self.plate_day - 1] == self.leg_of_day[day - 1]
        part = part * (same_leg & (self.plate_day >= day))
        if not whole_day:
            today = np.array([slot.carried_share for slot in question.slots])
            on_day = today[self.cell_slot[self.plate_cell]]
            part = np.where(self.plate_day == day, part * on_day, part)
        plates = np.nonzero(part)[0]
        return plates, part[plates]


def _of(walker: str, question: Question) -> int:
    return next(at for at, one in enumerate(question.walkers) if one.id == walker)


def _band_rows(laid: _Laid, draft: _RowDraft) -> None:
    question, place = laid.question, laid.place
    load: dict[tuple[int, int], tuple[Indices, Floats]] = {}
    rules: dict[tuple[object, ...], int] = {}
    for band in question.bands:
        kind = (band.wish, band.walker, band.nutrient, band.share, band.low is None)
        rule = rules.setdefault((*kind, band.high is None), len(rules))
        if band.whole:
            rule = -1
        walker = _of(band.walker, question)
        mine = laid.plate_walker == walker
        days = band.days or tuple(range(1, question.days + 1))
        spans = (days,) if band.whole else tuple((day,) for day in days)
        alpha = question.walkers[walker].load_kcal_per_kg
        for span in spans:
            plates = np.nonzero(mine & np.isin(laid.plate_day, np.array(span)))[0]
            if plates.shape[0] == 0:
                continue
            where = (
                f"{band.walker}, days {span[0]}-{span[-1]}"
                if band.whole
                else (f"{band.walker}, day {span[0]}")
            )
            ones = np.ones(plates.shape[0])
            day = span[0]
            if band.share:
                for side, low, high in (("low", 0.0, INFINITE), ("high", -INFINITE, 0.0)):
                    if getattr(band, side) is None:
                        continue
                    at = draft.add(
                        band.wish, f"kcal of {band.nutrient[:-2]}", where, rule, day, low, high,
                        [(place[share_name(band, side)], plates, ones)],
                    )  # fmt: skip
                    draft.scale[at] = 500.0
                continue
            terms = [(place[band.nutrient], plates, ones)]
            if band.nutrient == "energy_kcal" and alpha > 0:
                for each in span:
                    if (walker, each) not in load:
                        load[walker, each] = laid.carried(walker, each, whole_day=False)
                    loaded, part = load[walker, each]
                    terms.append((place["carried_g"], loaded, -alpha / 1000.0 * part))
            draft.add(
                band.wish, UNIT[band.nutrient], where, rule, day,
                -INFINITE if band.low is None else band.low,
                INFINITE if band.high is None else band.high,
                terms,
            )  # fmt: skip


def _room_rows(laid: _Laid, draft: _RowDraft) -> None:
    question, place = laid.question, laid.place
    legs = legs_of(question)
    for litre in question.litres:
        who = {_of(name, question) for name in litre.walkers}
        mine = (
            np.ones(laid.plate_walker.shape[0], dtype=np.bool_)
            if not who
            else np.isin(laid.plate_walker, np.array(sorted(who)))
        )
        for leg in legs:
            inside = mine & (laid.plate_day >= leg.first_day) & (laid.plate_day <= leg.last_day)
            for night in range(leg.first_day - 1, leg.last_day):
                if litre.days and night not in litre.days:
                    continue
                if night == leg.first_day - 1 and not litre.days:
                    continue  # that night is spent where the food is taken up
                plates = np.nonzero(inside)[0]
                numbers = np.where(laid.plate_day[plates] > night, 1.0, litre.rubbish_share)
                draft.add(
                    litre.wish, "ml", f"night {night}", -1, leg.first_day,
                    -INFINITE, litre.litres * 1000.0,
                    [(place["volume_ml"], plates, numbers)],
                )  # fmt: skip
    for cap in question.load_caps:
        walker = _of(cap.walker, question)
        for day in cap.days or tuple(leg.first_day for leg in legs):
            plates, part = laid.carried(walker, day, whole_day=True)
            draft.add(
                cap.wish, "g", f"{cap.walker}, day {day}", -1, day, -INFINITE, cap.most_g,
                [(place["carried_g"], plates, part)],
            )  # fmt: skip
    for box in question.box_caps:
        leg = next(g for g in legs if g.name == box.leg)
        plates = np.nonzero((laid.plate_day >= leg.first_day) & (laid.plate_day <= leg.last_day))[0]
        ones = np.ones(plates.shape[0])
        for figure, most, unit in (
            ("carried_g", box.most_g, "g"),
            ("volume_ml", box.most_ml, "ml"),
        ):
            if most is not None:
                draft.add(
                    box.wish, unit, f"box for {leg.name}", -1, leg.first_day, -INFINITE, most,
                    [(place[figure], plates, ones)],
                )  # fmt: skip
    for cell in range(laid.cell_day.shape[0]):
        slot = question.slots[laid.cell_slot[cell]]
        if slot.pot_ml is not None and laid.cell_walker[cell] == -1:
            plates = np.nonzero(laid.plate_cell == cell)[0]
            draft.add(
                f"what the pot holds, {slot.time}", "ml", f"day {slot.day}", -1, slot.day,
                -INFINITE, slot.pot_ml, [(place["pot_ml"], plates, np.ones(plates.shape[0]))],
            )  # fmt: skip


def _money_rows(laid: _Laid, draft: _RowDraft, extras: _ExtraDraft) -> None:
    question, place = laid.question, laid.place
    weight = question.weights.cost_g
    if question.budget is None and weight == 0:
        return
    every = np.arange(laid.plate_cell.shape[0])
    ones = np.ones(every.shape[0])
    price: list[tuple[int, float]] = []
    for pack in question.packs:
        column = extras.add(f"packs of {pack.food}", weight * pack.price, pack.most, food=pack.food)
        at = draft.add(
            f"whole packs of {pack.food}", "g", "all", -1, 1, -INFINITE, 0.0,
            [(place[f"food {pack.food}"], every, ones)],
        )  # fmt: skip
        draft.scale[at] = pack.size_g
        draft.extra.append((at, column, -pack.size_g))
        price.append((column, pack.price))
    if question.budget is not None:
        fees = sum(leg.fee for leg in legs_of(question))
        at = draft.add(
            question.budget.wish, "money", "all", -1, 1, -INFINITE, question.budget.most - fees,
            [(place["cost"], every, ones)],
        )  # fmt: skip
        draft.scale[at] = max(question.budget.most, 1.0)
        draft.extra.extend((at, column, each) for column, each in price)


def _families(laid: _Laid, draft: _RowDraft, extras: _ExtraDraft) -> list[Family]:
    question = laid.question
    families: list[Family] = []
    seen: set[tuple[int, bytes]] = set()
    times = np.array(laid.cell_time)
    eats = np.zeros((len(question.walkers), laid.cell_day.shape[0]), dtype=np.bool_)
    eats[laid.plate_walker, laid.plate_cell] = True
    for rule, repeat in enumerate(question.repeats):
        words = [dish.id if repeat.key == "dish" else getattr(dish, repeat.key)
                 for dish in question.dishes]  # fmt: skip
        order = {word: at for at, word in enumerate(dict.fromkeys(w for w in words if w))}
        key = np.array([order.get(word, -1) for word in words], dtype=np.int64)
        fits = np.ones(times.shape, dtype=np.bool_)
        if repeat.times:
            fits = np.isin(times, np.array(repeat.times))
        span = min(repeat.within_days, question.days)
        for walker in range(len(question.walkers)):
            for first in range(1, question.days + 1):
                if first + span - 1 > question.days and (first - 1) % span:
                    continue  # a shorter window at the end: only where days are cut evenly
                inside = (laid.cell_day >= first) & (laid.cell_day < first + span)
                cells = np.nonzero(fits & eats[walker] & inside)[0].astype(np.int64)
                mark = (rule, cells.tobytes())
                if cells.shape[0] == 0 or mark in seen:
                    continue
                seen.add(mark)
                families.append(
                    Family(
                        wish=repeat.wish,
                        rule=rule * 1000 + walker,
                        first_day=first,
                        span=span,
                        cells=cells,
                        key=key,
                        keys=len(order),
                        low=-INFINITE,
                        high=float(repeat.most),
                    )
                )
    for at, often in enumerate(question.oftens):
        key = np.array(
            [0 if dish.id in often.dishes else -1 for dish in question.dishes], dtype=np.int64
        )
        cells = np.arange(laid.cell_day.shape[0])
        if often.walker is not None:
            cells = np.nonzero(eats[_of(often.walker, question)])[0]
        families.append(
            Family(
                wish=often.wish,
                rule=-1 - at,
                first_day=1,
                span=question.days,
                cells=cells.astype(np.int64),
                key=key,
                keys=1,
                low=float(often.least),
                high=INFINITE,
            )
        )
    for at, different in enumerate(question.differents):
        _different(laid, draft, extras, families, different.wish, different.times,
                   different.least, -1000 - at)  # fmt: skip
    return families


def _different(
    laid: _Laid, draft: _RowDraft, extras: _ExtraDraft, families: list[Family],
    wish: str, times: tuple[str, ...], least: int, rule: int,
) -> None:  # fmt: skip
    """z[r] <= sum of x[c, r] over the times; the z add up to ``least`` or more."""
    dishes = laid.question.dishes
    cells = np.nonzero(np.isin(np.array(laid.cell_time), np.array(times)))[0].astype(np.int64)
    meals = {laid.question.slots[laid.cell_slot[c]].meal for c in cells.tolist()}
    key = np.full(len(dishes), -1, dtype=np.int64)
    columns: list[int] = []
    for r, dish in enumerate(dishes):
        if meals & set(dish.meals):
            key[r] = len(columns)
            columns.append(extras.add(f"{dish.id} counts", 0.0, 1.0, dish=r))
    row = draft.add(wish, "different dishes", ", ".join(times), -1, 1, float(least), INFINITE, [])
    draft.extra.extend((row, column, 1.0) for column in columns)
    families.append(
        Family(
            wish="",
            rule=rule,
            first_day=1,
            span=laid.question.days,
            cells=cells,
            key=key,
            keys=len(columns),
            low=0.0,
            high=INFINITE,
            extra=np.array(columns, dtype=np.int64),
        )
    )


def _sorted_rows(draft: _RowDraft, plates: int) -> Rows:
    def joined(parts: list[Indices]) -> Indices:
        return np.concatenate(parts) if parts else np.zeros(0, dtype=np.int64)

    plate = joined(draft.plate)
    order = np.argsort(plate, kind="stable")
    value = np.concatenate(draft.value) if draft.value else np.zeros(0)
    scale = np.array(draft.scale, dtype=np.float64)
    return Rows(
        wish=tuple(draft.wish),
        unit=tuple(draft.unit),
        where=tuple(draft.where),
        rule=np.array(draft.rule, dtype=np.int64),
        day=np.array(draft.day, dtype=np.int64),
        low=np.array(draft.low, dtype=np.float64),
        high=np.array(draft.high, dtype=np.float64),
        scale=np.where(scale > 0, scale, 1.0),
        term_start=np.searchsorted(plate[order], np.arange(plates + 1)).astype(np.int64),
        term_row=joined(draft.row)[order],
        term_figure=joined(draft.figure)[order],
        term_value=value[order],
        extra_row=np.array([e[0] for e in draft.extra], dtype=np.int64),
        extra_column=np.array([e[1] for e in draft.extra], dtype=np.int64),
        extra_value=np.array([e[2] for e in draft.extra], dtype=np.float64),
    )
