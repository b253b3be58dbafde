"""Is there more of something in one serving than a body takes well?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from fellfare.mistake import Severity
from fellfare.pantry.food import Food
from fellfare.safety.case import Case, Part
from fellfare.safety.clock import is_discarded
from fellfare.safety.reading import hazards, names, said
from fellfare.safety.rule import Hit, rule

#: A day's reference value of sodium [mg] (21 CFR 101.9(c)(9)) [CFR-101.9].
SODIUM_DAY_MG: Final = 2300.0
#: 10 g of salt in one meal: own judgement; sweat of a hot day may take as much, not at once.
SODIUM_MUCH_MG: Final = 4000.0
#: 30 g of salt, 0.5 g per kg of a person of 60 kg, from where poisoning is told (from memory).
SODIUM_POISON_MG: Final = 12_000.0
#: Sodium in table salt [g/g], NaCl: 22.99 of 58.44.
SODIUM_IN_SALT: Final = 0.393


@rule(
    "salt-dose",
    "error",
    "21 CFR 101.9(c)(9), 2300 mg of sodium a day [CFR-101.9]; 4000 mg in a serving: own "
    "judgement; poisoning from about 0.5 g of salt per kg: from memory",
    "A serving holds more sodium than a day's reference value of 2300 mg (note), than 4000 mg "
    "(caution) or than 12 000 mg (error).",
)
def salt_dose(case: Case) -> Iterator[Hit]:
    if not case.servings > 0:
        return
    counted = [part for part in case.parts if not _is_poured_away(case, part)]
    by_part = {
        part.number: part.mass_g * part.food.per_100g.sodium_mg / 100
        for part in counted
        if part.mass_g is not None and part.food.per_100g.sodium_mg is not None
    }
    serving_mg = sum(by_part.values()) / case.servings
    if not serving_mg > SODIUM_DAY_MG:
        return
    salt_g = serving_mg / SODIUM_IN_SALT / 1000
    # Name those that bring a tenth or more of it.
    main = [p for p in counted if by_part.get(p.number, 0.0) > 0.1 * sum(by_part.values())]
    more = " or more" if len(by_part) < len(counted) else ""
    holds = f"A serving holds {serving_mg:.0f} mg of sodium ({salt_g:.0f} g of salt){more}"
    severity: Severity
    if serving_mg > SODIUM_POISON_MG:
        severity, why = "error", "so much salt at once is poison.  Is the figure right?"
    elif serving_mg > SODIUM_MUCH_MG:
        severity, why = (
            "caution",
            "more than sweat takes in hours; too salty to eat, or a slip in the figure?",
        )
    else:
        severity, why = (
            "note",
            "more than a day's reference value of 2300 mg.  Who sweats all day needs more than "
            "that, and water with it.",
        )
    yield Hit(severity, f"{holds}: {why}", said(*main))


def _is_poured_away(case: Case, part: Part) -> bool:
    """Salt of water that is drained, or drawn out of salted meat: nobody knows how much stays."""
    salty = part.food.form == "crystal" or part.food.group in ("meat", "fish")
    return salty and any(event.has(part) and is_discarded(case, event) for event in case.events)


#: Caffeine by SR28 NDB number [mg/100 g], nutrient 262 [SR28].
CAFFEINE_BY_NDB: Final[Mapping[str, float]] = {
    "14214": 3142.0,  # instant coffee
    "14222": 2063.0,  # with chicory
    "14218": 122.0,  # decaffeinated
    "14224": 360.0,  # mocha, sweetened
    "14366": 5714.0,  # instant tea
    "14370": 35.0,  # with lemon, sweetened
    "19165": 230.0,  # cocoa powder
    "19166": 78.0,  # alkalised
    "19078": 80.0,  # baking chocolate
    "19080": 62.0,  # chocolate chips
    "19268": 839.0,  # coffee beans in chocolate
    "19902": 43.0,
    "19903": 86.0,
    "19904": 80.0,
    "19905": 47.0,  # dark chocolate by its cocoa
}
#: Caffeine of what no table lists [mg/100 g]: typical contents from memory; what the water
#: draws out is less, except of matcha, which is drunk whole.
CAFFEINE_FROM_MEMORY: Final[Mapping[str, float]] = {
    "coffee-ground": 1200.0,
    "coffee-beans": 1200.0,
    "tea": 3000.0,
    "tea-green": 3000.0,
    "matcha": 3500.0,
}
#: EFSA 2015: single doses, and all of a day, without concern for adults [mg].
CAFFEINE_ONCE_MG: Final = 200.0
CAFFEINE_DAY_MG: Final = 400.0
#: Seizures are reported from about here on when it is taken fast (FDA, from memory) [mg].
CAFFEINE_POISON_MG: Final = 1200.0


def caffeine_mg_per_100g(food: Food) -> float | None:
    """Caffeine of a food that holds some [mg/100 g]; None = unknown."""
    tabulated = None if food.ndb is None else CAFFEINE_BY_NDB.get(food.ndb)
    return CAFFEINE_FROM_MEMORY.get(food.id) if tabulated is None else tabulated


@rule(
    "caffeine",
    "error",
    "EFSA Journal 13(5):4102, 2015: 200 mg at once and 400 mg a day, 200 mg a day in pregnancy, "
    "3 mg per kg for children [EFSA-2015-CAFFEINE] (from memory); contents: [SR28] nutrient 262, "
    "ground coffee and tea from memory; 1200 mg: from memory",
    "Caffeine for a child, an infant or a pregnant eater (caution); for anybody above 200 mg a "
    "serving (note), 400 mg (caution), 1200 mg (error), or where its amount is not known (note).",
)
def caffeine(case: Case) -> Iterator[Hit]:
    parts = [part for part in case.parts if "caffeine" in hazards(part.food)]
    if not parts:
        return
    known = [(p, c) for p in parts if (c := caffeine_mg_per_100g(p.food)) is not None]
    weighed = [p.mass_g * c / 100 for p, c in known if p.mass_g is not None]
    serving_mg = sum(weighed) / case.servings if case.servings > 0 else 0.0
    open_ended = len(weighed) < len(parts)
    eaters = case.at_risk("child", "infant", "pregnant")
    if eaters:
        holds = f" (about {serving_mg:.0f} mg a serving{', or more' if open_ended else ''})"
        yield Hit(
            "caution",
            f"{', '.join(e.name for e in eaters)}: {names(parts)} holds caffeine"
            f"{holds if weighed else ''}; count it (200 mg a day in pregnancy, 3 mg per kg of a "
            "child's body).",
            said(*parts),
        )
    if serving_mg > CAFFEINE_ONCE_MG:
        severity: Severity = "note"
        why = "more than the 200 mg at once that are without concern for adults"
        if serving_mg > CAFFEINE_POISON_MG:
            severity, why = "error", "a poisonous dose: is the figure right?"
        elif serving_mg > CAFFEINE_DAY_MG:
            severity, why = "caution", "more than the 400 mg of a whole day"
        yield Hit(
            severity,
            f"{names(parts)}: about {serving_mg:.0f} mg of caffeine a serving, "
            f"{why}{'' if why.endswith('?') else '.'}",
            said(*parts),
        )
    elif open_ended and not eaters:
        untold = [p for p in parts if p.mass_g is None or caffeine_mg_per_100g(p.food) is None]
        yield Hit(
            "note",
            f"{names(untold)}: how much caffeine is not known; 200 mg at once and 400 mg a day "
            "are without concern for adults.",
            said(*untold),
        )


#: (most in a serving [g], what it does) by food: all from memory.
_STRONG: Final[Mapping[str, tuple[float, Severity, str]]] = {
    "nutmeg": (5.0, "caution", "confusion and a racing heart are reported from 5 g (myristicin)"),
    "mace": (5.0, "caution", "it holds the myristicin of nutmeg, reported to poison from 5 g"),
    "liquorice-root": (
        5.0,
        "caution",
        "its glycyrrhizin raises blood pressure and drives potassium out; 100 mg a day, in a few "
        "grams of the root, is the advice",
    ),
    "cinnamon": (
        6.0,
        "note",
        "cassia holds coumarin, hard on the liver; about 2 g a day is the advice for daily use",
    ),
}


@rule(
    "strong-spice",
    "caution",
    "from memory: case reports on nutmeg, the EU committee on glycyrrhizin (2003), BfR on "
    "coumarin; the grams per serving: own judgement",
    "More nutmeg, mace or liquorice root (5 g) or cinnamon (6 g, note) in a serving than a body "
    "takes well.",
)
def strong_spice(case: Case) -> Iterator[Hit]:
    for name, (most_g, severity, why) in _STRONG.items():
        parts = [part for part in case.parts if part.food.id == name]
        total_g = sum(part.mass_g or 0.0 for part in parts)
        if case.servings > 0 and total_g / case.servings > most_g:
            yield Hit(
                severity,
                f"{names(parts)}: {total_g / case.servings:.1f} g a serving is much; {why}.",
                said(*parts),
            )
