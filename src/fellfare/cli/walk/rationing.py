"""Bulk rationing beside the need, as text."""

from __future__ import annotations

from fellfare.cli.layout import heading, number, table
from fellfare.cli.walk.saying import said
from fellfare.trip.plan import TripPlan
from fellfare.trip.rationing import Rationing


def ration_lines(plan: TripPlan) -> list[str]:
    """Bulk rationing beside the need."""
    ration = plan.rationing
    if ration is None:
        return []
    lb = f"{ration.low_lb_per_person_day:g}"
    if ration.low_lb_per_person_day != ration.high_lb_per_person_day:
        lb += f" to {ration.high_lb_per_person_day:g}"
    lines = heading(f"The trade's way: {lb} lb a person-day")
    why = "" if ration.why == "as asked" else f" ({ration.why})"
    lines += said(
        f"Table '{ration.rule}'{why}, {ration.person_days:.1f} person-days on trail food: "
        f"{_range(ration.low_g / 1000, ration.high_g / 1000, '.1f')} kg for all."
    )
    rows = [["group", "g a person-day", "kg for all"]]
    rows += [
        [
            one.group,
            _range(one.low_g_per_person_day, one.high_g_per_person_day, ".0f"),
            _range(_kg(one.low_g), _kg(one.high_g), ".1f"),
        ]
        for one in ration.groups
    ]
    lines += table(rows, [30, -16, -12])
    rests = (ration.low_rest_g_per_person_day, ration.high_rest_g_per_person_day)
    if any(rest is not None for rest in rests):
        lines += said(
            "'?': the factor stands in no legible copy; together those groups are "
            f"{' to '.join(dict.fromkeys(f'{rest:.0f}' for rest in rests if rest is not None))} g "
            "a person-day in the heavier column."
        )
    lines += _both_ways(plan, ration)
    return lines


def _both_ways(plan: TripPlan, ration: Rationing) -> list[str]:
    rows = [
        ["", "by the walk", "by the trade"],
        ["need, kcal", number(ration.need_kcal_per_person_day), ""],
        [
            "out of the pack, kcal",
            number(ration.planned_kcal_per_person_day),
            _range(ration.low_kcal_per_person_day, ration.high_kcal_per_person_day, "n"),
        ],
        [
            "out of the pack, g",
            f"{ration.planned_g_per_person_day:.0f}",
            _range(ration.low_g_per_person_day, ration.high_g_per_person_day, ".0f"),
        ],
        [
            "kcal/g for the planned kcal",
            f"{plan.trip.rules.kcal_per_g:.1f}",
            _range(ration.low_kcal_per_g, ration.high_kcal_per_g, ".1f"),
        ],
    ]
    off = ration.planned_off_g
    words = "The planned mass is within the ration"
    if off:
        side = "above" if off > 0 else "below"
        words = f"The planned mass is {abs(off):.0f} g a person-day {side} the ration"
    if ration.low_share_of_need is not None and ration.high_share_of_need is not None:
        words += (
            f"; the table's energy would cover {100 * ration.low_share_of_need:.0f} to "
            f"{100 * ration.high_share_of_need:.0f} % of the need"
        )
    lines = heading("Both ways, a person-day") + table(rows, [30, -16, -16])
    return [*lines, *said(words + ".  The trade's figures are common practice for groups.")]


def _kg(g: float | None) -> float | None:
    return None if g is None else g / 1000


def _range(low: float | None, high: float | None, form: str) -> str:
    """'794–907', '1 021', '?–145' with one end unknown, '?' with both."""
    told = [
        "?" if one is None else number(one) if form == "n" else format(one, form)
        for one in (low, high)
    ]
    return told[0] if told[0] == told[1] else "–".join(told)
