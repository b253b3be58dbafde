"""Everything that a trip and its menu ask of kitchen, shop, post and pack: all of it joined."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from math import ceil
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from fellfare.menu.answer import Plate
from fellfare.mistake import SEVERITIES, Finding
from fellfare.pantry.pantry import Pantry
from fellfare.provision.bags.fewer import many_bags
from fellfare.provision.bags.plan import PlannedBag, bags_of
from fellfare.provision.bags.tree import Parcel, tree_of
from fellfare.provision.bags.whole import on_the_scale
from fellfare.provision.boxes.box import HOME_C, Box, BoxPlan, boxes
from fellfare.provision.boxes.posting import Post
from fellfare.provision.carrying import Assignment
from fellfare.provision.label import BagLabel, labels
from fellfare.provision.planned import Planned, findings_for
from fellfare.provision.prep.list import PrepList, prep_list
from fellfare.provision.shopping.list import ShoppingList, shopping_list
from fellfare.provision.supplies import LegSupplies, supplies, uses_of
from fellfare.provision.trip.burdens import assigned
from fellfare.provision.trip.burning import fuel_of, without_flame
from fellfare.provision.trip.dishes import STEPS, dishes_of
from fellfare.provision.trip.keeping_room import Room, room_of
from fellfare.provision.trip.own import UNTOLD_BOX_C, Own, OwnBox, check_own
from fellfare.provision.trip.taken_up import Take, carried_past
from fellfare.recipe.document import Recipe
from fellfare.trip.fuelling import FuelLeg
from fellfare.trip.plan import TripPlan
from fellfare.trip.stop import TripStop

if TYPE_CHECKING:  # only its shape is meant: importing it would bring the solver along
    from fellfare.menu.written import WrittenRation


class Provision(Struct, frozen=True, kw_only=True, eq=False):
    """What is bought, dried, weighed, bagged, posted and carried."""

    plan: TripPlan
    own: Own
    pantry: Pantry
    dishes: tuple[Planned, ...]
    takes: tuple[Take, ...]
    #: What the food rules say of each dish.
    said: tuple[tuple[Finding, ...], ...]
    #: Food of the menu before anything was rounded; of the foods that were measured [g].
    menu_g: float
    #: As weighed, filled at home: without what is bought in shops on the way.
    bags: tuple[PlannedBag, ...]
    labels: tuple[BagLabel, ...]
    parcels: tuple[Parcel, ...]
    shopping: ShoppingList
    prep: PrepList
    carrying: tuple[Assignment, ...]
    room: Room
    boxes: tuple[Box, ...]
    fuel: tuple[FuelLeg, ...]
    water: tuple[LegSupplies, ...]
    #: Food that the menu gives by weight alone: in no bag and on no list.
    rations: tuple[WrittenRation, ...]
    packed_on: date | None
    findings: tuple[Finding, ...]

    @property
    def food_g(self) -> float:
        """Net food in all bags [g]."""
        return sum(bag.mass_g for bag in self.bags)

    @property
    def packaging_g(self) -> float:
        """Empty bags, second bags and day bags [g]; a lower bound where a tare is unknown."""
        return sum(parcel.gross_g - parcel.mass_g for parcel in self.parcels)

    @property
    def shops(self) -> tuple[str, ...]:
        """Stops where food is bought on the way."""
        return tuple(take.name for take in self.takes if take.shop)


def provision_of(
    plan: TripPlan,
    plates: Iterable[Plate],
    recipes: Mapping[str, Recipe],
    pantry: Pantry,
    own: Own | None = None,
    *,
    steps_per_serving: int | Mapping[str, int] = STEPS,
    rations: Iterable[WrittenRation] = (),
) -> Provision:
    """Provide for a trip.

    Parameters
    ----------
    plan
        From :func:`fellfare.trip.plan.plan_trip`.
    plates
        Of a menu however it was found, or made by hand.
    recipes
        By the names that the plates use.
    pantry
        All foods.
    own
        The person's own figures; None = nothing is told.
    steps_per_serving
        Steps of a portion that make one serving, for all dishes or by dish.
    rations
        Food of the menu that goes by weight: nobody has said what it is, so it is told and
        neither bought nor bagged.

    Raises
    ------
    Mistake
        As :func:`~fellfare.provision.trip.dishes.dishes_of`,
        :func:`~fellfare.provision.trip.own.check_own`,
        :func:`~fellfare.provision.shopping.list.shopping_list`,
        :func:`~fellfare.provision.boxes.box.boxes`, and the others of this room.
    """
    own = Own() if own is None else own
    trip = plan.trip
    check_own(
        own,
        tuple(walker.name for walker in trip.walkers),
        tuple(stop.name for stop in trip.stops if stop.kind == "box"),
    )
    made = dishes_of(plan, plates, recipes, pantry, steps_per_serving)
    dishes = made.planned
    bags = on_the_scale(bags_of(dishes, regroup=own.regroup))
    stops = {bag.stop for bag in bags}
    shops = tuple(take.name for take in made.takes if take.shop and take.name in stops)
    start = trip.start_date
    packed_on = own.packed_on or (None if start is None else start - timedelta(days=1))
    storage_c = _warmest(plan) if own.storage_c is None else own.storage_c
    foods = tuple(pantry)
    stop_of = {take.name: take.stop for take in made.takes if take.stop is not None}
    boxed = boxes(
        bags,
        foods,
        first_day=start,
        plans={
            name: _box_plan(plan, stop, own.boxes.get(name, OwnBox()))
            for name, stop in stop_of.items()
            if stop.kind == "box" and name in stops
        },
        shops_on_the_way=shops,
        **({} if storage_c is None else {"pack_c": storage_c}),
    )
    # A box of which no posting day is known is filled by the start.
    fillings = {
        box.name: replace(box.filling, packed_on=box.filling.packed_on or packed_on)
        for box in boxed
    }
    ready = (("", packed_on), *((place, one.packed_on) for place, one in fillings.items()))
    bought = shopping_list(
        bags,
        pantry,
        packs=own.packs,
        at_home=own.at_home,
        dry_at_home=own.dry_at_home,
        shops_on_the_way=shops,
        loss_share=own.loss_share,
        currency=own.currency or trip.rules.currency,
        first=own.first,
    )
    said = tuple(findings_for(dish) for dish in dishes)
    done = prep_list(
        dishes,
        bags,
        bought,
        first_day=start,
        ready_by={place: day for place, day in ready if day is not None},
        dryer=own.dryer,
        storage_c=storage_c,
        fillings=fillings,
        said=said,
    )
    shared, heavy = assigned(plan, bags, own)
    room = room_of(plan, bags, shared, foods, own)
    fuel = fuel_of(plan, dishes)
    water = supplies(uses_of(dishes, (0.0 for _ in dishes)), gas=False)
    return Provision(
        plan=plan,
        own=own,
        pantry=pantry,
        dishes=dishes,
        takes=made.takes,
        said=said,
        menu_g=sum(d.servings * d.sheet.mass.value / d.sheet.eaters for d in dishes),
        bags=bags,
        labels=labels(
            dishes,
            bags,
            first_day=start,
            packed_on=packed_on,
            storage_c=storage_c,
            fillings=fillings,
        ),
        parcels=tree_of(bags),
        shopping=bought,
        prep=done,
        carrying=shared,
        room=room,
        boxes=boxed,
        fuel=fuel,
        water=water,
        rations=(by_weight := tuple(rations)),
        packed_on=packed_on,
        findings=_sorted(
            (
                *_of_dishes(dishes, said),
                *_by_weight(by_weight),
                *without_flame(plan, dishes),
                *carried_past(made.past),
                *many_bags(dishes, bags, len(plan.days) * len(trip.walkers), own.regroup),
                *heavy,
                *room.findings,
                *(finding for box in boxed for finding in box.findings),
                *done.findings,
                *(finding for task in done.tasks for finding in task.findings if task.drying),
            )
        ),
    )


def _by_weight(rations: Sequence[WrittenRation]) -> tuple[Finding, ...]:
    if not rations:
        return ()
    grams: dict[str, float] = {}
    for one in rations:
        grams[one.walker] = grams.get(one.walker, 0.0) + one.mass_g
    said = ", ".join(f"{name} {mass_g / 1000:.2f} kg" for name, mass_g in grams.items())
    return (
        Finding(
            severity="caution",
            rule="ration-by-weight",
            text=f"Some of the food goes by weight and has no recipe: {said}.  It is in no bag, "
            "on no list and in no sum here: choose it, buy it and pack it yourself.",
            source="the menu's own rations",
            about=tuple(grams),
        ),
    )


def _warmest(plan: TripPlan) -> float | None:
    """Warmest that bags lie, at home or on the walk [°C]; None when a day is not known."""
    told = [day.stage.day_c for day in plan.days]
    known = [day_c for day_c in told if day_c is not None]
    return max(HOME_C, *known) if known and len(known) == len(told) else None


def _box_plan(plan: TripPlan, stop: TripStop, own: OwnBox) -> BoxPlan:
    late = ceil(plan.trip.rules.spare_days) if own.late_days is None else own.late_days
    post = None
    if stop.transit_days is not None:
        post = Post(
            transit_days=stop.transit_days,
            hold_days=stop.hold_days,
            margin_days=own.margin_days,
        )
    return BoxPlan(
        post=post,
        posted=stop.posted,
        early_days=own.early_days,
        late_days=late,
        packed_days=own.packed_days,
        box_c=UNTOLD_BOX_C if stop.warmest_c is None else stop.warmest_c,
        carton_g=own.carton_g,
        things=(*own.things, *(f"fuel: {fuel}" for fuel in stop.fuels or ())),
        abroad=own.abroad,
    )


def _of_dishes(
    dishes: Iterable[Planned], found: Iterable[tuple[Finding, ...]]
) -> tuple[Finding, ...]:
    """What the food rules say of every dish, each thing once, with the dishes it is said of."""
    said: dict[tuple[str, str, str], list[str]] = {}
    sources: dict[tuple[str, str, str], Finding] = {}
    for dish, mine in zip(dishes, found, strict=True):
        for finding in mine:
            key = (finding.severity, finding.rule, finding.text)
            sources.setdefault(key, finding)
            said.setdefault(key, []).append(dish.dish)
    return tuple(
        replace(finding, about=tuple(dict.fromkeys(said[key]))) for key, finding in sources.items()
    )


def _once(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    return tuple({(one.rule, one.text): one for one in findings}.values())


def _sorted(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    return tuple(sorted(_once(findings), key=lambda one: SEVERITIES.index(one.severity)))
