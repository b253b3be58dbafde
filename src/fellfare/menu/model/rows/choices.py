"""Rows on choices: repeats, favourites, how many different dishes."""

from __future__ import annotations

import numpy as np

from fellfare.menu.model.board import Family, Indices
from fellfare.menu.model.rows.draft import INFINITE, ExtraDraft, Ground, RowDraft
from fellfare.menu.pool import Different, Question, Repeat


def choice_rows(ground: Ground, draft: RowDraft, extras: ExtraDraft) -> tuple[Family, ...]:
    """All families of rows on choices; 'different dishes' adds a row and columns too."""
    families = _repeats(ground)
    question = ground.question
    for at, often in enumerate(question.oftens):
        cells = np.arange(ground.cell_day.shape[0])
        if often.walker is not None:
            cells = ground.eats(ground.walker[often.walker])
        wanted = [0 if dish.id in often.dishes else -1 for dish in question.dishes]
        families.append(
            Family(
                wish=often.wish,
                rule=-1 - at,
                first_day=1,
                span=question.days,
                cells=cells.astype(np.int64),
                key=np.array(wanted, dtype=np.int64),
                keys=1,
                low=float(often.least),
                high=INFINITE,
            )
        )
    for at, different in enumerate(question.differents):
        rule = -1 - len(question.oftens) - at
        families.append(_different(ground, draft, extras, different, rule))
    rule = -1 - len(question.oftens) - len(question.differents)
    families += _besides(ground, rule)
    return tuple(families)


def _besides(ground: Ground, rule: int) -> list[Family]:
    """Another dish in the pot and this one beside it are two, and one may stand."""
    question = ground.question
    at = {dish.id: number for number, dish in enumerate(question.dishes)}
    meal_of = {(slot.day, slot.time): slot.meal for slot in question.slots}
    families: list[Family] = []
    for beside in question.besides:
        today = ground.cell_day == beside.day
        pot = np.nonzero(today & (ground.cell_time == beside.pot_time))[0]
        meal = meal_of[beside.day, beside.pot_time]
        key = np.array(
            [0 if meal in d.meals and d.id != beside.pot_dish else -1 for d in question.dishes],
            dtype=np.int64,
        )
        key[at[beside.dish]] = 0
        for cell in np.nonzero(today & (ground.cell_time == beside.time))[0].tolist():
            families.append(
                Family(
                    wish="beside the pot",
                    rule=rule - len(families),
                    first_day=beside.day,
                    span=1,
                    cells=np.array([*pot.tolist(), cell], dtype=np.int64),
                    key=key,
                    keys=1,
                    low=-INFINITE,
                    high=1.0,
                )
            )
    return families


def _keys(question: Question, repeat: Repeat) -> tuple[Indices, int]:
    """A number per dish for what must not come again (-1: nothing), and how many numbers."""
    words = [
        (dish.same_as or dish.id) if repeat.key == "dish" else getattr(dish, repeat.key)
        for dish in question.dishes
    ]
    order = {word: at for at, word in enumerate(dict.fromkeys(w for w in words if w))}
    return np.array([order.get(word, -1) for word in words], dtype=np.int64), len(order)


def _repeats(ground: Ground) -> list[Family]:
    """One family for each walker and window of days; the same window only once."""
    question, days = ground.question, ground.question.days
    families: list[Family] = []
    seen: set[tuple[int, bytes]] = set()
    eats = [ground.eats(walker) for walker in range(len(question.walkers))]
    for rule, repeat in enumerate(question.repeats):
        key, keys = _keys(question, repeat)
        fits = np.ones(ground.cell_day.shape[0], dtype=np.bool_)
        if repeat.times:
            fits = np.isin(ground.cell_time, np.array(repeat.times))
        span = min(repeat.within_days, days)
        for walker, mine in enumerate(eats):
            cells = mine[fits[mine]]
            day = ground.cell_day[cells]
            for first in range(1, days + 1):
                if first + span - 1 > days and (first - 1) % span:
                    continue  # a shorter window at the end: only where days are cut evenly
                inside = cells[(day >= first) & (day < first + span)]
                mark = (rule, inside.tobytes())
                if inside.shape[0] == 0 or mark in seen:
                    continue
                seen.add(mark)
                families.append(
                    Family(
                        wish=repeat.wish,
                        rule=rule * len(question.walkers) + walker,
                        first_day=first,
                        span=span,
                        cells=inside,
                        key=key,
                        keys=keys,
                        low=-INFINITE,
                        high=float(repeat.most),
                    )
                )
    return families


def _different(
    ground: Ground, draft: RowDraft, extras: ExtraDraft, different: Different, rule: int
) -> Family:
    """z[r] <= sum of x[c, r] over the times; the z add up to ``least`` or more."""
    dishes = ground.question.dishes
    cells = np.nonzero(np.isin(ground.cell_time, np.array(different.times)))[0].astype(np.int64)
    meals = {ground.question.slots[ground.cell_slot[c]].meal for c in cells.tolist()}
    key = np.full(len(dishes), -1, dtype=np.int64)
    columns: list[int] = []
    for r, dish in enumerate(dishes):
        if meals & set(dish.meals):
            key[r] = len(columns)
            columns.append(extras.add(f"{dish.id} counts", -different.worth_g, 1.0, dish=r))
    row = draft.add(
        different.wish, "different dishes", ", ".join(different.times), [],
        low=float(different.least),
    )  # fmt: skip
    draft.extra.extend((row, column, 1.0) for column in columns)
    return Family(
        wish="",
        rule=rule,
        first_day=1,
        span=ground.question.days,
        cells=cells,
        key=key,
        keys=len(columns),
        low=0.0,
        high=INFINITE,
        extra=np.array(columns, dtype=np.int64),
    )
