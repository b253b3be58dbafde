"""Which allergens does the law name, and what do several foods declare together?

Our agents (:data:`fellfare.pantry.food.Allergen`) are finer than either list:

* the US nine: FALCPA 2004 (Pub. L. 108-282) and, for sesame, the FASTER Act
  2021 (Pub. L. 117-11); which nuts are 'tree nuts': FDA, Questions and Answers
  Regarding Food Allergens, edition 5, January 2025, Appendix I (twelve; pine
  nut is one, coconut is not) [FDA-ALLERGENS-2025];
* the EU fourteen: Regulation (EU) No 1169/2011, Annex II (eight nuts, without
  pine nut and coconut) [EU-1169-2011].  STATUS of Annex II: from memory.

What is not declared is not thereby absent: 'free from' cannot be shown from a
recipe.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final, get_args

from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.pantry.food import Allergen, Food

#: Every agent, in the order in which lists print them.
AGENTS: Final[tuple[Allergen, ...]] = get_args(Allergen)

#: The eight nuts of Annex II; the US list has the pine nut too.
_EU_NUTS: Final[tuple[Allergen, ...]] = (
    "almond", "hazelnut", "walnut", "cashew", "pecan", "brazil-nut", "pistachio", "macadamia",
)  # fmt: skip
_US_NUTS: Final[tuple[Allergen, ...]] = (*_EU_NUTS, "pine-nut")
_GLUTEN: Final[tuple[Allergen, ...]] = ("wheat", "rye", "barley", "oats")

#: The US nine and our agents within each.
US_MAJORS: Final[Mapping[str, tuple[Allergen, ...]]] = {
    "milk": ("milk",),
    "eggs": ("egg",),
    "fish": ("fish",),
    "crustacean shellfish": ("crustacean",),
    "tree nuts": _US_NUTS,
    "peanuts": ("peanut",),
    "wheat": ("wheat",),
    "soybeans": ("soy",),
    "sesame": ("sesame",),
}

#: The EU fourteen, in the order of Annex II, and our agents within each.
EU_ANNEX: Final[Mapping[str, tuple[Allergen, ...]]] = {
    "cereals containing gluten": _GLUTEN,
    "crustaceans": ("crustacean",),
    "eggs": ("egg",),
    "fish": ("fish",),
    "peanuts": ("peanut",),
    "soybeans": ("soy",),
    "milk": ("milk",),
    "nuts": _EU_NUTS,
    "celery": ("celery",),
    "mustard": ("mustard",),
    "sesame seeds": ("sesame",),
    "sulphur dioxide and sulphites": ("sulphite",),
    "lupin": ("lupin",),
    "molluscs": ("mollusc",),
}

_NAMES: Final[Mapping[str, str]] = {
    "crustacean": "crustaceans",
    "mollusc": "molluscs",
    "peanut": "peanuts",
    "brazil-nut": "Brazil nut",
    "pine-nut": "pine nut",
    "sulphite": "sulphites",
}

#: What people say they avoid, beside the single agents.  'shellfish' takes in
#: the molluscs: the wider reading, because the narrower one could harm.
GROUPS: Final[Mapping[str, tuple[Allergen, ...]]] = {
    "tree-nut": _US_NUTS,
    "nut": (*_US_NUTS, "peanut"),
    "gluten": _GLUTEN,
    "shellfish": ("crustacean", "mollusc"),
    "seafood": ("fish", "crustacean", "mollusc"),
}


class Declared(Struct, frozen=True, kw_only=True):
    """One agent and the foods that bring it."""

    agent: Allergen
    #: Ids of the foods, in the order of the recipe.
    foods: tuple[str, ...]


class Combined(Struct, frozen=True, kw_only=True):
    """What several foods declare together; an agent stands in one list only."""

    contains: tuple[Declared, ...] = ()
    may_contain: tuple[Declared, ...] = ()
    #: Differs by maker, or hidden in an open mix: read the label.
    unknown: tuple[Declared, ...] = ()

    def of(self, agent: Allergen) -> str:
        """'contains', 'may contain', 'unknown' or 'not declared'."""
        for word, group in (
            ("contains", self.contains),
            ("may contain", self.may_contain),
            ("unknown", self.unknown),
        ):
            if any(one.agent == agent for one in group):
                return word
        return "not declared"


def agent_name(agent: Allergen) -> str:
    """The agent as a list prints it: 'Brazil nut', 'molluscs', 'wheat'."""
    return _NAMES.get(agent, agent)


def us_major(agent: Allergen) -> str | None:
    """The major food allergen of US law to which the agent belongs, or None.

    Nuts are declared there by species: see :func:`us_name`.
    """
    return _class_of(agent, US_MAJORS)


def eu_annex(agent: Allergen) -> str | None:
    """The entry of Annex II to which the agent belongs, or None."""
    return _class_of(agent, EU_ANNEX)


def us_name(agent: Allergen) -> str | None:
    """As US law declares it, nuts by species: 'tree nuts (almond)'; None = not a major."""
    major = us_major(agent)
    return f"{major} ({agent_name(agent)})" if major == "tree nuts" else major


def eu_name(agent: Allergen) -> str | None:
    """As Annex II names it: 'nuts (almond)'; None = not in it."""
    entry = eu_annex(agent)
    single = entry is None or len(EU_ANNEX[entry]) == 1
    return entry if single else f"{entry} ({agent_name(agent)})"


def agents_of(word: str) -> tuple[Allergen, ...]:
    """The agents that somebody means who avoids ``word``.

    Parameters
    ----------
    word
        An agent ('almond') or a group: 'tree-nut', 'nut' (peanut too),
        'gluten', 'shellfish', 'seafood'.

    Raises
    ------
    Mistake
        ``unknown-allergen``: neither.
    """
    if word in GROUPS:
        return GROUPS[word]
    for agent in AGENTS:
        if agent == word:
            return (agent,)
    raise Mistake(
        "unknown-allergen",
        what=f"nobody here knows the allergen {word!r}",
        mend="write one of: " + ", ".join((*AGENTS, *GROUPS)),
    )


def combine(foods: Iterable[Food]) -> Combined:
    """What the foods declare together, and which food brings what.

    The gravest answer for an agent counts: contained in one food, it is not
    repeated as 'may contain' or 'unknown' for the others.  A food that is an
    open mix makes every agent unknown that it does not itself declare.
    """
    seen: dict[str, dict[Allergen, list[str]]] = {"contains": {}, "may_contain": {}, "unknown": {}}
    for food in foods:
        told = food.allergens
        declared = {*told.contains, *told.may_contain, *told.unknown}
        hidden = [agent for agent in AGENTS if told.open_mix and agent not in declared]
        for level, agents in (
            ("contains", told.contains),
            ("may_contain", told.may_contain),
            ("unknown", (*told.unknown, *hidden)),
        ):
            for agent in agents:
                sources = seen[level].setdefault(agent, [])
                if food.id not in sources:
                    sources.append(food.id)
    graver: set[Allergen] = set()
    lists: dict[str, tuple[Declared, ...]] = {}
    for level, found in seen.items():
        lists[level] = tuple(
            Declared(agent=agent, foods=tuple(found[agent]))
            for agent in AGENTS
            if agent in found and agent not in graver
        )
        graver.update(found)
    return Combined(
        contains=lists["contains"], may_contain=lists["may_contain"], unknown=lists["unknown"]
    )


def _class_of(agent: Allergen, law: Mapping[str, tuple[Allergen, ...]]) -> str | None:
    return next((name for name, agents in law.items() if agent in agents), None)
