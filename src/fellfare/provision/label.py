"""What stands on the label of a bag?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from fellfare.mistake import Mistake
from fellfare.pantry.food import Food
from fellfare.provision.acts import (
    SAID,
    STOP,
    AddIn,
    Deed,
    LabelStep,
    deeds,
    goes_in,
    joins_said,
    label_step,
    wetted,
)
from fellfare.provision.bags.plan import PlannedBag
from fellfare.provision.bags.together import (
    barred_from,
    first_use,
    grade_of,
    why_avoided,
    why_not,
)
from fellfare.provision.bags.whole import apportion
from fellfare.provision.keep_by import Filling, KeepBy, keep_by, keeps_said, kept
from fellfare.provision.measures import Measure, food_measure, minutes_said, water_measure
from fellfare.provision.planned import Planned, Share, case_for, date_of, in_order
from fellfare.provision.serving import serve_first
from fellfare.provision.stated import Stated, stated
from fellfare.safety.case import Case

__all__ = [
    "SAID",
    "STOP",
    "AddIn",
    "BagLabel",
    "KeepBy",
    "LabelStep",
    "Measure",
    "Stated",
    "add_in",
    "by_dish",
    "eaters_said",
    "food_measure",
    "keep_by",
    "keeps_said",
    "label_step",
    "labels",
    "minutes_said",
    "payload_of",
    "stated",
    "water_measure",
]


class BagLabel(Struct, frozen=True, kw_only=True):
    """The frozen text of one label."""

    #: '17 of 42'.
    number: int
    count: int
    dish: str
    bag: str
    day: int
    eat_on: date | None
    time: str
    #: Empty when it is for everybody of the plan.
    eaters: tuple[str, ...]
    for_all: bool
    servings: float
    stop: str
    net: Measure | None
    #: Foods in it that nobody weighed.
    mass_unknown: tuple[str, ...]
    #: What lies in it: (name, grams or None).
    contents: tuple[tuple[str, float | None], ...]
    #: Steps in camp that begin with this bag.
    steps: tuple[LabelStep, ...]
    #: Name of the bag with which it goes in; '' = it begins a pot, or a step of it.
    joins: str
    #: Name of the first bag of the pot that it goes into later; '' = it goes in at once.
    into: str = ""
    #: The step of the recipe that it first goes into, from 1; past the last if none takes it.
    use: int = 0
    #: Names of those of the party who must not eat it, or go without it.
    kept_from: tuple[str, ...] = ()
    add_ins: tuple[AddIn, ...]
    allergens: Stated
    #: 'Ada: walnuts: contains walnut'; the bag must never reach that person.
    not_for: tuple[str, ...]
    #: 'Eli: tahini: may contain tree nuts; read the label', for those who eat from it; and who
    #: of a common pot is served first.
    minds: tuple[str, ...] = ()
    packed_on: date | None
    keeps: KeepBy
    #: Second bag, cold, screw cap, hot-pour limits.
    advice: tuple[str, ...]
    #: 'Wet it between 16:50 and 17:09: …', with the limit; '' = it does not soak.
    wet: str = ""
    #: How a common pot is divided: 'Ada 41 %, Bo 59 %'; '' = there is nothing to divide.
    divide: str = ""

    @property
    def title(self) -> str:
        """'Day 3 dinner'."""
        return f"Day {self.day} {self.time}"

    @property
    def deeds(self) -> tuple[Deed, ...]:
        """What is done with it, line by line, in its order."""
        if self.joins:
            return (Deed(joins_said(self.joins, self.into)),)
        told = deeds(self.steps, goes_in(self.add_ins), into=self.into)
        return told or tuple(Deed(step.said, step.figures, step.act) for step in self.steps)

    @property
    def payload(self) -> str:
        """The label as plain text, for a QR code: no address, nothing to look up."""
        return payload_of(self)


def labels(
    dishes: Iterable[Planned],
    bags: Sequence[PlannedBag],
    *,
    first_day: date | None = None,
    packed_on: date | None = None,
    storage_c: float | None = None,
    fillings: Mapping[str, Filling] | None = None,
) -> tuple[BagLabel, ...]:
    """One label for each bag.

    Parameters
    ----------
    dishes
        The plan that ``bags`` were made of.
    bags
        From :func:`~fellfare.provision.bags.plan.bags_of`.
    first_day
        Date of day 1.
    packed_on
        When the bags are filled.
    storage_c
        How warm they lie until they are eaten [°C]; None = as each food's own
        keeping figure says.
    fillings
        The same by the stop at which bags are taken up, where it differs: a box is filled
        earlier and waits in the warmth.

    Raises
    ------
    Mistake
        ``bags-of-another-plan``, and as
        :func:`~fellfare.provision.planned.in_order`.
    """
    plan = in_order(dishes)
    everybody = dict.fromkeys(eater.name for dish in plan for eater in dish.eaters)
    cases = [case_for(dish) for dish in plan]
    of_dish = by_dish(plan, bags)
    uses = {bag.number: _use(cases[bag.dish_number], bag) for bag in bags}
    first = [serve_first(dish) for dish in plan]
    made = []
    usual = Filling(packed_on=packed_on, storage_c=storage_c)
    for bag in bags:
        filling = (fillings or {}).get(bag.stop, usual)
        dish = plan[bag.dish_number]
        mates = [other for other in of_dish[bag.dish_number] if _same_pot(dish, bag, other)]
        steps, joins, into = _steps(dish, uses, bag, mates)
        not_for, minds = _warned(dish, bag)
        shares = [eater for eater in dish.eaters if eater.name in bag.eaters]
        made.append(
            BagLabel(
                number=bag.number,
                count=len(bags),
                dish=bag.dish,
                bag=bag.name,
                day=bag.day,
                eat_on=date_of(bag.day, first_day),
                time=bag.time,
                eaters=bag.eaters,
                for_all=set(bag.eaters) == set(everybody),
                servings=sum(eater.servings for eater in shares),
                stop=bag.stop,
                net=food_measure(bag.foods, bag.mass_g) if bag.mass_g else None,
                mass_unknown=bag.mass_unknown,
                contents=tuple((c.food.name, c.mass_g) for c in bag.contents),
                steps=steps,
                joins=joins,
                into=into,
                use=uses[bag.number],
                kept_from=tuple(
                    dict.fromkeys(name for food in bag.foods for name in barred_from(dish, food))
                ),
                add_ins=(),
                allergens=stated(bag.foods),
                not_for=not_for,
                minds=(*minds, *first[bag.dish_number]) if steps else minds,
                packed_on=filling.packed_on,
                keeps=kept(bag.foods, filling),
                advice=_second(bag) + bag.advice,
                wet=wet_said(dish, bag.eaters) if any(s.act == "soak" for s in steps) else "",
                divide=divide_said(dish) if steps and not dish.apart else "",
            )
        )
    told = {label.number: label for label in made}
    return tuple(
        replace(label, add_ins=_add_ins(label, _mates(plan, of_dish, bag, told)))
        if not label.joins
        else label
        for bag, label in zip(bags, made, strict=True)
    )


def _mates(
    plan: Sequence[Planned],
    of_dish: Sequence[Sequence[PlannedBag]],
    bag: PlannedBag,
    told: dict[int, BagLabel],
) -> list[BagLabel]:
    dish = plan[bag.dish_number]
    mates = of_dish[bag.dish_number]
    return [told[mate.number] for mate in mates if _same_pot(dish, bag, mate)]


def _add_ins(label: BagLabel, mates: Sequence[BagLabel]) -> tuple[AddIn, ...]:
    everybody = {name for mate in mates for name in mate.eaters}
    return tuple(
        add_in(mate, label.use, everybody)
        for mate in mates
        if mate.number != label.number and mate.use >= label.use
    )


def divide_said(dish: Planned) -> str:
    """'Ada 41 %, Bo 59 %' of what is in the pot; 'equal parts'; '' for one eater.

    Each is told in whole per cent that add up to a hundred.
    """
    if len(dish.eaters) < 2:
        return ""
    servings = [eater.servings for eater in dish.eaters]
    if max(servings) == min(servings):
        return "equal parts"
    parts = apportion(servings, 100)
    return ", ".join(
        f"{eater.name} {part} %" for eater, part in zip(dish.eaters, parts, strict=True)
    )


def by_dish(
    plan: Sequence[Planned], bags: Sequence[PlannedBag]
) -> tuple[tuple[PlannedBag, ...], ...]:
    """The bags of each dish of the plan, in its order.

    Raises
    ------
    Mistake
        ``bags-of-another-plan``.
    """
    of_dish: list[list[PlannedBag]] = [[] for _ in plan]
    for bag in bags:
        if bag.dish_number >= len(plan) or plan[bag.dish_number].dish != bag.dish:
            raise Mistake(
                "bags-of-another-plan",
                what=f"bag {bag.number} ({bag.dish[:60]}) was not filled for this plan",
                mend="make the bags of the same dishes: bags_of(dishes)",
            )
        of_dish[bag.dish_number].append(bag)
    return tuple(tuple(mine) for mine in of_dish)


def eaters_said(label: BagLabel) -> str:
    """'all', 'all but Ada', or the names of those who eat from the bag."""
    kept = [name for name in label.eaters if name in label.kept_from]
    if not kept or len(kept) == len(label.eaters):
        return "all" if label.for_all else ", ".join(label.eaters)
    if label.for_all:
        return f"all but {', '.join(kept)}"
    return ", ".join(name for name in label.eaters if name not in kept)


def payload_of(label: BagLabel) -> str:
    """The text of :attr:`BagLabel.payload`."""
    lines = [
        label.dish,
        f"{label.title} · {eaters_said(label)} · bag {label.number}/{label.count}: {label.bag}",
    ]
    if label.net is not None:
        lines.append(f"{label.net.metric} ({label.net.us})")
    lines += [one.line for one in wetted(label.deeds, label.wet)]
    if label.divide:
        lines.append(f"divide: {label.divide}")
    lines += label.allergens.lines
    lines += [f"NOT FOR: {said}" for said in label.not_for]
    lines += label.minds
    if label.packed_on is not None:
        lines.append(f"packed {label.packed_on.isoformat()}")
    if label.eat_on is not None:
        lines.append(f"eat {label.eat_on.isoformat()}")
    lines.append(keeps_said(label.keeps))
    return "\n".join(line for line in lines if line)


def _same_pot(dish: Planned, bag: PlannedBag, other: PlannedBag) -> bool:
    return not dish.apart or bag.eaters == other.eaters or bool({*bag.eaters} & {*other.eaters})


def _steps(
    dish: Planned, uses: dict[int, int], bag: PlannedBag, mates: Sequence[PlannedBag]
) -> tuple[tuple[LabelStep, ...], str, str]:
    """The steps in camp that begin with this bag; the bag it joins; the pot's first bag.

    The last is empty for what goes in with the first step.
    """
    use = uses[bag.number]
    begins = min(uses[mate.number] for mate in mates)
    into = next(mate.name for mate in mates if uses[mate.number] == begins) if use > begins else ""
    leader = next(mate for mate in mates if uses[mate.number] == use)
    if leader.number != bag.number:
        return (), leader.name, into
    share = sum(
        eater.servings for eater in dish.eaters if not dish.apart or eater.name in bag.eaters
    )
    factor = share / dish.sheet.eaters
    ends = min(
        (uses[mate.number] for mate in mates if uses[mate.number] > use),
        default=len(dish.sheet.steps) + 1,
    )
    # Water that is boiled before anything goes in stands on the first bag.
    starts = 1 if use == begins else use
    steps = [
        label_step(step, factor, slower_for(dish, bag.eaters), dish.batches, number)
        for number, step in enumerate(dish.sheet.steps, 1)
        if step.where == "camp" and starts <= number < ends
    ]
    return tuple(steps), "", into


def slower_for(dish: Planned, names: Iterable[str]) -> float:
    """How many times as long as written the dish soaks where these eat it; the longest counts."""
    return max((dish.soaks[n].slower for n in names if n in dish.soaks), default=1.0)


def wet_said(dish: Planned, names: Iterable[str]) -> str:
    """When these wet it, and within what they eat it; the strictest of several."""
    found = [dish.soaks[name] for name in names if name in dish.soaks]
    if not found:
        return ""
    one = min(found, key=lambda soak: (soak.hold_minutes, -soak.minutes))
    return f"{one.when}; {one.limit}"


def _use(case: Case, bag: PlannedBag) -> int:
    return min(first_use(case, case.parts[content.line]) for content in bag.contents)


def add_in(label: BagLabel, begins: int, everybody: Iterable[str]) -> AddIn:
    """The bag as one that goes into a pot, which ``begins`` at this step and is everybody's."""
    stop_for = label.eaters if {*label.eaters} <= {*label.kept_from} else ()
    return AddIn(
        number=label.number,
        name=label.bag,
        step=label.use,
        later=label.use > begins,
        amount=label.net,
        only_for=label.eaters if set(label.eaters) != {*everybody} else (),
        not_for=tuple(name for name in label.kept_from if name not in stop_for),
        stop_for=stop_for,
    )


def _warned(dish: Planned, bag: PlannedBag) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Who must not eat it, and what its eaters mind; foods of one reason in one breath.

    'Ada: walnuts, pecans: contains ...'.  A bag that one person alone eats is never called not
    for that person: it says stop, where it holds what they avoid.
    """
    foods: dict[tuple[Share, str, str], dict[str, None]] = {}
    for food in bag.foods:
        for eater, why in _why(dish, food):
            foods.setdefault((eater, grade_of(eater, food), why), {})[food.name] = None
    not_for, minds = [], []
    for (eater, grade, why), some in foods.items():
        said = f"{eater.name}: {', '.join(some)}: {why}"
        if grade == "traces":
            if eater.name in bag.eaters:
                minds.append(f"{said}; read the label")
        elif bag.eaters == (eater.name,):
            minds.append(f"{STOP} {said}; change the menu")
        else:
            not_for.append(said)
    told = {(eater, food) for (eater, *_), some in foods.items() for food in some}
    not_for += [
        f"{eater.name} goes without {food.name}"
        for eater in dish.eaters
        for food in bag.foods
        if food.id in eater.without and (eater, food.name) not in told
    ]
    barred: dict[tuple[Share, str], dict[str, None]] = {}
    for other in dish.others:
        for food in bag.foods:
            if grade_of(other, food) == "barred":
                barred.setdefault((other, why_not(other, food)), {})[food.name] = None
    not_for += [f"{other.name}: {', '.join(some)}: {why}" for (other, why), some in barred.items()]
    return tuple(dict.fromkeys(not_for)), tuple(dict.fromkeys(minds))


def _why(dish: Planned, food: Food) -> list[tuple[Share, str]]:
    said = why_avoided(dish, food)
    return [(eater, said[eater.name]) for eater in dish.eaters if eater.name in said]


def _second(bag: PlannedBag) -> tuple[str, ...]:
    if not bag.second_bag:
        return ()
    return (f"second bag around it ({bag.second_bag}): {bag.second_why}",)
