"""What a line of a method means: nothing killed that is not heated, no food dropped unseen.

The texts are our own; what each should come to was written down, as a cook would say it,
before it was run.  That red kidney beans need ten minutes at a full boil and flour and egg a
heat step is told in the safety room; here it is only that such a step is never made up.
"""

from __future__ import annotations

import pytest

from fellfare.files.shipped import shipped_pantry
from fellfare.mistake import Mistake
from fellfare.recipe.ingredient_line import read_ingredient
from fellfare.recipe.method_line import act_of, clauses, minutes_of
from fellfare.recipe.pasted import Pasted, read_pasted

PANTRY = shipped_pantry()
#: Acts that a safety rule may take for a kill step.
HEATS = {"boil", "simmer", "fry", "bake", "toast", "steep", "heat"}

HEAD = "Dish\nServes 1\nIngredients\n"
RAW = HEAD + "100 g dried kidney beans\n50 g flour\n2 eggs\n10 g sugar\nMethod\n"
CURRY = HEAD + (
    "100 g instant brown rice\n1 tsp curry powder\n20 g coconut milk powder\n2 g salt\n"
    "10 g olive oil\n20 g walnuts\n20 g peanuts\n10 g dried carrots\nMethod\n"
)


def read(text: str) -> Pasted:
    pasted = read_pasted(text, PANTRY)
    assert [str(line.mistake) for line in pasted.refused] == []
    return pasted


def told(text: str) -> list[tuple[str, tuple[str, ...], str | None, float | None]]:
    return [(s.act, s.bags, s.water, s.minutes) for s in read(text).recipe.steps]


def refusal(text: str) -> Mistake:
    (line,) = read_pasted(text, PANTRY).refused
    assert line.mistake is not None
    assert line.mistake.mend
    return line.mistake


# -- what is not done is not read as done ----------------------------------------------------


@pytest.mark.parametrize(
    "prose",
    [
        "Never boil the kidney beans for less than 30 minutes.",
        "No need to bake the flour, egg and sugar.",
        "Do not boil or bake.",
        "Don't boil the beans.",
        "Don’t let the beans boil.",
        "Without boiling, mash the beans.",
        "Instead of boiling, soak the beans for 8 hours.",
        "Soak rather than boil the beans.",
        "You won't need to cook the egg.",
        "Never soak and boil the beans for 30 minutes.",
        "Do not soak, boil 30 minutes.",
        "Avoid boiling the beans.",
        "The beans cannot boil here.",
        "Stir everything except let it not boil.",
    ],
)
def test_a_negated_act_is_refused(prose: str) -> None:
    mistake = refusal(RAW + prose)
    assert mistake.code == "negated-act"
    assert "Notes" in mistake.mend
    assert read_pasted(RAW + prose, PANTRY).recipe.steps == ()


def test_negated_prose_without_a_method_heading_is_prose_too() -> None:
    text = "Dish\nServes 1\n100 g dried kidney beans\nNever boil them for under 30 minutes.\n"
    assert refusal(text).code == "negated-act"


@pytest.mark.parametrize(
    ("prose", "code"),
    [
        ("If you like, boil the beans 10 minutes.", "act-in-doubt"),
        ("Boil the beans 30 minutes if you have fuel.", "act-in-doubt"),
        ("Boil or bake the beans 30 minutes.", "act-in-doubt"),
        ("Optionally toast the flour.", "act-in-doubt"),
        ("Boil the beans for less than 30 minutes.", "longest-time-only"),
        ("Boil the beans for up to 30 minutes.", "longest-time-only"),
        ("Boil the beans 30 minutes or less.", "longest-time-only"),
        ("Before you boil the beans 30 minutes.", "no-act"),
    ],
)
def test_a_boil_in_doubt_is_refused(prose: str, code: str) -> None:
    assert refusal(RAW + prose).code == code


@pytest.mark.parametrize(
    "prose",
    [
        "Remove from heat, stir in the egg.",
        "Remove from the heat and add the egg.",
        "Take the pot off the heat, stir in the egg.",
        "Off the heat, stir in the egg.",
        "Turn off the stove, add the egg.",
        "Before you boil the beans, mix the egg and sugar.",
        "Pour over until they boil: the egg.",
        "Put the dry mix, the egg and the flour in a bag.",
        "Rest the beans before you bake the flour.",
        "Serve the egg with toast.",
    ],
)
def test_nothing_is_heated_by_these_words(prose: str) -> None:
    steps = read_pasted(RAW + prose, PANTRY).recipe.steps
    assert not HEATS & {step.act for step in steps}


def test_off_the_heat_the_egg_is_stirred_in() -> None:
    assert told(RAW + "Remove from heat, stir in the egg.") == [
        ("rest", (), None, None), ("mix", ("egg",), None, None),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("prose", "act", "minutes"),
    [
        ("Boil the beans for at least 30 minutes.", "boil", 30),
        ("Simmer without a lid for 10 minutes.", "simmer", 10),
        ("Simmer until soft, about 20 minutes, stirring so it does not stick.", "simmer", 20),
        ("Simmer until soft (20 minutes).", "simmer", 20),
        ("Over a low heat, toast the flour 5 minutes.", "toast", 5),
        ("Soak for 8 hours before boiling.", "soak", 480),
        ("Add the sugar 5 minutes before the end.", "mix", None),
        ("When it boils, add the sugar.", "mix", None),
        ("When it boils add the sugar.", "mix", None),
        ("Cook the egg in a greased pan for 5 minutes.", "fry", 5),
        ("Simmer for 10 minutes, adding water if needed.", "simmer", 10),
        ("Put it in a cosy for 15 minutes.", "rest", 15),
        ("Bring the beans to the boil.", "heat", None),  # how long they boil is not said
    ],
)
def test_plain_prose_is_still_read(prose: str, act: str, minutes: float | None) -> None:
    ((found, _, _, time),) = told(RAW + prose)
    assert (found, time) == (act, minutes)


def test_bringing_to_the_boil_alone_is_no_boil_of_usual_length() -> None:
    acts = [act for act, *_ in told(RAW + "Soak the beans 8 hours.\nBring to the boil.")]
    assert acts == ["soak", "heat"]


@pytest.mark.parametrize(
    ("line", "acts"),
    [
        ("Stir and simmer for 10 minutes", ["mix", "simmer"]),
        ("Bring to the boil and simmer for 15 minutes", ["boil", "simmer"]),
        ("Soak 20 min, drain, then boil 12 min", ["soak", "drain", "boil"]),
        ("Serve with cheese and toast", ["serve"]),
        ("Add salt, pepper and oil", ["mix"]),
    ],
)
def test_a_line_is_cut_where_an_act_begins(line: str, acts: list[str]) -> None:
    assert [act_of(clause) for clause in clauses(line)] == acts


def test_the_time_belongs_to_its_own_act() -> None:
    found = [(act_of(c), minutes_of(c, act_of(c))) for c in clauses("Stir and simmer 10 minutes")]
    assert found == [("mix", None), ("simmer", 10)]


# -- foods that a step names -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("prose", "foods"),
    [
        (
            "Add rice, curry powder, coconut milk powder and salt.",
            ["rice-brown-instant", "curry-powder", "coconut-milk-powder", "salt"],
        ),
        ("Drizzle over the oil and scatter with the nuts.", ["olive-oil", "walnut", "peanut"]),
        ("Stir in the vegetables.", ["carrot-dried"]),
        ("Stir in the spices.", ["curry-powder", "salt"]),
        ("Add the coconut milk.", ["coconut-milk-powder"]),
        ("Mix the brown rice with the salt.", ["rice-brown-instant", "salt"]),
        (
            "Mix everything except the oil and nuts.",
            ["rice-brown-instant", "curry-powder", "coconut-milk-powder", "salt", "carrot-dried"],
        ),
        (
            "Mix the dry ingredients.",
            ["rice-brown-instant", "curry-powder", "coconut-milk-powder", "salt", "walnut",
             "peanut", "carrot-dried"],
        ),
        ("Simmer until the rice is soft.", []),  # what is in the pot
        ("Stir well, cover and eat.", []),
        ("Stir gently over a low heat until thick.", []),
        ("Add a splash more water.", []),
    ],
)  # fmt: skip
def test_a_step_acts_on_what_it_names(prose: str, foods: list[str]) -> None:
    found = [food for _, bags, _, _ in told(CURRY + prose) for food in bags]
    assert found == foods


def test_the_rest_is_what_no_step_has_named() -> None:
    steps = told(CURRY + "Soak the rice and carrots 20 min.\nStir in the oil.\nAdd the rest.")
    assert steps[-1][1] == ("curry-powder", "coconut-milk-powder", "salt", "walnut", "peanut")
    assert told(CURRY + "Soak the rice 20 min.\nAdd everything else.")[1][1][0] == "curry-powder"


@pytest.mark.parametrize(
    ("prose", "code", "word"),
    [
        ("Add the noodles.", "food-not-listed", "noodle"),
        ("Stir in the peanut butter.", "food-not-listed", "peanut butter"),
        ("Stir in the sesame oil.", "food-not-listed", "sesame oil"),
        ("Add rice, kryptonite and salt.", "food-not-listed", "kryptonite"),
        ("Scatter with the seeds.", "food-not-listed", "seed"),
        ("Boil with the mushrooms for 5 minutes.", "food-not-listed", "mushroom"),
    ],
)
def test_a_food_that_no_line_has_is_told(prose: str, code: str, word: str) -> None:
    mistake = refusal(CURRY + prose)
    assert mistake.code == code
    assert f"{word!r}" in mistake.what
    assert "not found among the ingredient lines" in mistake.what


def test_a_word_that_fits_two_lines_is_told() -> None:
    text = HEAD + "50 g instant rice\n50 g instant brown rice\nMethod\nAdd the rice."
    # 'Instant rice' is called 'rice' by no other name here, so both fit.
    mistake = refusal(text)
    assert mistake.code == "ambiguous-food"
    assert {"rice-instant", "rice-brown-instant"} <= set(mistake.what.split())


def test_a_refused_ingredient_is_not_told_twice() -> None:
    text = HEAD + "90 g bulgur\n1 generous cup rice\nMethod\nSoak the bulgur and rice 20 min."
    assert [line.number for line in read_pasted(text, PANTRY).refused] == [5]


# -- steps without a food --------------------------------------------------------------------


NOODLES = HEAD + "1 packet ramen noodles\n1 (3 oz.) pouch chicken\n10 g oil\nMethod\n"


@pytest.mark.parametrize(
    ("prose", "steps"),
    [
        ("Pour on 250 ml boiling water. Cover for 5 minutes.", [("steep", (), "250 ml", 5)]),
        (
            "Pour on 250 ml boiling water.\nStir, cover and leave for 5 minutes.",
            [("steep", (), "250 ml", 5)],
        ),
        (
            "Pour on 250 ml boiling water. After 5 minutes, stir.",
            [("steep", (), "250 ml", 5), ("mix", (), None, None)],
        ),
        (
            "Boil 500 ml water, add noodles and simmer 3 min.",
            [("heat", (), None, None), ("simmer", ("instant-noodles",), "500 ml", 3)],
        ),
        (
            "Bring 500 ml water to the boil. Add the noodles, cover and leave for 4 minutes.",
            [("heat", (), None, None), ("steep", ("instant-noodles",), "500 ml", 4)],
        ),
        (
            "Remove from heat, add chicken and oil.",
            [("rest", (), None, None), ("mix", ("chicken-canned", "vegetable-oil"), None, None)],
        ),
        (
            "Put the noodles in a jar with 300 ml cold water. Leave for 40 minutes.",
            [("soak", ("instant-noodles",), "300 ml", 40)],
        ),
        (
            "Pour a cup of boiling water on the noodles, stir in the oil and leave 4 min.",
            [("steep", ("instant-noodles", "vegetable-oil"), "a cup", 4)],
        ),
        (
            "Add 250 ml boiling water. Stir, seal, and put in a cosy for 15 minutes.",
            [("steep", (), "250 ml", 15)],
        ),
        (
            "Add 300 ml cold water to the noodles, mix in the oil and leave for 40 min.",
            [("soak", ("instant-noodles", "vegetable-oil"), "300 ml", 40)],
        ),
        (
            "Soak the noodles in 300 ml water for 20 min. Let stand 5 min.",
            [("soak", ("instant-noodles",), "300 ml", 20), ("rest", (), None, 5)],
        ),
    ],
)
def test_a_wait_is_the_time_of_the_pour_before_it(
    prose: str, steps: list[tuple[str, tuple[str, ...], str | None, float | None]]
) -> None:
    assert told(NOODLES + prose) == steps


def test_later_food_does_not_push_the_earlier_out_of_the_pot() -> None:
    # Were the last step to name the sugar alone, the beans would not have boiled.
    steps = told(RAW + "Soak the beans in 500 ml water 8 hours.\nAdd the sugar and boil 30 min.")
    assert steps[1:] == [("mix", ("sugar",), None, None), ("boil", (), None, 30)]


# -- ingredient lines ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "food"),
    [
        ("1 (3 oz.) pouch chicken", "chicken-canned"),
        ("1 (3 oz) pouch chicken breast", "chicken-canned"),
        ("1 (140 g) jar salmon", "salmon-canned"),
        ("5 oz chicken breast, canned", "chicken-canned"),
        ("60 g apricots, dried, chopped", "apricot-dried"),
        ("1 packet spinach", "spinach"),  # it does come so
    ],
)
def test_what_comes_in_a_pack_is_what_comes_in_packs(text: str, food: str) -> None:
    assert read_ingredient(text, PANTRY)[0].food == food


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("1 (200 g) pouch minced beef", "fresh-in-a-can"),
        ("1 (200 g) packet pork mince", "fresh-in-a-can"),
        ("200 g radishes, freeze-dried", "state-in-note"),
    ],
)
def test_a_raw_food_is_not_taken_for_what_a_pack_holds(text: str, code: str) -> None:
    with pytest.raises(Mistake) as caught:
        read_ingredient(text, PANTRY)
    assert caught.value.code == code


@pytest.mark.parametrize(
    ("text", "unit", "column"),
    [
        ("2 furlongs rice", "furlongs", 3),
        ("5 dkg walnuts", "dkg", 3),
        ("2 ts honey", "ts", 3),
        ("1 gill milk", "gill", 3),
        ("2 furlongs of rice", "furlongs", 3),
    ],
)
def test_an_unknown_unit_is_called_so(text: str, unit: str, column: int) -> None:
    with pytest.raises(Mistake) as caught:
        read_ingredient(text, PANTRY)
    assert caught.value.code == "unknown-unit"
    assert f"{unit!r}" in caught.value.what
    assert caught.value.where == f"column {column}"
    assert "tbsp" in caught.value.mend


@pytest.mark.parametrize("text", ["Salt & pepper", "salt and pepper to taste", "salt + pepper"])
def test_two_foods_are_two_lines(text: str) -> None:
    with pytest.raises(Mistake) as caught:
        read_ingredient(text, PANTRY)
    assert caught.value.code == "two-foods"
    assert "two lines" in caught.value.mend


@pytest.mark.parametrize("text", ["1 bouillon cube", "1 stock cube"])
def test_a_cube_of_no_kind_brings_the_cubes_there_are(text: str) -> None:
    with pytest.raises(Mistake) as caught:
        read_ingredient(text, PANTRY)
    assert caught.value.code == "ambiguous-food"
    assert "vegetable-stock-cube" in caught.value.mend
    assert "chicken-stock-cube" in caught.value.mend


@pytest.mark.parametrize(
    "line", ["Water", "water as needed", "Boiling water, to cover", "Enough water to cover"]
)
def test_water_without_an_amount_is_water(line: str) -> None:
    read(f"{HEAD}90 g bulgur\n{line}\nMethod\nSoak the bulgur 20 min.")


def test_fluid_ounces_of_water_go_to_the_soak() -> None:
    text = HEAD + "90 g bulgur\n8 fl. oz. water\nMethod\nSoak the bulgur 20 min."
    assert told(text) == [("soak", ("bulgur",), "8 fl. oz.", 20)]


def test_water_goes_to_the_step_that_speaks_of_it() -> None:
    text = HEAD + "90 g bulgur\n150 ml water\nMethod\nAdd the water and leave overnight."
    assert [step.water for step in read(text).recipe.steps] == ["150 ml"]
    text = HEAD + "90 g flour\n150 ml water\nMethod\nAdd the water and knead.\nSimmer 10 min."
    assert [step.water for step in read(text).recipe.steps] == ["150 ml", None]


@pytest.mark.parametrize(
    ("method", "treated"),
    [
        ("Soak the bulgur in 150 ml treated cold water for 20 min.", True),
        ("Soak the bulgur in 150 ml cold treated water for 20 min.", True),
        ("Soak the bulgur in 150 ml water, already treated, for 20 min.", True),
        ("Soak the bulgur in 150 ml cold water for 20 min.", None),
        ("Soak the bulgur in 150 ml filtered water for 20 min.", None),
        ("Soak the bulgur in 150 ml untreated water for 20 min.", False),
        ("Mix the bulgur with 150 ml treated water, ideally from the hut.", None),
    ],
)
def test_treated_water_is_what_is_called_so(method: str, treated: bool | None) -> None:
    (step,) = read(f"{HEAD}90 g bulgur\nMethod\n{method}").recipe.steps
    assert step.water_treated is treated


def test_water_among_the_ingredients_may_be_treated() -> None:
    pasted = read(f"{HEAD}90 g bulgur\n150 ml water, treated\nMethod\nSoak the bulgur 20 min.")
    assert [step.water_treated for step in pasted.recipe.steps] == [True]
    said = read(f"{HEAD}90 g bulgur\nMethod\nSoak the bulgur in 150 ml treated water 20 min.")
    assert "150 ml treated water" in said.lines[-1].understood


# -- how many it serves ----------------------------------------------------------------------


@pytest.mark.parametrize(
    "heading",
    ["Ingredients (serves two)", "Ingredients (for 2 people)", "INGREDIENTS - serves 2:",
     "What you need (serves 2)"],
)  # fmt: skip
def test_the_heading_may_tell_the_eaters(heading: str) -> None:
    pasted = read(f"Dish\n{heading}\n90 g bulgur")
    assert pasted.recipe.serves == 2
    assert pasted.assumed == ()


def test_without_a_word_of_it_one_eater_is_taken_and_told() -> None:
    pasted = read("Dish\n90 g bulgur")
    assert pasted.recipe.serves == 1
    (said,) = pasted.assumed
    assert said.startswith("serves 1")
    assert "does not say" in said
