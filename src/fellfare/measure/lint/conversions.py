"""Do two measures of one amount agree?  '1 teaspoon (15 mL)' does not."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from fellfare.measure.amount import Amount
from fellfare.measure.printing.amount_text import print_amount
from fellfare.measure.reading import MOST_AMOUNT_CHARACTERS, read_amount
from fellfare.measure.units import SYSTEMS, UNITS, System
from fellfare.mistake import Finding, Mistake

#: Two figures for one amount may differ by this much before we speak: '1 oz (30 g)'
#: is 5.8 % off, '1 lb (500 g)' 10.2 % and worth a word.
MOST_ROUNDING: Final = Fraction(1, 10)
#: Two conversions of one unit in one text: 236.6 and 240 mL are one cup rounded.
MOST_SPREAD: Final = Fraction(1, 20)
#: Food alone: puffed grain and dried leaves to salt and syrup [g/mL].
LEAST_FOOD_DENSITY: Final = 0.008
MOST_FOOD_DENSITY: Final = 2.3

_CONSTANTS: Final = "[NIST-SP-811] App. B; [CFR-101.9] (b)(5)(viii)"
_PRACTICE: Final = "common practice, no source"
#: Most words before a bracket that may belong to the amount in front of it.
_MOST_WORDS: Final = 5


def check_beside(amount: Amount, about: str = "") -> tuple[Finding, ...]:
    """Does the measure in brackets say the same as the one before it?

    '1 teaspoon (15 mL)' is a tablespoon.  Two masses or two volumes must agree
    within 10 % in some system of measures; a mass beside a volume must be a
    density that a food can have (0.008 to 2.3 g/mL).  ``beside-mismatch``.
    """
    findings: list[Finding] = []
    said = amount
    while said.beside is not None:
        findings += _compare(said, said.beside, about)
        said = said.beside
    return tuple(findings)


def _compare(first: Amount, second: Amount, about: str) -> list[Finding]:
    pair = f"{print_amount(alone(first))} ({print_amount(alone(second))})"
    where = (about or pair,)
    if first.fill != "level" or second.fill != "level":
        return []
    if first.kind == second.kind and first.kind in ("mass", "volume"):
        low, high = _printed(first)
        other_low, other_high = _printed(second)
        if other_high < low * (1 - MOST_ROUNDING) or other_low > high * (1 + MOST_ROUNDING):
            return [
                Finding(
                    severity="caution",
                    rule="beside-mismatch",
                    text=f"'{pair}': the two do not agree.{_meant(first, second)}",
                    source=_CONSTANTS,
                    about=where,
                )
            ]
        return []
    by_kind = {part.kind: _everywhere(part) for part in (first, second)}
    if set(by_kind) != {"mass", "volume"}:
        return []
    least = float(by_kind["mass"][0] / by_kind["volume"][1])
    most = float(by_kind["mass"][1] / by_kind["volume"][0])
    if most >= LEAST_FOOD_DENSITY and least <= MOST_FOOD_DENSITY:
        return []
    return [
        Finding(
            severity="caution",
            rule="beside-mismatch",
            text=f"'{pair}' would be {most:.2g} g in each mL: no food lies so.",
            source=_PRACTICE,
            about=where,
        )
    ]


def alone(amount: Amount) -> Amount:
    """The amount without the one beside it."""
    return Amount(
        low=amount.low, high=amount.high, unit=amount.unit, system=amount.system, fill=amount.fill
    )


def _everywhere(amount: Amount) -> tuple[Fraction, Fraction]:
    """Least and most that it can be, whoever's measure it is [g or mL]; (0, 0) if none."""
    sizes = [size for s in SYSTEMS if (size := UNITS[amount.unit].size(s)) is not None]
    if not sizes:
        return Fraction(0), Fraction(0)
    return amount.low * min(sizes), (amount.high or amount.low) * max(sizes)


def _printed(amount: Amount) -> tuple[Fraction, Fraction]:
    """The same, wider by half of the last figure that is printed."""
    low, high = _everywhere(amount)
    half = _half_figure(amount.value) / amount.value if amount.value else Fraction(0)
    return low * (1 - half), high * (1 + half)


def _meant(first: Amount, second: Amount) -> str:
    """The one unit that would make both agree, if there is one."""
    least, most = _everywhere(second)
    fits = []
    for unit in UNITS.values():
        if unit.kind == first.kind and unit.name != first.unit:
            size = unit.size(first.system)
            if size is not None and least * Fraction(19, 20) <= first.low * size <= most * (
                Fraction(21, 20)
            ):
                fits.append(unit.singular)
    return f" Did it mean {first.low} {fits[0]}?" if len(fits) == 1 else ""


def _ratio(first: Amount, second: Amount) -> tuple[Fraction, Fraction]:
    """Least and most of ``second`` in one of ``first``, by their last printed figures."""
    # Its own unit alone: '0.21 oz / 1 cup' is a mass, whatever stands beside it.
    own = alone(second)
    size = (own.mass_g or own.volume_ml or Fraction(0)) / own.value
    half, own_half = _half_figure(second.value), _half_figure(first.value)
    low = (second.value - half) * size / (first.value + own_half)
    high = (second.value + half) * size / max(first.value - own_half, first.value / 2)
    return low, high


def _half_figure(value: Fraction) -> Fraction:
    """Half of the last figure of a decimal number; a vulgar fraction or a small count is exact."""
    if value.denominator == 1:
        return Fraction(0) if value <= 10 else Fraction(1, 2)
    for places in range(1, 4):
        if (value * 10**places).denominator == 1:
            vulgar = value.denominator in (2, 4, 8)
            return Fraction(0) if vulgar else Fraction(1, 2 * 10**places)
    return Fraction(0)


def check_text(text: str, system: System = "us") -> tuple[Finding, ...]:
    """All '1 teaspoon (15 mL)' of a text: each by itself, and against one another.

    ``beside-mismatch`` for a pair that disagrees with itself, ``two-conversions``
    for one unit that is converted in two ways.  Brackets that hold no amount are
    passed over; nothing is refused.
    """
    pairs = _pairs(text, system)
    findings = [
        finding for first, second, shown in pairs for finding in _compare(first, second, shown)
    ]
    seen: dict[tuple[str, str], list[tuple[Fraction, Fraction, str]]] = {}
    for first, second, shown in pairs:
        if first.kind in ("mass", "volume") and first.kind == second.kind:
            low, high = _ratio(first, second)
            seen.setdefault((first.unit, second.kind), []).append((low, high, shown))
    for (unit, _), found in seen.items():
        least = min(found, key=lambda one: one[1])
        most = max(found, key=lambda one: one[0])
        if most[0] > least[1] * (1 + MOST_SPREAD):
            findings.append(
                Finding(
                    severity="caution",
                    rule="two-conversions",
                    text=f"One {UNITS[unit].singular} is converted in two ways: "
                    f"'{least[2]}' and '{most[2]}'.",
                    source=_CONSTANTS,
                    about=(least[2], most[2]),
                )
            )
    return tuple(findings)


def _pairs(text: str, system: System) -> list[tuple[Amount, Amount, str]]:
    """Every amount that stands in brackets after an amount."""
    pairs = []
    for opening, piece in enumerate(parts := text.split("(")):
        if not opening or ")" not in piece:
            continue
        inside = piece.split(")", 1)[0]
        second = _amount_or_none(inside, system)
        first, shown = _last_amount(parts[opening - 1].rpartition(")")[2], system)
        if first is not None and second is not None:
            pairs.append((first, second, f"{shown} ({inside})"))
    return pairs


def _last_amount(text: str, system: System) -> tuple[Amount | None, str]:
    """The longest amount at the end of a text; a bare unit there is one of it."""
    words = text[-MOST_AMOUNT_CHARACTERS:].split()
    for count in range(min(_MOST_WORDS, len(words)), 0, -1):
        shown = " ".join(words[-count:])
        if (amount := _amount_or_none(shown, system)) is not None:
            return amount, shown
    if words and not any(mark.isnumeric() for mark in "".join(words[-2:])):
        return _amount_or_none(f"1 {words[-1]}", system), words[-1]
    return None, ""


def _amount_or_none(text: str, system: System) -> Amount | None:
    try:
        return read_amount(text, system)
    except Mistake:
        return None
