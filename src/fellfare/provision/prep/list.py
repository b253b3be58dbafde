"""What is done at home, in which order, until when at the latest and from when at the earliest?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from textwrap import shorten
from typing import Final

from msgspec import Struct

from fellfare.mistake import Finding
from fellfare.provision.bags.plan import PlannedBag, known_stop
from fellfare.provision.keep_by import Filling
from fellfare.provision.planned import Planned, findings_for, in_order
from fellfare.provision.prep.dryer import drying_tasks
from fellfare.provision.prep.drying import Dryer
from fellfare.provision.prep.kitchen import bag_tasks, cutting_tasks, kept_from, kitchen_tasks
from fellfare.provision.prep.task import Clock, Kind, Task
from fellfare.provision.shopping.list import ShoppingList

#: Shopping is done so many days before the first work in the kitchen.
_BUY_LEAD: Final = 1


class PrepList(Struct, frozen=True, kw_only=True):
    """All tasks, the earliest first."""

    tasks: tuple[Task, ...]
    #: Hours of the dryer, all together.
    dryer_h: tuple[float, float]
    findings: tuple[Finding, ...]


def prep_list(
    dishes: Iterable[Planned],
    bags: Sequence[PlannedBag],
    shopping: ShoppingList,
    *,
    first_day: date | None = None,
    ready_by: Mapping[str, date] | None = None,
    dryer: Dryer | None = None,
    storage_c: float | None = None,
    fillings: Mapping[str, Filling] | None = None,
    said: Sequence[tuple[Finding, ...]] | None = None,
) -> PrepList:
    """The work of the kitchen.

    Parameters
    ----------
    dishes, bags, shopping
        The plan, its bags, and the list with what is dried at home.
    first_day
        Date of day 1; bags for the start must be ready the day before.
    ready_by
        Stop name to the day on which its box is closed; '' = the start.
    dryer
        The person's own.
    storage_c
        How warm the bags lie until they are eaten.
    fillings
        The same by stop, where it differs: a box that waits in the warmth.
    said
        What the food rules say of each dish, in the order in which they are eaten, where
        somebody has asked already.

    Raises
    ------
    Mistake
        ``dryer-out-of-range``, ``unknown-stop``.
    """
    plan = in_order(dishes)
    when = dict(ready_by or {})
    known_stop(when, bags)
    shops = {place.name for place in shopping.places if place.name}
    bags = [bag for bag in bags if bag.stop not in shops]
    if first_day is not None:
        when.setdefault("", first_day - timedelta(days=1))
    clock = Clock(when=when, first_day=first_day, storage_c=storage_c, fillings=fillings or {})
    tasks: list[Task] = []
    tasks += drying_tasks(shopping, bags, clock, dryer or Dryer())
    found = [findings_for(dish) for dish in plan] if said is None else said
    tasks += kitchen_tasks(plan, bags, clock, found)
    tasks += cutting_tasks(plan, bags, clock)
    tasks += bag_tasks(plan, bags, clock, found)
    tasks += _buying(shopping, tasks)
    tasks = _in_turn(tasks, plan, bags)
    late = [_too_early(task) for task in tasks]
    hours = [task.drying for task in tasks if task.drying is not None]
    return PrepList(
        tasks=tuple(tasks),
        dryer_h=(sum(one.low_h for one in hours), sum(one.high_h for one in hours)),
        findings=tuple(finding for finding in late if finding is not None),
    )


#: What is done first on one day.
_ORDER: Final[tuple[Kind, ...]] = (
    "buy", "cook", "dry", "condition", "clean", "dice", "toast", "mix", "weigh", "bag",
)  # fmt: skip


def _in_turn(
    tasks: Iterable[Task], plan: Sequence[Planned], bags: Sequence[PlannedBag]
) -> list[Task]:
    """By day; within it first what everybody may eat, then the rest with a clean scale before it.

    So nothing that somebody avoids lay on scale and board before their own food did.
    """
    numbered = {bag.number: bag for bag in bags}
    days: dict[tuple[date, int, str], list[tuple[Task, tuple[str, ...]]]] = {}
    for task in tasks:
        mine = [numbered[number] for number in task.bags if number in numbered]
        key = (task.latest or date.max, -task.days_before, task.stop)
        days.setdefault(key, []).append((task, kept_from(plan, mine)))
    out = []
    for key in sorted(days, key=lambda one: one[:2]):
        # All bags of a place are closed last.
        some = sorted(
            days[key],
            key=lambda one: (not one[0].dish and one[0].kind == "bag", bool(one[1]),
                             _ORDER.index(one[0].kind)),
        )  # fmt: skip
        handled = [one for one in some if one[1] and one[0].dish]
        if handled:
            names = tuple(dict.fromkeys(name for _, who in handled for name in who))
            some.insert(some.index(handled[0]), (_cleaning(handled[0][0], names), names))
        out += [task for task, _ in some]
    return out


def _cleaning(first: Task, names: Sequence[str]) -> Task:
    """What is done before the first task with food that these must not eat."""
    said = " and ".join(names)
    return Task(
        kind="clean",
        text="Close all bags filled so far and put them away.  Clean scale, board, knife, spoons, "
        f"pan and hands: what follows is, in part, not for {said}.  Clean again afterwards, before "
        "anything else is weighed.",
        dish="",
        stop=first.stop,
        foods=(),
        in_g=None,
        out_g=None,
        days_before=first.days_before,
        latest=first.latest,
        earliest=None,
    )


def _buying(shopping: ShoppingList, tasks: Sequence[Task]) -> list[Task]:
    """One shopping trip before the first work."""
    rows = [row for place in shopping.places if not place.name for row in place.to_buy]
    if not rows:
        return []
    lead = max((task.days_before for task in tasks), default=0) + _BUY_LEAD
    dates = [task.latest for task in tasks if task.latest is not None]
    return [
        Task(
            kind="buy",
            text=f"Buy {len(rows)} foods (shopping list); fresh food that is not dried, last.",
            dish="",
            stop="",
            foods=tuple(row.food.name for row in rows),
            in_g=sum(row.buy_g for row in rows),
            out_g=sum(row.bought_g for row in rows),
            days_before=lead,
            latest=min(dates) - timedelta(days=_BUY_LEAD) if dates else None,
            earliest=None,
        )
    ]


#: So much of a task is said in a finding about it.
_SHORT: Final = 100


def _shortly(task: Task) -> str:
    """The task up to its first colon, cut between words, behind its dish."""
    said = shorten(task.text.split(":")[0], _SHORT, placeholder=" …")
    return said if not task.dish or task.dish in said else f"{task.dish} ({said})"


def _too_early(task: Task) -> Finding | None:
    """A caution when the food would be past its quality on the day it is eaten."""
    if task.latest is None or task.earliest is None or task.earliest <= task.latest:
        return None
    days = (task.earliest - task.latest).days
    later = f"{days} day{'s'[: days != 1]} later"
    return Finding(
        severity="caution",
        rule="prepared-too-early",
        text=f"{_shortly(task)}: ready by {task.latest.isoformat()}, but "
        f"only from {task.earliest.isoformat()} on ({later}) does its quality last to "
        "the day it is eaten.  Swap, buy it on the way, or eat it earlier.",
        source="each food's own keeping figure; quality only",
        about=task.foods[:3],
    )
