"""Whole menus: what comes back keeps every wish, and is what its bound says."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from tests.menu.making import small_question, walk_question

from fellfare.menu.answer import Progress
from fellfare.menu.checking import broken_rules
from fellfare.menu.model.board import Board
from fellfare.menu.planning import make, plan_menu
from fellfare.menu.pool import BoxCap, Different, LoadCap, Often, Question
from fellfare.menu.trying import Trying
from fellfare.mistake import Mistake


@pytest.mark.parametrize("seed", range(6))
def test_every_wish_is_kept(seed: int) -> None:
    question = walk_question(seed, days=3, walkers=1 + seed % 3)
    menu = plan_menu(question, Trying(gap=0.03, seconds=20))
    assert menu.plates
    assert broken_rules(question, menu.plates) == ()
    assert menu.weighed_g is not None
    assert menu.mass_g is not None
    assert menu.bound_g <= menu.weighed_g
    assert menu.bound_mass_g <= menu.mass_g
    assert menu.gap == pytest.approx((menu.weighed_g - menu.bound_g) / menu.weighed_g)


@pytest.mark.parametrize("seed", range(20))
def test_small_questions_are_answered(seed: int) -> None:
    """Whether the answer is the best is tried out by enumeration elsewhere."""
    menu = plan_menu(small_question(seed), Trying(gap=0, seconds=20))
    assert menu.verdict in ("optimal", "impossible")
    assert bool(menu.plates) == (menu.verdict == "optimal")


def test_the_same_question_twice_gives_the_same_plates() -> None:
    question = walk_question(4, days=4, walkers=3)
    first, second = (plan_menu(question, Trying(gap=0.01, seed=5)) for _ in range(2))
    assert first.plates == second.plates
    assert (first.weighed_g, first.bound_g) == (second.weighed_g, second.bound_g)


def wished(question: Question) -> Question:
    dinners = [d.id for d in question.dishes if d.meals == ("dinner",) and not d.contains]
    return replace(
        question,
        oftens=(Often(wish="the favourite", dishes=tuple(dinners[:3]), least=2),),
        differents=(Different(wish="different", times=("breakfast", "dinner"), least=6),),
        load_caps=(LoadCap(wish="back", walker="w1", most_g=3600.0),),
        box_caps=(BoxCap(wish="box", leg="hut", most_g=6000.0, most_ml=15000.0),),
    )


def test_wishes_of_the_whole_walk_are_kept() -> None:
    question = wished(walk_question(8, days=5, walkers=2))
    menu = plan_menu(question, Trying(gap=0.02, seconds=30))
    assert menu.plates
    assert broken_rules(question, menu.plates) == ()


def test_stopped_is_never_called_impossible() -> None:
    question = walk_question(1, days=4, walkers=2)
    heard: list[Progress] = []

    def at_once(said: Progress) -> bool:
        heard.append(said)
        return True

    menu = plan_menu(question, Trying(gap=0.0), at_once)
    assert menu.verdict == "stopped"
    assert len(heard) <= 3
    if menu.plates:
        assert broken_rules(question, menu.plates) == ()


def test_who_stops_later_gets_the_best_so_far() -> None:
    question = walk_question(1, days=4, walkers=2)
    best: list[float] = []

    def when_found(said: Progress) -> bool:
        if said.best_g is not None:
            best.append(said.best_g)
        return bool(best)

    menu = plan_menu(question, Trying(gap=0.0), when_found)
    assert menu.verdict == "stopped"
    assert menu.weighed_g == pytest.approx(best[-1])
    assert broken_rules(question, menu.plates) == ()


def test_a_clock_ends_the_search() -> None:
    ticks = iter(range(10_000))
    menu = plan_menu(
        walk_question(1, days=4, walkers=2),
        Trying(gap=0.0, seconds=25, clock=lambda: float(next(ticks))),
    )
    assert menu.verdict == "stopped"
    assert menu.seconds < 80


def test_progress_is_told_and_the_bound_only_rises() -> None:
    heard: list[Progress] = []

    def listen(said: Progress) -> bool:
        heard.append(said)
        return False

    menu = plan_menu(walk_question(3, days=3, walkers=2), Trying(gap=0.03), listen)
    bounds = [said.bound_g for said in heard if said.stage != "all at once"]
    assert bounds == sorted(bounds)
    assert menu.weighed_g is not None
    assert all(said.bound_g <= menu.weighed_g + 1e-6 for said in heard)


def test_an_earlier_answer_is_never_made_worse() -> None:
    question = walk_question(4, days=2, walkers=2, packs=False)
    first = make(question, Trying(gap=0.05))
    again = make(question, Trying(gap=0.05), warm=first)
    assert first.menu.weighed_g is not None
    assert again.menu.weighed_g is not None
    assert again.menu.weighed_g <= first.menu.weighed_g
    assert again.menu.solves < first.menu.solves


def test_an_earlier_answer_to_another_question_helps_too() -> None:
    question = walk_question(4, days=2, walkers=2, packs=False)
    first = make(question, Trying(gap=0.05))
    other = replace(question, dishes=question.dishes[1:], budget=None)
    menu = make(other, Trying(gap=0.05), warm=first).menu
    assert menu.plates
    assert broken_rules(other, menu.plates) == ()


def test_a_changed_board_has_the_last_word() -> None:
    question = walk_question(6, days=2, walkers=1, dishes=30, packs=False)
    plain = make(question, Trying(gap=0.02)).menu
    eaten = {plate.dish for plate in plain.plates}
    wanted = next(d.id for d in question.dishes if "lunch" in d.meals and d.id not in eaten)

    def nudged(board: Board) -> Board:
        at = board.dish_ids.index(wanted)
        cells = [c for c in range(board.cells) if board.cell_time[c] == "lunch"]
        return replace(board, cell_bonus=tuple((c, at, -500.0) for c in cells))

    menu = make(question, Trying(gap=0.02), change=nudged).menu
    assert any(plate.dish == wanted for plate in menu.plates)


def test_contradiction_is_proven() -> None:
    question = walk_question(2, days=2, walkers=1)
    menu = plan_menu(
        replace(question, bands=tuple(replace(b, low=9e4, high=None) for b in question.bands[:1]))
    )
    assert menu.verdict == "impossible"
    assert menu.plates == ()


def test_a_question_beyond_all_measure_is_refused() -> None:
    question = walk_question(0, days=100, walkers=60, dishes=40, packs=False)
    dishes = tuple(
        replace(question.dishes[at % len(question.dishes)], id=f"d{at}") for at in range(200_000)
    )
    with pytest.raises(Mistake, match="menu-too-large"):
        plan_menu(replace(question, dishes=dishes))


def test_a_bound_is_told_even_when_there_was_no_time() -> None:
    menu = plan_menu(walk_question(0, days=4, walkers=2), Trying(seconds=1e-9))
    assert menu.verdict == "stopped"
    assert menu.bound_g > 0


@pytest.mark.parametrize("bad", [{"gap": 1.0}, {"seconds": 0.0}, {"threads": 0}, {"seed": -1}])
def test_trying_out_of_range_is_refused(bad: dict[str, float]) -> None:
    with pytest.raises(Mistake, match="trying-out-of-range"):
        Trying(**bad)  # type: ignore[arg-type] # on purpose


@pytest.mark.parametrize("seed", [1, 2])
def test_where_water_weighs_too_the_mass_has_a_bound_of_its_own(seed: int) -> None:
    # Another way to the lightest mass: a plan where nothing else weighs.
    plain = walk_question(seed, days=3, walkers=1)
    dishes = tuple(replace(d, water_ml=40.0 * (at % 9)) for at, d in enumerate(plain.dishes))
    slots = tuple(replace(slot, water_g_per_ml=1.0) for slot in plain.slots)
    tries = Trying(gap=0.01, seconds=20.0)
    dry = plan_menu(replace(plain, dishes=dishes, slots=slots), tries)
    light = plan_menu(replace(plain, dishes=dishes), tries)
    assert dry.mass_g is not None
    assert light.mass_g is not None
    assert dry.bound_mass_g <= min(dry.mass_g, light.mass_g) + 1e-6
    if dry.mass_g > dry.bound_mass_g * 1.01:
        assert dry.bound_mass_g >= 0.97 * light.mass_g
