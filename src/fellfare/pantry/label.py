"""What does the label say?  A food of one's own from a nutrition panel.

A US panel (21 CFR 101.9) states carbohydrate with the fibre in it and sodium
in mg; an EU panel (Regulation 1169/2011) states carbohydrate without the fibre
and salt in g, where salt is sodium × 2.5.  Our tables follow the first habit,
so an EU carbohydrate figure becomes ours only when the fibre is stated too.
"""

from __future__ import annotations

from math import isfinite
from typing import Final, Literal

from msgspec import Struct

from fellfare.measure.units import KILOCALORIE_KJ
from fellfare.mistake import Finding, Mistake
from fellfare.pantry.nutrients import Nutrients

#: Salt (sodium chloride equivalent) per sodium, EU 1169/2011 Annex I.
SALT_PER_SODIUM: Final = 2.5
#: Energy of the macronutrients [kcal/g]: US general factors (21 CFR
#: 101.9(c)(1)(i)(B)) on total carbohydrate, EU Annex XIV with fibre apart.
#: Labels round each figure, and food-specific factors differ from the general
#: ones, so only a gap of more than this share and this amount is worth a word.
GAP_SHARE: Final = 0.15
GAP_KCAL: Final = 15.0
#: US panels round to a gram, and a food has few of them: so much more than the whole
#: may the parts of a panel add up to [g].
ROUNDING_G: Final = 2.0
#: No food holds more than pure fat does (9.1 allows for rounding) [kcal/g].
MOST_KCAL_PER_G: Final = 9.1
#: US panels round to 10 kcal: a tablespoon of oil, 14 g, is printed as 130 (21 CFR
#: 101.9(c)(1)).
ROUNDING_KCAL: Final = 5.0

Style = Literal["us", "eu"]


class Label(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """The figures of one panel, as printed.  What is not printed stays None."""

    style: Style
    #: The amount to which the figures belong: 100 g, or the serving [g].
    per_g: float = 100.0
    energy_kcal: float | None = None
    energy_kj: float | None = None
    protein_g: float | None = None
    fat_g: float | None = None
    saturated_g: float | None = None
    #: US: total carbohydrate.  EU: without the fibre.
    carbohydrate_g: float | None = None
    fibre_g: float | None = None
    sugars_g: float | None = None
    sodium_mg: float | None = None
    salt_g: float | None = None
    potassium_mg: float | None = None
    calcium_mg: float | None = None
    iron_mg: float | None = None
    magnesium_mg: float | None = None
    vitamin_c_mg: float | None = None
    water_g: float | None = None
    #: Sugar alcohols and alcohol, which the energy check counts on their own.
    polyols_g: float | None = None
    alcohol_g: float | None = None


#: Figures that are taken over as they stand, brought to 100 g.
_PLAIN: Final = (
    "protein_g", "fat_g", "saturated_g", "fibre_g", "sugars_g", "potassium_mg", "calcium_mg",
    "iron_mg", "magnesium_mg", "vitamin_c_mg", "water_g", "alcohol_g",
)  # fmt: skip


#: Smallest amount to which figures may belong: a spoonful of spice is a gram or two [g].
LEAST_SERVING_G: Final = 0.1
#: What cannot be more than what it is part of.
_WITHIN: Final = (
    ("saturated_g", "fat_g"), ("sugars_g", "carbohydrate_g"), ("polyols_g", "carbohydrate_g"),
)  # fmt: skip
#: What a food is made of, side by side.
_WHOLE: Final = ("protein_g", "fat_g", "carbohydrate_g", "water_g", "alcohol_g")


def read_label(label: Label) -> tuple[Nutrients, tuple[Finding, ...]]:
    """Composition per 100 g, and what is odd about the label.

    Raises
    ------
    Mistake
        ``label-impossible``: a figure below zero, not finite, or more of a
        thing than the food itself weighs; ``label-energy-twice``: kcal and kJ
        that contradict each other; ``label-salt-twice`` likewise.
    """
    _refuse_impossible(label)
    to_100 = 100 / label.per_g
    energy = _energy_kcal(label)
    sodium = _sodium_mg(label)
    carbohydrate, findings = _carbohydrate_g(label)
    values = {name: getattr(label, name) for name in _PLAIN}
    values |= {"energy_kcal": energy, "carbohydrate_g": carbohydrate, "sodium_mg": sodium}
    per_100g = Nutrients(
        **{name: None if value is None else value * to_100 for name, value in values.items()}
    )
    return per_100g, (*findings, *check_energy(label))


def check_energy(label: Label) -> tuple[Finding, ...]:
    """A caution when the stated energy and the macronutrients disagree.

    Factors [kcal/g]: US 4/9/4 on protein, fat, total carbohydrate; EU Annex
    XIV 4/9/4 on protein, fat and carbohydrate, 2 on fibre, 2.4 on polyols, 7
    on alcohol.
    """
    stated = _energy_kcal(label)
    if stated is None:
        return (_finding("label-energy-missing", "the label gives no energy; it stays unknown"),)
    macros = (label.protein_g, label.fat_g, label.carbohydrate_g)
    if any(value is None for value in macros):
        return (
            _finding(
                "label-macros-missing",
                "protein, fat or carbohydrate is missing, so the energy could not be checked",
            ),
        )
    protein, fat, carbohydrate = (value or 0.0 for value in macros)
    fibre, polyols = label.fibre_g or 0.0, label.polyols_g or 0.0
    reckoned = 4 * protein + 9 * fat + 7 * (label.alcohol_g or 0.0)
    if label.style == "eu":
        reckoned += 4 * (carbohydrate - polyols) + 2.4 * polyols + 2 * fibre
        lowest = reckoned
    else:
        reckoned += 4 * (carbohydrate - polyols) + 2.4 * polyols
        lowest = reckoned - 4 * fibre  # the panel may leave out the fibre's energy
    gap = max(stated - reckoned, lowest - stated)
    if gap <= max(GAP_KCAL * label.per_g / 100, GAP_SHARE * max(stated, reckoned)):
        return ()
    return (
        _finding(
            "label-energy-odd",
            f"the label says {stated:.0f} kcal per {label.per_g:g} g, its protein, fat and "
            f"carbohydrate make about {reckoned:.0f}; look at the label again (kJ for kcal, "
            "per serving for per 100 g, a digit)",
        ),
    )


def _finding(rule: str, text: str) -> Finding:
    source = "21 CFR 101.9(c)(1)(i); Regulation (EU) 1169/2011 Annex XIV"
    return Finding(severity="caution", rule=rule, text=text, source=source)


def _refuse_impossible(label: Label) -> None:
    if not (isfinite(label.per_g) and LEAST_SERVING_G <= label.per_g <= 10_000):
        raise Mistake(
            "label-impossible",
            what=f"the figures belong to {label.per_g:g} g",
            mend="give the serving in grams, above 0",
            where="per_g",
        )
    for name in label.__struct_fields__:
        value = getattr(label, name)
        if not isinstance(value, (int, float)):
            continue
        if not isfinite(value) or value < 0:
            raise Mistake(
                "label-impossible",
                what=f"{name} = {value:g}",
                mend="a label holds figures of 0 or more; leave out what is not printed",
                where=name,
            )
        in_g = value / 1000 if name.endswith("_mg") else value
        if name.endswith(("_g", "_mg")) and name != "per_g" and in_g > label.per_g * 1.005:
            raise Mistake(
                "label-impossible",
                what=f"{name} = {value:g} in {label.per_g:g} g of food",
                mend="is the figure per serving and the mass per 100 g, or a digit too many?",
                where=name,
            )
    _refuse_parts_beyond_whole(label)
    energy = _energy_kcal(label)
    if energy is not None and energy > MOST_KCAL_PER_G * label.per_g + ROUNDING_KCAL:
        raise Mistake(
            "label-impossible",
            what=f"{energy:.0f} kcal in {label.per_g:g} g is more than pure fat holds",
            mend="are these kJ? then write energy_kj",
            where="energy_kcal",
        )


def _refuse_parts_beyond_whole(label: Label) -> None:
    """More sugar than carbohydrate, more of everything than the food weighs."""
    # A US label tells the fibre within the carbohydrate, an EU one apart from it.
    fibre = (("fibre_g", "carbohydrate_g"),) if label.style == "us" else ()
    for part, whole in (*_WITHIN, *fibre):
        inner, outer = getattr(label, part), getattr(label, whole)
        if inner is not None and outer is not None and inner > outer + ROUNDING_G / 2:
            raise Mistake(
                "label-impossible",
                what=f"{part} = {inner:g} is part of {whole} = {outer:g}, and more than it",
                mend="read both again; perhaps they stand in each other's line",
                where=part,
            )
    # The salt is not counted: it is reckoned from all sodium, that of glutamate too.
    names = (*_WHOLE, "fibre_g") if label.style == "eu" else _WHOLE
    parts: list[float] = [value for name in names if (value := getattr(label, name)) is not None]
    if sum(parts) > label.per_g + max(ROUNDING_G, 0.02 * label.per_g):
        raise Mistake(
            "label-impossible",
            what=f"protein, fat, carbohydrate and the like add up to {sum(parts):g} g in "
            f"{label.per_g:g} g of food",
            mend="are the figures per serving and the mass per 100 g, or a digit too many?",
            where="per_g",
        )


def _energy_kcal(label: Label) -> float | None:
    if label.energy_kj is None:
        return label.energy_kcal
    from_kj = label.energy_kj / float(KILOCALORIE_KJ)
    if label.energy_kcal is None:
        return from_kj
    # The two are made from separate factors and rounded; 3 % is ample.
    if abs(from_kj - label.energy_kcal) > max(2.0, 0.03 * from_kj):
        raise Mistake(
            "label-energy-twice",
            what=f"{label.energy_kcal:g} kcal and {label.energy_kj:g} kJ are not the same energy",
            mend="read both again (1 kcal = 4.184 kJ), or give only one",
            where="energy_kj",
        )
    return label.energy_kcal


def _sodium_mg(label: Label) -> float | None:
    if label.salt_g is None:
        return label.sodium_mg
    from_salt = label.salt_g * 1000 / SALT_PER_SODIUM
    if label.sodium_mg is None:
        return from_salt
    if abs(from_salt - label.sodium_mg) > max(20.0, 0.1 * from_salt):
        raise Mistake(
            "label-salt-twice",
            what=f"{label.sodium_mg:g} mg sodium and {label.salt_g:g} g salt do not agree",
            mend="salt is sodium × 2.5; give only the one that is printed",
            where="salt_g",
        )
    return label.sodium_mg


def _carbohydrate_g(label: Label) -> tuple[float | None, tuple[Finding, ...]]:
    if label.style == "us" or label.carbohydrate_g is None:
        return label.carbohydrate_g, ()
    if label.fibre_g is not None:
        return label.carbohydrate_g + label.fibre_g, ()
    text = (
        "an EU label states carbohydrate without fibre, and the fibre is not given; total "
        "carbohydrate stays unknown"
    )
    return None, (_finding("label-fibre-missing", text),)


def available_carbohydrate_g(label: Label) -> float | None:
    """Carbohydrate without fibre as an EU panel states it [g/100 g]; None on a US one."""
    if label.style != "eu" or label.carbohydrate_g is None:
        return None
    return label.carbohydrate_g * 100 / label.per_g
