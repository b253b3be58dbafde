"""``fellfare read FILE``: pasted text → a recipe document, line by line."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click
from msgspec import to_builtins

from fellfare.cli.layout import fit, paragraph, plain
from fellfare.cli.told import tell, tell_mistake
from fellfare.files.jsonld import Unread, looks_like_page, read_jsonld, read_saved
from fellfare.files.own_food import own_food_folders, read_own_foods
from fellfare.files.recipe_toml import recipe_text
from fellfare.files.shipped import shipped_pantry
from fellfare.files.writing import write_text
from fellfare.measure.units import SYSTEMS, System
from fellfare.mistake import Mistake
from fellfare.recipe.pasted import Pasted, read_pasted


@click.command()
@click.argument("file", type=click.Path(path_type=Path, allow_dash=True))
@click.option("--out", type=click.Path(path_type=Path), help="Write the TOML document here.")
@click.option("--replace", is_flag=True, help="Write over an older file.")
@click.option(
    "--system",
    type=click.Choice(SYSTEMS),
    default="us",
    show_default=True,
    help="Whose cup and spoon the text means.",
)
@click.option(
    "--foods",
    multiple=True,
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    help="Folder of own foods.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command(
    file: Path,
    out: Path | None,
    replace: bool,
    system: System,
    foods: tuple[Path, ...],
    as_json: bool,
) -> None:
    """Read the pasted recipe in FILE ('-' for standard input) and show what was understood.

    Nothing is guessed: a line that is not fully understood is refused with its
    place and a remedy, and then no document is written.  A saved web page or a
    JSON-LD file with a schema.org Recipe is read too; what of it is not taken
    over is listed by name.
    """
    dash = str(file) == "-"
    text = _standard_input() if dash else read_saved(file)
    own, _ = read_own_foods((*(() if dash else own_food_folders(file)), *foods))
    pantry = shipped_pantry().with_foods(own)
    unread: tuple[Unread, ...] = ()
    try:
        if looks_like_page(text):
            page = read_jsonld(text, pantry, system)
            pasted, unread = page.pasted, page.unread
        else:
            pasted = read_pasted(text, pantry, system)
    except Mistake as mistake:
        raise mistake.at("standard input" if dash else str(file)) from mistake
    source = "standard input" if dash else str(file)
    ready = not pasted.refused and bool(pasted.recipe.lines)
    document = recipe_text(pasted.recipe) if ready else None
    if as_json:
        _print_json(pasted, document, unread)
    else:
        _print_lines(pasted)
        _print_unread(unread)
        tell(pasted.findings)
        _tell_refused(pasted, source)
    if document is None:
        if not pasted.refused:
            mend = "write amounts and foods, one a line: '90 g bulgur'"
            tell_mistake(Mistake("no-ingredients", "no ingredient line was found", mend, source))
        raise SystemExit(2)
    if out is not None:
        write_text(out, document, replace=replace)
        click.echo(f"wrote {out}", err=True)
    elif not as_json:
        click.echo("\n" + document)


def _standard_input() -> str:
    data = sys.stdin.buffer.read(2_000_001)
    if len(data) > 2_000_000:
        raise Mistake(
            "file-too-large", "holds more than 2 MB", "paste one recipe", "standard input"
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise Mistake(
            "not-utf8", "is no UTF-8 text", "send it as UTF-8", "standard input"
        ) from error


def _print_lines(pasted: Pasted) -> None:
    """Every line with what was understood, or with why not and how to mend it."""
    for line in pasted.lines:
        opening = f"{line.number:>4} {fit(line.kind, 10)} "
        for row in paragraph(line.text, " " * 16, opening):
            click.echo(row)
        if line.mistake is None:
            for row in paragraph(line.understood, " " * 18, " " * 16 + "= "):
                click.echo(row)
        else:
            for row in paragraph(line.mistake.what, " " * 18, " " * 16 + "✗ "):
                click.echo(row)
            for row in paragraph(line.mistake.mend, " " * 24, " " * 18 + "mend: "):
                click.echo(row)
    for one in pasted.assumed:
        for row in paragraph(one, " " * 18, "     taken      = "):
            click.echo(row)


def _tell_refused(pasted: Pasted, source: str) -> None:
    """On standard error, each once and in short: the remedies stand in the listing."""
    count = len(pasted.refused)
    if not count:
        return
    sys.stdout.flush()
    click.echo(f"{source}: {count} line{'s' * (count != 1)} refused; no document made", err=True)
    for line in pasted.refused:
        if line.mistake is not None:
            place = line.mistake.where
            if place.startswith("line "):  # 'line 3 > column 7' as compilers write it
                place = f":{place[5:].replace(' > column ', ':')}"
            else:
                place = f" > {place}"
            said = f"{source}{place}: {line.mistake.what} [{line.mistake.code}]"
            click.echo(plain(said), err=True)


def _print_unread(unread: tuple[Unread, ...]) -> None:
    if unread:
        click.echo("Not taken over:")
    for one in unread:
        for row in paragraph(f"{one.what}: {one.why}", "      ", "  "):
            click.echo(row)


def _print_json(pasted: Pasted, document: str | None, unread: tuple[Unread, ...]) -> None:
    lines = [
        {
            "number": line.number,
            "text": line.text,
            "kind": line.kind,
            "understood": line.understood,
            "mistake": None
            if line.mistake is None
            else {key: getattr(line.mistake, key) for key in ("code", "what", "mend", "where")},
        }
        for line in pasted.lines
    ]
    data = {"lines": lines, "recipe": to_builtins(pasted.recipe), "document": document}
    data["assumed"] = list(pasted.assumed)
    data["findings"] = [to_builtins(finding) for finding in pasted.findings]
    data["not_taken_over"] = [to_builtins(one) for one in unread]
    click.echo(json.dumps(data, ensure_ascii=False, indent=1))
