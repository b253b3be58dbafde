"""Menu and need settle together: against the closed form, and where they would not."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from fellfare.menu.answer import Menu
from fellfare.menu.pool import Band, Dish, Question, Slot, Walker
from fellfare.menu.settling import MOST_ROUNDS, SETTLED_KCAL, Settled, density, locks_of, settle
from fellfare.menu.trying import Trying

Floats = NDArray[np.float64]

#: The sample of the walk's energy model: need of a day without food on the back, what a
#: kilogram adds to a day, kcal in a kilogram of packed food, share of the day's own food aboard.
A, K, RHO, M = 3700.0, 28.0, 4500.0, 0.7


def porridge(steps: int = 1000) -> Dish:
    """A kilogram of it is a serving; a step is a gram."""
    return Dish(
        id="porridge",
        title="Porridge",
        meals=("all day",),
        mass_g=1000.0,
        energy_kcal=RHO,
        steps_per_serving=steps,
        least_steps=1,
        most_steps=3 * steps,
    )


def question(need: Floats, dishes: tuple[Dish, ...]) -> Question:
    """As much on each day as is needed, in one dish."""
    days = need.shape[1]
    return Question(
        days=days,
        dishes=dishes,
        walkers=(Walker(id="Rowan"),),
        slots=tuple(
            Slot(day=day, time="all day", meal="all day", walkers=("Rowan",))
            for day in range(1, days + 1)
        ),
        bands=tuple(
            Band(
                wish="energy", walker="Rowan", nutrient="energy_kcal",
                low=float(need[0, day - 1]), days=(day,),
            )
            for day in range(1, days + 1)
        ),
    )  # fmt: skip


def food_kg(menu: Menu, days: int) -> Floats:
    out = np.zeros((1, days))
    for plate in menu.plates:
        out[0, plate.day - 1] += sum(part.mass_g for part in plate.portions) / 1000.0
    return out


def straight(menu: Menu, days: int, slope: float = K) -> Floats:
    """Need on a straight line: a kilogram adds ``slope``; later food and 0.7 of today's."""
    food = food_kg(menu, days)[0]
    later = np.concatenate([np.cumsum(food[::-1])[::-1][1:], [0.0]])
    return np.asarray((A + slope * (M * food + later))[None, :])


def settled(days: int, slope: float = K, dishes: tuple[Dish, ...] = ()) -> Settled:
    return settle(
        np.full((1, days), A),
        lambda need: question(need, dishes or (porridge(),)),
        lambda menu, _: straight(menu, days, slope),
        Trying(gap=0.0, seconds=20.0),
    )


@pytest.mark.parametrize("days", [3, 5, 8, 14])
def test_food_grows_like_compound_interest(days: int) -> None:
    # Closed form for one carry with constant a and k: F = c ((1 + kappa)^N - 1) / kappa.
    # Each day's food is rounded up to a whole gram, so 4.5 kcal a day at most, and as much
    # again for what carrying those grams costs.
    kappa = (K / RHO) / (1 - K * M / RHO)
    exact = A / (1 - K * M / RHO) * ((1 + kappa) ** days - 1) / kappa
    done = settled(days)
    eaten = sum(part.energy_kcal for plate in done.menu.plates for part in plate.portions)
    assert done.settled
    assert exact - 1e-6 <= eaten <= exact + 4.5 * days * (1 + kappa * days) + 1.0


@pytest.mark.parametrize(("days", "most"), [(3, 0.0187), (5, 0.0311), (8, 0.0498), (14, 0.0872)])
def test_the_first_rounds_contract_as_published_factors_say(days: int, most: float) -> None:
    # In the sup norm the map shrinks by N k / rho at most; rounding to grams adds 4.5 kcal of
    # food, 0.13 kcal of need, to a first difference of hundreds.
    done = settled(days)
    assert most == pytest.approx(days * K / RHO, rel=2e-3)
    assert done.contraction is not None
    assert done.contraction <= most + 0.003
    assert done.contracts
    assert len(done.rounds) <= 4


def test_what_is_reported_is_below_a_gram_and_a_kilocalorie() -> None:
    last = settled(8).rounds[-1]
    assert last.residual_kcal < SETTLED_KCAL
    assert last.residual_g < 1.0
    assert last.residual_g == pytest.approx(last.residual_kcal / (RHO / 1000.0))


def test_the_last_round_is_planned_for_the_need_that_it_causes() -> None:
    done = settled(5)
    again = straight(done.menu, 5)
    assert np.abs(again - done.asked_kcal).max() < SETTLED_KCAL
    eaten = food_kg(done.menu, 5) * RHO
    assert (eaten >= done.asked_kcal - 1e-3).all()


def test_a_menu_that_flips_is_held_by_its_dishes() -> None:
    # Two dishes that differ in what they make needed: each round the other one is lighter.
    light = porridge()
    heavy = Dish(
        id="broth", title="Broth", meals=("all day",), mass_g=1000.0, energy_kcal=RHO - 1.0,
        steps_per_serving=1000, least_steps=1, most_steps=3000,
    )  # fmt: skip
    turn = [0]

    def question_for(need: Floats) -> Question:
        turn[0] += 1
        banned = "porridge" if turn[0] % 2 else "broth"
        dishes = tuple(one for one in (light, heavy) if one.id != banned)
        whole = question(need, (light, heavy))
        return whole if turn[0] > 4 else question(need, dishes)

    def need_of(menu: Menu, _: Floats) -> Floats:
        extra = 40.0 if any(plate.dish == "broth" for plate in menu.plates) else 0.0
        return straight(menu, 3) + extra

    done = settle(
        np.full((1, 3), A), question_for, need_of, Trying(gap=0.0, seconds=20.0), most_rounds=12
    )
    assert done.settled
    assert done.rounds[-1].dishes_fixed
    assert not done.rounds[0].dishes_fixed


def test_need_that_runs_away_is_told() -> None:
    # A kilogram that asks for more than a kilogram: no menu can agree with itself.
    done = settled(3, slope=9000.0)
    assert not done.settled or not done.menu.plates
    assert len(done.rounds) <= MOST_ROUNDS


def test_without_a_menu_the_first_round_is_the_last() -> None:
    small = Dish(id="crumb", title="Crumb", meals=("all day",), mass_g=1.0, energy_kcal=4.0)
    done = settled(2, dishes=(small,))
    assert not done.menu.plates
    assert not done.settled


def test_locks_hold_every_dish_for_every_eater() -> None:
    done = settled(2)
    locks = locks_of(done.question, done.menu.plates)
    assert [(lock.day, lock.dish, lock.walker) for lock in locks] == [
        (1, "porridge", "Rowan"),
        (2, "porridge", "Rowan"),
    ]


def test_density_of_a_menu() -> None:
    assert density(settled(2).menu) == pytest.approx(RHO / 1000.0)
    assert density(Menu(verdict="stopped")) == 4.0
