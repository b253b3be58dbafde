"""Are the wishes about nourishment and variety kept?"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from fellfare.menu.checking.record import TOLERANCE, Broken, Record, broken, outside
from fellfare.menu.pool import Band

#: General factors, FAO (2003), Food and Nutrition Paper 77, table 3.1 (from memory).
KCAL_PER_G = {"protein_g": 4, "carbohydrate_g": 4, "fat_g": 9}


def out_of_band(record: Record) -> Iterator[Broken]:
    """Floors and ceilings on what a walker eats in a day, or over several."""
    eats = {
        (walker, slot.day, slot.time) for slot in record.question.slots for walker in slot.walkers
    }
    all_times = {time for _, _, time in eats}
    for band in record.question.bands:
        days = band.days or tuple(range(1, record.question.days + 1))
        for span in (days,) if band.whole else tuple((day,) for day in days):
            if any(
                (band.walker, day, time) in eats for day in span for time in band.times or all_times
            ):
                yield from _band(record, band, span)


def _band(record: Record, band: Band, span: tuple[int, ...]) -> Iterator[Broken]:
    days = f"day {span[0]}" if len(span) == 1 else f"days {span[0]} to {span[-1]}"
    where = f"{band.walker}, {days}"
    if band.times:
        where += f", {' and '.join(band.times)}"
    value = record.total(band.nutrient, band.walker, span, band.times)
    if band.share:
        energy = record.total("energy_kcal", band.walker, span, band.times)
        part = KCAL_PER_G[band.nutrient] * value
        for limit, sign in ((band.low, 1), (band.high, -1)):
            if limit is None:
                continue
            short = sign * (Fraction(limit) * energy - part)
            if short > TOLERANCE * max(energy, Fraction(1)):
                yield broken(band.wish, where, short, "kcal")
        return
    if band.nutrient == "energy_kcal" and not band.times:
        value -= sum((_load_kcal(record, band.walker, day) for day in span), Fraction(0))
    over = outside(value, band.low, band.high)
    if over:
        unit = {"energy_kcal": "kcal", "sodium_mg": "mg"}.get(band.nutrient, "g")
        yield broken(band.wish, where, over, unit)


def _load_kcal(record: Record, name: str, day: int) -> Fraction:
    """What carrying the food of this and the later days costs that walker on this day."""
    walker = next(w for w in record.question.walkers if w.id == name)
    if walker.load_kcal_per_kg == 0:
        return Fraction(0)
    return Fraction(walker.load_kcal_per_kg) * record.load_g(name, day, at_start=False) / 1000


def repeated(record: Record) -> Iterator[Broken]:
    """Dishes, bases or families that come too often within so many days."""
    for repeat in record.question.repeats:
        for walker in record.question.walkers:
            on: dict[str, list[int]] = {}
            for one in record.by_walker.get(walker.id, ()):
                if repeat.times and one.slot.time not in repeat.times:
                    continue
                word = one.dish.same_as or one.dish.id
                if repeat.key != "dish":
                    word = getattr(one.dish, repeat.key)
                if word:
                    on.setdefault(word, []).extend([one.slot.day] * one.plate.times)
            for word, days in on.items():
                for first in sorted(set(days)):
                    many = sum(first <= day < first + repeat.within_days for day in days)
                    if many > repeat.most:
                        what = f"{walker.id}: {word} from day {first}"
                        yield broken(repeat.wish, what, many - repeat.most, "times too often")


def too_seldom(record: Record) -> Iterator[Broken]:
    """Dishes asked for so often, and so many different ones."""
    for often in record.question.oftens:
        many = sum(
            plate.times
            for plate in record.plates
            if plate.dish in often.dishes
            and (
                often.walker is None
                or any(portion.walker == often.walker for portion in plate.portions)
            )
        )
        if many < often.least:
            yield broken(often.wish, f"{many} times", often.least - many, "times")
    for different in record.question.differents:
        kinds = {plate.dish for plate in record.plates if plate.time in different.times}
        if len(kinds) < different.least:
            short = different.least - len(kinds)
            yield broken(different.wish, f"{len(kinds)} different", short, "dishes")
