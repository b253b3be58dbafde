"""What is done at home, and by when."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.mistake import Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.provision.bags.plan import bags_of
from fellfare.provision.boxes.box import BoxPlan, boxes
from fellfare.provision.planned import Planned, Share, in_order, planned_recipe
from fellfare.provision.prep.drying import CLASSES, Dryer, drying, drying_class
from fellfare.provision.prep.list import PrepList, _shortly, prep_list
from fellfare.provision.shopping.list import shopping_list
from fellfare.recipe.document import Line, Recipe, Step

FIRST = date(2027, 6, 1)
STEW = Recipe(
    title="Own stew",
    serves=1,
    lines=(
        Line(food="carrot-dried", amount="30 g", bag="pot", home_made=True),
        Line(food="beef-ground-dried", amount="40 g", bag="pot", home_made=True, preheated=True),
        Line(food="chicken-dried", amount="10 g", bag="pot", home_made=True, preheated=True),
        Line(food="black-beans-precooked", amount="20 g", bag="pot", home_made=True),
        Line(food="apple-home-dried", amount="30 g", note="in rings", home_made=True),
        Line(food="walnut", amount="20 g", bag="nuts"),
    ),
    steps=(
        Step(act="toast", bags=("nuts",), where="home", minutes=8, text="Toast the nuts."),
        Step(act="boil", bags=("pot",), water="400 ml", minutes=15),
    ),
)


@pytest.fixture(scope="session")
def stew(pantry: Pantry) -> Callable[..., PrepList]:
    def make(days: tuple[int, ...] = (1, 3), **rest: object) -> PrepList:
        plan = planned_recipe(STEW, pantry, 2, days=days)
        bags = bags_of(plan)
        told = {"first_day": FIRST, **rest}
        return prep_list(plan, bags, shopping_list(bags, pantry), **told)  # type: ignore[arg-type]

    return make


def test_what_goes_in_comes_out_with_less_water(stew: Callable[..., PrepList]) -> None:
    dried = [task for task in stew().tasks if task.kind == "dry"]
    assert len(dried) == 5
    for task in dried:
        assert task.in_g is not None
        assert task.out_g is not None
        assert task.drying is not None
        assert task.drying.water_out_g == pytest.approx(task.in_g - task.out_g)
    carrot = next(task for task in dried if "carrot" in task.foods[0])
    # 2 eaters × 2 days × 30 g; SR28 factor 8.198
    assert carrot.out_g == pytest.approx(120)
    assert carrot.in_g == pytest.approx(120 * 8.198, abs=0.1)


@pytest.mark.parametrize(
    ("food", "core_c"),
    # FSIS: 160 °F for meat, 165 °F for poultry, in whole °C
    [("beef-ground-dried", (160 - 32) / 1.8), ("chicken-dried", (165 - 32) / 1.8)],
)
def test_meat_is_heated_before_it_dries(
    stew: Callable[..., PrepList], pantry: Pantry, food: str, core_c: float
) -> None:
    name = pantry.food(food).name
    task = next(t for t in stew().tasks if t.kind == "dry" and name in t.foods)
    (finding,) = [f for f in task.findings if f.rule == "heat-before-drying"]
    assert f"{core_c:.0f} °C" in finding.text
    kind = drying_class(pantry.food(food))
    assert kind is not None
    assert kind.heat_first_c == pytest.approx(core_c, abs=0.6)


def test_beans_are_cooked_before_they_dry(stew: Callable[..., PrepList]) -> None:
    task = next(t for t in stew().tasks if t.kind == "dry" and "beans" in t.text)
    (finding,) = [f for f in task.findings if f.rule == "cook-before-drying"]
    assert "30 min" in finding.text


def test_fruit_is_conditioned_for_a_week(stew: Callable[..., PrepList]) -> None:
    tasks = stew().tasks
    jar = next(task for task in tasks if task.kind == "condition")
    fruit = next(task for task in tasks if task.kind == "dry" and "apple" in task.text)
    assert jar.days_before == 7
    assert fruit.latest is not None
    assert jar.latest is not None
    assert fruit.latest < jar.latest <= FIRST - timedelta(days=8)


def test_tasks_stand_in_the_order_of_their_dates(stew: Callable[..., PrepList]) -> None:
    dates = [task.latest for task in stew().tasks]
    assert all(day is not None for day in dates)
    assert dates == sorted(dates, key=lambda day: day or date.max)
    kinds = [task.kind for task in stew().tasks]
    assert kinds[0] == "buy"
    assert kinds[-1] == "bag"
    assert kinds.index("toast") < kinds.index("weigh")


def test_all_is_ready_the_day_before(stew: Callable[..., PrepList]) -> None:
    assert max(task.latest for task in stew().tasks if task.latest) == FIRST - timedelta(days=1)


def test_without_a_date_the_days_before_still_stand(stew: Callable[..., PrepList]) -> None:
    for task in stew(first_day=None).tasks:
        assert task.latest is None
        assert task.days_before >= 0


def test_a_box_is_closed_when_it_must_be(dish: Callable[..., Planned], pantry: Pantry) -> None:
    plan = in_order((dish("pot", day=1), dish("pot", day=9, leg=2, stop="Box")))
    bags = bags_of(plan)
    closed = date(2027, 5, 10)
    told = prep_list(
        plan, bags, shopping_list(bags, pantry), first_day=FIRST, ready_by={"Box": closed}
    )
    assert {task.latest for task in told.tasks if task.stop == "Box" and task.kind == "bag"} == {
        closed
    }


def test_food_that_does_not_keep_is_told(dish: Callable[..., Planned], pantry: Pantry) -> None:
    # FoodKeeper: walnuts two weeks; a box packed six weeks ahead.
    plan = in_order((dish("porridge", day=9, stop="Box", leg=2),))
    bags = bags_of(plan)
    told = prep_list(
        plan,
        bags,
        shopping_list(bags, pantry),
        first_day=FIRST,
        ready_by={"Box": FIRST - timedelta(days=42)},
    )
    early = [finding for finding in told.findings if finding.rule == "prepared-too-early"]
    assert early
    assert all(finding.text.startswith("Weigh for day 9") for finding in early)
    long = replace(told.tasks[0], text="Fold the crispbread " * 9, dish="Crispbread with cheese")
    words = _shortly(long)
    assert words.startswith("Crispbread with cheese (Fold the")
    assert words.removesuffix(" …)").split()[-1] in ("Fold", "the", "crispbread")  # a whole word
    near = prep_list(plan, bags, shopping_list(bags, pantry), first_day=FIRST)
    assert not near.findings


def test_home_jerky_comes_with_its_caution(stew: Callable[..., PrepList]) -> None:
    weigh = [task for task in stew().tasks if task.kind == "weigh"]
    assert all(any(f.rule == "home-jerky-age" for f in task.findings) for task in weigh)


def test_published_times_lie_inside_the_ranges() -> None:
    # MSU Extension 01600519: vegetables at 140 °F (60 °C) 6 to 16 h.
    vegetable = CLASSES["vegetable"]
    assert vegetable.low_h <= 6 <= 16 <= vegetable.high_h
    assert vegetable.low_c <= 60 <= vegetable.high_c
    # FSIS: dryer at 130 to 140 °F.
    assert (CLASSES["meat"].low_c, CLASSES["meat"].high_c) == pytest.approx((54.4, 60), abs=0.5)
    # A walker's log: cooked beans 6 to 8 h at 49 °C.
    beans = CLASSES["cooked pulse or grain"]
    assert beans.low_h <= 6 <= 8 <= beans.high_h
    assert beans.low_c == 49


@given(st.floats(1, 20_000), st.floats(0.05, 1), st.integers(1, 20))
def test_trays_hold_what_they_are_given(fresh_g: float, share: float, trays: int) -> None:
    kind = CLASSES["vegetable"]
    dryer = Dryer(tray_m2=0.09, trays=trays)
    work = drying(kind, fresh_g, fresh_g * share, dryer)
    load_g = kind.load_g_per_m2 * dryer.tray_m2
    assert (work.trays - 1) * load_g < fresh_g * (1 + 1e-6)
    assert work.trays * load_g >= fresh_g * (1 - 1e-6)
    assert work.batches * trays >= work.trays > (work.batches - 1) * trays
    assert work.tray_hours[0] == pytest.approx(work.trays * kind.low_h)


@pytest.mark.parametrize(
    ("code", "fresh_g", "dried_g", "dryer"),
    [
        ("dryer-out-of-range", 100, 10, Dryer(tray_m2=0)),
        ("dryer-out-of-range", 100, 10, Dryer(trays=0)),
        ("dryer-out-of-range", 100, 10, Dryer(load_g_per_m2=float("nan"))),
        ("drying-out-of-range", 10, 100, Dryer()),
        ("drying-out-of-range", float("nan"), 1, Dryer()),
    ],
)
def test_impossible_drying_is_refused(
    code: str, fresh_g: float, dried_g: float, dryer: Dryer
) -> None:
    with pytest.raises(Mistake, match=code):
        drying(CLASSES["fruit"], fresh_g, dried_g, dryer)


@pytest.mark.parametrize("food", ["egg-powder", "cheddar", "milk-powder"])
def test_egg_and_dairy_are_not_for_the_home_dryer(pantry: Pantry, food: str) -> None:
    assert drying_class(pantry.food(food)) is None


def test_what_a_hut_sells_is_not_prepared_at_home(
    dish: Callable[..., Planned], pantry: Pantry
) -> None:
    plan = in_order((dish("porridge", day=1), dish("pot", day=4, leg=2, stop="Hut")))
    bags = bags_of(plan)
    shopping = shopping_list(bags, pantry, shops_on_the_way=["Hut"])
    tasks = prep_list(plan, bags, shopping, first_day=FIRST).tasks
    assert {task.stop for task in tasks} == {""}
    assert all("Couscous" not in task.text for task in tasks)


def test_a_stop_that_is_none_is_refused(dish: Callable[..., Planned], pantry: Pantry) -> None:
    plan = in_order((dish("pot"),))
    bags = bags_of(plan)
    shopping = shopping_list(bags, pantry)
    with pytest.raises(Mistake, match="unknown-stop"):
        prep_list(plan, bags, shopping, ready_by={"Boxx": FIRST})
    with pytest.raises(Mistake, match="unknown-stop"):
        shopping_list(bags, pantry, shops_on_the_way=["Boxx"])
    with pytest.raises(Mistake, match="unknown-stop"):
        boxes(bags, pantry, plans={"Boxx": BoxPlan()})


NUTTY = Recipe(
    title="Nuts and oats",
    serves=1,
    lines=(
        Line(food="rolled-oats", amount="60 g", bag="oats"),
        Line(food="sugar", amount="10 g", bag="oats"),
        Line(food="almond", amount="45 g", bag="nuts"),
        Line(food="olive-oil", amount="5 g", bag="nuts"),
    ),
    steps=(
        Step(act="mix", bags=("oats",), where="home", text="Mix the oats."),
        Step(act="toast", bags=("nuts",), where="home", text="Toast the nuts in the oil."),
        Step(act="pack", bags=("oats", "nuts"), where="home", text="Each in its bag."),
        Step(act="soak", bags=("oats",), water="150 ml", minutes=10),
    ),
)


def nutty(pantry: Pantry, avoids: tuple[str, ...] = ()) -> PrepList:
    eaters = (Share(name="Ada", servings=1.0), Share(name="Bo", servings=2.0))
    other = Share(name="Cy", servings=1.0, avoids=avoids)
    plan = tuple(
        replace(dish, eaters=eaters, apart=True, others=(other,) if avoids else ())
        for dish in planned_recipe(NUTTY, pantry, 2, days=(1,))
    )
    bags = bags_of(plan)
    return prep_list(plan, bags, shopping_list(bags, pantry), first_day=FIRST)


def test_a_heap_is_divided_and_every_bag_has_its_total(pantry: Pantry) -> None:
    tasks = {(task.kind, task.text.split(" (")[0]): task for task in nutty(pantry).tasks}
    mixed = tasks["mix", "Mix the oats."]
    # By hand: three servings of 70 g in one heap, one for Ada and two for Bo.
    assert "(210 g in all: " in mixed.text
    assert mixed.text.endswith("Then weigh out of the heap: bag 1 70 g, bag 3 140 g.")
    toasted = tasks["toast", "Toast the nuts in the oil."]
    # What is toasted loses water: its parts, a third and two thirds of 150 g, are told in per cent.
    assert "(150 g in all" in toasted.text
    assert toasted.text.endswith("give of it: bag 2 33.3 %, bag 4 66.7 %.")
    (weigh,) = (task for task in nutty(pantry).tasks if task.kind == "weigh")
    assert "bag 1 oats (for Ada), 70 g in all: 70 g of the heap.  In: " in weigh.text
    assert "bag 4 nuts (for Bo), 100 g in all, as weighed in: 66.7 % of the heap." in weigh.text
    (packed,) = (task for task in nutty(pantry).tasks if task.text.startswith("Each in its bag"))
    assert "heap" not in packed.text  # of two bags of one eater nothing is made


def test_what_one_must_not_eat_is_handled_last_behind_a_clean_scale(pantry: Pantry) -> None:
    assert all(task.kind != "clean" for task in nutty(pantry).tasks)
    told = nutty(pantry, ("almond",)).tasks
    day = [task for task in told if task.latest == FIRST - timedelta(days=1)]
    kinds = [task.kind for task in day]
    at = kinds.index("clean")
    assert "not for Cy" in day[at].text
    assert [task.bags for task in day[:at] if task.kind == "weigh"] == [(1, 3)]
    assert [task.bags for task in day[at:] if task.kind == "weigh"] == [(2, 4)]
    assert day[-1].text.startswith("Label, fill")
    before = [task.kind for task in told if task.latest == FIRST - timedelta(days=2)]
    assert before == ["clean", "toast"]


def test_screen_and_prep_list_count_the_same_foods(pantry: Pantry) -> None:
    plan = planned_recipe(STEW, pantry, 2, days=(1,))
    bags = bags_of(plan)
    bought = shopping_list(bags, pantry, at_home={"walnut": 1000.0})
    (buy,) = (t for t in prep_list(plan, bags, bought).tasks if t.kind == "buy")
    (home,) = bought.places
    assert len(home.to_buy) == len(home.rows) - 1
    assert buy.text.startswith(f"Buy {len(home.to_buy)} foods")
