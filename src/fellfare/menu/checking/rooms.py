"""Does it all fit: bags, backs, boxes, the pot, the purse?"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from fellfare.menu.checking.record import TOLERANCE, Broken, Record, broken, outside
from fellfare.menu.pool import Leg, Litres


def overfull(record: Record) -> Iterator[Broken]:
    """Litres at night, loads in the morning, boxes, the common pot."""
    for litre in record.question.litres:
        yield from _nights(record, litre)
    for cap in record.question.load_caps:
        for day in cap.days or tuple(leg.first_day for leg in record.legs):
            over = outside(record.load_g(cap.walker, day, at_start=True), None, cap.most_g)
            if over:
                yield broken(cap.wish, f"{cap.walker}, day {day}", over, "g")
    for box in record.question.box_caps:
        leg = next(each for each in record.legs if each.name == box.leg)
        for name, most, unit in (("carried_g", box.most_g, "g"), ("volume_ml", box.most_ml, "ml")):
            over = outside(_in_leg(record, leg, name), None, most)
            if over:
                yield broken(box.wish, leg.name, over, unit)
    pots: dict[tuple[int, str], Fraction] = {}
    for one in record.eaten:
        mark = (one.slot.day, one.slot.time)
        pots[mark] = pots.get(mark, Fraction(0)) + (
            record.figure(one.dish, "pot_ml") * one.servings
        )
    for slot in record.question.slots:
        if slot.pot_ml is not None and slot.shared:
            over = outside(pots.get((slot.day, slot.time), Fraction(0)), None, slot.pot_ml)
            if over:
                yield broken("what the pot holds", f"day {slot.day}, {slot.time}", over, "ml")


def _in_leg(record: Record, leg: Leg, name: str) -> Fraction:
    return sum(
        (
            record.figure(one.dish, name) * one.servings
            for one in record.eaten
            if leg.first_day <= one.slot.day <= leg.last_day
        ),
        Fraction(0),
    )


def _nights(record: Record, litre: Litres) -> Iterator[Broken]:
    """What is still to be eaten in the leg, and the rubbish of what was."""
    on_day = [Fraction(0)] * (record.question.days + 1)
    for one in record.eaten:
        if not litre.walkers or one.walker in litre.walkers:
            on_day[one.slot.day] += record.figure(one.dish, "volume_ml") * one.servings
    rubbish = Fraction(litre.rubbish_share)
    for leg in record.legs:
        for night in range(leg.first_day - 1, leg.last_day):
            asked = night in litre.days if litre.days else night >= leg.first_day
            if not asked:
                continue
            eaten = sum(on_day[leg.first_day : night + 1], Fraction(0))
            left = sum(on_day[night + 1 : leg.last_day + 1], Fraction(0))
            over = outside(left + rubbish * eaten, None, litre.litres * 1000)
            if over:
                yield broken(litre.wish, f"night {night}", over / 1000, "L")


def overspent(record: Record) -> Iterator[Broken]:
    """Whole packs, other costs and fees against the budget."""
    budget = record.question.budget
    if budget is None and record.question.weights.cost_g == 0:
        return
    total = sum((Fraction(leg.fee) for leg in record.legs), Fraction(0))
    need: dict[str, Fraction] = {}
    for one in record.eaten:
        total += record.figure(one.dish, "cost") * one.servings
        for food, grams in one.dish.foods:
            need[food] = need.get(food, Fraction(0)) + Fraction(grams) * one.servings
    for pack in record.question.packs:
        grams_needed, size = need.get(pack.food, Fraction(0)), Fraction(pack.size_g)
        # a pack that is needed for less than the tolerance only is not bought for it
        bought = -(-(grams_needed * (1 - TOLERANCE)) // size)
        total += bought * Fraction(pack.price)
        if bought > pack.most:
            yield broken(f"whole packs of {pack.food}", "too many", bought - pack.most, "packs")
    over = Fraction(0) if budget is None else outside(total, None, budget.most)
    if budget is not None and over:
        yield broken(budget.wish, "all", over, "money")
