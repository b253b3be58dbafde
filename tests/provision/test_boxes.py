"""What goes into a box, when it is posted, and whether it keeps."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.mistake import Mistake
from fellfare.pantry.food import Food
from fellfare.pantry.pantry import Pantry
from fellfare.provision.bags.plan import bags_of
from fellfare.provision.boxes.box import BoxPlan, boxes
from fellfare.provision.boxes.contents import customs_list, customs_words, not_to_post
from fellfare.provision.boxes.keeping import form_for_the_wait, keeps_days, used
from fellfare.provision.boxes.posting import Post, posting_window
from fellfare.provision.planned import Planned, in_order, planned_recipe
from fellfare.recipe.document import Line, Recipe

FIRST = date(2027, 6, 1)
DAYS = st.integers(0, 30)


def fahrenheit(degrees: float) -> float:
    return (degrees - 32) / 1.8


def test_a_window_by_hand() -> None:
    # A trail association's notice: post offices keep parcels about 15 days, so no more than
    # two weeks before arrival; priority mail 3 to 4 days.
    arrival = (date(2027, 6, 20), date(2027, 6, 20))
    window = posting_window(arrival, Post(transit_days=(3, 4), hold_days=15, margin_days=0))
    assert window.latest == date(2027, 6, 16)
    assert window.earliest == date(2027, 6, 2)
    assert window.possible
    assert window.waits_days == 18


@given(st.integers(0, 8), st.integers(0, 8), st.integers(0, 8), st.integers(0, 25), st.data())
def test_inside_the_window_every_arrival_finds_the_box(
    spread: int, fast: int, slower: int, hold: int, data: st.DataObject
) -> None:
    first, last = FIRST, FIRST + timedelta(days=spread)
    post = Post(transit_days=(fast, fast + slower), hold_days=hold, margin_days=0)
    window = posting_window((first, last), post)

    def finds(posted: date) -> bool:
        return all(
            there <= come <= there + timedelta(days=hold)
            for days in range(fast, fast + slower + 1)
            for there in [posted + timedelta(days=days)]
            for come in (first, last)
        )

    every = [FIRST + timedelta(days=offset) for offset in range(-80, 20)]
    good = [day for day in every if finds(day)]
    assert window.possible == bool(good)
    if good:
        assert (window.earliest, window.latest) == (good[0], good[-1])
        day = data.draw(st.sampled_from(good))
        assert (last - day).days <= window.waits_days
    else:
        assert window.findings[0].severity == "error"


def test_a_hut_that_keeps_it_has_no_earliest_day() -> None:
    window = posting_window((FIRST, FIRST), Post(transit_days=(3, 10), hold_days=None))
    assert window.earliest is None
    assert window.latest == FIRST - timedelta(days=11)


@pytest.mark.parametrize(
    ("code", "arrival", "post"),
    [
        (
            "arrival-out-of-order",
            (FIRST, FIRST - timedelta(days=1)),
            Post(transit_days=(1, 2), hold_days=5),
        ),
        ("transit-out-of-range", (FIRST, FIRST), Post(transit_days=(5, 2), hold_days=5)),
        ("transit-out-of-range", (FIRST, FIRST), Post(transit_days=(-1, 2), hold_days=5)),
        ("transit-out-of-range", (FIRST, FIRST), Post(transit_days=(1, 2), hold_days=-5)),
        (
            "transit-out-of-range",
            (FIRST, FIRST),
            Post(transit_days=(1, 2), hold_days=5, margin_days=-1),
        ),
    ],
)
def test_impossible_posts_are_refused(code: str, arrival: tuple[date, date], post: Post) -> None:
    with pytest.raises(Mistake, match=code):
        posting_window(arrival, post)


def with_keeping(pantry: Pantry, days: int, at_c: float, ends: str = "colour") -> Food:
    food = pantry.food("apricot-dried")
    assert food.keeping is not None
    keeping = replace(food.keeping, unopened_days=(days, days), at_c=at_c, ends=ends)
    return replace(food, keeping=keeping)


@pytest.mark.parametrize(
    ("table_days", "table_f", "days", "at_f"),
    [
        # Utah State University Extension: dried apricots 24, 3 and 1 months at 40, 70, 90 °F.
        (91, 70, 30, 90),
        (91, 70, 730, 40),
        # the same, canned food: 24 months at 70 °F, 12 at 90 °F
        (730, 70, 365, 90),
        # NCHFP, as copied by many: dried fruit a year at 60 °F, six months at 80 °F
        (365, 60, 182, 80),
    ],
)
def test_we_never_promise_more_than_is_published(
    pantry: Pantry, table_days: int, table_f: float, days: int, at_f: float
) -> None:
    food = with_keeping(pantry, table_days, fahrenheit(table_f))
    told = keeps_days(food, fahrenheit(at_f))
    assert told is not None
    assert told <= days


def test_the_hot_life_of_apricots_comes_close(pantry: Pantry) -> None:
    # Utah State: 3 months at 70 °F, 1 month at 90 °F (Q10 2.69; we take 3): within a week.
    told = keeps_days(with_keeping(pantry, 91, fahrenheit(70)), fahrenheit(90))
    assert told == pytest.approx(30, abs=7)


def test_a_storage_sum_by_hand(pantry: Pantry) -> None:
    # Q10 of 3 above the table: 10 days at 31 °C count as 30 at 21 °C; 90 days keep.
    food = with_keeping(pantry, 90, 21.0)
    told = used(food, [(15, 21.0), (10, 31.0)])
    assert told.share == pytest.approx((15 + 30) / 90)
    assert not told.doubtful
    assert used(food, [(15, 21.0), (20, 31.0)]).doubtful


@given(st.floats(0, 100), st.floats(0, 45), st.floats(0.5, 10))
def test_warmer_and_longer_is_never_fresher(
    pantry: Pantry, days: float, at_c: float, more: float
) -> None:
    food = with_keeping(pantry, 90, 21.0)
    base = used(food, [(days, at_c)]).share
    warmer, longer = (
        used(food, [(days, at_c + more)]).share,
        used(food, [(days + more, at_c)]).share,
    )
    assert base is not None
    assert warmer is not None
    assert longer is not None
    assert base <= warmer
    assert base < longer


def test_what_germs_end_is_not_stretched(pantry: Pantry) -> None:
    food = with_keeping(pantry, 4, 4.0, "bacteria")
    assert keeps_days(food, 21.0) == 0
    assert keeps_days(food, 0.0) == pytest.approx(4)


def test_unknown_keeping_is_doubtful(pantry: Pantry) -> None:
    told = used(pantry.food("cheddar-freeze-dried"), [(1, 21.0)])
    assert told.share is None
    assert told.doubtful


def test_fresh_for_the_weekend_freeze_dried_for_six_weeks_in_the_heat(pantry: Pantry) -> None:
    cabbage = pantry.food("cabbage")
    short = form_for_the_wait(cabbage, 300, pantry, 2)[0]
    assert short.food.id == "cabbage"
    assert short.fits
    cool = form_for_the_wait(cabbage, 300, pantry, 42)[0]
    assert cool.food.form == "dried"
    hot = form_for_the_wait(cabbage, 300, pantry, 42, 35.0)[0]
    assert hot.food.form == "freeze-dried"
    assert hot.fits


@pytest.fixture(scope="session")
def boxed(dish: Callable[..., Planned]) -> tuple[Planned, ...]:
    return in_order(
        (
            dish("porridge", day=1),
            dish("porridge", day=6, leg=2, stop="Box"),
            dish("pot", day=7, leg=2, stop="Box"),
        )
    )


def test_a_box_holds_its_bags_and_its_carton(boxed: tuple[Planned, ...], pantry: Pantry) -> None:
    bags = bags_of(boxed)
    (box,) = boxes(bags, pantry, plans={"Box": BoxPlan(carton_g=150, waits_days=10)})
    mine = [bag for bag in bags if bag.stop == "Box"]
    assert box.net_g == pytest.approx(sum(bag.mass_g for bag in mine))
    assert box.gross_g > box.net_g + 150
    assert sum(row.net_g for row in box.customs) == pytest.approx(box.net_g)
    assert "salt" in box.mass_unknown


def test_the_customs_list_weighs_what_the_bags_weigh(boxed: tuple[Planned, ...]) -> None:
    bags = bags_of(boxed)
    rows = customs_list(bags)
    assert sum(row.net_g for row in rows) == pytest.approx(sum(bag.mass_g for bag in bags))
    assert len({row.description for row in rows}) == len(rows)


def test_walnuts_do_not_last_in_a_hot_box(boxed: tuple[Planned, ...], pantry: Pantry) -> None:
    plan = BoxPlan(post=Post(transit_days=(3, 8), hold_days=30), late_days=2, box_c=35)
    (box,) = boxes(bags_of(boxed), pantry, first_day=FIRST, plans={"Box": plan})
    assert box.opened_on == date(2027, 6, 6)
    assert box.window is not None
    assert box.waits_days == box.window.waits_days
    life = {one.food.id: one for one in box.life}
    assert life["walnut"].share is not None
    assert life["walnut"].share > 1
    assert any("walnut" in finding.about for finding in box.findings)
    assert "walnut" in {swap.food.id for swap in box.swaps}


def test_an_untold_wait_is_a_caution(boxed: tuple[Planned, ...], pantry: Pantry) -> None:
    (box,) = boxes(bags_of(boxed), pantry)
    assert "box-wait-unknown" in {finding.rule for finding in box.findings}
    assert box.window is None


def test_a_moist_food_of_untold_keeping_is_a_caution(pantry: Pantry) -> None:
    # What is not known is not harmless; a dry food is told by its own class.
    own = replace(pantry.food("carrot"), id="own-paste", name="own paste", keeping=None)
    recipe = Recipe(title="Paste", serves=1, lines=(Line(food="own-paste", amount="50 g"),))
    (one,) = planned_recipe(recipe, pantry.with_foods([own]), 1)
    bags = bags_of((replace(one, day=5, leg=2, stop="Box"),))
    (box,) = boxes(bags, pantry, plans={"Box": BoxPlan(waits_days=5, box_c=21.0)})
    told = [one for one in box.findings if one.rule == "box-life"]
    assert [(one.severity, one.about) for one in told] == [("caution", ("own-paste",))]


def test_what_melts_is_told_of_a_warm_box(pantry: Pantry) -> None:
    # Chocolate softens near 27 °C, cocoa butter melts near 34 °C.
    sweet = Recipe(title="Bar", serves=1, lines=(Line(food="dark-chocolate-70", amount="40 g"),))
    (one,) = planned_recipe(sweet, pantry, 1)
    bags = bags_of((replace(one, day=5, leg=2, stop="Box"),))
    for at_c, told in ((35.0, True), (20.0, False)):
        (box,) = boxes(bags, pantry, plans={"Box": BoxPlan(waits_days=5, box_c=at_c)})
        assert ("box-melts" in {finding.rule for finding in box.findings}) == told


def test_fresh_food_in_a_box_gets_a_swap_that_keeps(pantry: Pantry) -> None:
    recipe = Recipe(title="Soup", serves=1, lines=(Line(food="carrot", amount="100 g"),))
    (one,) = planned_recipe(recipe, pantry, 2)
    bags = bags_of((replace(one, day=5, leg=2, stop="Box"),))
    (box,) = boxes(bags, pantry, plans={"Box": BoxPlan(waits_days=42, box_c=35)})
    (swap,) = box.swaps
    assert swap.stand_in is not None
    assert swap.stand_in.form in ("dried", "freeze-dried")
    assert swap.stand_in_g is not None
    # dry matter of 200 g raw carrot (SR28: 88.29 % water) comes back
    water = swap.stand_in.per_100g.water_g
    assert water is not None
    assert swap.stand_in_g * (100 - water) == pytest.approx(200 * (100 - 88.29))
    assert swap.water_ml == pytest.approx(200 - swap.stand_in_g)


def test_the_longer_and_hotter_the_box_the_drier_the_swap(pantry: Pantry) -> None:
    recipe = Recipe(title="Kraut", serves=1, lines=(Line(food="cabbage", amount="100 g"),))
    (one,) = planned_recipe(recipe, pantry, 1)
    bags = bags_of((replace(one, day=5, leg=2, stop="Box"),))
    forms = []
    for days, at_c in ((20, 21.0), (42, 35.0)):
        (box,) = boxes(bags, pantry, plans={"Box": BoxPlan(waits_days=days, box_c=at_c)})
        stand_in = box.swaps[0].stand_in
        assert stand_in is not None
        forms.append(stand_in.form)
    assert forms == ["dried", "freeze-dried"]


def test_what_needs_cold_does_not_go_into_a_box(pantry: Pantry) -> None:
    recipe = Recipe(title="Meat", serves=1, lines=(Line(food="chicken-cooked", amount="90 g"),))
    found = not_to_post((), bags_of(planned_recipe(recipe, pantry, 1)))
    assert [one.severity for one in found] == ["error"]


@pytest.mark.parametrize(
    ("thing", "told"),
    [
        ("gas canister 230 g", True),
        ("box of matches", True),
        ("100 ml spirit", True),
        ("Power bank", True),
        ("map sheet 3", False),
        ("socks", False),
    ],
)
def test_fuel_does_not_go_by_post(thing: str, told: bool) -> None:
    found = not_to_post((thing,), ())
    assert bool(found) == told
    assert all("carrier decides" in one.text for one in found)


def test_a_shop_on_the_way_is_no_box(boxed: tuple[Planned, ...], pantry: Pantry) -> None:
    assert boxes(bags_of(boxed), pantry, shops_on_the_way=["Box"]) == ()


def test_borders_are_told(boxed: tuple[Planned, ...], pantry: Pantry) -> None:
    (box,) = boxes(bags_of(boxed), pantry, plans={"Box": BoxPlan(abroad=True, waits_days=5)})
    assert "food-across-a-border" in {finding.rule for finding in box.findings}


@pytest.mark.parametrize(
    ("food", "said"),
    [
        ("citric-acid", "food acid"),
        ("coconut-milk-powder", "coconut products"),
        ("mango-freeze-dried", "fruit, dried"),
        ("lemon-juice-powder", "fruit, powder"),
        ("apple", "fruit, fresh"),
        ("tomato-powder", "vegetables, powder"),
        ("sugar", "sugar"),
        ("dark-chocolate-70", "confectionery"),
        ("olive-oil", "edible oil and fat"),
    ],
)
def test_customs_read_what_a_food_is(pantry: Pantry, food: str, said: str) -> None:
    # The Harmonized System (WCO, headings, from memory) tells these apart: 2918
    # acids, 0801 coconuts, 0813 dried fruit, 0808 apples, 0712 vegetables whole or
    # powdered, 1701 sugar, 1806 chocolate.
    assert customs_words(pantry.food(food)) == said
