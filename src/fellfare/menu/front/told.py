"""The front as values, and its steps as sentences."""

from __future__ import annotations

from itertools import pairwise
from typing import Literal, TypeAlias

import msgspec

from fellfare.menu.answer import Menu

By: TypeAlias = Literal["variety", "cost"]


class FrontPoint(msgspec.Struct, frozen=True, kw_only=True):
    """One menu of the front.

    ``different`` is how many different dishes stand at the times asked for,
    ``cost`` what all costs (None: a price is not known, or nobody asked).
    ``menu.bound_g`` is proven for its own place on the front: no menu with as
    many different dishes (or for as little money) weighs less.
    ``step_g`` is how much more it weighs than the point before, as weighed by
    the wishes; ``least_step_g`` and ``most_step_g`` are what the lightest menus
    of the two places can differ by, proven from both bounds. None at the first.
    """

    different: int
    cost: float | None
    menu: Menu
    step_g: float | None = None
    least_step_g: float | None = None
    most_step_g: float | None = None


class Front(msgspec.Struct, frozen=True, kw_only=True):
    """Menus of which none is both lighter and richer (or cheaper) than another; lightest first.

    ``first`` is the lightest menu as it was planned; where there is none, it
    says why, and there are no points. ``sentences`` tell the steps in words.
    ``seconds`` is all the time that was taken, ``first_seconds`` that of the
    first menu. ``ended`` says why there are no further points, ``left_out`` what
    was not looked at or gave way ('' = nothing).
    """

    by: By
    times: tuple[str, ...]
    first: Menu
    points: tuple[FrontPoint, ...] = ()
    sentences: tuple[str, ...] = ()
    ended: str = ""
    left_out: str = ""
    first_seconds: float = 0.0
    seconds: float = 0.0


def many_kinds(menu: Menu, times: tuple[str, ...]) -> int:
    """How many different dishes stand at those times."""
    return len({plate.dish for plate in menu.plates if plate.time in times})


def stepped(points: list[FrontPoint]) -> tuple[FrontPoint, ...]:
    """The points with their steps, each against the point before."""
    told: list[FrontPoint] = []
    for point in points:
        if not told:
            told.append(point)
            continue
        before, after = told[-1].menu, point.menu
        assert before.weighed_g is not None
        assert after.weighed_g is not None
        told.append(
            msgspec.structs.replace(
                point,
                step_g=after.weighed_g - before.weighed_g,
                least_step_g=max(0.0, after.bound_g - before.weighed_g),
                most_step_g=after.weighed_g - before.bound_g,
            )
        )
    return tuple(told)


def sentence(by: By, noun: str, before: FrontPoint, after: FrontPoint) -> str:
    """'one more different dinner (5 instead of 4) costs 38 g; proven: 21 to 52 g'.

    ``noun`` is what is counted: a dinner, a dish.
    """
    assert after.step_g is not None
    assert after.least_step_g is not None
    assert after.most_step_g is not None
    grams = _grams(after.step_g)
    proven = f"proven: {_grams(after.least_step_g, unit=False)} to {_grams(after.most_step_g)}"
    if by == "variety":
        more = after.different - before.different
        what = noun if more == 1 else noun + ("es" if noun.endswith(("h", "s", "x")) else "s")
        many = "one more" if more == 1 else f"{more} more"
        each = "" if more == 1 else f", {_grams(after.step_g / more)} each"
        opening = f"{many} different {what} ({after.different} instead of {before.different})"
        return f"{opening} {'costs' if more == 1 else 'cost'} {grams}{each}; {proven}"
    assert before.cost is not None
    assert after.cost is not None
    saved = before.cost - after.cost
    per = f", {_grams(after.step_g / saved)} for each unit of money" if saved > 0 else ""
    return f"to pay {saved:.2f} less ({after.cost:.2f}) costs {grams}{per}; {proven}"


def _grams(value: float, unit: bool = True) -> str:
    said = f"{value:.1f}" if abs(value) < 9.95 else f"{value:,.0f}".replace(",", " ")
    return f"{said} g" if unit else said


def sentences(by: By, noun: str, points: tuple[FrontPoint, ...]) -> tuple[str, ...]:
    """One sentence for every step of the front."""
    return tuple(sentence(by, noun, before, after) for before, after in pairwise(points))


def undominated(points: list[FrontPoint], by: By) -> list[FrontPoint]:
    """Lightest first, each further one heavier and richer (or cheaper) than all before."""

    def worth(point: FrontPoint) -> float:
        return float(point.different) if by == "variety" else -(point.cost or 0.0)

    def weight(point: FrontPoint) -> float:
        return float("inf") if point.menu.weighed_g is None else point.menu.weighed_g

    kept: list[FrontPoint] = []
    best = float("-inf")
    for point in sorted(points, key=lambda each: (weight(each), -worth(each))):
        if worth(point) > best + 1e-9:
            kept.append(point)
            best = worth(point)
    return kept
