"""What stands on the label of a bag?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from math import ceil
from typing import Final

from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.pantry.food import Food, Trust
from fellfare.provision.bags.plan import PlannedBag
from fellfare.provision.bags.together import first_use, grade_of, why_avoided, why_not
from fellfare.provision.bags.whole import apportion
from fellfare.provision.keep_by import Filling, KeepBy, keep_by, keeps_said, kept
from fellfare.provision.measures import Measure, food_measure, minutes_said, water_measure
from fellfare.provision.planned import Planned, Share, case_for, date_of, in_order
from fellfare.provision.serving import serve_first
from fellfare.provision.stated import Stated, stated
from fellfare.recipe.document import Act
from fellfare.recipe.watering import WateredStep
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
    "add_in_said",
    "by_dish",
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

#: What a step asks of the eater, in two or three words.
SAID: Final[dict[Act, str]] = {
    "soak": "soak in cold water",
    "steep": "pour on boiling water, cover",
    "boil": "boil",
    "simmer": "simmer",
    "fry": "fry",
    "toast": "toast",
    "mix": "stir in",
    "rest": "let rest",
    "heat": "heat",
    "drain": "drain",
    "bake": "bake",
    "dry": "dry",
    "pack": "pack",
    "serve": "serve",
}


#: Done again for each batch, where one filling of the pots does not hold all of it.
IN_THE_POT: Final[tuple[Act, ...]] = ("boil", "simmer", "heat", "fry")


class LabelStep(Struct, frozen=True, kw_only=True):
    """One thing to do in camp."""

    act: Act
    #: 'pour on boiling water, cover'.
    said: str
    #: The author's own words.
    text: str
    #: None = no water, or unknown.
    water: Measure | None
    #: Water is needed, and nobody has told how much.
    water_unknown: bool
    minutes: float | None
    most_minutes: float | None
    minutes_trust: Trust
    #: The pots are filled so often, each time with an even part of it and of this water.
    batches: int = 1

    @property
    def line(self) -> str:
        """'pour on boiling water, cover: 310 ml (1⅓ cups), 5 min'."""
        parts = []
        if self.water is not None:
            parts.append(f"{self.water.metric} ({self.water.us})")
        elif self.water_unknown:
            parts.append("water: not known, try it at home")
        if self.minutes is not None:
            parts.append(minutes_said(self.minutes, self.most_minutes))
        if self.batches > 1:
            parts.append(f"in {self.batches} batches")
        return f"{self.said}: {', '.join(parts)}" if parts else self.said


class AddIn(Struct, frozen=True, kw_only=True):
    """Another bag of the dish, which goes in later or together."""

    number: int
    name: str
    #: 'with it' or 'later'.
    when: str
    #: Net mass; None = not measured.
    amount: Measure | None
    #: Names of those who add it, when it is not for all.
    only_for: tuple[str, ...] = ()
    not_for: tuple[str, ...] = ()


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
    #: Name of the bag whose pot or jar it joins; '' = its own.
    joins: str
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
    made = []
    usual = Filling(packed_on=packed_on, storage_c=storage_c)
    for bag in bags:
        filling = (fillings or {}).get(bag.stop, usual)
        dish, case = plan[bag.dish_number], cases[bag.dish_number]
        mates = [other for other in of_dish[bag.dish_number] if _same_pot(dish, bag, other)]
        steps, joins = _steps(dish, case, bag, mates)
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
                add_ins=_add_ins(case, bag, mates) if steps else (),
                allergens=stated(bag.foods),
                not_for=not_for,
                minds=(*minds, *serve_first(dish)) if steps else minds,
                packed_on=filling.packed_on,
                keeps=kept(bag.foods, filling),
                advice=_second(bag) + bag.advice,
                wet=wet_said(dish, bag.eaters) if any(s.act == "soak" for s in steps) else "",
                divide=divide_said(dish) if steps and not dish.apart else "",
            )
        )
    return tuple(made)


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


def payload_of(label: BagLabel) -> str:
    """The text of :attr:`BagLabel.payload`."""
    who = "all" if label.for_all else ", ".join(label.eaters)
    lines = [label.dish, f"{label.title} · {who} · bag {label.number}/{label.count}: {label.bag}"]
    if label.net is not None:
        lines.append(f"{label.net.metric} ({label.net.us})")
    soak = next((at for at, step in enumerate(label.steps, 1) if step.act == "soak"), 0)
    lines += [step.line for step in label.steps[:soak]]
    lines += [label.wet, *(step.line for step in label.steps[soak:])]
    if label.joins:
        lines.append(f"goes in with '{label.joins}'")
    lines += [add_in_said(one) for one in label.add_ins]
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


def add_in_said(one: AddIn) -> str:
    """'later add walnuts, 24 g (only Ada and Bo)'."""
    amount = f", {one.amount.metric}" if one.amount is not None else ""
    spoons = f" ({one.amount.us_household})" if one.amount and one.amount.us_household else ""
    who = f"; only {', '.join(one.only_for)}" if one.only_for else ""
    lead = "with" if one.when == "with it" else "later add"
    return f"{lead} {one.name}{amount}{spoons}{who}"


def _same_pot(dish: Planned, bag: PlannedBag, other: PlannedBag) -> bool:
    return not dish.apart or bag.eaters == other.eaters or bool({*bag.eaters} & {*other.eaters})


def _steps(
    dish: Planned, case: Case, bag: PlannedBag, mates: Sequence[PlannedBag]
) -> tuple[tuple[LabelStep, ...], str]:
    """The steps in camp that begin with this bag; or the name of the bag that it joins."""
    use = _use(case, bag)
    leader = next((mate for mate in mates if _use(case, mate) == use), bag)
    if leader.number != bag.number:
        return (), leader.name
    share = sum(
        eater.servings for eater in dish.eaters if not dish.apart or eater.name in bag.eaters
    )
    factor = share / dish.sheet.eaters
    later = sorted({_use(case, mate) for mate in mates if _use(case, mate) > use})
    steps = [
        label_step(step, factor, slower_for(dish, bag.eaters), dish.batches)
        for number, step in enumerate(dish.sheet.steps, 1)
        if step.where == "camp" and number >= use and (not later or number < later[0])
    ]
    return tuple(steps), ""


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


def label_step(
    step: WateredStep, factor: float = 1.0, slower: float = 1.0, batches: int = 1
) -> LabelStep:
    """One step of the sheet, for ``factor`` times the sheet's eaters.

    A soak, and a rest of what soaked, takes ``slower`` times as long as written; what cooks
    in the pot is cooked in so many ``batches``.
    """
    longer = slower if step.act in ("soak", "rest") else 1.0

    def there(minutes: float | None) -> float | None:
        return None if minutes is None else float(ceil(minutes * longer - 1e-6))

    water_ml = None if step.water_ml is None else step.water_ml * factor
    return LabelStep(
        act=step.act,
        said=SAID[step.act],
        text=step.text,
        water=None if not water_ml else water_measure(water_ml),
        water_unknown=step.water_unknown,
        minutes=there(step.minutes) if longer > 1.0 else step.minutes,
        most_minutes=None
        if step.minutes == step.most_minutes
        else (there(step.most_minutes) if longer > 1.0 else step.most_minutes),
        minutes_trust=step.minutes_trust,
        batches=batches if step.act in IN_THE_POT else 1,
    )


def _use(case: Case, bag: PlannedBag) -> int:
    return min(first_use(case, case.parts[content.line]) for content in bag.contents)


def _add_ins(case: Case, bag: PlannedBag, mates: Sequence[PlannedBag]) -> tuple[AddIn, ...]:
    use = _use(case, bag)
    everybody = {name for mate in mates for name in mate.eaters}
    return tuple(
        AddIn(
            number=mate.number,
            name=mate.name,
            when="with it" if _use(case, mate) == use else "later",
            amount=food_measure(mate.foods, mate.mass_g) if mate.mass_g else None,
            only_for=mate.eaters if set(mate.eaters) != everybody else (),
            not_for=mate.not_for,
        )
        for mate in mates
        if mate.number != bag.number and _use(case, mate) >= use
    )


#: Where the only eater of a bag must not eat it: the plan itself is wrong.
STOP: Final = "STOP"


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
