"""The front as dots: the first aim across, the second up; places on the paper, no more."""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from fellfare.recipe.composing.sweeping import Dish
from fellfare.web.pages.compose.form import FIGURE_WORDS
from fellfare.web.pages.trips.pictures import Mark, levels_of
from fellfare.web.work.composing import Shown

WIDTH: Final = 440
HEIGHT: Final = 300
_LEFT, _FOOT, _TOP, _RIGHT = 40.0, 44.0, 26.0, 20.0


class Dots(Struct, frozen=True, kw_only=True):
    """Two aims against one another."""

    width: int
    height: int
    #: x, y of dishes of the front that are not chosen.
    front: tuple[tuple[float, float], ...]
    #: The chosen ones with their number.
    chosen: tuple[Mark, ...]
    across: tuple[Mark, ...]
    up: tuple[Mark, ...]
    across_is: str
    up_is: str


def dots(shown: Shown) -> Dots | None:
    """None with fewer than two aims or nothing known to draw."""
    aims = shown.asked.aims
    if len(aims) < 2:
        return None
    first, second = aims[0].figure, aims[1].figure

    def of(dishes: tuple[Dish, ...]) -> list[tuple[float, float] | None]:
        both = [(dish.figure(first), dish.figure(second)) for dish in dishes]
        return [None if x is None or y is None else (x, y) for x, y in both]

    front, chosen = of(shown.dotted), of(shown.chosen)
    known = [one for one in (*front, *chosen) if one is not None]
    if not known:
        return None
    low_x, high_x, step_x = levels_of(min(x for x, _ in known), max(x for x, _ in known), 5)
    low_y, high_y, step_y = levels_of(min(y for _, y in known), max(y for _, y in known), 4)

    def x(value: float) -> float:
        share = (value - low_x) / max(high_x - low_x, 1e-9)
        return round(_LEFT + share * (WIDTH - _LEFT - _RIGHT), 1)

    def y(value: float) -> float:
        share = (value - low_y) / max(high_y - low_y, 1e-9)
        return round(HEIGHT - _FOOT - share * (HEIGHT - _FOOT - _TOP), 1)

    numbers = {dish.number for dish in shown.chosen}
    return Dots(
        width=WIDTH, height=HEIGHT,
        front=tuple((x(one[0]), y(one[1])) for one, dish in zip(front, shown.dotted, strict=True)
                    if one is not None and dish.number not in numbers),
        chosen=tuple(Mark(x(one[0]), y(one[1]), str(at)) for at, one in enumerate(chosen, 1)
                     if one is not None),
        across=tuple(Mark(x(low_x + n * step_x), HEIGHT - _FOOT + 18, f"{low_x + n * step_x:g}")
                     for n in range(round((high_x - low_x) / step_x) + 1)),
        up=tuple(Mark(_LEFT, y(low_y + n * step_y), f"{low_y + n * step_y:g}")
                 for n in range(round((high_y - low_y) / step_y) + 1)),
        across_is=FIGURE_WORDS[first], up_is=FIGURE_WORDS[second],
    )  # fmt: skip
