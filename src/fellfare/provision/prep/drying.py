"""How long does it dry, how warm, on how many trays, and what comes first?

Times of home dryers spread widely with slice, load, air and machine.  The
ranges below span what extension services and makers' tables give; the kitchen
test (leathery fruit, brittle vegetables, no moist spot when torn) decides.
"""

from __future__ import annotations

from math import ceil, isfinite
from typing import Final

from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.pantry.food import Food

_EXTENSION: Final = (
    "Michigan State University Extension 01600519 (6 to 16 h at 60 °C) and 01600524, and makers' "
    "drying tables, seen in public copies"
)
_MEAT: Final = (
    "[USDA-FSIS-JERKY]: heat to 71 °C (160 °F), poultry 74 °C (165 °F), before drying at 54 to "
    "60 °C; hours from makers' tables, seen in public copies"
)


class DryingClass(Struct, frozen=True, kw_only=True):
    """One kind of food in the dryer."""

    id: str
    #: What it takes with the usual thin slices [h].
    low_h: float
    high_h: float
    #: Air of the dryer [°C].
    low_c: float
    high_c: float
    #: Core temperature that must be reached BEFORE drying [°C]; None = none.
    heat_first_c: float | None
    #: What is done before the trays are filled.
    before: str
    #: How to tell that it is done.
    test: str
    #: Evening out in a jar afterwards [days].
    condition_days: int
    #: Usual load of a tray, fresh [g/m²]: common practice, no source.
    load_g_per_m2: float
    source: str


CLASSES: Final[dict[str, DryingClass]] = {
    one.id: one
    for one in (
        DryingClass(
            id="fruit", low_h=6, high_h=24, low_c=54, high_c=60, heat_first_c=None,
            before="Slice 5 mm thin; what is dried whole, with its skin (berries, grapes, plums), "
            "first goes into boiling water until the skin cracks.",
            test="leathery, no juice when torn and pressed",
            condition_days=7, load_g_per_m2=4000,
            source="makers' drying tables and personal tables, seen in public copies; whole fruit "
            "takes up to 48 h",
        ),
        DryingClass(
            id="vegetable", low_h=4, high_h=16, low_c=54, high_c=63, heat_first_c=None,
            before="Slice 3 to 5 mm; blanch roots, beans, peas, cabbage and corn until heated "
            "through; onions, peppers, tomatoes and mushrooms go raw.",
            test="brittle or hard, cold",
            condition_days=0, load_g_per_m2=4000, source=_EXTENSION,
        ),
        DryingClass(
            id="mushroom", low_h=3, high_h=10, low_c=49, high_c=57, heat_first_c=None,
            before="Wipe, do not wash; slice 5 mm.",
            test="brittle, cold",
            condition_days=0, load_g_per_m2=2500, source=_EXTENSION,
        ),
        DryingClass(
            id="herb", low_h=1, high_h=4, low_c=35, high_c=46, heat_first_c=None,
            before="Shake off water; leaves on the stalk.",
            test="crumbles in the hand",
            condition_days=0, load_g_per_m2=800, source="common practice, no source",
        ),
        DryingClass(
            id="meat", low_h=4, high_h=15, low_c=54, high_c=60, heat_first_c=71,
            before="Lean only; heat through to 71 °C (160 °F) by thermometer before it goes into "
            "the dryer, and blot the fat.",
            test="bends and cracks, does not snap; no fat beads",
            condition_days=0, load_g_per_m2=3500, source=_MEAT,
        ),
        DryingClass(
            id="poultry", low_h=4, high_h=15, low_c=54, high_c=60, heat_first_c=74,
            before="Lean only; heat through to 74 °C (165 °F) by thermometer before it goes into "
            "the dryer, and blot the fat.",
            test="bends and cracks, does not snap; no fat beads",
            condition_days=0, load_g_per_m2=3500, source=_MEAT,
        ),
        DryingClass(
            id="fish", low_h=6, high_h=15, low_c=54, high_c=60, heat_first_c=71,
            before="Lean fish only; heat through to 71 °C (160 °F) before drying.",
            test="tough, no fat beads",
            condition_days=0, load_g_per_m2=3500,
            source=_MEAT + "; fish: taken as meat, own judgement",
        ),
        DryingClass(
            id="cooked pulse or grain", low_h=5, high_h=10, low_c=49, high_c=60,
            heat_first_c=None,
            before="Cook until quite done, as for eating: the dryer does not cook.  Spread thin "
            "while hot.",
            test="hard and light, rattles",
            condition_days=0, load_g_per_m2=4000,
            source="walkers' tables: cooked beans 6 to 8 h at 49 °C; the rest common practice",
        ),
        DryingClass(
            id="purée or sauce", low_h=6, high_h=24, low_c=54, high_c=70, heat_first_c=None,
            before="Low in fat; spread 4 mm thin on a solid sheet.  With meat in it: heated "
            "through to 71 °C first, poultry 74 °C.",
            test="peels off, no wet spot; brittle when it is to keep for months",
            condition_days=0, load_g_per_m2=4000,
            source="a walker's log: meat sauce 24 h at 70 °C, 900 g to 250 g; the rest common "
            "practice",
        ),
    )
}  # fmt: skip

#: What home drying does not make fit to keep.
UNFIT: Final = (
    "Milk, cheese, egg and fatty food are not for the home dryer: buy them as powder (extension "
    "services)."
)
_POULTRY: Final = ("chicken", "turkey", "duck", "goose")


def drying_class(food: Food) -> DryingClass | None:
    """The class of a food to be dried; None = not for the home dryer."""
    if food.group in ("dairy", "egg"):
        return None
    if food.group == "meat":
        bird = any(word in food.id for word in _POULTRY)
        return CLASSES["poultry" if bird else "meat"]
    if food.group == "fish":
        return CLASSES["fish"]
    if food.group in ("pulse", "soy", "grain"):
        return CLASSES["cooked pulse or grain"]
    if food.form == "paste" or food.group in ("sauce", "soup", "ready"):
        return CLASSES["purée or sauce"]
    if food.group == "mushroom":
        return CLASSES["mushroom"]
    if food.group in ("herb", "spice") and food.form in ("fresh", "dried"):
        return CLASSES["herb" if food.id not in ("garlic", "ginger-root") else "vegetable"]
    if food.group == "fruit":
        return CLASSES["fruit"]
    return CLASSES["vegetable"] if food.group == "vegetable" else None


class Dryer(Struct, frozen=True, kw_only=True):
    """The person's own dryer."""

    #: Area of one tray [m²], and how many go in at once.
    tray_m2: float = 0.1
    trays: int = 5
    #: Own load, when weighed [g/m²]; None = the class's.
    load_g_per_m2: float | None = None


class Drying(Struct, frozen=True, kw_only=True):
    """One food in the dryer."""

    kind: DryingClass
    fresh_g: float
    dried_g: float
    #: Full trays, and how often the dryer is filled.
    trays: int
    batches: int
    #: All batches one after the other [h].
    low_h: float
    high_h: float
    tray_hours: tuple[float, float]
    water_out_g: float


def drying(kind: DryingClass, fresh_g: float, dried_g: float, dryer: Dryer) -> Drying:
    """Trays and hours for so much fresh food.

    Raises
    ------
    Mistake
        ``dryer-out-of-range``, ``drying-out-of-range``.
    """
    load = dryer.load_g_per_m2 if dryer.load_g_per_m2 is not None else kind.load_g_per_m2
    fits = 0.001 <= dryer.tray_m2 <= 10 and 1 <= dryer.trays <= 1000 and 10 <= load <= 50_000
    if not fits:
        raise Mistake(
            "dryer-out-of-range",
            what=f"{dryer.trays} trays of {dryer.tray_m2:g} m² with {load:g} g/m²: no dryer",
            mend="give the trays' area in m² (30 × 30 cm is 0.09) and whole trays",
        )
    if not (isfinite(fresh_g) and 0 <= dried_g <= fresh_g <= 1e6):
        raise Mistake(
            "drying-out-of-range",
            what=f"{fresh_g:g} g cannot dry to {dried_g:g} g",
            mend="give the mass before and after drying; drying only takes water away",
        )
    trays = ceil(fresh_g / (load * dryer.tray_m2) - 1e-9)
    batches = ceil(trays / dryer.trays)
    return Drying(
        kind=kind,
        fresh_g=fresh_g,
        dried_g=dried_g,
        trays=trays,
        batches=batches,
        low_h=batches * kind.low_h,
        high_h=batches * kind.high_h,
        tray_hours=(trays * kind.low_h, trays * kind.high_h),
        water_out_g=fresh_g - dried_g,
    )
