"""From a composition to arrays: every way to fill each part, with its figures.

A *filling* is what one part may hold: a set of foods, each in one amount, or nothing.  An
unknown figure stands as two ends: nothing at the low end, infinity at the high end, so that
it never helps to keep a limit nor to win an aim.
"""

from __future__ import annotations

from itertools import combinations, product
from typing import Final, TypeAlias

import numpy as np
from msgspec import Struct

from fellfare.measure.reading import read_amount
from fellfare.mistake import Finding, Mistake
from fellfare.pantry.allergens import agent_name, agents_of, combine
from fellfare.pantry.food import Food, Way
from fellfare.pantry.pantry import Pantry
from fellfare.recipe.composing.question import SUMS, Composition, Part, checked
from fellfare.recipe.composing.taste import tastes_of
from fellfare.recipe.weighing import weigh

Floats: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[np.float64]]
Whole: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[np.int64]]

#: Ways to fill one part that are held in memory.
MOST_FILLINGS: Final = 200_000
#: Combinations are numbered with 63 bits.
MOST_COMBINATIONS: Final = 2**62
#: What may go into a pot that is made this way: the way itself, then the gentler ones.
GENTLER: Final[dict[Way, tuple[Way, ...]]] = {
    "dry": (),
    "cold-soak": ("cold-soak",),
    "hot-pour": ("hot-pour", "cold-soak"),
    "boil": ("boil", "hot-pour", "cold-soak"),
}


class Portion(Struct, frozen=True):
    """One food in one amount."""

    food: Food
    amount: str
    mass_g: float


class PartLaid(Struct, frozen=True, kw_only=True, eq=False):
    """All fillings of one part; arrays have one row for each."""

    part: Part
    fillings: tuple[tuple[Portion, ...], ...]
    low: Floats  # fillings x SUMS, unknown as 0
    high: Floats  # fillings x SUMS, unknown as infinity
    minutes: Floats  # infinity where unknown
    tastes: Whole

    def __len__(self) -> int:
        return len(self.fillings)


class Laid(Struct, frozen=True, kw_only=True, eq=False):
    """The parts, and what was left out before the counting began."""

    asked: Composition
    parts: tuple[PartLaid, ...]
    findings: tuple[Finding, ...]
    #: Places of the parts in the order in which they turn, the last one fastest.
    turning: tuple[int, ...]

    @property
    def combinations(self) -> int:
        """How many dishes there are before any limit."""
        count = 1
        for part in self.parts:
            count *= len(part)
        return count

    def fillings(self, number: int) -> tuple[tuple[Portion, ...], ...]:
        """What each part holds in combination ``number``, in the order of the parts."""
        return tuple(
            part.fillings[at] for part, at in zip(self.parts, self.places(number), strict=True)
        )

    def places(self, number: int) -> tuple[int, ...]:
        """The place of each part's filling in combination ``number``."""
        found = [0] * len(self.parts)
        for turn in reversed(self.turning):
            number, found[turn] = divmod(number, len(self.parts[turn]))
        return tuple(found)


def lay(asked: Composition, pantry: Pantry) -> Laid:
    """Every filling of every part.

    Raises
    ------
    Mistake
        Those of :func:`fellfare.recipe.composing.question.checked`; ``unknown-food``,
        ``no-measure`` and the amount's own, with the part in ``where``;
        ``part-without-food`` when allergens or the way leave nothing;
        ``composition-too-large``.
    """
    checked(asked)
    agents = frozenset(agent for word in asked.avoid for agent in agents_of(word))
    prices = dict(asked.price_per_kg)
    for name, _ in asked.price_per_kg:
        _food(pantry, name, f"price.{name}")
    for at, pairing in enumerate(asked.pairings):
        for name in (pairing.food, *pairing.only_with, *pairing.never_with):
            _food(pantry, name, f"pairing[{at}]")
    said: list[Finding] = []
    parts = []
    for at, part in enumerate(asked.parts):
        where = f"part[{at}]"
        foods = []
        for name in dict.fromkeys(part.foods):
            food = _food(pantry, name, f"{where}.foods")
            reason = _why_not(food, asked.way, agents)
            if reason is None:
                foods.append(food)
            else:
                said.append(_left_out(part, food, reason))
        parts.append(_part(part, foods, asked, prices, where))
    turning = sorted(range(len(parts)), key=lambda at: (len(parts[at]), at))
    laid = Laid(asked=asked, parts=tuple(parts), findings=tuple(said), turning=tuple(turning))
    if laid.combinations > MOST_COMBINATIONS:
        raise Mistake(
            "composition-too-large",
            f"{laid.combinations:.1e} combinations cannot even be numbered",
            "leave out foods, amounts or picks",
            "part",
        )
    return laid


def _food(pantry: Pantry, name: str, where: str) -> Food:
    try:
        return pantry.food(name)
    except Mistake as mistake:
        raise mistake.at(where) from None


def _why_not(food: Food, way: Way, agents: frozenset[str]) -> str | None:
    for declared, word in zip(
        (food.allergens.contains, food.allergens.may_contain, food.allergens.unknown),
        ("contains", "may contain", "is not known to be without"),
        strict=True,
    ):
        met = [agent for agent in declared if agent in agents]
        if met:
            return f"{word} {', '.join(agent_name(agent) for agent in met)}"
    if agents and combine((food,)).unknown and food.allergens.open_mix:
        return "is a mix whose parts nobody has told"
    if "dry" not in food.ways and not set(GENTLER[way]) & set(food.ways):
        ways = " or ".join(food.ways) or "nobody has told what"
        return f"needs {ways}, and the pot is made by {way}"
    return None


def _left_out(part: Part, food: Food, reason: str) -> Finding:
    return Finding(
        severity="note",
        rule="food-left-out",
        text=f"{food.name} {reason}: it is left out of {part.name}.",
        source="the composition's own words, and the pantry's",
        about=(food.id,),
    )


def _part(
    part: Part, foods: list[Food], asked: Composition, prices: dict[str, float], where: str
) -> PartLaid:
    if len(foods) < part.picks and not part.optional:
        raise Mistake(
            "part-without-food",
            f"{part.name}: {len(foods)} of its foods are left, {part.picks} must go in",
            "list foods that the allergens and the way of making allow, or make it optional",
            where,
        )
    amounts = []
    for text in dict.fromkeys(part.amounts):
        try:
            amounts.append((text, read_amount(text, asked.system)))
        except Mistake as mistake:
            raise mistake.at(f"{where}.amounts") from None
    portions: list[list[Portion]] = []
    for food in foods:
        mine = []
        for text, amount in amounts:
            try:
                mass_g = weigh(amount, food).mass_g
            except Mistake as mistake:
                raise mistake.at(f"{where}.amounts") from None
            if mass_g is None:
                raise Mistake(
                    "amount-not-understood",
                    f"{text!r} says no mass",
                    "the composer needs amounts that can be weighed",
                    f"{where}.amounts",
                )
            mine.append(Portion(food, text, mass_g))
        portions.append(mine)
    fillings: list[tuple[Portion, ...]] = [()] if part.optional else []
    for some in combinations(portions, part.picks):
        for held in product(*some):
            fillings.append(held)
            if len(fillings) > MOST_FILLINGS:
                raise Mistake(
                    "composition-too-large",
                    f"{part.name} alone can be filled in more than {MOST_FILLINGS:,} ways",
                    "list fewer foods or amounts, or split it into two parts",
                    where,
                )
    low, high, minutes, tastes = _figures(fillings, part, asked, prices)
    return PartLaid(
        part=part, fillings=tuple(fillings), low=low, high=high, minutes=minutes, tastes=tastes
    )


def _figures(
    fillings: list[tuple[Portion, ...]], part: Part, asked: Composition, prices: dict[str, float]
) -> tuple[Floats, Floats, Floats, Whole]:
    per_g: dict[str, tuple[float | None, ...]] = {}
    taste: dict[str, int] = {}
    wait: dict[str, float] = {}
    for filling in fillings:
        for portion in filling:
            food = portion.food
            if food.id not in per_g:
                # what goes in at the end as it is takes no water and no time
                as_it_is = part.at_the_end and "dry" in food.ways
                way: Way = "dry" if as_it_is else asked.way
                per_g[food.id] = _per_gram(food, way, prices)
                taste[food.id] = tastes_of(food)
                wait[food.id] = _minutes(food, way)
    low = np.zeros((len(fillings), len(SUMS)))
    high = np.zeros((len(fillings), len(SUMS)))
    minutes = np.zeros(len(fillings))
    tastes = np.zeros(len(fillings), dtype=np.int64)
    for at, filling in enumerate(fillings):
        for portion in filling:
            name = portion.food.id
            for column, value in enumerate(per_g[name]):
                low[at, column] += (value or 0.0) * portion.mass_g
                high[at, column] += np.inf if value is None else value * portion.mass_g
            minutes[at] = max(minutes[at], wait[name])
            tastes[at] |= taste[name]
    return low, high, minutes, tastes


def _per_gram(food: Food, way: Way, prices: dict[str, float]) -> tuple[float | None, ...]:
    figures: list[float | None] = []
    for name in SUMS:
        if name == "mass_g":
            figures.append(1.0)
        elif name == "water_add_ml":
            figures.append(_water_ml_per_g(food, way))
        elif name == "cost":
            figures.append(prices[food.id] / 1000.0 if food.id in prices else None)
        else:
            value: float | None = getattr(food.per_100g, name)
            figures.append(None if value is None else value / 100.0)
    return tuple(figures)


def _minutes(food: Food, way: Way) -> float:
    """Until the food is fit to eat in such a pot [min]; infinity when nobody has told."""
    for kind in GENTLER[way]:
        for soak in food.soaks:
            if soak.way == kind:
                return soak.minutes
    return 0.0 if "dry" in food.ways else float("inf")


def _water_ml_per_g(food: Food, way: Way) -> float | None:
    for kind in GENTLER[way]:
        for soak in food.soaks:
            if soak.way == kind:
                return soak.water_ml_per_g
    return 0.0 if "dry" in food.ways else None
