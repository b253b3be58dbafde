"""When must a box be posted, so that it is there in time and not sent back?"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Final

from msgspec import Struct

from fellfare.mistake import Finding, Mistake

#: No parcel and no counter takes longer [days].
_MOST_DAYS: Final = 400


class Post(Struct, frozen=True, kw_only=True):
    """The person's own figures for one box."""

    #: Days in the post: fastest and slowest that they reckon with.
    transit_days: tuple[int, int]
    #: Days for which the place keeps a parcel before it goes back; None = as long as
    #: it takes (agreed with a hut or a friend).
    hold_days: int | None
    #: Days added before the slowest arrival: closed counters, holidays.
    margin_days: int = 1


class Window(Struct, frozen=True, kw_only=True):
    """Days between which the box is posted."""

    #: None = any day early enough.
    earliest: date | None
    latest: date
    #: False when no posting day is right for every arrival.
    possible: bool
    #: Longest time between posting and opening, within the window [days].
    waits_days: int
    findings: tuple[Finding, ...]


def posting_window(arrival: tuple[date, date], post: Post, where: str = "") -> Window:
    """The posting days that suit every arrival between two dates.

    Latest: even the slowest parcel is there on the earliest arrival.  Earliest:
    even the fastest parcel is still kept on the latest arrival.

    Parameters
    ----------
    arrival
        Earliest and latest day on which the walkers come for it.
    post
        Transit, hold and margin.

    Raises
    ------
    Mistake
        ``arrival-out-of-order``, ``transit-out-of-range``.
    """
    first, last = arrival
    fast, slow = post.transit_days
    if last < first:
        raise Mistake(
            "arrival-out-of-order",
            what=f"the latest arrival {last} is before the earliest {first}",
            mend="give the earlier date first",
            where=where,
        )
    held = 0 if post.hold_days is None else post.hold_days
    if not (0 <= fast <= slow <= _MOST_DAYS and 0 <= held <= _MOST_DAYS
            and 0 <= post.margin_days <= _MOST_DAYS):  # fmt: skip
        raise Mistake(
            "transit-out-of-range",
            what=f"{fast} to {slow} days in the post, kept {held}, margin {post.margin_days}",
            mend=f"whole days from 0 to {_MOST_DAYS}, the faster figure first",
            where=where,
        )
    latest = first - timedelta(days=slow + post.margin_days)
    earliest = None
    if post.hold_days is not None:
        earliest = last - timedelta(days=fast + post.hold_days)
    possible = earliest is None or earliest <= latest
    from_day = latest if earliest is None or not possible else earliest
    return Window(
        earliest=earliest,
        latest=latest,
        possible=possible,
        waits_days=(last - from_day).days,
        findings=() if possible or earliest is None else (_impossible(earliest, latest, where),),
    )


def posted_outside(
    posted: date | None, window: Window | None, where: str = ""
) -> tuple[Finding, ...]:
    """What is wrong with the day on which the person means to post it."""
    if posted is None or window is None:
        return ()
    if posted > window.latest:
        days = (posted - window.latest).days
        text = f"is {days} day{'s' * (days != 1)} after the latest, {window.latest.isoformat()}: "
        text += "the box may come after the walkers."
    elif window.earliest is not None and posted < window.earliest:
        days = (window.earliest - posted).days
        text = f"is {days} day{'s' * (days != 1)} before the earliest, "
        text += f"{window.earliest.isoformat()}: the box may go back before the walkers come."
    else:
        return ()
    return (
        Finding(
            severity="caution",
            rule="posted-outside-the-window",
            text=f"{where or 'The box'}: posting it on {posted.isoformat()} {text}",
            source="reckoned from the figures given",
            about=(where,) if where else (),
        ),
    )


def _impossible(earliest: date, latest: date, where: str) -> Finding:
    days = (earliest - latest).days
    return Finding(
        severity="error",
        rule="no-posting-day",
        text=f"{where or 'The box'}: posted by {latest.isoformat()} it may be sent back before the "
        f"latest arrival; posted from {earliest.isoformat()} it may come too late.  {days} days "
        "are missing: have it kept longer, send it faster, or narrow the arrival.",
        source="reckoned from the figures given",
        about=(where,) if where else (),
    )
