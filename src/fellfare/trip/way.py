"""Where does the walk go, and what is known of its days?  The words of the document."""

from __future__ import annotations

from datetime import date
from typing import Final, Literal, get_args

from msgspec import Struct

from fellfare.camp.fuel.efficiency import Wind
from fellfare.walk.pace.rules import USUAL_RULE, PaceRule

#: What may burn on a day, from free to strict.  'no-open-fire' forbids wood;
#: 'gas-only' leaves a gas stove, for it has a valve that shuts it off; 'no-flame'
#: forbids every stove.  The land manager's current order counts, not this word.
FireRule = Literal["none", "no-open-fire", "gas-only", "no-flame"]
FIRE_RULES: Final[tuple[FireRule, ...]] = get_args(FireRule)

#: How far a water point can be trusted.
Reliability = Literal["sure", "seasonal", "doubtful", "dry"]


class Way(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """The walk as a whole: its file or table, its hours, what holds for all its days."""

    #: GPX file, seen from the folder of the document; '' = a table of stages is given.
    gpx: str = ""
    #: Only this track or route of the file; None = all of them, in order.
    track: str | None = None
    #: Where the nights are, in walking order; a name twice running is a rest day.
    #: Empty = all places of the file that are camps.
    camps: tuple[str, ...] = ()
    #: Hours of walking a day instead of camps; the last figure serves all further days.
    hours_per_day: tuple[float, ...] = ()
    #: How many days are meant; None = as many as come out.
    days: int | None = None
    #: Elevation where a table of stages begins [m].
    start_m: float | None = None
    #: Word for the ground underfoot, see ``walk.terrain``.
    terrain: str = "path"
    #: Air temperature by day and by night [°C]; None = not known.
    day_c: float | None = None
    night_c: float | None = None
    #: Water at the source [°C]; None = reckoned from the air.
    water_c: float | None = None
    #: None = nobody has asked yet.
    fire: FireRule | None = None
    wind: Wind = "calm"
    #: Hour of setting out on the first day; what is eaten earlier is eaten at home.
    start_hour: float = 8.0
    #: Hour of arrival on the last day; None = as it is reckoned.
    end_hour: float | None = None
    #: Hour of setting out on every other day, and of waking.
    walk_from_hour: float = 8.0
    wake_hour: float = 6.0
    #: Hours asleep a night [h].
    sleep_hours: float = 8.0
    #: Whose speed on a good path and without a load the hours are planned with.
    pace_rule: PaceRule = USUAL_RULE
    #: Moving time over time under way, stops included.
    moving_share: float = 0.80
    #: Water drunk for an hour of walking [mL].
    drink_ml_per_hour: float = 500.0
    #: What all bottles of one walker hold [mL].
    bottles_ml: float = 3000.0
    #: A source with a greater chance to be dry is not counted on (judgement).
    dry_risk: float = 0.05


class StageLine(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """One day of a walk that has no track; 0 m is a rest day."""

    distance_m: float
    ascent_m: float = 0.0
    descent_m: float = 0.0
    name: str = ""
    camp: str = ""
    #: Elevation of the camp [m]; None = reckoned from the start, or not known.
    camp_m: float | None = None
    #: None = as the walk.
    terrain: str | None = None
    #: Where there is water, from the start of the day [m].
    water_m: tuple[float, ...] = ()


class DayWord(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """What is otherwise on one day; None = as the walk."""

    #: 1 for the first.
    day: int
    terrain: str | None = None
    day_c: float | None = None
    night_c: float | None = None
    fire: FireRule | None = None
    wind: Wind | None = None
    #: Share of the camp's water that must be melted from snow that evening and the next
    #: morning, 0 to 1; None = none is said.
    snow_share: float | None = None
    note: str = ""


class FireWord(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """A fire rule that holds from a date or a place on, until the next one."""

    rule: FireRule
    #: One of the two.
    from_date: date | None = None
    #: Name of a place of the way, or of a camp; '' = from a date.
    from_place: str = ""
    note: str = ""


class WaterSource(
    Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True
):
    """A water point: how reliable one of the file is, or one that the file does not have."""

    name: str
    #: None = nobody has vouched for it.
    reliability: Reliability | None = None
    #: Chance that it is dry when one comes, 0 to 1; None = nobody has told.
    chance_dry: float | None = None
    #: Only for a water point that is not in the file: its day and place on it [m].
    day: int | None = None
    at_m: float | None = None
    #: Does it run cloudy?  Do a mine, field, road or works lie above it, algae or salt in it?
    #: None = as for all water of the walk (:class:`~fellfare.trip.care.Care`).
    cloudy: bool | None = None
    chemicals: bool | None = None
    note: str = ""
