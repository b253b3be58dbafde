"""``fellfare batch PATHS``: many trips or recipes at once."""

from __future__ import annotations

import csv
import io
import json
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import click

from fellfare.batch.journal import Journal
from fellfare.batch.running import cluster, run, write_parquet
from fellfare.batch.work import COLUMNS, Kind
from fellfare.cli.layout import heading, paragraph, plain, table
from fellfare.files.writing import write_text
from fellfare.mistake import Mistake


@click.command()
@click.argument("paths", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--recipes", is_flag=True, help="The paths are recipes, or folders of them.")
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), required=True,
              help="Where the rows go: .parquet or .csv.")  # fmt: skip
@click.option("--workers", type=click.IntRange(1, 256), default=2, show_default=True,
              help="Processes on this machine.")  # fmt: skip
@click.option("--scheduler", metavar="ADDRESS", help="A Dask scheduler: tcp://10.0.0.5:8786.")
@click.option("--seconds", type=click.FloatRange(0.5, 86_400), default=30.0, show_default=True,
              help="Longest search for one menu.")  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print all rows as JSON.")
def command(
    paths: tuple[Path, ...],
    recipes: bool,
    out: Path,
    workers: int,
    scheduler: str | None,
    seconds: float,
    as_json: bool,
) -> None:
    """A row of figures for every trip (or recipe) of PATHS, files and folders.

    Each finished row is written down at once in a journal beside --out: a run that was broken
    off goes on where it stopped.  What fails is a row, too, with the reason.
    """
    kind: Kind = "recipe" if recipes else "trip"
    if out.suffix not in (".parquet", ".csv"):
        raise Mistake(
            "batch-format",
            f"{out.suffix or 'no ending'} is no form of rows",
            "end it in .parquet or .csv",
            "--out",
        )
    found = [str(path) for each in paths for path in _documents(each, kind)]
    if not found:
        raise Mistake(
            "batch-empty",
            f"no {kind} document lies there",
            "name TOML files, or folders that hold "
            + ("recipes" if recipes else "a trip.toml or folders with one"),
            str(paths[0]),
        )
    journal = Journal(out.with_name(out.name + ".journal"))
    shows = sys.stderr.isatty()

    def heard(row: dict[str, Any], done: int, of: int) -> None:
        if shows:
            click.echo(f"\r{done} of {of}: {plain(row['file'])[-50:]:50}", err=True, nl=False)

    try:
        with cluster(min(workers, len(found)), scheduler) as client:
            rows = run(client, kind, found, journal, seconds=seconds, heard=heard)
    finally:
        journal.close()
    if shows:
        click.echo("\r" + " " * 78 + "\r", err=True, nl=False)
    if out.suffix == ".parquet":
        write_parquet(out, kind, rows)
    else:
        text = io.StringIO()
        writer = csv.DictWriter(text, list(COLUMNS[kind]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
        write_text(out, text.getvalue(), replace=True)
    journal.forget()
    failed = [row for row in rows if row["code"]]
    if as_json:
        click.echo(json.dumps({"kind": kind, "out": str(out), "rows": rows}, indent=1,
                              ensure_ascii=False))  # fmt: skip
    else:
        click.echo("\n".join(_text(kind, rows, failed, out)))
    raise SystemExit(1 if failed or any(row["errors"] for row in rows) else 0)


def _documents(path: Path, kind: Kind) -> list[Path]:
    if path.is_dir():
        pattern = "*.toml" if kind == "recipe" else "trip.toml"
        return sorted(p for p in path.rglob(pattern) if p.is_file())
    return [path]


def _text(
    kind: Kind, rows: tuple[dict[str, Any], ...], failed: list[dict[str, Any]], out: Path
) -> list[str]:
    lines = [f"{len(rows)} {kind}s, {len(failed)} without an answer: {out}"]
    figure = "mass_g"
    told: list[tuple[str, ...]] = [("", "g", "kcal", "errors", "cautions", "s")]
    told += [
        (
            row["title"] or Path(row["file"]).stem,
            *("?" if row[name] is None else f"{row[name]:.0f}"
              for name in (figure, "energy_kcal", "errors", "cautions")),
            f"{row['seconds'] or 0:.1f}",
        )
        for row in rows[:40]
        if not row["code"]
    ]  # fmt: skip
    lines += table(told, (44, -8, -8, -6, -8, -6))
    if len(rows) > 40:
        lines.append(f"  … and {len(rows) - 40} more in the file")
    short = [row for row in rows if row.get("verdict") == "stopped" and not row["code"]]
    for row in short[:10]:
        within = "" if row["gap"] is None else f", within {100 * row['gap']:.1f} % of the least"
        lines += paragraph(
            f"{row['title'] or row['file']}: the time ran out; the best menu found is told{within}."
        )
    if len(short) > 10:
        lines += paragraph(f"The time ran out for {len(short) - 10} more: 'stopped' in the file.")
    if failed:
        lines += heading("Without an answer")
        for code, many in Counter(row["code"] for row in failed).most_common():
            lines.append(f"  {many} x {code}")
        for row in failed[:10]:
            lines += paragraph(f"{row['where'] or row['file']}: {row['what']}", "      ", "  - ")
    return lines
