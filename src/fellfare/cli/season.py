"""``fellfare season SEASON``: many parties, one purchase, lots, recalls, changed papers."""

from __future__ import annotations

import json
from datetime import date, datetime
from pathlib import Path
from typing import Any

import click

from fellfare.cli.layout import heading, number, paragraph, table
from fellfare.cli.provision import provided
from fellfare.cli.told import tell
from fellfare.files.log_toml import read_log
from fellfare.files.season_json import (
    ledger_data,
    party_data,
    purchase_data,
    recall_data,
    returned_data,
)
from fellfare.files.season_toml import SeasonFile, read_season
from fellfare.files.trip_toml import read_trip
from fellfare.files.writing_together import write_together
from fellfare.learn.lessons import items_of_plates
from fellfare.learn.log import Item, eaten_of
from fellfare.mistake import Mistake, worst
from fellfare.pantry.food import Food
from fellfare.pantry.pantry import Pantry
from fellfare.paper.grid import read_grid
from fellfare.paper.kinds import KINDS
from fellfare.paper.papers_of_trip import LabelSheet, Papers
from fellfare.provision.season.buying import Purchase, purchase_of
from fellfare.provision.season.lots import Ledger, Traced, ledger_of, recall
from fellfare.provision.season.party import Party, by_date
from fellfare.provision.season.returned import CameBack, Returned, returned_of


@click.command()
@click.argument("season", type=click.Path(path_type=Path))
@click.option(
    "--out", type=click.Path(path_type=Path, file_okay=False),
    help="Folder for the papers, one folder for each party; only changed ones are written.",
)  # fmt: skip
@click.option("--party", "names", multiple=True, metavar="NAME", help="Only this party's papers.")
@click.option("--recall", "lot", metavar="LOT", help="Who has something of this lot?")
@click.option("--today", type=click.DateTime(["%Y-%m-%d"]), help="Instead of the clock's date.")
@click.option("--seconds", type=click.FloatRange(0.5, 86_400), default=30.0, show_default=True,
              help="Longest search for one party's menu, where none is saved.")  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command(
    season: Path,
    out: Path | None,
    names: tuple[str, ...],
    lot: str | None,
    today: datetime | None,
    seconds: float,
    as_json: bool,
) -> None:
    """Provide for all parties of a SEASON (a TOML document)."""
    file = read_season(season)
    day = date.today() if today is None else today.date()  # noqa: DTZ011 - the person's own day
    parties, pantry, planned = _parties(file, seconds)
    unknown = set(names) - {party.name for party in parties}
    if unknown:
        raise Mistake(
            "party-unknown",
            f"no party is called {min(unknown)!r}",
            "one of: " + ", ".join(party.name for party in parties),
            str(season),
        )
    try:
        ledger = ledger_of(parties, file.lots, pantry)
        traced = None if lot is None else recall(ledger, parties, lot, day)
        coming = [party for party in parties if party.when(day) in ("to come", "no date")]
        purchase = purchase_of(
            coming, pantry, cases=file.cases, in_store=file.in_store,
            dry_at_home=file.dry_at_home, currency=file.currency,
        )  # fmt: skip
    except Mistake as mistake:
        raise file.placed(mistake) from None
    returned = _returned(file, planned)
    papers = (
        {} if out is None else _papers(out, [p for p in parties if not names or p.name in names])
    )
    findings = ledger.findings if file.lots else ()
    if as_json:
        data: dict[str, Any] = {
            "title": file.title,
            "today": day.isoformat(),
            "parties": [party_data(party, day) for party in parties],
            "purchase": purchase_data(purchase),
            "lots": ledger_data(ledger),
            "returned": returned_data(returned),
            "papers": {str(path): fate for path, fate in papers.items()},
            "findings": [
                {"severity": f.severity, "rule": f.rule, "text": f.text, "source": f.source}
                for f in findings
            ],
        }
        if traced is not None:
            data["recall"] = recall_data(traced)
        click.echo(json.dumps(data, ensure_ascii=False, indent=1))
    else:
        lines = _recalled(lot, traced) if traced is not None and lot is not None else None
        if lines is None:
            lines = _text(file, parties, day, purchase, ledger, returned)
        click.echo("\n".join([*lines, *_paper_lines(papers)]))
        tell(findings)
    raise SystemExit(1 if worst(findings) == "error" else 0)


def _parties(
    file: SeasonFile, seconds: float
) -> tuple[tuple[Party, ...], Pantry, dict[str, tuple[Item, ...]]]:
    """All parties in the order of setting out, all foods, and each party's items."""
    made: list[Party] = []
    foods: dict[str, Food] = {}
    planned: dict[str, tuple[Item, ...]] = {}
    for word in file.parties:
        trip = read_trip(file.path.parent / word.trip)
        one, _, chosen = provided(trip, seconds=seconds)
        made.append(Party(name=word.name, provision=one))
        planned[word.name] = items_of_plates(chosen.plates)
        foods |= {food.id: food for food in one.pantry}
    return by_date(tuple(made)), Pantry(foods.values()), planned


def _returned(file: SeasonFile, planned: dict[str, tuple[Item, ...]]) -> tuple[Returned, ...]:
    back: dict[str, list[CameBack]] = {}
    for word in file.parties:
        if not word.log:
            continue
        written = read_log(file.path.parent / word.log)
        try:
            items = eaten_of(written.log, planned[word.name])
        except Mistake as mistake:
            raise written.placed(mistake) from None
        back[word.name] = [
            CameBack(dish=item.dish, carried_g=item.carried_g, home_g=item.home_g) for item in items
        ]
    return returned_of(back)


def _papers(out: Path, parties: list[Party]) -> dict[Path, str]:
    """Every paper of these parties: 'new', 'changed' (both are written) or 'same'."""
    fates: dict[Path, str] = {}
    files: dict[Path, bytes] = {}
    kinds = [kind for kind in KINDS if kind != "cards"]
    for party in parties:
        sheet = LabelSheet(grid=read_grid(None, "a4"), skip=0, code="always", outline=False)
        for name, data in Papers(party.provision, "a4", sheet).made(kinds).items():
            path = out / party.name / name
            if not path.exists():
                fates[path] = "new"
            elif path.read_bytes() != data:
                fates[path] = "changed"
            else:
                fates[path] = "same"
                continue
            files[path] = data
    write_together(files)
    return fates


def _paper_lines(papers: dict[Path, str]) -> list[str]:
    if not papers:
        return []
    same = sum(fate == "same" for fate in papers.values())
    lines = heading("Papers")
    lines += [f"  {fate:8} {path}" for path, fate in papers.items() if fate != "same"]
    return [*lines, f"  {same} as they were" if same else "  all written"]


def _recalled(lot: str, traced: tuple[Traced, ...]) -> list[str]:
    if not traced:
        return [f"Lot {lot}: in no bag."]
    lines = [f"Lot {lot} is in bags of {len(traced)} part{'ies' if len(traced) > 1 else 'y'}:"]
    for one in traced:
        lines += heading(f"{one.party} ({one.when})")
        lines += paragraph(f"{one.mass_g:.0f} g; eaten by {', '.join(one.eaters)}.")
        rows: list[tuple[str, ...]] = [("bag", "day", "", "dish", "where", "g")]
        rows += [
            (str(use.bag), str(use.day), use.time, use.dish, use.box or "pack",
             f"{use.mass_g:.0f}")
            for use in one.uses
        ]  # fmt: skip
        lines += table(rows, (-4, -4, 10, 30, 18, -6))
    lines += paragraph(
        "Tell them before they eat it; follow the maker's and the authority's words on what to do "
        "with it."
    )
    return lines


def _text(
    file: SeasonFile,
    parties: tuple[Party, ...],
    today: date,
    purchase: Purchase,
    ledger: Ledger,
    returned: tuple[Returned, ...],
) -> list[str]:
    lines = [file.title]
    rows: list[tuple[str, ...]] = [("", "sets out", "days", "people", "bags", "food kg", "")]
    rows += [
        (party.name, "no date" if party.sets_out is None else party.sets_out.isoformat(),
         str(len(party.provision.plan.days)), str(len(party.provision.plan.trip.walkers)),
         str(len(party.provision.bags)), f"{party.provision.food_g / 1000:.2f}",
         party.when(today))
        for party in parties
    ]  # fmt: skip
    lines += table(rows, (24, 11, -5, -7, -5, -8, 9))
    lines += heading("To buy, for the parties still to come")
    rows = [("", "need g", "in store", "buy g", "packs", "spare g", "cost")]
    rows += [
        (row.food.name, number(row.need_g), number(row.home_g), number(row.buy_g),
         ", ".join(f"{each.count} x {each.pack.size_g:g}" for each in row.packs) or "loose",
         number(row.spare_g), "?" if row.cost is None else f"{row.cost}")
        for row in purchase.list.rows
    ]  # fmt: skip
    lines += table(rows, (26, -7, -8, -7, 14, -7, -7))
    cost = f"{purchase.list.cost} {purchase.list.currency}".strip()
    unknown = len(purchase.list.cost_unknown)
    lines += paragraph(
        f"Cost {'at least ' if unknown else ''}{cost}"
        + (f" ({unknown} foods without a price)" if unknown else "")
        + f"; spare {number(purchase.spare_g)} g, against {number(purchase.spare_apart_g)} g if "
        "every party bought alone."
    )
    if ledger.lots:
        lines += heading("Lots")
        rows = [("lot", "food", "g", "left g", "bags", "best before")]
        rows += [
            (lot.number, lot.food, number(lot.mass_g), number(ledger.left_g(lot.number)),
             str(sum(use.lot == lot.number for use in ledger.uses)),
             "?" if lot.best_before is None else lot.best_before.isoformat())
            for lot in ledger.lots
        ]  # fmt: skip
        lines += table(rows, (14, 26, -8, -8, -5, 11))
    if returned:
        lines += heading("Came back")
        rows = [("", "carried g", "home g", "", "mostly")]
        rows += [
            (one.party, number(one.carried_g), number(one.home_g), f"{100 * one.share:.0f} %",
             ", ".join(dish for dish, _ in one.dishes[:2] if dish))
            for one in returned
        ]  # fmt: skip
        lines += table(rows, (22, -10, -8, -6, 30))
    return lines
