"""What would an EU nutrition declaration print, per 100 g and per serving?

Regulation (EU) No 1169/2011 [EU-1169-2011]: order and units of Annex XV, the
conversion factors of Annex XIV (kJ and kcal each from its own factors, never
from one another), salt as sodium x 2.5 (Annex I), reference intakes of Annex
XIII part B.  Carbohydrate here means available carbohydrate, without fibre.
Rounding after the Commission's guidance on tolerances of December 2012.
STATUS: factors seen in a public copy; rounding, reference intakes and the
place of the annexes from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from msgspec import Struct

from fellfare.recipe.panel.figure import (
    ZERO,
    Figures,
    Kind,
    Row,
    Span,
    Step,
    bound,
    digits,
    exact,
    round_half_up,
    rounded,
    rounded_down,
)

#: Annex XIV: kJ per g and kcal per g.
FACTORS: Final[Mapping[str, tuple[int, Decimal]]] = {
    "carbohydrate": (17, Decimal(4)),  # except polyols
    "polyols": (10, Decimal("2.4")),
    "protein": (17, Decimal(4)),
    "fat": (37, Decimal(9)),
    "salatrim": (25, Decimal(6)),
    "ethanol": (29, Decimal(7)),
    "organic-acid": (13, Decimal(3)),
    "fibre": (8, Decimal(2)),
    "erythritol": (0, Decimal(0)),
}

_TENTH = Decimal("0.1")
_ONE = Decimal(1)


class EuPanel(Struct, frozen=True, kw_only=True):
    """The declaration per 100 g and per serving; rows in the order of Annex XV."""

    serving_g: float | None
    per_100g: tuple[Row, ...]
    per_serving: tuple[Row, ...]
    basis: str
    notes: tuple[str, ...]


def energy(parts: Mapping[str, float | Decimal]) -> tuple[Decimal, Decimal]:
    """Energy of some food by the factors of Annex XIV.

    Parameters
    ----------
    parts
        Grams by the names of :data:`FACTORS`; ``carbohydrate`` without fibre,
        polyols, erythritol and organic acids.

    Returns
    -------
    tuple
        Energy [kJ] and energy [kcal], unrounded, each from its own factors.
    """
    grams = {name: exact(value) for name, value in parts.items()}
    kj = sum((amount * FACTORS[name][0] for name, amount in grams.items()), ZERO)
    kcal = sum((amount * FACTORS[name][1] for name, amount in grams.items()), ZERO)
    return kj, kcal


def salt_g(sodium_mg: float | Decimal) -> Decimal:
    """Salt equivalent [g] of sodium [mg]: sodium x 2.5 (Annex I)."""
    return exact(sodium_mg) * Decimal("2.5") / 1000


def energy_step(value: Decimal) -> Decimal | None:
    """Whole kJ and kcal."""
    return _ONE


def macro_step(value: Decimal) -> Decimal | None:
    """From 10 g whole grams; to 10 g tenths; 0.5 g and less is zero."""
    return None if value <= Decimal("0.5") else _TENTH if value < 10 else _ONE


def saturates_step(value: Decimal) -> Decimal | None:
    """As the others, but only 0.1 g and less is zero."""
    return None if value <= _TENTH else _TENTH if value < 10 else _ONE


def salt_step(value: Decimal) -> Decimal | None:
    """From 1 g tenths; below it hundredths; 0.0125 g and less is zero."""
    return None if value <= Decimal("0.0125") else Decimal("0.01") if value < 1 else _TENTH


class _Item(Struct, frozen=True):
    nutrient: str
    name: str
    step: Step
    unit: str
    #: What is printed for a trace that rounds to zero: '< 0.5 g'.
    least: Decimal
    level: int = 0
    #: Annex XIII part B, adults.
    reference: Decimal | None = None


_ITEMS: Final = (
    _Item("energy_kj", "Energy", energy_step, " kJ", _ONE, 0, Decimal(8400)),
    _Item("energy_kcal", "Energy", energy_step, " kcal", _ONE, 0, Decimal(2000)),
    _Item("fat_g", "Fat", macro_step, " g", Decimal("0.5"), 0, Decimal(70)),
    _Item("saturated_g", "of which saturates", saturates_step, " g", _TENTH, 1, Decimal(20)),
    _Item("carbohydrate_g", "Carbohydrate", macro_step, " g", Decimal("0.5"), 0, Decimal(260)),
    _Item("sugars_g", "of which sugars", macro_step, " g", Decimal("0.5"), 1, Decimal(90)),
    _Item("fibre_g", "Fibre", macro_step, " g", Decimal("0.5")),
    _Item("protein_g", "Protein", macro_step, " g", Decimal("0.5"), 0, Decimal(50)),
    _Item("salt_g", "Salt", salt_step, " g", Decimal("0.01"), 0, Decimal(6)),
)


def eu_panel(
    totals: Mapping[str, float | None],
    unknown: Mapping[str, tuple[str, ...]],
    serving_g: float | None,
    most: Mapping[str, float | None] | None = None,
    ends: Mapping[str, tuple[float, float | None]] | None = None,
) -> EuPanel:
    """The declaration of a dish.

    Parameters
    ----------
    totals
        What the foods that we know of hold together in ONE serving, by the
        names of :data:`fellfare.pantry.nutrients.NUTRIENTS` (carbohydrate by
        difference, with fibre); None or absent = nothing known.  ``polyols_g``,
        ``erythritol_g`` and ``organic_acids_g`` (parts of the carbohydrate) and
        ``salatrim_g`` (part of the fat) may be given too.
    unknown
        For each nutrient the foods whose share is not known.
    serving_g
        Mass of the serving [g]; None = not known, then nothing is known per 100 g.
    most
        For each nutrient of partly unknown share the most that it can be; then
        both ends are printed.
    ends
        Closer ends of available carbohydrate (``carbohydrate_g``) and energy
        (``energy_kj``, ``energy_kcal``), reckoned food by food.

    Raises
    ------
    Mistake
        ``amount-out-of-range``: a total or the mass is negative, NaN or infinite.
    """
    known = Figures(totals, unknown, most or {})
    spans, alcohol_left_out = _spans(known, serving_g)
    for name, (low, high) in (ends or {}).items():
        spans[name] = _closer(spans[name], low, high)
    notes = [
        "Rounded after the Commission's guidance of December 2012 (from memory).",
        "Protein as the composition table gives it, from the food's own nitrogen factor where "
        "the table has one; the regulation reckons nitrogen x 6.25.",
    ]
    if totals.get("polyols_g") is None:
        notes.append(
            "Polyols and organic acids are not told apart: counted as carbohydrate, which can "
            "only put the energy too high."
        )
    if spans["carbohydrate_g"].kind != "known" and totals.get("carbohydrate_g") is not None:
        notes.append("Fibre is not known of every food: carbohydrate and energy are bounds only.")
    if alcohol_left_out:
        notes.append("Alcohol is not told of every food; the other parts leave no room for it.")
    mass = None if serving_g is None else exact(serving_g)
    nothing = Span(low=ZERO, high=None)
    if mass is None or mass == 0:
        per_100g = dict.fromkeys(spans, nothing)
    else:
        per_100g = {name: amount.times(100 / mass) for name, amount in spans.items()}
    return EuPanel(
        serving_g=serving_g,
        per_100g=_rows(per_100g, unknown),
        per_serving=_rows(spans, unknown),
        basis="factors of Annex XIV, Regulation (EU) No 1169/2011: fat 37 kJ (9 kcal), "
        "carbohydrate 17 (4), fibre 8 (2), protein 17 (4), ethanol 29 (7) per g",
        notes=tuple(notes),
    )


def _closer(amount: Span, low: float, high: float | None) -> Span:
    """The part that two true spans of one amount share."""
    bottom = max(amount.low, exact(low))
    tops = [top for top in (amount.high, None if high is None else exact(high)) if top is not None]
    # Two ways of adding the same floats may miss each other by their last bit.
    return Span(low=bottom, high=max(bottom, min(tops)) if tops else None)


def _spans(known: Figures, serving_g: float | None) -> tuple[dict[str, Span], bool]:
    """Every printed amount of the serving as a span, and whether alcohol was left out."""
    of = {n: known.span(n) for n in (*_PLAIN, "carbohydrate_g", "sodium_mg")}
    given = {n: exact(known.totals.get(n) or 0.0) for n in _OPTIONAL}
    dry = of["alcohol_g"].kind != "known" and _no_room_for_alcohol(known, serving_g)
    if dry:
        of["alcohol_g"] = Span(low=of["alcohol_g"].low, high=of["alcohol_g"].low)
    free = _available(of["carbohydrate_g"], of["fibre_g"], of["sugars_g"], given["organic_acids_g"])
    salt = of["sodium_mg"].times(Decimal("2.5") / 1000)
    kj, kcal = (_energy(of, free, given, unit) for unit in (0, 1))
    printed = {
        "energy_kj": kj,
        "energy_kcal": kcal,
        **{n: of[n] for n in _PLAIN},
        "carbohydrate_g": free,
        "salt_g": salt,
    }
    return printed, dry


#: Parts of which 100 g consist, apart from alcohol.
_PROXIMATE: Final = ("water_g", "protein_g", "fat_g", "carbohydrate_g", "ash_g")
#: What rounding and analysis leave over of 100 g at most (own judgement) [g].
_REST_G: Final = Decimal(1)


def _no_room_for_alcohol(known: Figures, serving_g: float | None) -> bool:
    """Whether the other parts already make up the mass, so that alcohol can be no part of it.

    Carbohydrate by difference takes up whatever nobody measured, alcohol too
    where it was not told apart; then it is counted as carbohydrate already.
    """
    if serving_g is None:
        return False
    parts = [known.span(name) for name in _PROXIMATE]
    told = [part.low for part in parts if part.kind == "known"]
    mass = exact(serving_g)
    return len(told) == len(parts) and mass - sum(told) <= mass * _REST_G / 100


_PLAIN: Final = ("fat_g", "saturated_g", "sugars_g", "fibre_g", "protein_g", "alcohol_g")
_OPTIONAL: Final = ("polyols_g", "erythritol_g", "organic_acids_g", "salatrim_g")


def _available(total: Span, fibre: Span, sugars: Span, acids: Decimal) -> Span:
    """Carbohydrate without fibre: at least the sugars, at most all that is not known fibre."""
    high = None if total.high is None else max(total.high - fibre.low - acids, ZERO)
    if fibre.high is None or high is None:
        low = sugars.low
    else:
        low = max(total.low - fibre.high - acids, ZERO)
    return Span(low=low if high is None else min(low, high), high=high)


def _energy(of: Mapping[str, Span], free: Span, given: Mapping[str, Decimal], unit: int) -> Span:
    """Energy in the given unit (0 kJ, 1 kcal), between its two ends.

    Where the fibre is not known, fibre and available carbohydrate still add up
    to the total, so the ends are 'all the rest is fibre' and 'none of it is'.
    """
    factor = {name: Decimal(pair[unit]) for name, pair in FACTORS.items()}
    total = of["fat_g"].times(factor["fat"]).plus(of["protein_g"].times(factor["protein"]))
    total = total.plus(of["alcohol_g"].times(factor["ethanol"]))
    fibre = of["fibre_g"]
    whole = of["carbohydrate_g"]
    if fibre.high is not None or whole.high is None:
        carbohydrate = free.times(factor["carbohydrate"]).plus(fibre.times(factor["fibre"]))
    else:
        sum_g = max(whole.high - given["organic_acids_g"], ZERO)
        ends = [
            part * factor["carbohydrate"] + max(sum_g - part, ZERO) * factor["fibre"]
            for part in (free.low, free.high or ZERO)
        ]
        carbohydrate = Span(low=ends[0], high=ends[1])
    mended = ZERO
    for name in ("polyols", "erythritol"):  # counted as carbohydrate above
        mended += given[f"{name}_g"] * (factor[name] - factor["carbohydrate"])
    mended += given["salatrim_g"] * (factor["salatrim"] - factor["fat"])
    mended += given["organic_acids_g"] * factor["organic-acid"]
    total = total.plus(carbohydrate)
    low = max(total.low + mended, ZERO)
    return Span(low=low, high=None if total.high is None else max(total.high + mended, low))


def _rows(spans: Mapping[str, Span], unknown: Mapping[str, tuple[str, ...]]) -> tuple[Row, ...]:
    return tuple(_row(item, spans[item.nutrient], unknown) for item in _ITEMS)


#: Whose missing figures make a derived row uncertain.
_PARENTS: Final[Mapping[str, tuple[str, ...]]] = {
    "energy_kj": ("fat_g", "carbohydrate_g", "fibre_g", "protein_g", "alcohol_g"),
    "energy_kcal": ("fat_g", "carbohydrate_g", "fibre_g", "protein_g", "alcohol_g"),
    "carbohydrate_g": ("carbohydrate_g", "fibre_g"),
    "salt_g": ("sodium_mg",),
}


def _row(item: _Item, amount: Span, unknown: Mapping[str, tuple[str, ...]]) -> Row:
    parents = _PARENTS.get(item.nutrient, (item.nutrient,))
    foods = tuple(dict.fromkeys(food for parent in parents for food in unknown.get(parent, ())))
    text: str
    number: float | None
    kind: Kind = "known"
    if amount.kind == "known":
        declared = rounded(amount.low, item.step)
        number = float(declared)
        trace = declared == 0 and amount.low > 0
        text = f"< {digits(item.least)}{item.unit}" if trace else f"{digits(declared)}{item.unit}"
    else:
        text, number, kind = bound(amount, item.step, item.least, item.unit)
    percent, percent_text = _percent(item, amount)
    return Row(
        nutrient=item.nutrient,
        name=item.name,
        text=text,
        amount=number,
        kind=kind,
        percent=percent,
        percent_text=percent_text,
        level=item.level,
        unknown=foods,
    )


def _percent(item: _Item, amount: Span) -> tuple[int | None, str]:
    """Share of the adult reference intake (8400 kJ, 2000 kcal), whole per cents."""
    if item.reference is None:
        return None, ""
    share = amount.low * 100 / item.reference
    if amount.kind == "known":
        percent = int(round_half_up(share, _ONE))
        return percent, f"{percent} %"
    percent = int(rounded_down(share, energy_step))
    return (percent, f"at least {percent} %") if percent > 0 else (None, "not known")
