"""Allergen classes against the two laws, and several foods together."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fellfare.mistake import Mistake
from fellfare.pantry.allergens import (
    AGENTS,
    EU_ANNEX,
    US_MAJORS,
    agent_name,
    agents_of,
    combine,
    eu_annex,
    eu_name,
    us_major,
    us_name,
)
from fellfare.pantry.food import Allergen, Allergens, Food, Source
from fellfare.pantry.nutrients import Nutrients

TABLE = Path(__file__).parents[1] / "reference" / "label-allergens.csv"


def laws() -> list[tuple[str, str, str]]:
    with TABLE.open(encoding="utf-8") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return [(row["agent"], row["us"], row["eu"]) for row in rows]


def food(name: str, allergens: Allergens) -> Food:
    return Food(
        id=name,
        name=name,
        group="ready",
        form="solid",
        source=Source(kind="unknown", ref="invented for a test"),
        per_100g=Nutrients(),
        allergens=allergens,
    )


@pytest.mark.parametrize(("agent", "us", "eu"), laws())
def test_each_agent_stands_where_the_laws_put_it(agent: str, us: str, eu: str) -> None:
    (code,) = agents_of(agent)
    assert us_major(code) == (us or None)
    assert eu_annex(code) == (eu or None)


def test_the_table_holds_every_agent() -> None:
    assert tuple(agent for agent, _, _ in laws()) == AGENTS


def test_there_are_nine_and_fourteen() -> None:
    # FALCPA names eight, FASTER adds sesame; Annex II has 14 entries.
    assert len(US_MAJORS) == 9
    assert len(EU_ANNEX) == 14


def test_nuts_are_declared_by_species() -> None:
    assert us_name("pine-nut") == "tree nuts (pine nut)"
    assert eu_name("pine-nut") is None
    assert eu_name("brazil-nut") == "nuts (Brazil nut)"
    assert eu_name("rye") == "cereals containing gluten (rye)"
    assert us_name("milk") == eu_name("milk") == "milk"


def test_every_agent_has_a_name_without_hyphen() -> None:
    assert not [agent for agent in AGENTS if "-" in agent_name(agent)]


def test_a_group_means_all_its_agents() -> None:
    assert set(agents_of("gluten")) == {"wheat", "rye", "barley", "oats"}
    assert set(agents_of("tree-nut")) == {a for a in AGENTS if us_major(a) == "tree nuts"}
    assert "peanut" in agents_of("nut")
    assert "mollusc" in agents_of("shellfish")
    with pytest.raises(Mistake, match="unknown-allergen"):
        agents_of("moonlight")


def test_the_gravest_answer_counts_and_names_its_foods() -> None:
    together = combine(
        (
            food("muesli", Allergens(contains=("oats",), may_contain=("almond", "milk"))),
            food("milk powder", Allergens(contains=("milk",), unknown=("almond", "soy"))),
            food("bar", Allergens(may_contain=("almond",))),
        )
    )
    assert [(d.agent, d.foods) for d in together.contains] == [
        ("milk", ("milk powder",)),
        ("oats", ("muesli",)),
    ]
    assert [(d.agent, d.foods) for d in together.may_contain] == [("almond", ("muesli", "bar"))]
    assert [(d.agent, d.foods) for d in together.unknown] == [("soy", ("milk powder",))]
    assert together.of("milk") == "contains"
    assert together.of("almond") == "may contain"
    assert together.of("soy") == "unknown"
    assert together.of("celery") == "not declared"


def test_an_open_mix_hides_every_agent_that_it_does_not_declare() -> None:
    together = combine((food("curry mix", Allergens(contains=("mustard",), open_mix=True)),))
    assert [d.agent for d in together.contains] == ["mustard"]
    assert [d.agent for d in together.unknown] == [a for a in AGENTS if a != "mustard"]
    assert all(d.foods == ("curry mix",) for d in together.unknown)


SOME = st.lists(st.sampled_from(AGENTS), unique=True, max_size=4).map(tuple)
ALLERGENS = st.builds(
    Allergens, contains=SOME, may_contain=SOME, unknown=SOME, open_mix=st.booleans()
)


@given(st.lists(ALLERGENS, max_size=5))
def test_no_agent_is_lost_and_none_stands_twice(told: list[Allergens]) -> None:
    together = combine(food(str(place), one) for place, one in enumerate(told))
    named = [d.agent for d in (*together.contains, *together.may_contain, *together.unknown)]
    wanted: set[Allergen] = set()
    for one in told:
        wanted |= {*one.contains, *one.may_contain, *one.unknown}
        wanted |= set(AGENTS) if one.open_mix else set()
    assert len(named) == len(set(named))
    assert set(named) == wanted
    assert {d.agent for d in together.contains} == {a for one in told for a in one.contains}
