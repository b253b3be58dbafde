"""What goes into the dryer, from which fresh food, and what must be heated first?"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from math import ceil
from typing import Final

from fellfare.mistake import Finding
from fellfare.pantry.food import Food
from fellfare.provision.bags.plan import PlannedBag
from fellfare.provision.prep.drying import UNFIT, Dryer, DryingClass, drying, drying_class
from fellfare.provision.prep.task import Clock, Kind, Task
from fellfare.provision.shopping.list import ShoppingList

#: Hours of the dryer that fit into one day of the kitchen: own judgement.
_HOURS_A_DAY: Final = 16.0


def drying_tasks(
    shopping: ShoppingList, bags: Sequence[PlannedBag], clock: Clock, dryer: Dryer
) -> list[Task]:
    tasks = []
    for row in shopping.rows:
        for one in row.dries_to:
            users = [bag for bag in bags if one.dried.id in {food.id for food in bag.foods}]
            stops = sorted(
                {bag.stop for bag in users}, key=lambda s: clock.latest(s, 0) or date.max
            )
            stop = stops[0] if stops else ""
            kind = drying_class(one.dried) if one.dried.group != "herb" else drying_class(row.food)
            last_day = max((bag.day for bag in users), default=1)
            earliest = clock.earliest((one.dried,), last_day, stop)
            if kind is None or one.edible_g is None or one.tray_g is None:
                tasks.append(
                    _task(
                        "dry", _unplanned(row.food, one.dried, kind is None), stop,
                        (row.food.name,), one.edible_g, one.dried_g, 2, clock, earliest,
                        (_unfit(one.dried),) if kind is None else (),
                    )
                )  # fmt: skip
                continue
            work = drying(kind, one.tray_g, min(one.dried_g, one.tray_g), dryer)
            days = ceil(work.high_h / _HOURS_A_DAY)
            lead = 1 + kind.condition_days + days
            findings = _before_drying(kind, row.food, one.dried)
            text = (
                f"Dry {row.food.name}: {one.tray_g:.0f} g ready for the tray"
                + (f" ({one.buy_g:.0f} g as bought)" if one.buy_g else "")
                + f" to {one.dried_g:.0f} g {one.dried.name}; trays: {work.trays}, loads: "
                f"{work.batches}, {work.low_h:.0f} to {work.high_h:.0f} h at {kind.low_c:.0f} to "
                f"{kind.high_c:.0f} °C.  {kind.before}  Done when: {kind.test}."
            )
            tasks.append(
                Task(
                    kind="dry",
                    text=text,
                    dish="",
                    stop=stop,
                    foods=(row.food.name, one.dried.name),
                    in_g=one.tray_g,
                    out_g=one.dried_g,
                    days_before=lead,
                    latest=clock.latest(stop, lead),
                    earliest=earliest,
                    drying=work,
                    findings=findings,
                )
            )
            if kind.condition_days:
                text = (
                    f"Condition {one.dried.name}: begun by then, {kind.condition_days} days loose "
                    "in a jar, shake daily; drops on the glass mean back into the dryer."
                )
                tasks.append(
                    _task(
                        "condition", text, stop, (one.dried.name,), one.dried_g, one.dried_g,
                        kind.condition_days, clock, earliest, (),
                    )
                )  # fmt: skip
    return tasks


def _task(
    kind: Kind,
    text: str,
    stop: str,
    foods: tuple[str, ...],
    in_g: float | None,
    out_g: float | None,
    days_before: int,
    clock: Clock,
    earliest: date | None,
    findings: tuple[Finding, ...],
) -> Task:
    return Task(
        kind=kind,
        text=text,
        dish="",
        stop=stop,
        foods=foods,
        in_g=in_g,
        out_g=out_g,
        days_before=days_before,
        latest=clock.latest(stop, days_before),
        earliest=earliest,
        findings=findings,
    )


def _before_drying(kind: DryingClass, fresh: Food, dried: Food) -> tuple[Finding, ...]:
    """What must be heated or cooked before it goes into the dryer."""
    found = []
    if kind.heat_first_c is not None:
        found.append(_heat_first(kind.heat_first_c, dried.name))
    if {"raw-pulse", "lectin-pulse"} & set(fresh.hazards):
        found.append(
            Finding(
                severity="caution",
                rule="cook-before-drying",
                text=f"{dried.name}: soak 5 h, pour the water off, boil 30 min in fresh water and "
                "until quite soft, BEFORE drying.  A dryer does not destroy the poison of beans.",
                source="[FDA-BAD-BUG-BOOK]: soak 5 h, boil 30 min",
                about=(dried.name,),
            )
        )
    return tuple(found)


def _unplanned(fresh: Food, dried: Food, unfit: bool) -> str:
    """Why no trays and hours can be told."""
    why = UNFIT if unfit else "weigh it after cooking; how much water it takes is not known."
    return f"{fresh.name} to {dried.name}: {why}"


def _heat_first(core_c: float, name: str) -> Finding:
    return Finding(
        severity="caution",
        rule="heat-before-drying",
        text=f"{name}: heat to {core_c:.0f} °C throughout, by thermometer, BEFORE drying.  What "
        "survives the first warmth of the dryer gets heat-resistant.",
        source="[USDA-FSIS-JERKY]: 71 °C (160 °F), poultry 74 °C (165 °F)",
        about=(name,),
    )


def _unfit(food: Food) -> Finding:
    return Finding(
        severity="error",
        rule="not-for-the-home-dryer",
        text=f"{food.name}: {UNFIT}",
        source="extension services on home drying, seen in public copies",
        about=(food.id,),
    )
