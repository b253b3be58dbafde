"""The prep list on paper: what is done at home, and until when."""

from __future__ import annotations

from datetime import timedelta
from typing import Final

from fellfare.paper.days import day_said
from fellfare.paper.lists import Part, Row, Sheet
from fellfare.paper.words import capital
from fellfare.provision.label import minutes_said
from fellfare.provision.prep.list import PrepList
from fellfare.provision.prep.task import Task

#: 'Not before' is said only when that day is this near to the last one.
NEAR: Final = timedelta(days=60)


def prep_sheet(prep: PrepList, title: str = "At home") -> Sheet:
    """By day: what to buy, dry, cook, cut, weigh and bag, with what to mind beside it.

    Without dates the days are counted back from the packing.
    """
    groups: dict[str, list[Task]] = {}
    for task in prep.tasks:
        groups.setdefault(_when(task), []).append(task)
    parts = tuple(
        Part(
            heading=when,
            head=("What", "How", "Takes"),
            widths=(1.5, 4.2, 0.8),
            rows=tuple(_row(task) for task in tasks),
        )
        for when, tasks in groups.items()
    )
    foot = [f"{one.severity.upper()}: {one.text}" for one in prep.findings]
    low, high = prep.dryer_h
    if high > 0:
        foot.insert(0, f"The dryer runs {low:.0f} to {high:.0f} hours all together.")
    return Sheet(title=title, parts=parts, foot=tuple(foot))


def _when(task: Task) -> str:
    box = f" for {task.stop}" if task.stop else ""
    if task.latest is not None:
        return f"By {day_said(task.latest)}{box}"
    if task.days_before == 0:
        return f"On the day of packing{box}"
    days = "day" if task.days_before == 1 else "days"
    return f"{task.days_before} {days} before packing{box}"


def _row(task: Task) -> Row:
    how = [task.text]
    if task.earliest is not None and (task.latest is None or task.latest - task.earliest < NEAR):
        how.append(f"Not before {day_said(task.earliest)}.")
    how += [f"{one.severity.upper()}: {one.text}" for one in task.findings]
    takes = ""
    if task.drying is not None:
        takes = f"{task.drying.low_h:.0f} to {task.drying.high_h:.0f} h"
    elif task.minutes is not None:
        takes = minutes_said(task.minutes)
    # The longer tasks name their dish in the text.
    notes = (task.dish,) if task.dish and task.dish not in task.text else ()
    what = "cut" if task.kind == "dice" else task.kind
    return Row(cells=(capital(what), "\n".join(how), takes), notes=notes)
