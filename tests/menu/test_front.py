"""Fronts: more variety, or less money, never weighs less; every point keeps every rule."""

from __future__ import annotations

from functools import cache

import pytest
from msgspec.structs import replace
from tests.menu.meals import plain_walk

from fellfare.menu.answer import Progress
from fellfare.menu.checking import broken_rules
from fellfare.menu.front import Front, front
from fellfare.menu.front.climbing import asking
from fellfare.menu.front.floors import floors
from fellfare.menu.front.massing import by_mass
from fellfare.menu.front.money import with_prices
from fellfare.menu.front.purse import Purse
from fellfare.menu.front.steps import spread
from fellfare.menu.front.told import sentence
from fellfare.menu.model.laying import lay_board
from fellfare.menu.model.relaxing import relax
from fellfare.menu.planning import make, plan_menu
from fellfare.menu.pool import Budget, Different, Pack, Question
from fellfare.menu.solver import Effort
from fellfare.menu.trying import Trying
from fellfare.mistake import Mistake

TRIES = Trying(gap=0.01, seconds=20.0)


@cache
def drawn(seed: int = 1, by: str = "variety", points: int = 10) -> tuple[Question, Front]:
    question = plain_walk(seed)
    return question, front(question, by=by, points=points, tries=TRIES)  # type: ignore[arg-type]  # 'variety' or 'cost'


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_more_variety_never_weighs_less(seed: int) -> None:
    _, found = drawn(seed)
    weights = [point.menu.weighed_g or 0.0 for point in found.points]
    kinds = [point.different for point in found.points]
    bounds = [point.menu.bound_g for point in found.points]
    assert len(found.points) >= 2
    assert weights == sorted(weights)
    assert kinds == sorted(set(kinds))
    assert bounds == sorted(bounds)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_every_point_keeps_every_rule_and_has_the_variety_it_says(seed: int) -> None:
    question, found = drawn(seed)
    for point in found.points:
        menu = point.menu
        assert broken_rules(question, menu.plates) == ()
        assert len({p.dish for p in menu.plates if p.time == "dinner"}) == point.different
        assert menu.weighed_g is not None
        assert menu.bound_g <= menu.weighed_g
        assert menu.verdict in ("optimal", "good-enough", "stopped")


def test_the_front_reaches_as_many_dinners_as_there_are_days() -> None:
    question, found = drawn(1)
    assert found.points[-1].different == question.days


@pytest.mark.parametrize("seed", [1, 2])
def test_each_point_is_about_what_a_plan_of_its_own_finds(seed: int) -> None:
    question, found = drawn(seed)
    point = found.points[-1]
    wish = Different(wish="kinds", times=("dinner",), least=point.different)
    alone = plan_menu(replace(question, differents=(wish,)), TRIES)
    assert alone.weighed_g is not None
    assert point.menu.weighed_g is not None
    # two bounds of one place: each menu is at or above the other's
    assert alone.bound_g <= point.menu.weighed_g + 1e-6
    assert point.menu.bound_g <= alone.weighed_g + 1e-6


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_floor_from_seats_agrees_with_the_relaxation(seed: int) -> None:
    # Two ways to the same: the matching at given prices can never lie above the linear
    # relaxation that has a row for the wish.
    question = plain_walk(seed)
    wish = Different(wish="kinds", times=("dinner",), least=1)
    board = lay_board(replace(question, differents=(wish,)))
    row = board.rows.wish.index("kinds")
    cells = [cell for cell in range(board.cells) if board.cell_time[cell] == "dinner"]
    blocks = list(range(board.days))
    prices = relax(lay_board(question), blocks, Effort()).prices
    plain = lay_board(question)
    floor = floors(plain, prices, cells)
    for many in range(1, question.days + 1):
        relaxed = relax(asking(board, row, many), blocks, Effort())
        assert floor.at(many) <= relaxed.value + 0.01
        assert floor.at(many) >= relaxed.value * 0.99
    assert floor.at(question.days + 1) == float("inf")


def test_steps_and_sentences_are_computed_from_the_points() -> None:
    _, found = drawn(1)
    assert len(found.sentences) == len(found.points) - 1
    for before, after, said in zip(found.points, found.points[1:], found.sentences, strict=False):
        assert after.step_g == pytest.approx(
            (after.menu.weighed_g or 0) - (before.menu.weighed_g or 0)
        )
        assert after.least_step_g is not None
        assert after.most_step_g is not None
        assert after.step_g is not None
        assert after.least_step_g <= after.step_g + 1e-9 <= after.most_step_g + 2e-9
        assert f"({after.different} instead of {before.different})" in said
        assert "different dinner" in said


def test_a_step_of_several_is_told_in_the_plural() -> None:
    _, found = drawn(1)
    first, last = found.points[0], found.points[-1]
    step = replace(last, step_g=90.0, least_step_g=0.0, most_step_g=120.0)
    said = sentence("variety", "lunch", replace(first, different=1), replace(step, different=4))
    assert said.startswith("3 more different lunches (4 instead of 1) cost 90 g, 30 g each")


def test_snacks_of_several_picks_have_a_front_too() -> None:
    question = plain_walk(4, days=2, walkers=1)
    found = front(question, times=("snacks",), points=5, tries=TRIES)
    kinds = [point.different for point in found.points]
    assert len(kinds) >= 2
    for point in found.points:
        assert broken_rules(question, point.menu.plates) == ()
        assert len({p.dish for p in point.menu.plates if p.time == "snacks"}) == point.different


@pytest.mark.parametrize("seed", [1, 2])
def test_less_money_never_weighs_less(seed: int) -> None:
    question, found = drawn(seed, "cost", 5)
    costs = [point.cost or 0.0 for point in found.points]
    weights = [point.menu.weighed_g or 0.0 for point in found.points]
    assert len(found.points) >= 3
    assert costs == sorted(costs, reverse=True)
    assert weights == sorted(weights)
    for point in found.points:
        assert broken_rules(question, point.menu.plates) == ()
        assert point.menu.bound_g <= (point.menu.weighed_g or 0.0)
        price = {dish.id: dish.cost or 0.0 for dish in question.dishes}
        paid = sum(
            price[plate.dish] * portion.steps / 20
            for plate in point.menu.plates
            for portion in plate.portions
        )
        assert point.cost == pytest.approx(paid)
    assert "less" in found.sentences[0]


@pytest.mark.parametrize("packs", [False, True])
def test_the_purse_agrees_with_what_a_menu_says_it_costs(packs: bool) -> None:
    question = with_prices(plain_walk(5, days=2))
    if packs:
        sold = Pack(food="oats", size_g=500.0, price=2.0)
        first, *others = question.dishes
        mixed = replace(first, foods=(("oats", 60.0),))
        question = replace(question, dishes=(mixed, *others), packs=(sold,))
    made = make(question, TRIES)
    assert made.plan is not None
    purse = Purse(question, made.board)
    assert purse.money(made.plan) == pytest.approx(made.menu.cost)


def test_no_price_no_front_of_money() -> None:
    question = plain_walk(1)
    bare = replace(question, dishes=tuple(replace(d, cost=None) for d in question.dishes))
    with pytest.raises(Mistake) as caught:
        front(bare, by="cost", tries=TRIES)
    assert caught.value.code == "front-no-prices"


def test_a_question_without_a_menu_has_no_front_and_says_why() -> None:
    question = plain_walk(1)
    hungry = tuple(
        replace(band, low=90_000.0, high=None) if band.wish == "energy" else band
        for band in question.bands
    )
    found = front(replace(question, bands=hungry), tries=TRIES)
    assert found.points == ()
    assert found.first.verdict == "impossible"
    assert found.ended


def test_a_front_that_is_stopped_keeps_the_points_it_has() -> None:
    heard: list[str] = []

    def watch(progress: Progress) -> bool:
        heard.append(progress.stage)
        return progress.stage.endswith("different")

    found = front(plain_walk(1), tries=TRIES, watch=watch)
    assert len(found.points) == 1
    assert "stopped" in found.ended
    assert any(stage.endswith("different") for stage in heard)


@pytest.mark.parametrize(
    ("first", "last", "points", "expected"),
    [(2, 7, 10, [2, 3, 4, 5, 6, 7]), (1, 14, 3, [1, 8, 14]), (5, 5, 4, [5]), (6, 2, 4, [6])],
)
def test_points_are_spread_from_end_to_end(
    first: int, last: int, points: int, expected: list[int]
) -> None:
    assert spread(first, last, points) == expected


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ({"points": 1}, "front-points"),
        ({"times": ("tea",)}, "front-times"),
        ({"times": ()}, "front-times"),
    ],
)
def test_nonsense_about_fronts_is_refused(given: dict[str, object], code: str) -> None:
    with pytest.raises(Mistake) as caught:
        front(plain_walk(1), tries=TRIES, **given)  # type: ignore[arg-type]  # by name
    assert caught.value.code == code


@pytest.mark.parametrize("by", ["variety", "cost"])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_no_bound_of_mass_lies_above_the_mass_of_any_menu_of_its_place(seed: int, by: str) -> None:
    # Water that is carried for a dish weighs in the choice; it is no part of the mass.
    plain = plain_walk(seed, days=3, walkers=2)
    dishes = tuple(replace(d, water_ml=40.0 * (at % 9)) for at, d in enumerate(plain.dishes))
    dry = tuple(replace(slot, water_g_per_ml=1.0) for slot in plain.slots)
    question = replace(plain, dishes=dishes, slots=dry)
    found = front(question, by=by, points=5, tries=TRIES)  # type: ignore[arg-type]  # 'variety' or 'cost'
    assert len(found.points) >= 2
    for point in found.points:
        assert (point.menu.weighed_g or 0.0) > (point.menu.mass_g or 0.0) + 100.0
        assert 0.0 < point.menu.bound_mass_g <= (point.menu.mass_g or 0.0)
        for other in found.points:  # what a richer (or cheaper) menu weighs, a poorer one may
            if other.different >= point.different and by == "variety":
                assert point.menu.bound_mass_g <= (other.menu.mass_g or 0.0)
            if by == "cost" and (other.cost or 0.0) <= (point.cost or 0.0):
                assert point.menu.bound_mass_g <= (other.menu.mass_g or 0.0)
    # Another way to the lightest of a place: a plan where nothing weighs but mass.
    place = found.points[-1]
    asked = by_mass(question)
    if by == "variety":
        wish = Different(wish="kinds", times=("dinner",), least=place.different)
        asked = replace(asked, differents=(wish,))
    else:
        asked = replace(asked, budget=Budget(wish="its money", most=(place.cost or 0.0) + 1e-6))
    alone = plan_menu(asked, TRIES)
    assert alone.mass_g is not None
    assert place.menu.bound_mass_g <= alone.mass_g + 1e-6
    assert place.menu.bound_mass_g >= 0.95 * alone.mass_g
