"""What is to be bought, by place and section?"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from decimal import Decimal
from math import isfinite
from typing import Final, get_args

from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.pantry.food import Food, Group
from fellfare.pantry.pantry import Pantry
from fellfare.pantry.swaps.form import bought_g
from fellfare.provision.bags.plan import PlannedBag, known_stop
from fellfare.provision.label import Measure, food_measure
from fellfare.provision.shopping.fresh import FreshNeed, fresh_for, is_dried
from fellfare.provision.shopping.packs import First, Pack, PackCount, choose_packs

#: Order of the sections: that of the pantry's groups.
SECTIONS: Final[tuple[Group, ...]] = get_args(Group)


class ShoppingRow(Struct, frozen=True, kw_only=True):
    """One food to buy."""

    food: Food
    #: What goes into the bags, or onto the trays of the dryer, edible part [g].
    need_g: float
    #: Taken from what is at home [g].
    home_g: float
    #: Still wanted from the shop, with peel and stones as far as they are known [g].
    buy_g: float
    amount: Measure | None
    packs: tuple[PackCount, ...]
    #: What the packs hold; equals ``buy_g`` when it is bought loose [g].
    bought_g: float
    spare_g: float
    #: None = unknown.
    cost: Decimal | None
    #: Dishes that use it, the spare's next use too.
    dishes: tuple[str, ...]
    #: Home-dried foods for which it is bought.
    dries_to: tuple[FreshNeed, ...] = ()
    #: Some line says 'to taste' or the like: have some.
    unmeasured: bool = False
    notes: tuple[str, ...] = ()


class Section(Struct, frozen=True, kw_only=True):
    """One shelf of the shop."""

    group: Group
    rows: tuple[ShoppingRow, ...]


class Place(Struct, frozen=True, kw_only=True):
    """One shop: before the walk, or on the way."""

    #: '' = before the walk.
    name: str
    sections: tuple[Section, ...]

    @property
    def rows(self) -> tuple[ShoppingRow, ...]:
        """All rows in the order of the sections."""
        return tuple(row for section in self.sections for row in section.rows)

    @property
    def to_buy(self) -> tuple[ShoppingRow, ...]:
        """The rows of which something is bought: the cupboard does not hold all of it."""
        return tuple(row for row in self.rows if row.buy_g > 0 or row.unmeasured)


class ShoppingList(Struct, frozen=True, kw_only=True):
    """Everything to buy."""

    places: tuple[Place, ...]
    #: Of the rows whose cost is known; a lower bound with ``cost_unknown``.
    cost: Decimal
    cost_unknown: tuple[str, ...]
    currency: str

    @property
    def rows(self) -> tuple[ShoppingRow, ...]:
        """All rows of all places."""
        return tuple(row for place in self.places for row in place.rows)


def shopping_list(
    bags: Sequence[PlannedBag],
    pantry: Pantry,
    *,
    packs: Mapping[str, Sequence[Pack]] | None = None,
    at_home: Mapping[str, float] | None = None,
    dry_at_home: Collection[str] = (),
    shops_on_the_way: Collection[str] = (),
    loss_share: float = 0.0,
    currency: str = "",
    first: First = "cost",
) -> ShoppingList:
    """The list for all bags together, so that the spare of one meal feeds the next.

    Parameters
    ----------
    bags
        From :func:`~fellfare.provision.bags.plan.bags_of`.
    pantry
        Gives the fresh forms of what is dried at home.
    packs
        Food id to the packs that the shop sells; a food without any is bought
        loose, its price unknown.
    at_home
        Food id to what is in the cupboard [g, as bought].
    dry_at_home
        Ids of dried foods that are made at home, beside the lines that say
        ``home_made``.
    shops_on_the_way
        Names of stops whose food is bought there.
    loss_share
        Lost in drying besides peel and water: crumbs, tasting (0 to 0.9).

    Raises
    ------
    Mistake
        ``unknown-food`` (a pack or stock of a food that nobody knows, with
        neighbours), ``need-out-of-range``, ``loss-out-of-range``,
        ``pack-out-of-range``, ``packs-too-fine``, ``unknown-stop``.
    """
    if not (isfinite(loss_share) and 0.0 <= loss_share <= 0.9):
        raise Mistake(
            "loss-out-of-range",
            what=f"a loss of {loss_share:g} is outside 0 to 0.9",
            mend="give a share: 0.05 for 5 %",
        )
    known_stop(shops_on_the_way, bags)
    wants, unmeasured, dishes = _wanted(bags, set(shops_on_the_way))
    stock = _stock(at_home or {}, wants, pantry)
    packs = packs or {}
    for food_id in packs:
        if all(food_id != food for _, food in wants):
            pantry.food(food_id)  # refuses an id that nobody knows
    made = _made_at_home(wants, set(dry_at_home), bags)
    needs: dict[tuple[str, str], float] = {}
    foods: dict[str, Food] = {}
    dried: dict[tuple[str, str], list[FreshNeed]] = {}
    unplanned: dict[tuple[str, str], tuple[str, ...]] = {}
    for (place, food_id), (food, mass_g) in wants.items():
        if food_id in made and place == "":
            held_g = min(mass_g, stock.get(food_id, 0.0))  # dried before, and still there
            fresh = fresh_for(food, mass_g - held_g, pantry, loss_share)
            if fresh.fresh is None or fresh.edible_g is None:
                unplanned[place, food_id] = (*fresh.notes, "so the dried food itself is listed")
            else:
                key = (place, fresh.fresh.id)
                foods[fresh.fresh.id] = fresh.fresh
                needs[key] = needs.get(key, 0.0) + fresh.edible_g
                dried.setdefault(key, []).append(fresh)
                dishes.setdefault(key, []).extend(dishes[place, food_id])
                mass_g = held_g
                if not held_g:
                    continue
        foods[food_id] = food
        needs[place, food_id] = needs.get((place, food_id), 0.0) + mass_g
    rows = {
        key: _row(
            foods[key[1]], need_g, stock if key[0] == "" else {}, packs.get(key[1], ()), first,
            tuple(dict.fromkeys(dishes[key])), tuple(dried.get(key, ())), key in unmeasured,
            unplanned.get(key, ()),
        )
        for key, need_g in needs.items()
    }  # fmt: skip
    places = tuple(
        _place(name, [row for (place, _), row in rows.items() if place == name])
        for name in sorted({place for place, _ in rows})
    )
    asked = [row for row in rows.values() if row.buy_g > 0 or row.unmeasured]
    return ShoppingList(
        places=places,
        cost=sum((row.cost for row in asked if row.cost is not None), Decimal(0)),
        cost_unknown=tuple(dict.fromkeys(row.food.id for row in asked if row.cost is None)),
        currency=currency,
    )


_Wants = dict[tuple[str, str], tuple[Food, float]]


def _wanted(
    bags: Sequence[PlannedBag], shops: set[str]
) -> tuple[_Wants, set[tuple[str, str]], dict[tuple[str, str], list[str]]]:
    wants: _Wants = {}
    unmeasured: set[tuple[str, str]] = set()
    dishes: dict[tuple[str, str], list[str]] = {}
    for bag in bags:
        place = bag.stop if bag.stop in shops else ""
        for content in bag.contents:
            key = (place, content.food.id)
            dishes.setdefault(key, []).append(bag.dish)
            _, so_far = wants.get(key, (content.food, 0.0))
            wants[key] = (content.food, so_far + (content.mass_g or 0.0))
            if content.mass_g is None:
                unmeasured.add(key)
    return wants, unmeasured, dishes


def _stock(at_home: Mapping[str, float], wants: _Wants, pantry: Pantry) -> dict[str, float]:
    for food_id, mass_g in at_home.items():
        if all(food_id != food for _, food in wants):
            pantry.food(food_id)
        if not (isfinite(mass_g) and mass_g >= 0):
            raise Mistake(
                "need-out-of-range",
                what=f"{mass_g:g} g of {food_id} at home",
                mend="give grams, zero or more",
            )
    return dict(at_home)


def _made_at_home(wants: _Wants, ids: set[str], bags: Iterable[PlannedBag]) -> set[str]:
    said = {content.food.id for bag in bags for content in bag.contents if content.home_made}
    known = {food.id: food for food, _ in wants.values()}
    return {food_id for food_id in ids | said if food_id in known and is_dried(known[food_id])}


def _row(
    food: Food,
    need_g: float,
    stock: dict[str, float],
    packs: Sequence[Pack],
    first: First,
    dishes: tuple[str, ...],
    dries_to: tuple[FreshNeed, ...],
    unmeasured: bool,
    told: tuple[str, ...],
) -> ShoppingRow:
    bought = bought_g(food, need_g)
    whole_g = need_g if bought is None else bought
    held = stock.get(food.id, 0.0)
    home_g = min(held, whole_g)
    if food.id in stock:
        stock[food.id] = held - home_g
    buy_g = whole_g - home_g
    notes = told + tuple(note for one in dries_to for note in one.notes)
    if bought is None:
        notes += ("peel and stones are not counted",)
    chosen = choose_packs(buy_g, packs, first) if packs else None
    cost = chosen.cost if chosen else (Decimal(0) if buy_g == 0 and not unmeasured else None)
    return ShoppingRow(
        food=food,
        need_g=need_g,
        home_g=home_g,
        buy_g=buy_g,
        amount=food_measure((food,), buy_g) if buy_g else None,
        packs=chosen.packs if chosen else (),
        bought_g=chosen.bought_g if chosen else buy_g,
        spare_g=chosen.spare_g if chosen else 0.0,
        cost=cost,
        dishes=dishes,
        dries_to=dries_to,
        unmeasured=unmeasured,
        notes=tuple(dict.fromkeys(notes)),
    )


def _place(name: str, rows: Sequence[ShoppingRow]) -> Place:
    sections = []
    for group in SECTIONS:
        here = sorted((row for row in rows if row.food.group == group), key=lambda r: r.food.name)
        if here:
            sections.append(Section(group=group, rows=tuple(here)))
    return Place(name=name, sections=tuple(sections))
