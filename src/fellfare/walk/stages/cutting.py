"""Where does one day end and the next begin?"""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches
from itertools import pairwise
from typing import Final

import numpy as np
from msgspec import Struct

from fellfare.mistake import Finding, Mistake, Severity
from fellfare.walk.profile import Profile, climb_between, elevation_at, slopes_between
from fellfare.walk.stages.eating import Clock, eaten_on
from fellfare.walk.stages.snapping import ON_WAY_M, in_walking_order, passes_of
from fellfare.walk.stages.stage import Pace, Stage, Stages, Stop, hours_of
from fellfare.walk.track import Place
from fellfare.walk.track.points import CONVENTION

#: A camp farther from the way than this belongs to another walk [m].
OTHER_WALK_M: Final = 5_000.0
#: A camp this near to the start or the end of the walk is no camp between days [m].
TRAILHEAD_M: Final = 200.0
#: What lies this near to a camp belongs to the day that ends there [m].
AT_CAMP_M: Final = 250.0
#: Track and document may differ by this in the elevation of a camp [m].
CAMP_HEIGHT_M: Final = 100.0
#: A rest of the way shorter than this is walked on the day before [h].
LEAST_LAST_HOURS: Final = 0.5
MOST_DAYS: Final = 400
#: Most places times points: bounds the time (about 3 s) on nonsense.
MOST_WORK: Final = 100_000_000


class Cut(Struct, frozen=True, kw_only=True):
    """The end of a day."""

    #: Distance from the start of the track [m].
    at_m: float
    name: str
    #: Distance of the camp from the way [m].
    off_m: float = 0.0
    #: Elevation of the camp as its document gives it [m].
    ele_m: float | None = None


def stages_at_camps(
    profile: Profile,
    places: Sequence[Place],
    *,
    order: Sequence[str] = (),
    clock: Clock | None = None,
    pace: Pace | None = None,
    terrain: str = "path",
) -> Stages:
    """Days that end at the places of kind 'camp', or at the places named in ``order``.

    Naming a place twice running makes a rest day.

    Raises
    ------
    Mistake
        See :func:`cuts_at_places` and :func:`stages_cut_at`.
    """
    cuts, findings = cuts_at_places(profile, places, order)
    made = stages_cut_at(profile, cuts, places, clock=clock, pace=pace, terrain=terrain)
    return Stages(stages=made.stages, findings=findings + made.findings)


def cuts_at_places(
    profile: Profile, places: Sequence[Place], order: Sequence[str] = ()
) -> tuple[tuple[Cut, ...], tuple[Finding, ...]]:
    """Where along the way the days end, snapped to the track.

    Without ``order``: all places of kind 'camp' within 5 km of the way, except
    at the very start and end.  A way that comes past a camp more than once is
    cut where the order of the camps fits, else at the first pass.

    Raises
    ------
    Mistake
        ``unknown-place`` for a name in ``order`` that no place bears,
        ``place-off-track`` when a named one is over 5 km away,
        ``places-out-of-order`` when the way does not pass them in that order,
        ``no-camps`` when nothing is left to cut at.
    """
    findings: list[Finding] = []
    chosen: list[Place] = [_named(name, places) for name in order]
    if not order:
        chosen = [place for place in places if place.kind == "camp"]
        if not chosen:
            raise Mistake(
                "no-camps",
                what="no named point of the file is marked as a camp",
                mend="mark camps with the type 'camp', name the places, or cut by hours",
            )
    _check_work(profile, len(places))
    if len(chosen) > MOST_DAYS:
        raise _too_many_days()
    passes = [passes_of(profile, place) for place in chosen]
    far = [min(p.off_m for p in some) > OTHER_WALK_M for some in passes]
    for place, some, is_far in zip(chosen, passes, far, strict=True):
        off = min(p.off_m for p in some)
        if is_far and order:
            raise Mistake(
                "place-off-track",
                what=f"'{place.name}' lies {off / 1000:.1f} km from the way",
                mend="give the right track, or leave the place out",
            )
        if is_far:
            text = f"'{place.name}' lies {off / 1000:.1f} km from the way and is left out."
            findings.append(_finding("caution", "camp-elsewhere", text))
        elif off > ON_WAY_M:
            text = (
                f"'{place.name}' lies {off:.0f} m from the way as the crow flies; "
                "the way there and back is not counted."
            )
            findings.append(_finding("caution", "camp-off-way", text))
    chosen = [place for place, is_far in zip(chosen, far, strict=True) if not is_far]
    passes = [some for some, is_far in zip(passes, far, strict=True) if not is_far]
    at = in_walking_order([place.name for place in chosen], passes)
    if at is None and order:
        raise Mistake(
            "places-out-of-order",
            what="the way does not come past these places in this order",
            mend="name them in walking order, or turn the track round",
        )
    first = at or tuple(some[0] for some in passes)
    cuts = sorted(
        (
            Cut(at_m=p.at_m, off_m=p.off_m, name=place.name, ele_m=place.ele_m)
            for p, place in zip(first, chosen, strict=True)
        ),
        key=lambda cut: cut.at_m,
    )
    if not order:
        end = profile.length_m - TRAILHEAD_M
        cuts = [cut for cut in cuts if TRAILHEAD_M <= cut.at_m <= end]
        if not cuts:
            raise Mistake(
                "no-camps",
                what="no camp lies on the way between its start and its end",
                mend="give the right track, name the places, or cut by hours",
            )
    return tuple(cuts), tuple(findings)


def _named(name: str, places: Sequence[Place]) -> Place:
    found = next((place for place in places if place.name == name), None)
    if found is None:
        near = get_close_matches(name, [place.name for place in places if place.name], n=3)
        raise Mistake(
            "unknown-place",
            what=f"no place is called '{name}'",
            mend=f"did you mean {' or '.join(repr(n) for n in near)}?"
            if near
            else "write the name as it stands in the file",
            where=name,
        )
    return found


def stages_by_hours(
    profile: Profile,
    pace: Pace,
    hours_per_day: Sequence[float],
    places: Sequence[Place] = (),
    *,
    clock: Clock | None = None,
    terrain: str = "path",
) -> Stages:
    """Days of so many hours of walking; the last figure serves all further days.

    A rest under half an hour is walked on the last full day.  Whether one can
    camp where a day ends is not known here.

    Raises
    ------
    Mistake
        ``hours-per-day`` (none, or outside 0.5 to 24), ``too-many-days``,
        ``pace-unusable``.
    """
    if not hours_per_day or not all(0.5 <= h <= 24 for h in hours_per_day):
        raise Mistake(
            "hours-per-day",
            what=f"hours of walking {list(hours_per_day)} do not make days",
            mend="give 0.5 to 24 hours for each day",
        )
    hours = hours_of(profile.slopes, pace)
    assert hours is not None  # there is a pace
    clock_h = np.concatenate([[0.0], np.cumsum(hours)])
    ends_m = np.concatenate([[0.0], np.cumsum(profile.slopes.distance_m)])
    cuts: list[Cut] = []
    done = 0.0
    while True:
        done += hours_per_day[min(len(cuts), len(hours_per_day) - 1)]
        if done + LEAST_LAST_HOURS >= clock_h[-1]:
            break
        at = float(np.interp(done, clock_h, ends_m))
        cuts.append(Cut(at_m=at, name=f"km {at / 1000:.1f}"))
        if len(cuts) >= MOST_DAYS:
            raise _too_many_days()
    return stages_cut_at(profile, cuts, places, clock=clock, pace=pace, terrain=terrain)


def _too_many_days() -> Mistake:
    return Mistake(
        "too-many-days",
        what=f"the walk falls into more than {MOST_DAYS} days",
        mend="walk longer days, or plan it in parts",
    )


def stages_cut_at(
    profile: Profile,
    cuts: Sequence[Cut],
    places: Sequence[Place] = (),
    *,
    clock: Clock | None = None,
    pace: Pace | None = None,
    terrain: str = "path",
) -> Stages:
    """Days that end at ``cuts`` (in walking order) and at the end of the track.

    Raises
    ------
    Mistake
        ``places-out-of-order`` for cuts that go back or lie off the track,
        ``too-many-days``, ``pace-unusable``.
    """
    ends = [cut.at_m for cut in cuts]
    marks = [0.0, *ends, profile.length_m]
    if not all(a <= b for a, b in pairwise(marks)):
        raise Mistake(
            "places-out-of-order",
            what="the ends of the days do not follow each other along the way",
            mend="give them in walking order, between the start and the end of the track",
        )
    if len(marks) - 1 > MOST_DAYS:
        raise _too_many_days()
    _check_work(profile, len(places))
    clock = clock or Clock()
    stops, findings = _stops(profile, places)
    ban, ban_findings = _fire_ban(profile, places)
    names = ["start", *(cut.name for cut in cuts), "end"]
    stages = []
    for i, (a, b) in enumerate(pairwise(marks)):
        slopes = slopes_between(profile.slopes, a, b)
        up, down = climb_between(profile, a, b)
        hours = hours_of(slopes, pace)
        cut = cuts[i] if i < len(cuts) else None
        end_m = elevation_at(profile, b, arriving=b > 0)
        walked_h = None if hours is None else float(hours.sum())
        stages.append(
            Stage(
                day=i + 1,
                name=f"{names[i]} – {names[i + 1]}" if b > a else f"rest day, {names[i + 1]}",
                distance_m=b - a,
                ascent_m=up,
                descent_m=down,
                slopes=slopes,
                start_m=elevation_at(profile, a) if b > a else end_m,
                end_m=end_m,
                camp=cut.name if cut else "",
                camp_m=_camp_height(cut, end_m) if cut else None,
                terrain=terrain,
                hours=walked_h,
                stops=_stops_of(stops, a, b, last=cut is None),
                fire_ban=None if ban is None else any(s <= b and e >= a for s, e in ban),
                eaten=eaten_on(i + 1, len(marks) - 1, clock, walked_h),
                from_m=a,
            )
        )
    return Stages(
        stages=tuple(stages),
        findings=(*findings, *ban_findings, *_height_findings(profile, cuts)),
    )


def _check_work(profile: Profile, places: int) -> None:
    if places * profile.point_m.size > MOST_WORK:
        raise Mistake(
            "too-many-places",
            what=f"{places} places are too many for a track of {profile.point_m.size} points",
            mend="leave out the places that the walk does not need",
        )


def _camp_height(cut: Cut, way_m: float) -> float:
    """Off the way the camp's own elevation counts, if it has one."""
    return cut.ele_m if cut.off_m > ON_WAY_M and cut.ele_m is not None else way_m


def _height_findings(profile: Profile, cuts: Sequence[Cut]) -> list[Finding]:
    findings = []
    for cut in cuts:
        way = elevation_at(profile, cut.at_m, arriving=True)
        if cut.ele_m is not None and abs(cut.ele_m - way) > CAMP_HEIGHT_M:
            text = (
                f"'{cut.name}' is given as {cut.ele_m:.0f} m, but the way there is at {way:.0f} m."
            )
            findings.append(_finding("caution", "camp-height", text))
    return findings


def _stops(profile: Profile, places: Sequence[Place]) -> tuple[list[Stop], list[Finding]]:
    """Every pass of every place of a known kind; ``at_m`` still from the start of the track."""
    stops: list[Stop] = []
    far: dict[str, int] = {}
    for place in places:
        if place.kind in ("", "fire-ban-start", "fire-ban-end"):
            continue
        passes = [p for p in passes_of(profile, place) if p.off_m <= ON_WAY_M]
        stops += [
            Stop(name=place.name, kind=place.kind, at_m=p.at_m, off_m=p.off_m) for p in passes
        ]
        if not passes and place.kind != "camp":
            far[place.kind] = far.get(place.kind, 0) + 1
    findings = [
        _finding(
            "note",
            "places-off-way",
            f"{count} place(s) of kind '{kind}' lie over {ON_WAY_M:.0f} m from the way "
            "and are left out.",
        )
        for kind, count in far.items()
    ]
    return sorted(stops, key=lambda stop: stop.at_m), findings


def _stops_of(stops: Sequence[Stop], a: float, b: float, *, last: bool) -> tuple[Stop, ...]:
    """What the day from a to b comes past.

    What lies about a camp belongs to the day that ends there; water there
    serves the next morning too.
    """
    reach = b if last else b + AT_CAMP_M
    out = []
    for stop in stops:
        since = -1.0 if a == 0 else a + AT_CAMP_M
        about_start = abs(stop.at_m - a) <= AT_CAMP_M and stop.kind == "water"
        if about_start or (b > a and since < stop.at_m <= reach):
            at_m = min(max(stop.at_m - a, 0.0), b - a)
            out.append(Stop(name=stop.name, kind=stop.kind, at_m=at_m, off_m=stop.off_m))
    return tuple(out)


def _fire_ban(
    profile: Profile, places: Sequence[Place]
) -> tuple[list[tuple[float, float]] | None, list[Finding]]:
    """Stretches of the way in a fire ban, or None when no place says anything."""
    marks = sorted(
        (passes_of(profile, place)[0].at_m, place.kind == "fire-ban-start")
        for place in places
        if place.kind in ("fire-ban-start", "fire-ban-end")
    )
    if not marks:
        return None, []
    spans: list[tuple[float, float]] = []
    since: float | None = None if marks[0][1] else 0.0
    whole = marks[0][1]
    for at, starts in marks:
        if starts and since is None:
            since = at
        elif not starts and since is not None:
            spans.append((since, at))
            since = None
    if since is not None:
        spans.append((since, profile.length_m))
        whole = False
    if whole:
        return spans, []
    text = "A fire ban has only one end marked; it is taken to reach to the end of the walk."
    return spans, [_finding("caution", "fire-ban-open", text)]


def _finding(severity: Severity, rule: str, text: str) -> Finding:
    return Finding(severity=severity, rule=rule, text=text, source=CONVENTION)
