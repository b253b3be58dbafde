"""The pocket card: what the walker reads in camp, by the light of a headlamp."""

from __future__ import annotations

from typing import Any

from fellfare.measure.printing import print_volume
from fellfare.mistake import Mistake
from fellfare.paper.days import day_said
from fellfare.paper.press import Place, Size, press
from fellfare.paper.words import capital, doing, number
from fellfare.provision.acts import STOP, deeds
from fellfare.provision.cards.trail import CardDay, CardMeal, TrailCard
from fellfare.provision.serving import NOT_FOR

LEGEND = (
    "Tick ☐ when it is eaten.  Bag numbers stand on the bags.  A bar at the left says: mind this.  "
    "A box says: not for everybody.",
)


def trail_pdf(card: TrailCard, size: Size) -> bytes:
    """Panels of about 105 × 148 mm, four on a sheet, as a PDF.

    Raises
    ------
    Mistake
        ``nothing-planned``, ``no-room``, ``no-glyph``.
    """
    return _panels(card, size, 2, (11.0, 10.5, 10.0, 9.5, 9.0), (9.0, 8.5, 8.0, 7.5, 7.0), 7.0)


def day_sheets_pdf(card: TrailCard, size: Size) -> bytes:
    """The same days, each on a sheet of its own for the wall, as a PDF.

    Raises
    ------
    Mistake
        ``nothing-planned``, ``no-room``, ``no-glyph``.
    """
    return _panels(card, size, 1, (16.0, 15.0, 14.0, 13.0, 12.0), (12.0, 11.0, 10.0), 17.0)


def _panels(
    card: TrailCard,
    size: Size,
    each_way: int,
    sizes_pt: tuple[float, ...],
    small_pt: tuple[float, ...],
    inset_mm: float,
) -> bytes:
    if not card.days:
        raise Mistake("nothing-planned", "no day is planned", "plan at least one dish")
    data = {
        "across": each_way,
        "down": each_way,
        "sizes": sizes_pt,
        "small": small_pt,
        "inset": inset_mm,
        "cover": each_way > 1,
        "days": [_day(day, place) for place, day in enumerate(card.days)],
        "standing": card.standing,
        "legend": LEGEND,
    }
    places = tuple(
        Place(name=f"day {day.day}", mend="write the longest dish or step shorter")
        for day in card.days
    )
    places += (Place(name="title", mend="give the trip a shorter title"),)
    return press("trail.typ", data, size, card.title, places)


def day_foot(day: CardDay) -> str:
    """'Day: 1 240 g, 3 120 kcal, water for food 1.9 l'; 'at least' where something is unknown."""
    least = "at least " if day.energy_unknown else ""
    water = print_volume(day.water_ml).text if day.water_ml else "none"
    if day.water_unknown:
        water = f"at least {water}" if day.water_ml else "not known"
    return (
        f"The day’s food: {number(day.mass_g)} g, {least}{number(day.energy_kcal)} kcal; "
        f"water for it: {water}"
    )


def meal_lines(meal: CardMeal) -> list[dict[str, str]]:
    """What is done and minded, in order, each with its kind."""
    lines = [{"kind": "bags", "text": capital("; ".join(meal.bag_lines)), "figures": ""}]
    lines += [
        {"kind": "do", "text": text, "figures": figures}
        for text, figures in doing(deeds(meal.steps, meal.add_ins), meal.wet)
    ]
    said = []
    if meal.divide and meal.divide != "equal parts":
        said.append(("add", f"Divide: {meal.divide}"))
    said += [("not-for", f"NOT FOR {one}") for one in meal.not_for]
    said += [
        ("not-for", one) if one.startswith((STOP, NOT_FOR)) else ("mind", f"CAUTION: {one}")
        for one in meal.minds
    ]
    said += [("mind", f"{one.severity.upper()}: {one.text}") for one in meal.findings]
    return lines + [{"kind": kind, "text": text, "figures": ""} for kind, text in said]


def day_head(day: CardDay) -> tuple[str, str]:
    """'Day 3', and 'Sat 3 Jul 2027 · opens: box at the hut'."""
    parts = [day_said(day.eat_on)] if day.eat_on is not None else []
    parts += [f"opens {stop}" for stop in day.stops if stop]
    return f"Day {day.day}", " · ".join(parts)


def _day(day: CardDay, place: int) -> dict[str, Any]:
    head, sub = day_head(day)
    return {
        "number": place,
        "head": head,
        "sub": sub,
        "notes": list(day.notes),
        "foot": day_foot(day),
        "meals": [
            {
                "time": capital(meal.time),
                "who": f"for {meal.who}",
                "dish": meal.dish,
                "lines": meal_lines(meal),
            }
            for meal in day.meals
        ],
    }
