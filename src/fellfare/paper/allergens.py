"""The allergen card: who must not eat what, large and plain."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fellfare.paper.press import Size, press
from fellfare.paper.recipes import allergen_lines
from fellfare.paper.words import capital
from fellfare.provision.cards.allergen import AllergenCard, AllergenDish, AllergenPerson
from fellfare.provision.stated import in_short


def allergens_pdf(card: AllergenCard, size: Size, title: str = "Allergens") -> bytes:
    """People first, then every dish, as a PDF.

    Raises
    ------
    Mistake
        ``no-glyph``.
    """
    known = {f"{when}, {dish.dish}": dish for dish in card.dishes for when in dish.when}
    data = {
        "people": [_person(one, tuple(known)) for one in card.people],
        "dishes": [_dish(one) for one in card.dishes],
        "laws": _laws(card),
        "standing": card.standing,
    }
    return press("allergens.typ", data, size, title)


def _person(one: AllergenPerson, meals: Sequence[str]) -> dict[str, Any]:
    """Their dishes, each once with all its times, and all that it holds for them."""
    agents = f" ({', '.join(one.agents)})" if one.agents != one.avoids else ""
    found: dict[str, list[str]] = {}
    for text in one.minds:
        meal = next((meal for meal in meals if text.startswith(f"{meal}: ")), "")
        found.setdefault(meal, []).append(text[len(meal) + 2 :] if meal else text)
    times: dict[tuple[str, str], list[str]] = {}
    for meal, said in found.items():
        when, _, dish = meal.partition(", ")
        times.setdefault((dish, _grouped(said)), []).append(when)
    barred = f"Must not eat: {', '.join(one.avoids).replace('-', ' ')}{agents}"
    lines = [barred] if one.avoids else []
    if one.diets:
        lines.append(f"Diet: {', '.join(one.diets).replace('-', ' ')}")
    return {
        "name": one.name,
        "avoids": ".  ".join(lines),
        "nothing": "No dish of theirs declares it; that is not ‘free from’."
        if one.avoids
        else "No food of their dishes is known to speak against it; labels tell more.",
        "minds": [
            {"meal": capital(f"{'; '.join(when)}, {dish}" if dish else when[0]), "text": text}
            for (dish, text), when in times.items()
        ],
        "without": [capital(text) for text in one.goes_without],
    }


def _grouped(said: Sequence[str]) -> str:
    """'almond (may contain: walnuts)', 'pecan (may contain: walnuts)' said in one breath."""
    order = ("contains", "may contain", "unknown")
    by_answer: dict[str, list[str]] = {}
    for text in said:
        agent, _, answer = text.partition(" (")
        if not answer.startswith(order):  # a diet: 'chicken: not vegan'
            by_answer.setdefault("", []).append(text)
            continue
        by_answer.setdefault(answer.removesuffix(")"), []).append(agent)
    sorted_answers = sorted(
        by_answer, key=lambda answer: [answer.startswith(word) for word in order], reverse=True
    )
    parts = []
    for answer in sorted_answers:
        if not answer:
            parts += by_answer[answer]
            continue
        word, _, food = answer.partition(": ")
        shown = "NOT KNOWN whether" if word == "unknown" else word.upper()
        holds = " holds" if word == "unknown" else ""
        names = by_answer[answer]
        agents = ", ".join(names if word == "contains" else in_short(names))
        parts.append(f"{shown} {food}{holds}: {agents}" if holds else f"{food} {shown} {agents}")
    return "; ".join(capital(part) for part in parts)


def _dish(one: AllergenDish) -> dict[str, Any]:
    lines = allergen_lines(one.rows)
    if one.all_unknown:
        text = "every other allergen; a mix in it does not tell its parts"
        lines.append({"word": "NOT KNOWN:", "text": text})
    return {"dish": one.dish, "when": capital("; ".join(one.when)), "lines": lines}


def _laws(card: AllergenCard) -> list[str]:
    """How each law names what stands on the card, once."""
    rows = {row.agent: row for dish in card.dishes for row in dish.rows}
    return [
        f"{capital(agent)}: US {_law(row.us)}, EU {_law(row.eu)}"
        for agent, row in sorted(rows.items())
    ]


def _law(name: str) -> str:
    return f"‘{name}’" if name else "does not list it"
