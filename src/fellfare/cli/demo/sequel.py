"""What follows a menu and its papers: what may go wrong, what came home, bulk, two parties.

The commands themselves are run, so that what is written is what they print.
"""

from __future__ import annotations

import io
from contextlib import redirect_stderr, redirect_stdout, suppress
from importlib import import_module
from pathlib import Path
from typing import Any

import click
from msgspec.structs import replace

from fellfare.files.bulk_toml import read_bulk
from fellfare.files.demo_sequel import BULK, SEASON, demo_log, june_trip
from fellfare.files.own_food import own_food_folders, read_own_foods
from fellfare.files.shipped import shipped_pantry
from fellfare.files.trip_toml import TripFile, read_trip
from fellfare.files.writing import write_text
from fellfare.learn.lessons import items_of_plates
from fellfare.mistake import Mistake
from fellfare.provision.bulk.ration import bulk_of
from fellfare.provision.robust.blows import blows_of
from fellfare.provision.robust.helping import helps_of
from fellfare.provision.trip.provision import Provision

#: The day on which the season is looked at: before both parties set out.
TODAY = "2031-04-01"


def follow(out: Path, file: TripFile, one: Provision, kept: list[Path]) -> dict[str, Any]:
    """Everything after the papers; what each part says in short, and where it was written.

    A document that somebody changed is kept, and told in ``kept``.
    """
    return {
        "robust": _robust(out, one),
        "lessons": _lessons(out, file, one, kept),
        "bulk": _bulk(out, one, kept),
        "season": _season(out, file, kept),
    }


def _document(path: Path, text: str, kept: list[Path]) -> Path:
    if path.exists() and path.read_text("utf-8", errors="replace") != text:
        kept.append(path)
    else:
        write_text(path, text, replace=True)
    return path


def _run(command: str, *words: str | Path) -> tuple[str, str]:
    """What ``fellfare COMMAND WORDS`` prints, and what it says on the second stream."""
    made: click.Command = import_module(f"fellfare.cli.{command}").command
    said, told = io.StringIO(), io.StringIO()
    with redirect_stdout(said), redirect_stderr(told), suppress(SystemExit):
        # Status 1 = an error was found: it stands in the text.
        made.main([str(word) for word in words], prog_name=command, standalone_mode=False)
    return said.getvalue(), told.getvalue()


def _paper(path: Path, command: str, *words: str | Path) -> dict[str, Any]:
    """The printed answer as a file; or why there is none."""
    try:
        said, told = _run(command, *words)
    except Mistake as mistake:
        return {"file": None, "why": f"{mistake.where}: {mistake.what}"}
    write_text(path, f"{said}\n{told}" if told else said, replace=True)
    return {"file": str(path)}


def _robust(out: Path, one: Provision) -> dict[str, Any]:
    blows = blows_of(one)
    helps = helps_of(one, blows)
    best = helps[0] if helps and helps[0].mended else None
    return _paper(out / "sheets" / "robust.txt", "robust", out / "trip.toml") | {
        "blows": len(blows),
        "stand": sum(blow.verdict == "stands" for blow in blows),
        "fall": [blow.what for blow in blows if blow.verdict == "does not stand"],
        "helps_most": None if best is None else best.what,
    }


def _lessons(out: Path, file: TripFile, one: Provision, kept: list[Path]) -> dict[str, Any]:
    """The log that is there or an invented one; what it teaches; the next trip."""
    from fellfare.files.menu_toml import read_menu

    menu = out / "menu.toml"
    items = items_of_plates(read_menu(menu).plates)
    log = _document(out / "log.toml", demo_log(one.plan, items), kept)
    new = out / "next.toml"
    told = _paper(out / "sheets" / "lessons.txt", "learn", out / "trip.toml", log,
                  "--menu", menu, "--out", new, "--replace")  # fmt: skip
    if told["file"] is None:
        return told
    before, after = file.trip, read_trip(new).trip
    return told | {
        "log": str(log),
        "next": str(new),
        "pace": {now.name: [was.pace_factor, now.pace_factor]
                 for was, now in zip(before.walkers, after.walkers, strict=True)
                 if was.pace_factor != now.pace_factor},
        "appetite": [now.name for was, now in zip(before.walkers, after.walkers, strict=True)
                     if was.appetite != now.appetite],
    }  # fmt: skip


def _bulk(out: Path, one: Provision, kept: list[Path]) -> dict[str, Any]:
    document = _document(out / "bulk.toml", BULK, kept)
    told = _paper(out / "sheets" / "bulk.txt", "bulk", document)
    if told["file"] is None:
        return told
    asked = read_bulk(document).asked
    own, _ = read_own_foods(own_food_folders(document))
    plan = one.plan
    need = sum(walker.need.kcal for walker in plan.walkers)
    known = replace(
        asked, need_kcal=need, need_people=len(plan.walkers), need_days=len(plan.days),
        eaters=plan.trip.walkers,
    )  # fmt: skip
    bulk = bulk_of(known, shipped_pantry().with_foods(own))
    return told | {
        "document": str(document),
        "people": asked.people,
        "days": asked.days,
        "column_lb": asked.column_lb,
        "mass_g": bulk.mass_g,
        "covers": bulk.covers,
        "errors": sum(finding.severity == "error" for finding in bulk.findings),
        "cautions": sum(finding.severity == "caution" for finding in bulk.findings),
    }


def _season(out: Path, file: TripFile, kept: list[Path]) -> dict[str, Any]:
    """Two parties a month apart, one purchase."""
    june = june_trip(file.text)
    if june is None:
        return {"file": None, "why": f"{file.path}: the trip's dates or title were changed"}
    _document(out / "trip-june.toml", june, kept)
    document = _document(out / "seasons" / "two-parties.toml", SEASON, kept)
    words = (document, "--today", TODAY)
    told = _paper(out / "sheets" / "season.txt", "season", *words)
    if told["file"] is None:
        return told
    return told | {"document": str(document)}
