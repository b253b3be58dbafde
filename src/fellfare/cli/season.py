"""``fellfare season SEASON``: many parties, one purchase, lots, recalls, changed papers."""

from __future__ import annotations

import json
from datetime import date, datetime
from pathlib import Path

import click

from fellfare.cli.layout import heading, number, paragraph, table
from fellfare.cli.provision import provided
from fellfare.cli.told import tell
from fellfare.files.log_toml import read_log
from fellfare.files.provision_json import findings_data
from fellfare.files.season_json import recall_data, season_data
from fellfare.files.season_toml import SeasonFile, read_season
from fellfare.files.trip_toml import read_trip
from fellfare.files.writing_together import write_together
from fellfare.learn.home import eaten_of
from fellfare.learn.lessons import items_of_plates
from fellfare.learn.log import Item
from fellfare.mistake import Finding, Mistake, worst
from fellfare.pantry.food import Food
from fellfare.pantry.pantry import Pantry
from fellfare.paper.grid import read_grid
from fellfare.paper.kinds import KINDS
from fellfare.paper.papers_of_trip import LabelSheet, Papers
from fellfare.provision.season.buying import Purchase, purchase_of
from fellfare.provision.season.lots import Ledger, Traced, doubtful, ledger_of, recall
from fellfare.provision.season.party import Party, by_date
from fellfare.provision.season.returned import CameBack, Returned, returned_of
from fellfare.provision.season.said import in_short, said_of


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
    file = read_season(season).with_parties()
    day = date.today() if today is None else today.date()  # noqa: DTZ011 - the person's own day
    parties, pantry, planned, found = _parties(file, seconds)
    said = said_of({p.name: found[p.name] for p in parties if p.when(day) != "back"})
    unknown = set(names) - {party.name for party in parties}
    if unknown:
        raise Mistake(
            "party-unknown",
            f"no party is called {min(unknown)!r}",
            "one of: " + ", ".join(party.name for party in parties),
            str(season),
        )
    try:
        ledger = ledger_of(parties, file.lots, pantry, file.packed)
        traced = None if lot is None else recall(ledger, parties, lot, day)
        maybe = () if lot is None else doubtful(ledger, parties, lot, day)
        filled = {one.party for one in file.packed}
        coming = [
            party
            for party in parties
            if party.when(day) in ("to come", "no date") and party.name not in filled
        ]
        purchase = purchase_of(
            coming, pantry, cases=file.cases, in_store=file.in_store,
            dry_at_home=file.dry_at_home, currency=file.currency,
        )  # fmt: skip
    except Mistake as mistake:
        raise file.placed(mistake) from None
    returned = _returned(file, planned)
    papers, respelled = (
        ({}, ())
        if out is None
        else _papers(out, [p for p in parties if not names or p.name in names])
    )
    findings = (*in_short(said), *(ledger.findings if file.lots else ()), *respelled)
    if as_json:
        data = season_data(file.title, day, parties, purchase, ledger, returned)
        data["findings"] = [
            one | {"parties": list(parties)}
            for parties, one in (
                *(((), one) for one in (*data["findings"], *findings_data(respelled))),
                *zip(
                    [each.parties for each in said],
                    findings_data(each.finding for each in said),
                    strict=True,
                ),
            )
        ]
        data["papers"] = {str(path): fate for path, fate in papers.items()}
        if traced is not None:
            data["recall"] = recall_data(traced)
            data["recall_doubtful"] = recall_data(maybe)
        click.echo(json.dumps(data, ensure_ascii=False, indent=1))
    else:
        lines = (
            _recalled(lot, traced, maybe, day) if traced is not None and lot is not None else None
        )
        if lines is None:
            lines = _text(file, parties, day, purchase, ledger, returned)
        click.echo("\n".join([*lines, *_paper_lines(papers)]))
        tell(findings)
    raise SystemExit(1 if worst(findings) == "error" else 0)


def _parties(
    file: SeasonFile, seconds: float
) -> tuple[tuple[Party, ...], Pantry, dict[str, tuple[Item, ...]], dict[str, tuple[Finding, ...]]]:
    """All parties in the order of setting out, all foods, and each party's items and findings."""
    made: list[Party] = []
    foods: dict[str, Food] = {}
    planned: dict[str, tuple[Item, ...]] = {}
    said: dict[str, tuple[Finding, ...]] = {}
    for word in file.parties:
        path = _trip_of(file, word.trip)
        one, folder, chosen = provided(
            read_trip(path), menu_path=_named(file, path, "menus", word.menu), seconds=seconds
        )
        made.append(Party(name=word.name, provision=one))
        planned[word.name] = items_of_plates(chosen.plates)
        used = {line.food.id for dish in one.dishes for line in dish.sheet.lines}
        about = (finding for finding in folder.findings if used & set(finding.about))
        said[word.name] = (*chosen.findings, *one.findings, *about)
        foods |= {food.id: food for food in one.pantry}
    return by_date(tuple(made)), Pantry(foods.values()), planned, said


def _trip_of(file: SeasonFile, word: str) -> Path:
    """The document as the season names it; in a book's folder trips stand one folder higher."""
    told = file.path.parent / word
    named = (told, *(folder / f"{word}.toml" for folder in (told.parent, file.path.parent.parent)))
    return next((path for path in named if path.is_file()), told)


def _named(file: SeasonFile, trip: Path, folder: str, word: str) -> Path | None:
    """A menu or log: as the season names it; in a book's folder by its own or the trip's name."""
    kept = trip.parent / folder / f"{word or trip.stem}.toml"
    told = file.path.parent / word
    if word and (told.is_file() or not kept.is_file()):
        return told
    return kept if kept.is_file() else None


def _returned(file: SeasonFile, planned: dict[str, tuple[Item, ...]]) -> tuple[Returned, ...]:
    back: dict[str, list[CameBack]] = {}
    for word in file.parties:
        log = _named(file, _trip_of(file, word.trip), "logs", word.log)
        if log is None:
            continue
        written = read_log(log)
        try:
            items = eaten_of(written.log, planned[word.name])
        except Mistake as mistake:
            raise written.placed(mistake) from None
        back[word.name] = [
            CameBack(dish=item.dish, carried_g=item.carried_g, home_g=item.home_g) for item in items
        ]
    return returned_of(back)


def _papers(out: Path, parties: list[Party]) -> tuple[dict[Path, str], tuple[Finding, ...]]:
    """Every paper of these parties: 'new', 'changed' (both are written) or 'same'.

    With them a finding for each name that prints otherwise.
    """
    fates: dict[Path, str] = {}
    respelled: dict[str, Finding] = {}
    files: dict[Path, bytes] = {}
    kinds = [kind for kind in KINDS if kind != "cards"]
    for party in parties:
        sheet = LabelSheet(grid=read_grid(None, "a4"), skip=0, code="always", outline=False)
        papers = Papers(party.provision, "a4", sheet)
        respelled |= {finding.text: finding for finding in papers.findings}
        for name, data in papers.made(kinds).items():
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
    return fates, tuple(respelled.values())


def _paper_lines(papers: dict[Path, str]) -> list[str]:
    if not papers:
        return []
    same = sum(fate == "same" for fate in papers.values())
    lines = heading("Papers")
    lines += [f"  {fate:8} {path}" for path, fate in papers.items() if fate != "same"]
    return [*lines, f"  {same} as they were" if same else "  all written"]


def _recalled(
    lot: str, traced: tuple[Traced, ...], maybe: tuple[Traced, ...], today: date
) -> list[str]:
    many = f"bags of {len(traced)} part{'ies' if len(traced) > 1 else 'y'}" if traced else "no bag"
    lines = [f"Lot {lot} is in {many}, as of {today}"]
    for one in traced:
        lines += _bags_of(one)
    if maybe:
        lines += heading("The same food, of no lot that is written down: it may be of this one")
        for one in maybe:
            lines += paragraph(
                f"{one.party} ({one.when}): {number(one.mass_g)} g in bags "
                f"{', '.join(str(use.bag) for use in one.uses)}, eaten by {', '.join(one.eaters)}."
            )
    if traced or maybe:
        lines += paragraph(
            "Tell them before they eat it; follow the maker's and the authority's words on what "
            "to do with it. The list follows what was written down and the menus as they stand; a "
            "bag that was filled otherwise is not on it."
        )
    return lines


def _bags_of(one: Traced) -> list[str]:
    dates = "without a date" if one.sets_out is None else f"{one.sets_out} to {one.is_back}"
    lines = heading(f"{one.party}: {one.when}")
    lines += paragraph(f"{dates}; {number(one.mass_g)} g, eaten by {', '.join(one.eaters)}.")
    rows: list[tuple[str, ...]] = [("bag", "day", "", "", "dish", "where", "g")]
    rows += [
        (str(use.bag), str(use.day), "" if use.eaten_on is None else use.eaten_on.isoformat(),
         use.time, use.dish, use.box or "pack", number(use.mass_g))
        for use in one.uses
    ]  # fmt: skip
    return lines + table(rows, (-4, -4, 10, 9, 26, 16, -6))


def _text(
    file: SeasonFile,
    parties: tuple[Party, ...],
    today: date,
    purchase: Purchase,
    ledger: Ledger,
    returned: tuple[Returned, ...],
) -> list[str]:
    lines = [f"{file.title}, as of {today}"]
    rows: list[tuple[str, ...]] = [("", "sets out", "days", "people", "bags", "food kg", "")]
    rows += [
        (party.name, "no date" if party.sets_out is None else party.sets_out.isoformat(),
         str(len(party.provision.plan.days)), str(len(party.provision.plan.trip.walkers)),
         str(len(party.provision.bags)), f"{party.provision.food_g / 1000:.2f}",
         "" if party.sets_out is None else party.when(today))
        for party in parties
    ]  # fmt: skip
    lines += table(rows, (24, 11, -5, -7, -5, -8, 9))
    lines += heading("To buy, for the parties still to be packed")
    if purchase.list.rows:
        lines += _to_buy(purchase)
    else:
        lines += paragraph("No party is still to be packed: nothing is bought.")
    if ledger.lots:
        lines += heading("Lots")
        rows = [("lot", "food", "g", "left g", "bags", "best before")]
        rows += [
            (lot.number, lot.food, number(lot.mass_g), number(ledger.left_g(lot.number)),
             str(sum(use.lot == lot.number for use in ledger.uses)),
             "not told" if lot.best_before is None else lot.best_before.isoformat())
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


def _to_buy(purchase: Purchase) -> list[str]:
    """By shelf; an empty column says nothing, so that the eye finds what there is."""
    rows: list[tuple[str, ...]] = [("", "need g", "store g", "buy g", "as", "spare g", "cost")]
    for place in purchase.list.places:
        for section in place.sections:
            rows.append((section.group.replace("-", " ").upper(), "", "", "", "", "", ""))
            for row in section.rows:
                packs = [
                    f"{one.count} × {_size(one.pack.size_g, one.pack.name)}" for one in row.packs
                ]
                rows.append(
                    (f"  {row.food.name}", number(row.need_g),
                     number(row.home_g) if row.home_g else "",
                     number(row.buy_g) if row.buy_g else "", *(packs[:1] or [""]),
                     number(row.spare_g) if row.spare_g >= 0.5 else "",
                     "" if row.cost is None or not row.buy_g else f"{row.cost:.2f}")
                )  # fmt: skip
                rows += [("", "", "", "", more, "", "") for more in packs[1:]]
    lines = table(rows, (29, -6, -7, -6, 14, -7, -6))
    unknown = len(purchase.list.cost_unknown)
    if unknown == len(purchase.list.rows):
        lines += paragraph("No case has a price: the cost is not known.")
    else:
        cost = f"{purchase.list.cost:.2f} {purchase.list.currency}".strip()
        more = f" ({unknown} foods without a price)" if unknown else ""
        lines += paragraph(f"Cost {'at least ' if unknown else ''}{cost}{more}.")
    return lines + paragraph(
        f"Left over: {number(purchase.spare_g)} g, against {number(purchase.spare_apart_g)} g if "
        "every party bought alone."
    )


def _size(size_g: float, name: str) -> str:
    size = f"{size_g / 1000:g} kg" if size_g >= 1000 else f"{size_g:g} g"
    return f"{size} {name}" if name else size  # a narrow column cuts the name, never the size
