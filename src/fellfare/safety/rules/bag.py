"""May these foods share a bag?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fellfare.safety.case import Case, Part
from fellfare.safety.reading import (
    carried_aw,
    carried_water_percent,
    first_wetting,
    is_cold,
    names,
    said,
)
from fellfare.safety.rule import Hit, rule
from fellfare.safety.sorption import Portion, dry_basis, settled_aw

#: Nothing grows below it; osmophilic yeasts and moulds begin [BEUCHAT-1981].
DRY_AW: Final = 0.60
#: Between the two only a few yeasts and moulds that love dryness grow, in months rather than
#: weeks [BEUCHAT-1981]; that this is no more than a matter of keeping: own judgement.
MOULD_AW: Final = 0.70
#: 'Weeks' end here: own judgement [days].
LONG_DAYS: Final = 30.0
#: Staphylococcus aureus and worse from here [BEUCHAT-1981; 21 CFR 114].
PATHOGEN_AW: Final = 0.85
#: Crackers and flakes lose their snap near 0.4 to 0.5 (Katz & Labuza 1981, J Food Sci
#: 46:403, from memory).
CRISP_AW: Final = 0.50
#: If all the water of the moist parts went into the dry ones and made up no more than
#: this share of their mass, their water activity would rise by a few hundredths at most
#: (isotherms of dry foods rise by 0.1 g/g over half the scale): own judgement.
TRACE_WATER: Final = 0.005
#: With so little water a food of unknown water activity cannot wet its bag: own judgement [%].
NO_WATER_PERCENT: Final = 1.0


@rule(
    "mixed-bag",
    "error",
    "[BEUCHAT-1981] limits of growth; Salwin & Slawson 1959: sealed foods settle between "
    "their water activities, never above the highest [SALWIN-SLAWSON-1959]; that 0.60 to 0.70 is "
    "a note for 30 days: own judgement",
    "Moist food shares a bag with dry food, and the bag may settle above a water activity of 0.60 "
    "(note), 0.70 (caution; from 0.60 when it lies over 30 days) or 0.85 (error).",
)
def mixed_bag(case: Case) -> Iterator[Hit]:
    for bag, parts in case.bags():
        counted = [part for part in parts if not _is_waterless(case, part)]
        if len(counted) < 2:
            continue
        unknown = [part for part in counted if carried_aw(case, part) is None]
        known = [(part, aw) for part in counted if (aw := carried_aw(case, part)) is not None]
        wet = [part for part, aw in known if aw[1] > DRY_AW]
        wettest = max((aw[1] for _, aw in known), default=0.0)
        if wet and len(wet) < len(counted):
            settled = _settled(case, counted)
            highest = settled or wettest
            if settled is None and highest > MOULD_AW and _is_trace(case, wet, counted):
                yield Hit(
                    "note",
                    f"Bag '{bag.name}': {names(wet)} is moister than the rest, but there is so "
                    "little of it that its water cannot wet the bag.",
                    said(*wet),
                )
            else:
                yield from _verdict(bag.name, highest, settled is not None, wet, case)
        if unknown:
            yield Hit(
                "caution",
                f"Bag '{bag.name}': the water activity of {names(unknown)} is not known, so it "
                "is not known whether the bag stays dry.  Pack what is not bone-dry apart.",
                said(*unknown),
            )


def _verdict(name: str, aw: float, modelled: bool, wet: list[Part], case: Case) -> Iterator[Hit]:
    level = next((one for one in (PATHOGEN_AW, MOULD_AW, DRY_AW) if _reaches(aw, one)), None)
    if level is None:
        return
    # Those that are at that level by themselves; a modelled bag may have none.
    blamed = [
        p for p in wet if (own := carried_aw(case, p)) is not None and _reaches(own[1], level)
    ]
    blamed = blamed or wet
    how = f"settles near {aw:.2f}" if modelled else f"may settle as high as {aw:.2f}"
    begins = f"Bag '{name}' {how} in water activity because of {names(blamed)}: "
    if level == PATHOGEN_AW:
        warm = not all(is_cold(case, part) for part in blamed)
        yield Hit(
            "error" if warm else "caution",
            f"{begins}from 0.85 germs grow {'in the warm' if warm else 'unless it stays cold'}.  "
            "Pack it apart.",
            said(*blamed),
        )
    elif level == MOULD_AW:
        yield Hit(
            "caution",
            f"{begins}above 0.70 mould can grow.  Pack it apart, or eat it within days.",
            said(*blamed),
        )
    elif case.storage_days is not None and not case.storage_days <= LONG_DAYS:
        yield Hit(
            "caution",
            f"{begins}above 0.60 some moulds grow slowly, and it lies {case.storage_days:.0f} "
            "days.  Pack it apart.",
            said(*blamed),
        )
    else:
        yield Hit(
            "note",
            f"{begins}the dry food may cake or go soft, and all of it keeps for weeks, not months.",
            said(*blamed),
        )


def _reaches(aw: float, level: float) -> bool:
    """Germs grow at 0.85 itself; nothing at 0.60, and 0.70 is still a note."""
    return aw >= level if level == PATHOGEN_AW else aw > level


def _is_trace(case: Case, wet: list[Part], parts: list[Part]) -> bool:
    """Whether all the water of the moist parts is next to nothing beside the dry ones."""
    rest_g = 0.0
    for part in parts:
        if part not in wet:
            if part.mass_g is None:
                return False
            rest_g += part.mass_g
    water_g = 0.0
    for part in wet:
        water = carried_water_percent(case, part)
        if part.mass_g is None or water is None:
            return False
        water_g += part.mass_g * water / 100
    return water_g <= TRACE_WATER * rest_g


def _is_waterless(case: Case, part: Part) -> bool:
    """Oil, or so little water that it cannot wet a bag."""
    if part.food.form == "oil":
        return True
    water = carried_water_percent(case, part)
    return carried_aw(case, part) is None and water is not None and water <= NO_WATER_PERCENT


def _settled(case: Case, parts: list[Part]) -> float | None:
    """Water activity of the bag from isotherms; None when one part lacks what it takes."""
    isotherms = dict(case.isotherms)
    portions = []
    for part in parts:
        isotherm = isotherms.get(part.food.id)
        water = carried_water_percent(case, part)
        if isotherm is None or water is None or not part.mass_g or not 0 <= water < 100:
            return None
        solids_g = part.mass_g * (1 - water / 100)
        portions.append(Portion(solids_g=solids_g, moisture=dry_basis(water), isotherm=isotherm))
    return settled_aw(portions)


@rule(
    "crisp-with-moist",
    "note",
    "Katz & Labuza 1981, J Food Sci 46:403: crispness is lost near a water activity of 0.4 to "
    "0.5 (from memory) [KATZ-LABUZA-1981]",
    "Crisp food shares a bag with moister food and will go soft.",
)
def crisp_with_moist(case: Case) -> Iterator[Hit]:
    for bag, parts in case.bags():
        crisp = [
            p
            for p in parts
            if p.food.form in ("baked", "freeze-dried")
            and _is_crisp(case, p)
            and first_wetting(case, p) is None  # what will be soaked need not stay crisp
        ]
        moist = [p for p in parts if _is_moist(case, p)]
        if crisp and moist and not _is_trace(case, moist, list(parts)):
            yield Hit(
                "note",
                f"Bag '{bag.name}': {names(crisp)} will go soft beside {names(moist)}.",
                said(*crisp, *moist),
            )


def _is_crisp(case: Case, part: Part) -> bool:
    aw = carried_aw(case, part)
    return aw is None or aw[1] <= CRISP_AW


def _is_moist(case: Case, part: Part) -> bool:
    """Moister than crisp food, and with water to give: sugar has none."""
    aw, water = carried_aw(case, part), carried_water_percent(case, part)
    return aw is not None and aw[1] > CRISP_AW and (water is None or water > NO_WATER_PERCENT)
