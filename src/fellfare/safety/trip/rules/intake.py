"""Is too little food planned, and for whom does that matter more?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from msgspec.structs import replace

from fellfare.mistake import Finding
from fellfare.safety.rule import Hit, rule
from fellfare.safety.trip.facts import Ration, TripCase
from fellfare.walk.deficit import planned_deficit
from fellfare.walk.walker import HighRisk

#: Mean share of the need under which a gap counts as large [own judgement].
LARGE_SHARE: Final = 0.70
#: More days on end than this, each under the share, count as long [own judgement].
LONG_SHARE: Final = 0.85
LONG_DAYS: Final = 7
#: Roundings of a plan; below it food is held back on purpose [own judgement].
FULL_SHARE: Final = 0.98
#: Still growing [years].
GROWN_Y: Final = 18.0

_ADVICE: Final = "own judgement; licensed advice counts"


def known_days(ration: Ration) -> tuple[tuple[float, float], ...]:
    """(need, target) of the days of which both are known [kcal]."""
    pairs = zip(ration.need_kcal or (), ration.target_kcal or (), strict=False)
    return tuple(
        (need, target) for need, target in pairs if need is not None and target is not None
    )


def share_of(ration: Ration, days_count: int) -> float | None:
    """Target over need of the whole walk; None when a day is not known."""
    days = known_days(ration)
    needs = sum(need for need, _ in days)
    if not days or len(days) < max(days_count, len(ration.need_kcal or ())) or needs <= 0:
        return None
    return sum(target for _, target in days) / needs


def gap_findings(case: TripCase) -> tuple[Finding, ...]:
    """What the walk's own rules say of the planned gap, with the walker's name."""
    found: list[Finding] = []
    if "gaps" in case.reckoned:
        return ()
    for ration in case.rations:
        days = [
            (need, target) if need is not None and target is not None else (0.0, 0.0)
            for need, target in zip(ration.need_kcal or (), ration.target_kcal or (), strict=False)
        ]
        gap = planned_deficit(
            tuple(need for need, _ in days),
            tuple(target for _, target in days),
            fat_kg=ration.fat_kg,
        )
        found += [
            replace(note, text=f"{ration.walker}: {note.text}", about=(ration.walker, *note.about))
            for note in gap.notes
        ]
    return tuple(found)


@rule(
    "under-eating",
    "caution",
    "own judgement; Murphy et al. 2018 (Sports Med 48:2169) on gaps adding up",
    "A walker's food is under 70 % of the need, or under 85 % for more than a week, or need or "
    "food of a day is not known.",
)
def under_eating(case: TripCase) -> Iterator[Hit]:
    unknown = [
        ration.walker
        for ration in case.rations
        if ration.need_kcal is None
        or len(known_days(ration)) < len(ration.need_kcal)
        or len(ration.need_kcal) < len(case.days)
    ]
    if unknown:
        yield Hit(
            "caution",
            f"Need or planned food of {', '.join(unknown)} is not known on every day: whether it "
            "is too little was not looked at there.",
            tuple(unknown),
        )
    for ration in case.rations:
        days = known_days(ration)
        needs = sum(need for need, _ in days)
        share = sum(target for _, target in days) / needs if needs > 0 else 1.0
        if share < LARGE_SHARE:
            yield Hit(
                "caution",
                f"{ration.walker}: {100 * share:.0f} % of the need is planned.  Judgement, "
                "warmth and recovery suffer before hunger tells; carry more, or walk less.",
                (ration.walker,),
            )
        elif _longest(ration) > LONG_DAYS:
            yield Hit(
                "caution",
                f"{ration.walker}: {_longest(ration)} days on end under "
                f"{100 * LONG_SHARE:.0f} % of the need.  Eat above the need at stops, "
                "and watch mass, sleep and mood.",
                (ration.walker,),
            )


def _longest(ration: Ration) -> int:
    """Most days on end under the share."""
    most = run = 0
    for need, target in zip(ration.need_kcal or (), ration.target_kcal or (), strict=False):
        below = need is not None and target is not None and target < LONG_SHARE * need
        run = run + 1 if below else 0
        most = max(most, run)
    return most


#: What is asked, and of whom.
_ASK: Final[dict[HighRisk, str]] = {
    "pregnant": "a doctor or midwife; no cold soaks, no holding times",
    "breastfeeding": "a doctor or midwife; energy and water needs are higher",
    "young-child": "a paediatrician; freshly boiled food, no holding times",
    "older-adult": "a doctor; freshly boiled food, no holding times",
    "weak-immunity": "a doctor; boiled water, freshly boiled food, no holding times",
    "diabetes": "a doctor; long walking lowers blood sugar for hours, so dose, food and snacks "
    "are planned together",
    "kidney": "a doctor or dietitian; protein, salt, potassium and water have limits of their own",
    "heart": "a doctor; salt, water, height and effort have limits of their own",
    "eating-disorder": "the treating team; planned gaps, weighing and energy figures can do harm",
}


@rule(
    "high-risk-walker",
    "caution",
    f"{_ADVICE}; what to ask: from memory",
    "A walker belongs to a group that food, water or effort can harm more easily.",
)
def high_risk_walker(case: TripCase) -> Iterator[Hit]:
    for walker in case.trip.walkers:
        if walker.high_risk:
            told = "; ".join(f"{risk}: ask {_ASK[risk]}" for risk in walker.high_risk)
            yield Hit(
                "caution",
                f"{walker.name}, before the walk: {told}.  No figure here stands in for that "
                "advice.",
                (walker.name,),
            )


#: To whom a gap does harm beyond a weaker leg.
_GAP_HARMS: Final[tuple[HighRisk, ...]] = (
    "pregnant", "breastfeeding", "diabetes", "kidney", "heart", "eating-disorder", "weak-immunity",
    "young-child",
)  # fmt: skip


def _gap_said(case: TripCase, name: str) -> str | None:
    """How much is held back from this walker; None = nothing."""
    ration = next((one for one in case.rations if one.walker == name), Ration(walker=name))
    share = share_of(ration, len(case.days))
    if share is None:
        return "it is not known whether the planned food meets the need"
    return f"{100 * share:.0f} % of the need is planned" if share < FULL_SHARE else None


@rule(
    "high-risk-gap",
    "caution",
    _ADVICE,
    "Less than the need is planned for a walker whom a gap can harm, or nobody knows.",
)
def high_risk_gap(case: TripCase) -> Iterator[Hit]:
    for walker in case.trip.walkers:
        risks = [risk for risk in walker.high_risk if risk in _GAP_HARMS]
        gap = _gap_said(case, walker.name) if risks else None
        if gap is not None:
            yield Hit(
                "caution",
                f"{walker.name} ({', '.join(risks)}): {gap}.  Plan the whole need, and take "
                "licensed advice before planning less.",
                (walker.name,),
            )


@rule(
    "youth-gap",
    "caution",
    _ADVICE + "; the energy models were made on adults",
    "Less than the need is planned for somebody under 18, or nobody knows.",
)
def youth_gap(case: TripCase) -> Iterator[Hit]:
    for walker in case.trip.walkers:
        gap = _gap_said(case, walker.name) if walker.age_y < GROWN_Y else None
        if gap is not None:
            yield Hit(
                "caution",
                f"{walker.name}, {walker.age_y:g} years: {gap}.  Growing bodies carry no planned "
                "gap; take spare food and let appetite decide.",
                (walker.name,),
            )
