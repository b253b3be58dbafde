"""Can these figures be in the unit they claim?  Ratios, shares, hours, densities."""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum, isfinite
from typing import Final

from fellfare.measure.amount import Amount
from fellfare.measure.lint.conversions import alone
from fellfare.measure.printing.amount_text import print_amount
from fellfare.measure.units import UNITS
from fellfare.mistake import Finding, Mistake

#: A claimed ratio may be rounded by so much of itself.
MOST_ROUNDING: Final = 0.1
#: A packed bag: puffed and freeze-dried food to food as dense as water, with a
#: margin [g/mL] (common practice, no source).
LEAST_BAG_DENSITY: Final = 0.1
MOST_BAG_DENSITY: Final = 1.1

_CONSTANTS: Final = "[NIST-SP-811] App. B; [CFR-101.9] (b)(5)(viii)"
_PRACTICE: Final = "common practice, no source"


def check_ratio(
    claimed: float, amount_a: Amount, amount_b: Amount, about: str = ""
) -> tuple[Finding, ...]:
    """Is ``amount_a`` so many times ``amount_b`` as the text claims?

    '3 : 1, so 3 tbsp fresh is 1 tsp dried' is 9 : 1.  Both must be masses or
    both volumes (a ratio of counts, or of what cannot be compared, gives no
    finding).  ``ratio-mismatch``.
    """
    _number(claimed, "a ratio of", least=0)
    if amount_a.kind != amount_b.kind or amount_a.kind not in ("mass", "volume"):
        return ()
    size_a = UNITS[amount_a.unit].size(amount_a.system)
    size_b = UNITS[amount_b.unit].size(amount_b.system)
    if size_a is None or size_b is None:
        return ()
    ratio = float(amount_a.value * size_a / (amount_b.value * size_b))
    if abs(ratio - claimed) <= MOST_ROUNDING * claimed:
        return ()
    a, b = print_amount(alone(amount_a)), print_amount(alone(amount_b))
    return (
        Finding(
            severity="caution",
            rule="ratio-mismatch",
            text=f"'{a}' to '{b}' is {ratio:.3g} to 1, not {claimed:.3g} to 1.",
            source=_CONSTANTS,
            about=(about or f"{a} : {b}",),
        ),
    )


def check_shares(shares_percent: Sequence[float], about: str = "") -> tuple[Finding, ...]:
    """Do shares sum to 100 %?  (Within 1, or half a per cent for each of them.)

    Ration factors in pounds per person-day, .24 + .27 + ..., sum to the pounds
    of a day (1.5, 1.75 ...): read as per cent they make 150 %.  ``shares-sum``.
    """
    for share in shares_percent:
        _number(share, "a share of", least=0)
    if not shares_percent:
        return ()
    total = fsum(shares_percent)
    if abs(total - 100) <= max(1.0, len(shares_percent) / 2):
        return ()
    return (
        Finding(
            severity="caution",
            rule="shares-sum",
            text=f"These shares sum to {total:.4g} %, not 100 %. Are they amounts "
            "(such as pounds per person and day) rather than shares?",
            source="arithmetic",
            about=(about or f"{len(shares_percent)} shares",),
        ),
    )


def check_soak_hours(
    hours: float, usual_hours: tuple[float, float], about: str = ""
) -> tuple[Finding, ...]:
    """Is this really in hours, seeing what is usual for this food?

    '30' in a column of hours, where half an hour is usual, is minutes; 0.5 in a
    column of minutes is hours, seen the other way.  Speaks when the figure is
    outside the usual range by a factor of four and the other unit would bring
    it inside within a factor of two.  ``hours-or-minutes``.
    """
    _number(hours, "a time of", least=0)
    shortest, longest = usual_hours
    _number(shortest, "a usual time of", least=0)
    _number(longest, "a usual time of", least=shortest)
    for other, unit, factor in ((hours / 60, "minutes", 1), (hours * 60, "hours", 60)):
        far = hours > 4 * longest if factor == 1 else hours < shortest / 4
        if far and shortest / 2 <= other <= longest * 2:
            written = "hours" if factor == 1 else "minutes"
            shown = f"{hours * factor:.3g}"
            return (
                Finding(
                    severity="caution",
                    rule="hours-or-minutes",
                    text=f"{shown} {written} is far from the usual {shortest:.3g} to "
                    f"{longest:.3g} h; {shown} {unit} would fit. Was it the wrong column?",
                    source=_PRACTICE,
                    about=(about or f"{shown} {written}",),
                ),
            )
    return ()


def check_density(mass_g: float, volume_ml: float, about: str = "") -> tuple[Finding, ...]:
    """Can so much food lie in so much room?

    Packed trail food lies at 0.1 (puffed, freeze-dried) to 0.9 g/mL (rice,
    sugar); above 1.1 it would sink in water, air between the grains and all.
    ``density-slip``.
    """
    _number(mass_g, "a mass of", least=0)
    _number(volume_ml, "a volume of", least=0)
    if volume_ml == 0:
        raise Mistake(
            "figure-out-of-range",
            what="a volume of 0 mL holds nothing",
            mend="give the room that the food takes up [mL]",
        )
    density = mass_g / volume_ml
    if LEAST_BAG_DENSITY <= density <= MOST_BAG_DENSITY:
        return ()
    side = "denser than water" if density > 1 else "lighter than puffed grain"
    return (
        Finding(
            severity="caution",
            rule="density-slip",
            text=f"{mass_g:.0f} g in {volume_ml:.0f} mL is {density:.2f} kg/L: {side}. "
            "Check the mass and the volume and their units.",
            source=_PRACTICE,
            about=(about or f"{mass_g:.0f} g in {volume_ml:.0f} mL",),
        ),
    )


def _number(value: float, what: str, *, least: float) -> None:
    if not (isfinite(value) and value >= least):
        raise Mistake(
            "figure-out-of-range",
            what=f"{what} {value} cannot be checked",
            mend=f"give a number of at least {least:g}; leave an unknown one out",
        )
