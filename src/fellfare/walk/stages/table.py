"""What if there is no track?  Stages from a plain table."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, isfinite
from typing import Final

import numpy as np
from msgspec import Struct

from fellfare.mistake import Finding, Mistake, Mistakes
from fellfare.walk.figures import Array
from fellfare.walk.profile import MOST_GRADE, SLOPE_M, Slopes
from fellfare.walk.stages.cutting import MOST_DAYS
from fellfare.walk.stages.eating import Clock, eaten_on
from fellfare.walk.stages.stage import Pace, Stage, Stages, Stop, hours_of
from fellfare.walk.track.points import CONVENTION, sealed

#: Least grade at which the climb of a table is thought to be walked (our convention, no source).
TABLE_GRADE: Final = 0.10
#: Camp heights and climbs of a table may differ by this [m].
TABLE_HEIGHT_M: Final = 50.0
#: Longest day of a table [m].
MOST_DAY_M: Final = 200_000.0


class StageRow(Struct, frozen=True, kw_only=True):
    """One line of the table: one day."""

    distance_m: float
    ascent_m: float = 0.0
    descent_m: float = 0.0
    name: str = ""
    #: Name and elevation [m] of the camp; None = not known.
    camp: str = ""
    camp_m: float | None = None
    terrain: str = "path"
    day_c: float | None = None
    night_c: float | None = None
    #: Where there is water, from the start of the day [m].
    water_m: tuple[float, ...] = ()
    #: Hut, shop, box: in walking order.
    stops: tuple[Stop, ...] = ()
    fire_ban: bool | None = None


def stages_from_table(
    rows: Sequence[StageRow],
    *,
    start_m: float | None = None,
    clock: Clock | None = None,
    pace: Pace | None = None,
) -> Stages:
    """Days of a table as stages; ``start_m`` is the elevation where the walk begins.

    The climb is laid out as one ascent, a level stretch and one descent, at 10 %
    or as much steeper as it must be.  A camp without an elevation gets that of
    the start plus ascent minus descent, when that is known.

    Raises
    ------
    Mistake
        ``stages-empty``, ``too-many-days``, ``stage-figure`` (not finite, below
        zero, too large), ``stage-too-steep`` (over 45 % all along).
    """
    if not rows:
        raise Mistake("stages-empty", "the table has no line", "give one line for each day")
    if len(rows) > MOST_DAYS:
        raise Mistake(
            "too-many-days",
            what=f"the table has {len(rows)} days; {MOST_DAYS} are the most",
            mend="plan the walk in parts",
        )
    mistakes = [m for day, row in enumerate(rows, 1) for m in _mistakes(day, row)]
    if mistakes:
        raise Mistakes(tuple(mistakes)) if len(mistakes) > 1 else mistakes[0]
    clock = clock or Clock()
    stages = []
    findings: list[Finding] = []
    here = start_m
    for day, row in enumerate(rows, 1):
        end = None if here is None else here + row.ascent_m - row.descent_m
        if row.camp_m is not None:
            if end is not None and abs(end - row.camp_m) > TABLE_HEIGHT_M:
                text = (
                    f"Day {day}: start, ascent and descent lead to {end:.0f} m, "
                    f"but the camp is given at {row.camp_m:.0f} m."
                )
                findings.append(
                    Finding(severity="caution", rule="table-heights", text=text, source=CONVENTION)
                )
            end = row.camp_m
        slopes = slopes_of_table(row.distance_m, row.ascent_m, row.descent_m, here)
        hours = hours_of(slopes, pace)
        walked_h = None if hours is None else float(hours.sum())
        last = day == len(rows)
        water = [Stop(name="water", kind="water", at_m=at) for at in row.water_m]
        stages.append(
            Stage(
                day=day,
                name=row.name or (f"day {day}" if row.distance_m else "rest day"),
                distance_m=row.distance_m,
                ascent_m=row.ascent_m,
                descent_m=row.descent_m,
                slopes=slopes,
                start_m=here,
                end_m=end,
                camp=row.camp,
                camp_m=None if last and not row.camp and row.camp_m is None else end,
                terrain=row.terrain,
                hours=walked_h,
                day_c=row.day_c,
                night_c=row.night_c,
                stops=tuple(sorted((*water, *row.stops), key=lambda stop: stop.at_m)),
                fire_ban=row.fire_ban,
                eaten=eaten_on(day, len(rows), clock, walked_h),
            )
        )
        here = end
    return Stages(stages=tuple(stages), findings=tuple(findings))


def _mistakes(day: int, row: StageRow) -> list[Mistake]:
    where = f"day {day}"
    out = []
    for key, most in (("distance_m", MOST_DAY_M), ("ascent_m", 9_000.0), ("descent_m", 9_000.0)):
        value = getattr(row, key)
        if not 0 <= value <= most:  # NaN fails too
            out.append(
                Mistake(
                    "stage-figure",
                    what=f"{key} is {value:g}",
                    mend=f"give metres, from 0 to {most:,.0f}",
                    where=where,
                )
            )
    for key, least, most in (
        ("camp_m", -500.0, 9_000.0),
        ("day_c", -60.0, 60.0),
        ("night_c", -60.0, 60.0),
    ):
        value = getattr(row, key)
        if value is not None and not least <= value <= most:
            mend = f"give a number from {least:,.0f} to {most:,.0f}, or leave it out"
            out.append(Mistake("stage-figure", f"{key} is {value:g}", mend, where))
    at = (*row.water_m, *(stop.at_m for stop in row.stops))
    if isfinite(row.distance_m) and not all(0 <= m <= row.distance_m for m in at):
        out.append(
            Mistake(
                "stage-figure",
                what="water or a stop lies outside the day",
                mend="give its distance from the start of the day, at most the day's distance",
                where=where,
            )
        )
    if not out and row.ascent_m + row.descent_m > MOST_GRADE * row.distance_m:
        what = (
            f"{row.ascent_m:.0f} m up and {row.descent_m:.0f} m down "
            f"do not go into {row.distance_m:.0f} m of way"
        )
        mend = "give distance and climb in metres; walking ends at 45 %"
        out.append(Mistake("stage-too-steep", what, mend, where))
    return out


def slopes_of_table(
    distance_m: float, ascent_m: float, descent_m: float, start_m: float | None
) -> Slopes:
    """One ascent, one level stretch, one descent, in slopes of at most 100 m.

    Without ``start_m`` the elevations are NaN.
    """
    grade = max(TABLE_GRADE, (ascent_m + descent_m) / distance_m) if distance_m else TABLE_GRADE
    up, down = ascent_m / grade, descent_m / grade
    level = max(distance_m - up - down, 0.0)  # a rest of rounding makes no slope
    lengths: list[Array] = []
    rises: list[Array] = []
    for length, climb in ((up, ascent_m), (level, 0.0), (down, -descent_m)):
        count = ceil(length / SLOPE_M - 1e-9)
        if count > 0:
            lengths.append(np.full(count, length / count))
            rises.append(np.full(count, climb / count))
    distance = np.concatenate(lengths) if lengths else np.zeros(0)
    rise = np.concatenate(rises) if rises else np.zeros(0)
    return Slopes(
        from_m=sealed(np.cumsum(distance) - distance),
        from_ele_m=sealed((np.nan if start_m is None else start_m) + np.cumsum(rise) - rise),
        distance_m=sealed(distance),
        rise_m=sealed(rise),
    )
