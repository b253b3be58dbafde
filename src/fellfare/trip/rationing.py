"""What would bulk rationing take along, and how does that stand beside the need?

The trade's way asks no track and no body: a mass per person-day by season, split into food
groups by ration factors.  Here it is a second way to a need, and the two are held side by side.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from fellfare.measure.units import POUND_G
from fellfare.mistake import Mistake
from fellfare.walk.ration import COLUMNS, bulk_mass_g, ration_factors, season_rule
from fellfare.walk.rest_of_day import DayFrame
from fellfare.walk.stages import Stage


class GroupRation(Struct, frozen=True, kw_only=True):
    """One food group of the ration; None = its factor is not legible in any copy."""

    group: str
    #: By the lighter and the heavier column [g per person-day].
    low_g_per_person_day: float | None
    high_g_per_person_day: float | None
    #: For the whole party and walk [g].
    low_g: float | None
    high_g: float | None


class Rationing(Struct, frozen=True, kw_only=True):
    """The ration of a walk beside its need."""

    #: The table, and why this one.
    rule: str
    why: str
    source: str
    #: Columns of the factor table [lb per person-day]; alike when one was asked for.
    low_lb_per_person_day: float
    high_lb_per_person_day: float
    person_days: float
    low_g_per_person_day: float
    high_g_per_person_day: float
    #: What the table says it holds [kcal per person-day]; None = a column of its own was asked
    #: for.
    low_kcal_per_person_day: float | None
    high_kcal_per_person_day: float | None
    #: For the whole party and walk [g].
    low_g: float
    high_g: float
    groups: tuple[GroupRation, ...]
    #: Of the groups without a legible factor together [g per person-day]; None = none is.
    low_rest_g_per_person_day: float | None
    high_rest_g_per_person_day: float | None
    #: The other way: the party's mean need, what is planned of it out of the pack, and its mass.
    need_kcal_per_person_day: float
    planned_kcal_per_person_day: float
    planned_g_per_person_day: float
    #: Planned mass above (+) or below (-) the ration; 0 = within [g per person-day].
    planned_off_g: float
    #: Share of the need that the table's energy would cover.
    low_share_of_need: float | None
    high_share_of_need: float | None
    #: Energy density at which the ration would hold what is planned [kcal/g]: at its heavier
    #: and its lighter end.
    low_kcal_per_g: float
    high_kcal_per_g: float


def rationing_of(
    stages: Sequence[Stage],
    frames: Sequence[DayFrame],
    *,
    people: int,
    need_kcal: float,
    planned_kcal: float,
    planned_g: float,
    column: float | None = None,
) -> Rationing | None:
    """The ration beside the need.

    Parameters
    ----------
    stages, frames
        The days; their warmth chooses the table, their hours on trail food count the
        person-days.
    people
        How many walk.
    need_kcal, planned_kcal, planned_g
        Of all of them on the whole walk: the need, what is planned out of the pack, its mass.
    column
        One column of the factor table instead: 1.5, 1.75, 2, 2.25 or 2.5 pounds.

    Returns
    -------
    Rationing or None
        None when nothing is carried for any time.

    Raises
    ------
    Mistake
        ``ration-not-in-pounds`` for another column.
    """
    days = sum(frame.hours for frame in frames) / 24.0
    if days <= 0 or planned_g <= 0 or planned_kcal <= 0:
        return None
    if column is not None and column not in COLUMNS:
        raise Mistake(
            "ration-not-in-pounds",
            what=f"{column:g} is no column of the ration factors",
            mend="give pounds per person-day: 1.5, 1.75, 2, 2.25 or 2.5 (not grams, not per cent)",
        )
    day_c, night_c = _mean(s.day_c for s in stages), _mean(s.night_c for s in stages)
    season = season_rule(day_c, night_c)
    assert season.mass_g is not None
    low_lb, high_lb = (column, column) if column else _columns(season.mass_g)
    energy = None if column else season.energy_kcal
    low_g = bulk_mass_g(_grams(low_lb), people, days)
    high_g = bulk_mass_g(_grams(high_lb), people, days)
    person_days = people * days
    groups = tuple(
        GroupRation(
            group=low.group,
            low_g_per_person_day=low.g_per_person_day,
            high_g_per_person_day=high.g_per_person_day,
            low_g=_times(low.g_per_person_day, person_days),
            high_g=_times(high.g_per_person_day, person_days),
        )
        for low, high in zip(ration_factors(low_lb), ration_factors(high_lb), strict=True)
    )
    planned = planned_g / person_days
    need = need_kcal / person_days
    return Rationing(
        rule=f"{column:g} lb, as asked" if column else season.name,
        why="as asked" if column else _why(day_c, night_c),
        source=season.source,
        low_lb_per_person_day=low_lb,
        high_lb_per_person_day=high_lb,
        person_days=person_days,
        low_g_per_person_day=_grams(low_lb),
        high_g_per_person_day=_grams(high_lb),
        low_kcal_per_person_day=energy[0] if energy else None,
        high_kcal_per_person_day=energy[1] if energy else None,
        low_g=low_g,
        high_g=high_g,
        groups=groups,
        low_rest_g_per_person_day=_rest(low_lb),
        high_rest_g_per_person_day=_rest(high_lb),
        need_kcal_per_person_day=need,
        planned_kcal_per_person_day=planned_kcal / person_days,
        planned_g_per_person_day=planned,
        planned_off_g=max(planned - _grams(high_lb), 0.0) - max(_grams(low_lb) - planned, 0.0),
        low_share_of_need=energy[0] / need if energy else None,
        high_share_of_need=energy[1] / need if energy else None,
        low_kcal_per_g=planned_kcal / high_g,
        high_kcal_per_g=planned_kcal / low_g,
    )


def _columns(mass_g: tuple[float, float]) -> tuple[float, float]:
    """The columns of the factor table at both ends of a table's mass [lb]."""
    low, high = (min(COLUMNS, key=lambda lb: abs(_grams(lb) - g)) for g in mass_g)
    return low, high


def _grams(lb: float) -> float:
    return float(POUND_G) * lb


def _times(g: float | None, person_days: float) -> float | None:
    return None if g is None else g * person_days


def _rest(lb: float) -> float | None:
    """What the illegible groups of a column weigh together [g per person-day]."""
    known = [factor.g_per_person_day for factor in ration_factors(lb)]
    if None not in known:
        return None
    return _grams(lb) - sum(g for g in known if g is not None)


def _mean(values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) / len(known) if known else None


def _why(day_c: float | None, night_c: float | None) -> str:
    if day_c is None and night_c is None:
        return "neither hot nor cold is assumed: no temperature is told"
    told = [f"{name} of {c:.0f} °C" for name, c in (("days", day_c), ("nights", night_c))
            if c is not None]  # fmt: skip
    return " and ".join(told) + " on average"
