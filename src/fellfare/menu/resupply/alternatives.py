"""Which sets of stops make sense, and what is asked of a menu with each of them?"""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations
from typing import Final

import msgspec
import numpy as np
from msgspec.structs import replace

from fellfare.menu.model.board import Board
from fellfare.menu.model.fitting import legs_of
from fellfare.menu.pool import Ban, BoxCap, Dish, Leg, Question
from fellfare.menu.resupply.stops import Stop, Worth

#: More sets than this are not weighed.
MOST_SETS: Final = 256


def sets_of(stops: tuple[Stop, ...]) -> tuple[tuple[tuple[Stop, ...], ...], int]:
    """Sets of stops, few stops first, and how many sets were left out for their number.

    Of two stops of one day a set holds one at most.
    """
    always = tuple(stop for stop in stops if stop.always)
    free = tuple(stop for stop in stops if not stop.always)
    found: list[tuple[Stop, ...]] = []
    left = 0
    for many in range(len(free) + 1):
        if len(found) >= MOST_SETS:
            left += _ways(len(free), many)
            continue
        for chosen in combinations(free, many):
            each = sorted((*always, *chosen), key=lambda stop: stop.day)
            if len({stop.day for stop in each}) < len(each):
                continue
            if len(found) < MOST_SETS:
                found.append(tuple(each))
            else:
                left += 1
    return tuple(found), left


def _ways(of: int, many: int) -> int:
    ways = 1
    for at in range(many):
        ways = ways * (of - at) // (at + 1)
    return ways


def legs_with(question: Question, stops: tuple[Stop, ...]) -> tuple[Leg, ...]:
    """The start, and one leg from each stop that has everything to the next such stop.

    A stop that has only some dishes cuts no leg: what it does not have is
    carried past it. Its fee is paid in the leg that it lies in.
    """
    start = legs_of(question)[0]
    full = [stop for stop in stops if stop.dishes is None]
    firsts = [1, *(stop.day for stop in full)]
    lasts = [*(first - 1 for first in firsts[1:]), question.days]
    names = [start.name, *(stop.name for stop in full)]
    fees = [start.fee, *(stop.fee for stop in full)]
    for stop in stops:
        if stop.dishes is not None:
            fees[max(at for at, first in enumerate(firsts) if first <= stop.day)] += stop.fee
    return tuple(
        Leg(name=name, first_day=first, last_day=last, fee=fee)
        for name, first, last, fee in zip(names, firsts, lasts, fees, strict=True)
    )


def taken_day(dish: str, day: int, stops: tuple[Stop, ...]) -> int:
    """The day from which a dish that is eaten on ``day`` is carried."""
    had = [
        stop.day
        for stop in stops
        if stop.day <= day and (stop.dishes is None or dish in stop.dishes)
    ]
    return max(had, default=1)


def question_with(question: Question, stops: tuple[Stop, ...], worth: Worth) -> Question:
    """What is asked of a menu when just these stops are used.

    What is made least is the mean load at the start of a day [g]: food that is
    eaten on the n-th day after it was taken up is carried on n days. (What is
    had at a stop with only some dishes is weighed by ``lighter_by_thin_stops``.)
    """
    legs = legs_with(question, stops)
    names = {leg.name for leg in legs}
    carried = [0.0] * question.days
    for leg in legs:
        for day in range(leg.first_day, leg.last_day + 1):
            carried[day - 1] = (day - leg.first_day + 1) / question.days
    caps = tuple(cap for cap in question.box_caps if cap.leg in names)
    caps += tuple(
        BoxCap(wish=f"what the box holds ({stop.name})", leg=stop.name, most_g=stop.most_g,
               most_ml=stop.most_ml)
        for stop in stops
        if stop.name in names and (stop.most_g is not None or stop.most_ml is not None)
    )  # fmt: skip
    return replace(
        question,
        legs=legs,
        dishes=tuple(_had_at(dish, legs, stops) for dish in question.dishes),
        bans=(*question.bans, *_not_yet(question, legs, stops)),
        box_caps=caps,
        weights=replace(
            question.weights, day=tuple(carried),
            cost_g=question.weights.cost_g + worth.money_g,
        ),
    )  # fmt: skip


def _had_at(dish: Dish, legs: tuple[Leg, ...], stops: tuple[Stop, ...]) -> Dish:
    """The dish with the legs for which it can be had."""
    by_name = {stop.name: stop for stop in stops}
    names = []
    for leg in legs:
        within = [
            stop for stop in stops
            if stop.dishes is not None and dish.id in stop.dishes
            and leg.first_day <= stop.day <= leg.last_day
        ]  # fmt: skip
        from_the_first = dish.stops is None or leg.name in dish.stops
        box = by_name.get(leg.name)
        if from_the_first and box is not None and box.waits_days > 0:
            until_eaten = box.waits_days + (leg.last_day - leg.first_day + 1)
            from_the_first = dish.keeps_days is not None and dish.keeps_days >= until_eaten
        if from_the_first or within:
            names.append(leg.name)
    return replace(dish, stops=None if len(names) == len(legs) else tuple(names))


def _not_yet(question: Question, legs: tuple[Leg, ...], stops: tuple[Stop, ...]) -> list[Ban]:
    """Dishes that only a stop on the way has, on the days of its leg before it."""
    bans = []
    for dish in question.dishes:
        if dish.stops is None:
            continue
        for leg in legs:
            if leg.name in dish.stops:
                continue
            had = [
                stop.day for stop in stops
                if stop.dishes is not None and dish.id in stop.dishes
                and leg.first_day <= stop.day <= leg.last_day
            ]  # fmt: skip
            bans += [
                Ban(dish=dish.id, day=day, firm=True)
                for day in range(leg.first_day, min(had, default=leg.first_day))
            ]
    return bans


def lighter_by_thin_stops(
    question: Question, stops: tuple[Stop, ...]
) -> Callable[[Board], Board] | None:
    """What food that is had on the way saves of the mean load, as a change of the board's costs.

    One figure more for every stretch of days between stops: the mass of a dish
    times the part of the days on which it need not be carried.
    """
    thin = sorted(stop.day for stop in stops if stop.dishes is not None)
    if not thin:
        return None
    legs = legs_with(question, stops)
    firsts = sorted({*thin, *(leg.first_day for leg in legs)})

    def change(board: Board) -> Board:
        plate_day = board.cell_day[board.plate_cell]
        figures, costs = [board.figures], [board.plate_cost]
        for at, first in enumerate(firsts):
            last = firsts[at + 1] - 1 if at + 1 < len(firsts) else question.days
            leg = next(each for each in legs if each.first_day <= first <= each.last_day)
            later = np.array(
                [taken_day(name, first, stops) - leg.first_day for name in board.dish_ids],
                dtype=np.float64,
            )
            if not (later > 0).any():
                continue
            figures.append((board.figures[:, 0] * later / question.days)[:, None])
            here = (plate_day >= first) & (plate_day <= last)
            costs.append(np.where(here, -question.weights.mass, 0.0)[:, None])
        return msgspec.structs.replace(
            board, figures=np.hstack(figures), plate_cost=np.hstack(costs)
        )

    return change
