"""Who must not eat of it?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fellfare.pantry.allergens import agent_name, combine
from fellfare.pantry.food import Allergen, Food
from fellfare.safety.case import Case, Eater, Part, Risk
from fellfare.safety.reading import best_kill, hazards, names, said
from fellfare.safety.rule import Hit, rule

_HIGH_RISK: Final[tuple[Risk, ...]] = ("infant", "pregnant", "older", "weak-immunity")


@rule(
    "allergen",
    "error",
    "declared by the pantry after FALCPA 2004 and FASTER 2021 [FDA-ALLERGENS-2025] and "
    "Regulation (EU) No 1169/2011 Annex II [EU-1169-2011]; the label rules",
    "A food, or a swap for it, contains what an eater avoids, may contain it, or nobody knows.",
)
def allergen(case: Case) -> Iterator[Hit]:
    for eater in case.eaters:
        for part in case.parts:
            for food in (part.food, *part.swaps):
                yield from _for_one(eater, part, food)
            if part.missing_swaps and eater.avoids:
                yield Hit(
                    "error",
                    f"{eater.name}: nothing is known of {', '.join(part.missing_swaps)}, which "
                    "may stand in; do not swap without reading its label.",
                    said(part),
                )


def _for_one(eater: Eater, part: Part, food: Food) -> Iterator[Hit]:
    told = combine((food,))
    answers: dict[str, list[Allergen]] = {}
    for agent in eater.agents:
        answers.setdefault(told.of(agent), []).append(agent)
    swap = "" if food.id == part.food.id else f" (a swap for {part.food.name})"
    for answer, severity, text in (
        ("contains", "error", "contains"),
        ("unknown", "error", "may or may not contain (it differs by maker, or is not told)"),
        ("may contain", "caution", "may contain traces of"),
    ):
        agents = answers.get(answer, [])
        if agents:
            what = ", ".join(agent_name(agent) for agent in agents)
            read = "" if answer == "contains" else "; read the label"
            yield Hit(
                "error" if severity == "error" else "caution",
                f"{eater.name}: {food.name}{swap} {text} {what}{read}.",
                said(part),
            )


@rule(
    "unknown-swap",
    "caution",
    "own judgement: what is not known is not harmless",
    "A line names a swap that neither the pantry nor the author's own foods know.",
)
def unknown_swap(case: Case) -> Iterator[Hit]:
    for part in case.parts:
        if part.missing_swaps:
            yield Hit(
                "caution",
                f"Nothing is known of {', '.join(part.missing_swaps)}, which may stand in: no "
                "rule looked at it.",
                said(part),
            )


@rule(
    "honey-infant",
    "error",
    "CDC and WHO advice on infant botulism [CDC-INFANT-BOTULISM] (from memory)",
    "Honey in a dish for an infant under one year, or for eaters of whom nothing is told.",
)
def honey_infant(case: Case) -> Iterator[Hit]:
    parts = [part for part in case.parts if "honey" in hazards(part.food)]
    infants = case.at_risk("infant")
    if parts and infants:
        yield Hit(
            "error",
            f"{', '.join(e.name for e in infants)}: no honey under one year of age, cooked or "
            "not (infant botulism).",
            said(*parts),
        )
    elif parts and case.risks_untold():
        yield Hit(
            "note",
            f"{names(parts)}: not for infants under one year (infant botulism).",
            said(*parts),
        )


@rule(
    "listeria-high-risk",
    "error",
    "CDC and FDA advice on Listeria, high-risk persons [FDA-LISTERIA] (from memory): 74 °C",
    "Food prone to Listeria, not heated to 74 °C, for a person at high risk.",
)
def listeria_high_risk(case: Case) -> Iterator[Hit]:
    prone = ("listeria-prone", "raw-milk", "sprouts", "raw-fish", "raw-egg", "raw-meat")
    parts = [
        part
        for part in case.parts
        if set(prone) & set(hazards(part.food)) and best_kill(case, part, 74.0) != "yes"
    ]
    eaters = case.at_risk(*_HIGH_RISK)
    if parts and eaters:
        yield Hit(
            "error",
            f"{', '.join(e.name for e in eaters)}: no {names(parts)} unless heated to 74 °C "
            "throughout (Listeria and others; infants, pregnancy, age over 65, weak immunity).",
            said(*parts),
        )
    elif parts and case.risks_untold():
        yield Hit(
            "note",
            f"{names(parts)}: not for infants, in pregnancy, over 65 or with weak immunity "
            "unless heated to 74 °C throughout (Listeria).",
            said(*parts),
        )


@rule(
    "high-risk-eater",
    "caution",
    "[FDA-FOOD-CODE] 3-801.11 on highly susceptible populations; own judgement for walks",
    "An eater belongs to a group that small numbers of germs make gravely ill.",
)
def high_risk_eater(case: Case) -> Iterator[Hit]:
    for eater in case.eaters:
        risks = [risk for risk in eater.risks or () if risk in _HIGH_RISK]
        if risks:
            yield Hit(
                "caution",
                f"{eater.name} ({', '.join(risks)}): hot meals freshly boiled rather than cold "
                "soaks, no holding times, and the advice of their doctor or midwife first.",
                (eater.name,),
            )


#: Below it even the most that the EU allows in a food (2000 mg/kg, dried apricots) is under the
#: 10 mg at which asthmatics react (both from memory): own judgement [g a serving].
SULPHURED_G: Final = 5.0


@rule(
    "sulphite",
    "caution",
    "Regulation (EU) No 1169/2011 Annex II, above 10 mg/kg as SO2 [EU-1169-2011] (from memory); "
    "21 CFR 101.100(a)(4) (from memory); how often: the pantry, common practice",
    "Food that is often sulphured and can set off asthma (caution), or 5 g a serving or more of "
    "one of which it differs by maker (note).",
)
def sulphite(case: Case) -> Iterator[Hit]:
    likely = [part for part in case.parts if _is_sulphured(part.food)]
    if likely:
        yield Hit(
            "caution",
            f"{names(likely)}: often sulphured, which can set off asthma.  Read the label, or take "
            "the unsulphured kind.",
            said(*likely),
        )
    told = [(part, part.food.allergens) for part in case.parts if part not in likely]
    asked = [
        part
        for part, of in told
        if "sulphite" in (*of.unknown, *of.may_contain)
        and not (part.mass_g is not None and part.mass_g < SULPHURED_G * case.servings)
    ]
    if asked:
        yield Hit(
            "note",
            f"{names(asked)}: some makers sulphur it; with asthma, read the label.",
            said(*asked),
        )


def _is_sulphured(food: Food) -> bool:
    return "sulphite-likely" in hazards(food) or "sulphite" in food.allergens.contains


@rule(
    "favism",
    "note",
    "from memory: G6PD deficiency and broad beans; own judgement",
    "Broad beans, which can destroy the blood of eaters with G6PD deficiency.",
)
def favism(case: Case) -> Iterator[Hit]:
    parts = [part for part in case.parts if _is_broad_bean(part.food)]
    if parts:
        perhaps = " (unless it is of chickpeas alone: read the label)"
        mixed = any("falafel" in _words_of(part.food) for part in parts)
        yield Hit(
            "note",
            f"{names(parts)}: not for anybody with G6PD deficiency (favism), cooked or not"
            f"{perhaps if mixed else ''}; many who have it do not know.",
            said(*parts),
        )


def _is_broad_bean(food: Food) -> bool:
    """By name, or one of the mixes that are made of them or of chickpeas."""
    return any(word in _words_of(food) for word in ("broad bean", "fava", "falafel"))


def _words_of(food: Food) -> str:
    return " ".join((food.id.replace("-", " "), food.name, *food.words)).lower()


@rule(
    "label-only",
    "caution",
    "the maker's label; common practice, no source",
    "Food that may be used only as its label says.",
)
def label_only(case: Case) -> Iterator[Hit]:
    parts = [part for part in case.parts if "nitrate-or-toxin-label" in hazards(part.food)]
    if parts:
        yield Hit("caution", f"{names(parts)}: only as the label says, and no more.", said(*parts))
