"""Which limit is in the way where nothing keeps them all: against a plain loop over every dish."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from itertools import pairwise

import pytest
from msgspec.structs import replace

from fellfare.files.shipped import shipped_pantry
from fellfare.recipe.composing.hindering import End, Hindered, told_of
from fellfare.recipe.composing.laying import lay
from fellfare.recipe.composing.question import Aim, Composition, Limit, Pairing, Part
from fellfare.recipe.composing.sweeping import Dish, Progress, compose, dish_of
from fellfare.recipe.composing.taste import names_of

PANTRY = shipped_pantry()
POT = Composition(
    title="Pot",
    parts=(
        Part(name="starch", foods=("couscous", "rice-noodles"), amounts=("60 g", "90 g")),
        Part(name="sauce", foods=("tomato-powder", "coconut-milk-powder", "miso-powder"),
             amounts=("10 g", "20 g")),
        Part(name="fat", foods=("olive-oil",), amounts=("5 g", "20 g"), at_the_end=True),
    ),
    pairings=(Pairing(food="coconut-milk-powder", never_with=("rice-noodles",)),),
    aims=(Aim(figure="protein_g", better="more"),),
)  # fmt: skip


@cache
def dishes() -> list[Dish]:
    """Every dish that keeps the pairing."""
    laid = lay(POT, PANTRY)
    every = [dish_of(laid, number) for number in range(laid.combinations)]
    foods = [{p.food.id for filling in dish.fillings for p in filling} for dish in every]
    return [
        dish
        for dish, held in zip(every, foods, strict=True)
        if not {"coconut-milk-powder", "rice-noodles"} <= held
    ]


def figures(of: Iterable[Dish], name: str) -> list[float]:
    return [value for dish in of if (value := dish.figure(name)) is not None]


def why(*limits: Limit, **more: object) -> Hindered:
    found = compose(replace(POT, limits=limits, **more), PANTRY)
    assert (found.fitting, found.dishes) == (0, ())
    assert found.hindered is not None
    return found.hindered


def test_a_limit_that_no_dish_keeps_is_named_with_the_best() -> None:
    most = max(figures(dishes(), "protein_g"))
    least = min(figures(dishes(), "sodium_mg"))
    told = why(
        Limit(figure="protein_g", least=most + 8),
        Limit(figure="sodium_mg", most=least / 2),
        Limit(figure="mass_g", least=10, most=500),
    )
    assert [(one.figure, one.end, one.out_of_reach) for one in told.ends] == [
        ("protein_g", "least", True), ("sodium_mg", "most", True),
        ("mass_g", "least", False), ("mass_g", "most", False),
    ]  # fmt: skip
    assert [one.alone for one in told.ends] == pytest.approx(
        [most, least, max(figures(dishes(), "mass_g")), min(figures(dishes(), "mass_g"))]
    )
    said = told_of(told)
    assert len(said) == 2
    assert said[0].startswith(f"protein_g at least {most + 8:g}: the most that any dish reaches is")


@pytest.mark.parametrize(
    ("figure", "end"),
    [("energy_kcal_per_100g", "least"), ("sodium_mg_per_1000_kcal", "most"), ("minutes", "most"),
     ("energy_kcal", "most"), ("water_add_ml", "most"), ("carbohydrate_g", "least")],
)  # fmt: skip
def test_the_best_is_that_of_a_plain_loop(figure: str, end: str) -> None:
    all_of = figures(dishes(), figure)
    limit = (
        Limit(figure=figure, least=max(all_of) * 1.01 + 1)
        if end == "least"
        else Limit(figure=figure, most=min(all_of) * 0.99 - 0.1)
    )
    (one,) = why(limit).ends
    assert one.alone == pytest.approx(max(all_of) if end == "least" else min(all_of))
    assert one.out_of_reach


def test_limits_that_go_one_by_one_say_how_far_each_is_beside_the_others() -> None:
    proteins = sorted(figures(dishes(), "protein_g"))
    light = min(figures(dishes(), "mass_g"))
    limits = (
        Limit(figure="protein_g", least=proteins[-1]), Limit(figure="mass_g", most=light + 12)
    )  # fmt: skip
    told = why(*limits)
    most = max(
        dish.figure("protein_g") or 0.0
        for dish in dishes()
        if (dish.figure("mass_g") or 0.0) <= light + 12
    )
    lightest = min(
        dish.figure("mass_g") or 0.0
        for dish in dishes()
        if (dish.figure("protein_g") or 0.0) >= proteins[-1] - 1e-9
    )
    assert [one.beside for one in told.ends] == pytest.approx([most, lightest])
    said = told_of(told)
    assert "Each limit can be kept by itself" in said[0]
    assert "with the others kept" in said[1]
    # widened so far, something keeps them all
    for at, one in enumerate(told.ends):
        end = one.beside
        assert end is not None
        wide = list(limits)
        wide[at] = replace(limits[at], **{one.end: end})
        assert compose(replace(POT, limits=tuple(wide)), PANTRY).fitting > 0


def test_one_end_of_a_limit_is_widened_and_the_other_kept() -> None:
    # Dishes with protein enough are lighter or heavier than the window, none lies in it.
    protein = sorted(figures(dishes(), "protein_g"))[-4]
    rich = [dish for dish in dishes() if (dish.figure("protein_g") or 0.0) >= protein - 1e-9]
    masses = sorted(set(figures(rich, "mass_g")))
    width, below, above = max((b - a, a, b) for a, b in pairwise(masses))
    assert width > 4
    told = why(
        Limit(figure="protein_g", least=protein),
        Limit(figure="mass_g", least=below + 1, most=above - 1),
    )
    beside = {(one.figure, one.end): one.beside for one in told.ends}
    assert beside["mass_g", "most"] == pytest.approx(above)
    assert beside["mass_g", "least"] == pytest.approx(below)


def test_tastes_and_pairings_that_rule_out_all_are_said() -> None:
    had = {taste for dish in dishes() for taste in names_of(dish.tastes)}
    assert "crisp" not in had
    assert "sour" in had
    told = why(tastes=("crisp", "sour"))
    assert (told.paired, told.tastes) == (False, ("crisp",))
    assert told_of(told) == ("No dish that keeps its pairings is crisp.",)
    never = (*POT.pairings, *(
        Pairing(food=food, only_with=("cheddar",)) for food in ("couscous", "rice-noodles")
    ))  # fmt: skip
    assert told_of(why(pairings=never))[0].startswith("No dish keeps every pairing")


def test_what_nobody_knows_keeps_no_limit() -> None:
    (one,) = why(Limit(figure="cost", most=100.0)).ends  # no price is told
    assert (one.alone, one.out_of_reach) == (None, True)
    assert "known of no dish" in told_of(why(Limit(figure="cost", most=100.0)))[0]


def test_no_figure_is_rounded_to_what_is_asked() -> None:
    def said(**of: object) -> str:
        one = End(**of)  # type: ignore[arg-type] # words of a table
        return told_of(Hindered(paired=True, tastes=(), ends=(one,)))[0]

    assert said(figure="protein_g", end="least", asked=30.0, alone=29.98).endswith("is 29.9.")
    assert said(figure="sodium_mg", end="most", asked=200.0, alone=200.02).endswith("is 200.1.")
    assert said(figure="cost", end="most", asked=2.0, alone=2.001).endswith("is 2.01.")


def test_it_can_be_stopped() -> None:
    seen = []

    def watch(progress: Progress) -> bool:
        seen.append(progress)
        return len(seen) > 1

    asked = replace(POT, limits=(Limit(figure="protein_g", least=500.0),))
    found = compose(asked, PANTRY, watch)
    assert found.hindered is not None
    if found.hindered.stopped:
        assert told_of(found.hindered)
    assert compose(POT, PANTRY).hindered is None
