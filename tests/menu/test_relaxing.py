"""The relaxation's bound: near its own value, and no higher when days are taken together."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from tests.menu.making import small_question, walk_question

from fellfare.menu.model.board import Floats
from fellfare.menu.model.laying import lay_board
from fellfare.menu.model.master import Master
from fellfare.menu.model.pricing import priced
from fellfare.menu.model.relaxing import StoppedError, relax
from fellfare.menu.model.spanning import relax_by_spans, span_of_days
from fellfare.menu.pool import Different, Often
from fellfare.menu.solver import Effort

EFFORT = Effort(seconds=30)


@pytest.mark.parametrize("seed", range(4))
def test_prices_prove_what_is_said(seed: int) -> None:
    board = lay_board(walk_question(seed, days=3, walkers=2))
    found = relax(board, list(range(board.days)), EFFORT)
    assert priced(board, found.prices).bound == pytest.approx(found.bound, rel=1e-9)
    assert found.bound <= found.value + 1e-6
    assert found.bound >= found.value * (1 - 2e-4)


@pytest.mark.parametrize("seed", range(4))
def test_days_taken_together_prove_no_more(seed: int) -> None:
    board = lay_board(walk_question(seed, days=4, walkers=1))
    apart = relax(board, list(range(4)), EFFORT, near=1e-7)
    together = relax(board, [0, 0, 1, 1], EFFORT, near=1e-7)
    assert together.bound <= apart.bound * (1 + 1e-7)


def test_span_by_span_is_nearly_as_tight_and_never_higher() -> None:
    question = walk_question(5, days=8, walkers=2)
    question = replace(
        question,
        oftens=(Often(wish="a favourite", dishes=(question.dishes[-1].id,), least=2),),
        differents=(Different(wish="dinners", times=("dinner",), least=6),),
    )
    board = lay_board(question)
    whole = relax(board, list(range(8)), EFFORT, near=1e-7)
    spans = relax_by_spans(board, EFFORT, near=1e-5)
    assert max(span_of_days(board)) == 1
    assert spans.bound <= whole.bound * (1 + 1e-7)
    assert spans.bound >= whole.bound * 0.99
    assert priced(board, spans.prices).bound == pytest.approx(spans.bound, rel=1e-9)


def test_long_legs_are_cut_into_even_spans() -> None:
    question = replace(walk_question(0, days=20, walkers=1, dishes=20), legs=())
    spans = span_of_days(lay_board(question))
    assert spans == sorted(spans)
    lengths = [spans.count(span) for span in set(spans)]
    assert max(lengths) - min(lengths) <= 1


def test_earlier_prices_save_rounds() -> None:
    board = lay_board(walk_question(2, days=4, walkers=2))
    first = relax(board, list(range(4)), EFFORT, whole_packs=False)
    again = relax(board, list(range(4)), EFFORT, warm=first.prices, whole_packs=False)
    assert again.solves <= first.solves
    assert again.bound == pytest.approx(first.bound, rel=5e-4)


def test_contradiction_is_proven_with_costs_left_out() -> None:
    question = small_question(3)
    asks = replace(question.bands[0], low=9_000.0, high=None)
    board = lay_board(replace(question, bands=(asks,)))
    assert relax(board, list(range(board.days)), EFFORT, costs=False).bound > 0


def test_out_of_time_is_said() -> None:
    board = lay_board(walk_question(0, days=6, walkers=3))
    with pytest.raises(StoppedError):
        relax(board, list(range(6)), Effort(seconds=1e-9))


def test_an_answer_stands_when_time_runs_out_after_columns_were_let_in(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    board = lay_board(walk_question(1, days=3, walkers=2, dishes=60))
    blocks = list(range(board.days))
    whole = relax(board, blocks, EFFORT)
    run, turns = Master.run, []

    def once(self: Master) -> tuple[float, Floats, Floats]:
        turns.append(1)
        if len(turns) > 1:
            raise StoppedError
        return run(self)

    monkeypatch.setattr(Master, "run", once)
    early = relax(board, blocks, EFFORT)
    assert len(turns) == 2
    assert early.bound <= whole.value + 1e-6
    cells = sum(len(dishes) > 0 for dishes in early.eaten.values())
    assert 0 < cells <= board.cells
