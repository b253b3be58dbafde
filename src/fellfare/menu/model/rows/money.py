"""Rows of what is bought: whole packs of foods, and the purse."""

from __future__ import annotations

import numpy as np

from fellfare.menu.model.figures import food_name
from fellfare.menu.model.rows.draft import ExtraDraft, Ground, RowDraft


def money_rows(ground: Ground, draft: RowDraft, extras: ExtraDraft) -> None:
    """Packs as columns that cover what is eaten; their price counts in cost and budget.

    Nothing is said of packs when nobody asks about money.
    """
    question, place = ground.question, ground.place
    weight = question.weights.cost_g
    if question.budget is None and weight == 0:
        return
    every = np.arange(ground.plate_cell.shape[0])
    ones = np.ones(every.shape[0])
    price: list[tuple[int, float]] = []
    for pack in question.packs:
        column = extras.add(f"packs of {pack.food}", weight * pack.price, pack.most, food=pack.food)
        at = draft.add(
            f"whole packs of {pack.food}",
            "g",
            "all",
            [(place[food_name(pack.food)], every, ones)],
            high=0.0,
            scale=pack.size_g,
        )
        draft.extra.append((at, column, -pack.size_g))
        price.append((column, pack.price))
    if question.budget is not None:
        fees = sum(leg.fee for leg in ground.legs)
        at = draft.add(
            question.budget.wish,
            "money",
            "all",
            [(place["cost"], every, ones)],
            high=question.budget.most - fees,
            scale=max(question.budget.most, 1.0),
        )
        draft.extra.extend((at, column, each) for column, each in price)
