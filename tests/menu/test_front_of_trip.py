"""The front of a trip: usual wishes give way, and where there is no front it is said why."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace
from tests.menu.trips import asked, written

from fellfare.menu.asked import Asked
from fellfare.menu.front_of_trip import front_of_trip
from fellfare.menu.pool import Ban, Repeat
from fellfare.menu.trying import Trying
from fellfare.mistake import Mistake

TRIES = Trying(seconds=10.0)


def trip(folder: Path, rules: str = "coverage = 0.5\nenergy_band = [0.5, 1.5]") -> Asked:
    return asked(written(folder, rules=rules))


def with_dishes(given: Asked, costs: dict[str, float | None]) -> Asked:
    dishes = tuple(
        replace(one, dish=replace(one.dish, cost=costs.get(one.id))) for one in given.dishes
    )
    base = replace(given.base, dishes=tuple(one.dish for one in dishes))
    return replace(given, dishes=dishes, base=base)


def test_usual_wishes_give_way_in_a_front_as_in_a_menu(tmp_path: Path) -> None:
    given = trip(tmp_path)
    drawn = front_of_trip(given, "variety", TRIES)
    assert drawn.points
    # two kinds of snack for three of them
    bans = (*given.base.bans, Ban(dish="nuts"))
    hard = Repeat(wish="usual: all different", key="dish", within_days=2, most=1)
    usual = replace(
        given, base=replace(given.base, repeats=(hard,), bans=bans), usual=("all different",)
    )
    again = front_of_trip(usual, "variety", TRIES)
    assert again.points
    assert "all different" in again.left_out


def test_where_no_menu_keeps_the_rules_the_front_says_so(tmp_path: Path) -> None:
    given = trip(tmp_path)
    bans = (*given.base.bans, Ban(dish="nuts"))
    repeat = Repeat(wish="none", key="dish", within_days=2, most=1)
    none = replace(given, base=replace(given.base, repeats=(repeat,), bans=bans), usual=())
    drawn = front_of_trip(none, "variety", TRIES)
    assert drawn.points == ()
    assert "no menu keeps all the rules" in drawn.ended


def test_dishes_without_a_price_are_left_out_and_told(tmp_path: Path) -> None:
    given = trip(tmp_path)
    names = [one.id for one in given.dishes]
    drawn = front_of_trip(with_dishes(given, dict.fromkeys(names[1:], 2.0)), "cost", TRIES)
    assert drawn.left_out.startswith(f"1 of {len(names)} dishes are left out")
    with pytest.raises(Mistake, match="front-no-prices") as none:
        front_of_trip(with_dishes(given, {}), "cost", TRIES)
    assert "not one dish has a price" in none.value.what
    one = front_of_trip(with_dishes(given, {names[0]: 2.0}), "cost", TRIES)
    assert one.points == ()
    assert "whose price is known" in one.ended
    assert "no dish for" in one.ended
