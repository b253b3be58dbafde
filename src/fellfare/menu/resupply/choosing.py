"""Which boxes or shops: every sensible set bounded, the promising ones planned."""

from __future__ import annotations

import math

import msgspec

from fellfare.menu.answer import Menu, Progress
from fellfare.menu.asking import checked
from fellfare.menu.impossible import empty_cells
from fellfare.menu.model.board import Board
from fellfare.menu.model.bounding import relax_for_bound
from fellfare.menu.model.carried import plan_on, prices_on
from fellfare.menu.model.laying import lay_board
from fellfare.menu.model.pricing import Prices
from fellfare.menu.model.relaxing import StoppedError
from fellfare.menu.planning import Made, make
from fellfare.menu.pool import Question
from fellfare.menu.resupply.alternatives import (
    legs_with,
    lighter_by_thin_stops,
    question_with,
    sets_of,
    taken_day,
)
from fellfare.menu.resupply.stops import Choice, Resupply, Stop, Worth, checked_stops
from fellfare.menu.solver import Effort
from fellfare.menu.solver.outcome import gap_of
from fellfare.menu.trying import Trying, Watch


def choose_stops(
    question: Question,
    stops: tuple[Stop, ...],
    worth: Worth | None = None,
    most_plans: int = 6,
    shown: int = 3,
    tries: Trying | None = None,
    watch: Watch | None = None,
) -> Resupply:
    """Weigh the sets of stops against one another.

    Every set gets a proven bound first; sets are then planned, the lowest bound
    first: ``shown`` of them in any case, so that there is something to compare,
    then only what may still score better than the best menu found.

    Parameters
    ----------
    question
        The walk; its own legs are replaced (the first one's name and fee stay).
    stops
        Where food can be taken up on the way.
    worth
        What money and effort count beside the load (nothing, if not given).
    most_plans
        How many menus are made at most, 1 or more.
    shown
        How many sets are planned even when they are proven to be worse.
    tries, watch
        As for ``plan_menu``, for each menu; ``seconds`` is for the whole.

    Raises
    ------
    Mistake
        As ``plan_menu``; ``resupply-stops``, ``resupply-day``,
        ``resupply-unknown-dish``, ``resupply-figure``.
    """
    worth = worth or Worth()
    checked_stops(question, stops, worth)
    run = _Run(tries or Trying(), watch)
    sets, left = sets_of(stops)
    asked = [question_with(question, each, worth) for each in sets]
    bounded = [
        run.bounded(one, each, _effort_g(each, worth))
        for one, each in zip(asked, sets, strict=True)
    ]
    order = sorted(range(len(sets)), key=lambda at: (bounded[at].bound_g, len(sets[at])))
    best = math.inf
    planned = 0
    for at in order:
        choice = bounded[at]
        if choice.fate == "impossible":
            continue
        if choice.bound_g > best and planned >= shown:
            bounded[at] = msgspec.structs.replace(choice, fate="proven-worse")
            continue
        if planned >= max(1, most_plans) or run.over(choice, best):
            continue
        bounded[at] = run.planned(asked[at], sets[at], choice, _effort_g(sets[at], worth))
        planned += 1
        score = bounded[at].score_g
        best = best if score is None else min(best, score)
    choices = _with_front(bounded)
    choices.sort(
        key=lambda each: (
            each.fate != "planned",
            each.score_g if each.score_g is not None else each.bound_g,
        )
    )
    found = tuple(choices)
    return Resupply(
        choices=found, sentences=_sentences(found, left), not_weighed=left, seconds=run.spent()
    )


def _effort_g(stops: tuple[Stop, ...], worth: Worth) -> float:
    return worth.minute_g * sum(stop.effort_min for stop in stops)


class _Run:
    def __init__(self, tries: Trying, watch: Watch | None) -> None:
        self.tries, self.watch = tries, watch
        self.began = tries.clock() if tries.clock else 0.0
        self.solver_seconds = 0.0
        self.last: tuple[Board, Prices] | None = None
        self.made: Made | None = None
        self.stopped = False

    def spent(self) -> float:
        if self.tries.clock is not None:
            return self.tries.clock() - self.began
        return self.solver_seconds

    def left(self) -> float:
        return max(0.01, self.tries.seconds - self.spent())

    def over(self, choice: Choice, best: float) -> bool:
        if self.watch is not None:
            said = Progress(
                stage=" and ".join(choice.stops) or "no stop",
                best_g=best if best < math.inf else None,
                bound_g=choice.bound_g,
                gap=gap_of(best if best < math.inf else None, choice.bound_g),
            )
            self.stopped = self.watch(said) or self.stopped
        return self.stopped or self.spent() >= self.tries.seconds

    def bounded(self, asked: Question, stops: tuple[Stop, ...], effort_g: float) -> Choice:
        """The choice with its bound, from the relaxation alone."""
        board = _board(asked, stops)
        choice = Choice(
            stops=tuple(stop.name for stop in stops),
            legs=legs_with(asked, stops),
            fate="not-planned",
            bound_g=-math.inf,
            effort_min=sum(stop.effort_min for stop in stops),
        )
        gone = empty_cells(asked, board)
        if gone:
            return msgspec.structs.replace(choice, fate="impossible", bound_g=math.inf, gives=gone)
        warm = None if self.last is None else prices_on(board, *self.last)
        effort = Effort(seconds=self.left(), threads=self.tries.threads, seed=self.tries.seed)
        try:
            relaxed = relax_for_bound(board, effort, warm=warm)
        except StoppedError:
            return choice
        self.solver_seconds += relaxed.seconds
        self.last = (board, relaxed.prices)
        return msgspec.structs.replace(choice, bound_g=relaxed.bound + effort_g)

    def planned(
        self, asked: Question, stops: tuple[Stop, ...], choice: Choice, effort_g: float
    ) -> Choice:
        """The choice with its menu."""
        warm = None
        if self.made is not None and self.made.plan is not None and self.made.prices is not None:
            board = _board(asked, stops)
            warm = Made(
                menu=self.made.menu,
                board=board,
                plan=plan_on(board, self.made.board, self.made.plan),
                prices=prices_on(board, self.made.board, self.made.prices),
            )
        tries = msgspec.structs.replace(self.tries, seconds=self.left())
        made = make(asked, tries, None, warm, lighter_by_thin_stops(asked, stops))
        self.solver_seconds += made.menu.seconds
        menu = made.menu
        if not menu.plates or menu.weighed_g is None:
            fate = "impossible" if menu.verdict == "impossible" else "stopped"
            return msgspec.structs.replace(choice, fate=fate, menu=menu, gives=menu.gives)
        self.made = made
        loads = loads_g(asked, stops, menu)
        return msgspec.structs.replace(
            choice,
            fate="planned",
            menu=menu,
            bound_g=max(choice.bound_g, menu.bound_g + effort_g),
            score_g=menu.weighed_g + effort_g,
            mass_g=menu.mass_g,
            mean_load_g=sum(loads) / len(loads),
            heaviest_g=max(loads),
            money=money(asked, menu),
        )


def _board(asked: Question, stops: tuple[Stop, ...]) -> Board:
    board = lay_board(checked(asked))
    change = lighter_by_thin_stops(asked, stops)
    return board if change is None else change(board)


def loads_g(question: Question, stops: tuple[Stop, ...], menu: Menu) -> tuple[float, ...]:
    """What all carry of food and fuel at the start of each day [g]."""
    loads = [0.0] * question.days
    for plate in menu.plates:
        mass = sum(portion.mass_g for portion in plate.portions)
        for day in range(taken_day(plate.dish, plate.day, stops), plate.day + 1):
            loads[day - 1] += mass
    return tuple(loads)


def money(question: Question, menu: Menu) -> float | None:
    """Dishes, whole packs and fees of the legs; None when a price is not known."""
    total = sum(leg.fee for leg in question.legs)
    dishes = {dish.id: dish for dish in question.dishes}
    sold = {pack.food: pack for pack in question.packs}
    need: dict[str, float] = {}
    for plate in menu.plates:
        dish = dishes[plate.dish]
        servings = sum(portion.steps for portion in plate.portions) / dish.steps_per_serving
        if dish.cost is None and not dish.foods:
            return None
        total += (dish.cost or 0.0) * servings
        for food, amount in dish.foods:
            if food not in sold:
                return None
            need[food] = need.get(food, 0.0) + amount * servings
    total += sum(
        math.ceil(grams / sold[food].size_g - 1e-6) * sold[food].price
        for food, grams in need.items()
    )
    return total


def _with_front(choices: list[Choice]) -> list[Choice]:
    """Marks the planned choices that no other planned one beats in everything."""

    def figures(choice: Choice) -> tuple[float, float, float]:
        load = math.inf if choice.mean_load_g is None else choice.mean_load_g
        return load, math.inf if choice.money is None else choice.money, choice.effort_min

    marked = []
    for choice in choices:
        mine = figures(choice)
        beaten = any(
            other is not choice
            and other.fate == "planned"
            and figures(other) != mine
            and all(a <= b for a, b in zip(figures(other), mine, strict=True))
            for other in choices
        )
        front = choice.fate == "planned" and not beaten
        marked.append(msgspec.structs.replace(choice, front=front))
    return marked


def _sentences(choices: tuple[Choice, ...], left: int) -> tuple[str, ...]:
    said = []
    planned = [each for each in choices if each.fate == "planned"]
    said += [f"{_named(each)}: {_figures(each)}" for each in planned]
    if len(planned) > 1:
        one, other = planned[0], planned[1]
        assert one.mean_load_g is not None
        assert other.mean_load_g is not None
        assert one.heaviest_g is not None
        assert other.heaviest_g is not None
        told = (
            f"{_named(one)} instead of {_named(other)}: mean load "
            f"{_signed(one.mean_load_g - other.mean_load_g, 'g')}, heaviest day "
            f"{_signed(one.heaviest_g - other.heaviest_g, 'g')}"
        )
        if one.money is not None and other.money is not None:
            told += f", money {one.money - other.money:+.2f}"
        told += f", effort {_signed(one.effort_min - other.effort_min, 'min')}"
        said.append(told)
    worse = [each for each in choices if each.fate == "proven-worse"]
    if worse:
        many = "one further choice is" if len(worse) == 1 else f"{len(worse)} further choices are"
        said.append(f"{many} proven to be no better without a plan of its own")
    for each in choices:
        if each.fate == "impossible":
            why = f" ({each.gives[0].wish}: {each.gives[0].gives})" if each.gives else ""
            said.append(f"{_named(each)}: cannot be done{why}")
    if left:
        said.append(f"{left} sets of stops were not weighed: there are too many")
    return tuple(said)


def _named(choice: Choice) -> str:
    return " and ".join(choice.stops) or "no stop, all carried from the start"


def _figures(choice: Choice) -> str:
    load, heaviest = choice.mean_load_g or 0.0, choice.heaviest_g or 0.0
    told = f"mean load {_plain(load)} g, heaviest day {_plain(heaviest)} g, "
    told += f"food in all {_plain(choice.mass_g or 0.0)} g"
    told += f", money {'unknown' if choice.money is None else format(choice.money, '.2f')}"
    return told + f", effort {_plain(choice.effort_min)} min"


def _plain(value: float) -> str:
    return f"{value:,.0f}".replace(",", " ")


def _signed(value: float, unit: str) -> str:
    return f"{value:+,.0f} {unit}".replace(",", " ")
