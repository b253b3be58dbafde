"""The lost-box basket: every basket of a small shelf is tried, and none is better."""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.menu.basket import Basket, BasketAsk, ShopPack, best_basket
from fellfare.menu.pool import Avoid
from fellfare.menu.solver import Effort
from fellfare.mistake import Mistake

OATS = ShopPack(
    name="oat biscuits",
    content_g=250,
    wrapping_g=6,
    energy_kcal=1150,
    protein_g=18,
    volume_ml=520,
    price=2.4,
    stock=4,
    contains=("oats", "wheat"),
    diets=("vegetarian",),
)
NUTS = ShopPack(
    name="salted peanuts",
    content_g=200,
    wrapping_g=4,
    energy_kcal=1230,
    protein_g=51,
    sodium_mg=900,
    volume_ml=330,
    price=3.1,
    stock=3,
    contains=("peanut",),
    diets=("vegetarian", "vegan"),
)
CHEESE = ShopPack(
    name="hard cheese",
    content_g=150,
    wrapping_g=5,
    energy_kcal=600,
    protein_g=42,
    sodium_mg=1050,
    volume_ml=150,
    price=4.0,
    stock=3,
    contains=("milk",),
    diets=("vegetarian",),
)
SHELF = (OATS, NUTS, CHEESE)
FIGURES = st.integers(1, 2000).map(lambda n: n / 4)


def ask(*packs: ShopPack, kcal: float = 3000, **more: Any) -> BasketAsk:
    return BasketAsk(packs=packs or SHELF, at_least=(("energy_kcal", kcal),), **more)


def counts_of(basket: Basket) -> dict[str, int]:
    return {one.name: one.count for one in basket.bought}


def exhaustive(given_: BasketAsk) -> Fraction | None:
    """The least of all baskets, every one of them tried; None: none keeps the wishes.

    Shares nothing with the model but the shelf: fractions, no solver.
    """
    best: Fraction | None = None
    for counts in product(*(range((pack.stock or 0) + 1) for pack in given_.packs)):

        def total(name: str, counts: tuple[int, ...] = counts) -> Fraction:
            each = (Fraction(getattr(p, name) or 0) for p in given_.packs)
            return sum((a * n for a, n in zip(each, counts, strict=True)), Fraction(0))

        mass, price = total("mass_g"), total("price")
        fits = (
            all(total(name) >= Fraction(low) for name, low in given_.at_least)
            and all(total(name) <= Fraction(high) for name, high in given_.at_most)
            and (given_.litres is None or total("volume_ml") <= Fraction(given_.litres) * 1000)
            and (given_.most_g is None or mass <= Fraction(given_.most_g))
            and (given_.most_price is None or price <= Fraction(given_.most_price))
        )
        if given_.one_share is not None:
            energy = total("energy_kcal")
            fits = fits and all(
                Fraction(p.energy_kcal or 0) * n <= Fraction(given_.one_share) * energy
                for p, n in zip(given_.packs, counts, strict=True)
            )
        value = mass if given_.least == "mass" else price
        if fits and (best is None or value < best):
            best = value
    return best


@st.composite
def small_shops(draw: st.DrawFn) -> BasketAsk:
    packs = tuple(
        ShopPack(
            name=f"pack {at}",
            content_g=draw(FIGURES),
            wrapping_g=draw(st.integers(0, 40)) / 4,
            energy_kcal=draw(FIGURES),
            protein_g=draw(st.integers(0, 200)) / 4,
            sodium_mg=draw(st.integers(0, 2000)) / 4,
            volume_ml=draw(FIGURES),
            price=draw(st.integers(1, 80)) / 4,
            stock=draw(st.integers(1, 3)),
        )
        for at in range(draw(st.integers(1, 4)))
    )
    optional = st.none() | st.integers(100, 4000).map(float)
    return BasketAsk(
        packs=packs,
        at_least=(("energy_kcal", draw(FIGURES) * 3), ("protein_g", draw(st.integers(0, 80)) / 2)),
        at_most=(("sodium_mg", draw(st.integers(200, 4000)) / 2),),
        litres=draw(st.none() | st.integers(1, 16).map(lambda n: n / 4)),
        most_g=draw(optional),
        most_price=draw(st.none() | st.integers(4, 200).map(lambda n: n / 4)),
        one_share=draw(st.none() | st.sampled_from([0.5, 0.75])),
        least=draw(st.sampled_from(["mass", "price"])),
    )


@settings(max_examples=60, deadline=None)
@given(small_shops())
def test_no_basket_of_a_small_shelf_is_better(shop: BasketAsk) -> None:
    best, basket = exhaustive(shop), best_basket(shop)
    if best is None:
        assert basket.verdict == "impossible"
        assert basket.bought == ()
    else:
        assert basket.verdict == "optimal"
        assert basket.value == pytest.approx(float(best), abs=1e-6)
        assert basket.bound == pytest.approx(float(best), abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(small_shops())
def test_what_is_said_to_be_enough_is_enough(shop: BasketAsk) -> None:
    basket = best_basket(shop)
    for give in basket.any_one:
        eased = eased_by(shop, give.wish, give.amount, give.gives)
        assert exhaustive(eased) is not None, give


def eased_by(shop: BasketAsk, wish: str, amount: float, told: str) -> BasketAsk:
    """The same shop with one wish given way by so much (and a thousandth: figures are whole)."""
    some = amount + 0.001
    if wish == "energy at least":
        return replace(
            shop, at_least=(("energy_kcal", shop.at_least[0][1] - some), *shop.at_least[1:])
        )
    if wish == "protein at least":
        return replace(shop, at_least=(shop.at_least[0], ("protein_g", shop.at_least[1][1] - some)))
    if wish == "sodium at most":
        return replace(shop, at_most=(("sodium_mg", shop.at_most[0][1] + some),))
    if wish == "litres" and shop.litres is not None:
        return replace(shop, litres=shop.litres + some)
    if wish == "mass" and shop.most_g is not None:
        return replace(shop, most_g=shop.most_g + some)
    if wish == "price" and shop.most_price is not None:
        return replace(shop, most_price=shop.most_price + some)
    if wish == "what the shop has":
        more = {part.split(" more of ")[1]: int(part.split(" ")[0]) for part in told.split(", ")}
        return replace(
            shop,
            packs=tuple(
                replace(pack, stock=(pack.stock or 0) + more.get(pack.name, 0))
                for pack in shop.packs
            ),
        )
    return replace(shop, one_share=None)


def test_the_lightest_and_the_cheapest_basket_differ() -> None:
    # By hand: 3000 kcal. Peanuts 6.03 kcal/g, biscuits 4.49, cheese 3.87. Two peanuts and one
    # biscuit: 3610 kcal, 664 g, 8.60. Three peanuts: 3690 kcal, 612 g, 9.30. Three biscuits:
    # 3450 kcal, 768 g, 7.20. Two peanuts, one cheese: 3060 kcal, 563 g, 10.20.
    light = best_basket(ask())
    cheap = best_basket(ask(least="price"))
    assert counts_of(light) == {"salted peanuts": 2, "hard cheese": 1}
    assert light.mass_g == 563
    assert counts_of(cheap) == {"oat biscuits": 3}
    assert cheap.price == pytest.approx(7.20)


def test_an_allergen_stays_on_the_shelf_and_so_does_what_nobody_has_read() -> None:
    unread = replace(OATS, name="loose biscuits", contains=(), label_read=False)
    basket = best_basket(ask(*SHELF, unread, avoids=(Avoid(allergen="peanut"),)))
    assert {one.name for one in basket.left_out} == {"salted peanuts", "loose biscuits"}
    assert "peanut" in basket.left_out[0].why
    assert "not known" in basket.left_out[1].why
    assert not {"salted peanuts", "loose biscuits"} & counts_of(basket).keys()


def test_a_diet_that_is_not_told_is_not_kept() -> None:
    basket = best_basket(ask(diets=("vegan",)))
    assert counts_of(basket) == {"salted peanuts": 3}
    assert len(basket.left_out) == 2


def test_what_needs_fire_stays_where_there_is_none() -> None:
    rice = replace(OATS, name="rice", ways=("boil",))
    basket = best_basket(ask(*SHELF, rice, ways=("dry", "cold-soak")))
    assert [one.why for one in basket.left_out] == ["it needs boil"]


def test_an_unknown_figure_never_helps_and_is_told() -> None:
    blind = replace(NUTS, name="loose nuts", energy_kcal=None, sodium_mg=None)
    basket = best_basket(ask(blind, OATS, kcal=2000))
    assert counts_of(basket) == {"oat biscuits": 2}
    told = {total.name: total.unknown for total in basket.totals}
    assert told["sodium_mg"] == ("oat biscuits",)


def test_why_it_cannot_be_done_is_told_in_each_wish_of_its_own() -> None:
    # All of the shelf: 4 x 1150 + 3 x 1230 + 3 x 600 = 10 090 kcal.
    basket = best_basket(ask(kcal=12_000))
    assert basket.verdict == "impossible"
    energy = next(give for give in basket.any_one if give.wish == "energy at least")
    assert energy.amount == pytest.approx(1910)
    stock = next(give for give in basket.any_one if give.wish == "what the shop has")
    assert stock.amount == 2  # two more of 1230 kcal or 1150 kcal; one is not enough


def test_two_wishes_that_clash_are_told_together_when_neither_alone_would_do() -> None:
    basket = best_basket(
        BasketAsk(
            packs=(replace(OATS, stock=None),),
            at_least=(("energy_kcal", 2000.0), ("sodium_mg", 500.0)),
            at_most=(("protein_g", 20.0),),
        )
    )
    assert basket.verdict == "impossible"
    assert basket.any_one == ()
    assert len(basket.together) >= 2


@settings(max_examples=40, deadline=None)
@given(small_shops())
def test_what_is_said_to_be_enough_together_is_enough(shop: BasketAsk) -> None:
    basket = best_basket(shop)
    eased = shop
    for give in basket.together:
        eased = eased_by(eased, give.wish, give.amount, give.gives)
    if basket.together:
        assert exhaustive(eased) is not None, basket.together


def test_to_eat_nothing_is_no_way_out() -> None:
    # By hand: three biscuits are 3 450 kcal, 1.65 L and 7.20; three nuts 3 690 kcal, 9.30.
    basket = best_basket(ask(litres=0.5, most_price=2.0))
    assert basket.any_one == ()
    assert {give.wish for give in basket.together} == {"litres", "price"}
    # More than the shelf holds: several give at once, but no more than half of the food.
    many = best_basket(ask(kcal=24_000, litres=1.0, most_price=5.0))
    assert many.any_one == ()
    given = {give.wish: give.amount for give in many.together}
    assert {"litres", "price"} <= given.keys()
    assert given.get("energy at least", 0.0) <= 12_000


def test_nothing_may_be_bought_at_all() -> None:
    basket = best_basket(ask(OATS, diets=("vegan",)))
    assert basket.verdict == "impossible"
    assert [one.name for one in basket.left_out] == ["oat biscuits"]


def test_of_two_equal_masses_the_cheaper_is_bought() -> None:
    dear = replace(OATS, name="the same, dearer", price=9.0)
    basket = best_basket(ask(dear, OATS, kcal=2000))
    assert counts_of(basket) == {"oat biscuits": 2}


def test_a_run_without_time_is_stopped_not_impossible() -> None:
    shelf = tuple(
        replace(NUTS, name=f"kind {at}", energy_kcal=601.0 + 37 * at, content_g=199.0 + 13 * at % 7)
        for at in range(60)
    )
    basket = best_basket(ask(*shelf, kcal=61_000), Effort(seconds=1e-6))
    assert basket.verdict in ("stopped", "optimal")


@pytest.mark.parametrize(
    ("bad", "code"),
    [
        (BasketAsk(packs=(), at_least=(("energy_kcal", 1.0),)), "basket-shelf"),
        (BasketAsk(packs=SHELF, at_least=()), "basket-nothing-asked"),
        (ask(OATS, OATS), "basket-name-twice"),
        (ask(kcal=float("nan")), "basket-figure"),
        (ask(replace(OATS, content_g=0.0)), "basket-figure"),
        (ask(replace(OATS, price=-1.0)), "basket-figure"),
        (ask(one_share=0.0), "basket-figure"),
        (ask(at_most=(("energy_kcal", 10.0),)), "basket-floor-above-ceiling"),
    ],
)
def test_nonsense_is_refused(bad: BasketAsk, code: str) -> None:
    with pytest.raises(Mistake) as caught:
        best_basket(bad)
    assert caught.value.code == code
