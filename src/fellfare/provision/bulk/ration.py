"""Bulk rationing all the way: ration factors, food groups, foods, packs, bags.

The old way of feeding a party without a menu: so many pounds for a person and day, split into
food groups by ration factors (:mod:`fellfare.walk.ration`), each group filled with foods by
share, bought in packs and bagged by the kilogram.  What it holds is told beside what it weighs,
so that the two ways can be compared.
"""

from __future__ import annotations

from decimal import Decimal
from math import ceil, isfinite
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.measure.units import POUND_G
from fellfare.mistake import Finding, Mistake
from fellfare.pantry.allergens import agents_of
from fellfare.pantry.food import Food
from fellfare.pantry.pantry import Pantry
from fellfare.provision.bulk.asked import BulkAsked, GroupWish
from fellfare.provision.bulk.said import against_diets, another_walk, avoided, no_factor, under_need
from fellfare.provision.shopping.packs import PackCount, choose_packs
from fellfare.walk.ration import bulk_mass_g, ration_factors

#: Shares of a group's foods may miss 1 by this much (a third three times is 0.99).
SHARE_SLACK: Final = 0.011


class BulkFood(Struct, frozen=True, kw_only=True):
    """One food of the ration."""

    food: Food
    group: str
    #: Of the whole party and time [g].
    mass_g: float
    #: None = unknown.
    energy_kcal: float | None
    packs: tuple[PackCount, ...]
    bought_g: float
    spare_g: float
    cost: Decimal | None
    #: Bags to fill, each alike but the last [g].
    bags_g: tuple[float, ...]
    #: Volume of a full bag [mL]; None = unknown.
    bag_ml: float | None


class BulkGroup(Struct, frozen=True, kw_only=True):
    """One food group."""

    name: str
    #: From the factor table or the person's own word [g per person-day]; None = the table has
    #: no legible factor, and nobody said.
    g_per_person_day: float | None
    own: bool
    mass_g: float | None


class Bulk(Struct, frozen=True, kw_only=True):
    """The ration of a party, from factors to bags."""

    asked: BulkAsked
    #: What the column's name promises for everybody and all days [g].
    promised_g: float
    groups: tuple[BulkGroup, ...]
    foods: tuple[BulkFood, ...]
    findings: tuple[Finding, ...]

    @property
    def mass_g(self) -> float:
        """What is bagged [g]."""
        return sum(food.mass_g for food in self.foods)

    @property
    def energy_kcal(self) -> float:
        """Of the foods whose energy is known [kcal]; a lower bound with the others."""
        return sum(food.energy_kcal or 0.0 for food in self.foods)

    @property
    def energy_unknown(self) -> tuple[str, ...]:
        """Foods of unknown energy."""
        return tuple(food.food.id for food in self.foods if food.energy_kcal is None)

    @property
    def cost(self) -> Decimal | None:
        """None as soon as one food has no price."""
        return None if self.cost_unknown else self.known_cost

    @property
    def known_cost(self) -> Decimal:
        """Of the foods that have a price; a lower bound with the others."""
        return sum((food.cost or Decimal(0) for food in self.foods), Decimal(0))

    @property
    def cost_unknown(self) -> tuple[str, ...]:
        """Foods without a price."""
        return tuple(food.food.id for food in self.foods if food.cost is None)

    @property
    def covers(self) -> float | None:
        """Share of the walk's need; for a person and day, where the party or the days differ.

        None = no walk is told; a lower bound with foods of unknown energy.
        """
        asked = self.asked
        if not asked.need_kcal:
            return None
        if asked.as_the_walk:
            return self.energy_kcal / asked.need_kcal
        of_walk = (asked.need_people or asked.people) * (asked.need_days or asked.days)
        return self.energy_kcal / (asked.people * asked.days) * of_walk / asked.need_kcal


def bulk_of(asked: BulkAsked, pantry: Pantry) -> Bulk:
    """From factors to bags.

    Raises
    ------
    Mistake
        ``ration-not-in-pounds``, ``ration-out-of-range``, ``bulk-group-unknown``,
        ``bulk-group-twice``, ``bulk-shares``, ``bulk-bag``, ``unknown-food``,
        ``unknown-allergen`` and those of the packs.
    """
    factors = {factor.group: factor.g_per_person_day for factor in ration_factors(asked.column_lb)}
    promised = bulk_mass_g(asked.column_lb * float(POUND_G), asked.people, asked.days)
    if not 50 <= asked.bag_g <= 5000:
        raise Mistake(
            "bulk-bag", f"bags of {asked.bag_g:g} g", "give 50 to 5 000 g for a bag", "bag_g"
        )
    agents = {agent: list[str]() for word in asked.avoid for agent in agents_of(word)}
    for eater in asked.eaters:
        for agent in eater.avoids:
            agents.setdefault(agent, []).append(eater.name)
    person_days = asked.people * asked.days
    groups: list[BulkGroup] = []
    foods: list[BulkFood] = []
    found: list[Finding] = []
    for at, wish in enumerate(asked.groups):
        where = f"group[{at}]"
        own = wish.g_per_person_day is not None
        if not own and wish.name not in factors:
            raise Mistake(
                "bulk-group-unknown",
                f"the factor table has no group {wish.name!r}",
                "name one of: " + "; ".join(factors) + "; or give it g_per_person_day of your own",
                f"{where}.name",
            )
        if wish.name in {other.name for other in asked.groups[:at]}:
            raise Mistake(
                "bulk-group-twice",
                f"the group {wish.name!r} is there twice, and would be carried twice",
                "put its foods into one group, with shares that make 1",
                f"{where}.name",
            )
        grams = wish.g_per_person_day if own else factors[wish.name]
        if grams is not None and not 0 <= grams <= 2000:
            raise Mistake(
                "ration-out-of-range",
                f"{grams:g} g per person-day",
                "give grams for one person and day, 0 to 2 000",
                f"{where}.g_per_person_day",
            )
        mass = None if grams is None else grams * person_days
        groups.append(BulkGroup(name=wish.name, g_per_person_day=grams, own=own, mass_g=mass))
        if mass is None:
            found.append(no_factor(wish.name, asked.column_lb))
            continue
        _check_shares(wish, where)
        for name, share in wish.foods.items():
            try:
                food = pantry.food(name)
            except Mistake as mistake:
                raise mistake.at(f"{where}.foods") from None
            if mass * share > 0:
                foods.append(_food(food, wish.name, mass * share, asked))
    missing = [name for name in factors if name not in {wish.name for wish in asked.groups}]
    if missing:
        found.append(
            Finding(
                severity="note",
                rule="ration-group-left-out",
                text=f"Nothing is said of {', '.join(missing)}: the ration is lighter than its "
                "column by these.",
                source="the factor table's own groups",
            )
        )
    eaten = [one.food for one in foods]
    found += avoided(eaten, agents)
    found += against_diets(eaten, asked.eaters)
    made = Bulk(
        asked=asked,
        promised_g=promised,
        groups=tuple(groups),
        foods=tuple(foods),
        findings=(),
    )
    return replace(
        made,
        findings=(*found, *another_walk(asked), *under_need(made.covers if made.foods else None)),
    )


def _check_shares(wish: GroupWish, where: str) -> None:
    shares = list(wish.foods.values())
    good = shares and all(isfinite(share) and 0 <= share <= 1 for share in shares)
    if not good or abs(sum(shares) - 1.0) > SHARE_SLACK:
        raise Mistake(
            "bulk-shares",
            f"the foods of {wish.name} make up {sum(shares):g} of it",
            "give each food's share of the group; together they make 1",
            f"{where}.foods",
        )


def _food(food: Food, group: str, mass_g: float, asked: BulkAsked) -> BulkFood:
    per_100g = food.per_100g.energy_kcal
    packs = asked.packs.get(food.id, ())
    chosen = choose_packs(mass_g, packs) if packs else None
    bags = max(1, ceil(mass_g / asked.bag_g - 1e-9))
    even = mass_g / bags
    density = food.bulk_density_g_per_ml
    return BulkFood(
        food=food,
        group=group,
        mass_g=mass_g,
        energy_kcal=None if per_100g is None else mass_g * per_100g / 100.0,
        packs=() if chosen is None else chosen.packs,
        bought_g=mass_g if chosen is None else chosen.bought_g,
        spare_g=0.0 if chosen is None else chosen.spare_g,
        cost=None if chosen is None else chosen.cost,
        bags_g=(even,) * bags,
        bag_ml=None if density is None else even / density,
    )
