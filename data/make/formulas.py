"""The page of formulas and rules with their sources: ``docs/formulas.md``, from the docstrings.

    python data/make/formulas.py [--check]

Every public function, class or constant of the core whose words cite a bibliography key or an
author with a year.
"""

from __future__ import annotations

import argparse
import ast
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs/formulas.md"
ROOMS = ("measure", "pantry", "recipe", "camp", "walk", "trip", "safety", "menu", "provision",
         "learn")  # fmt: skip
KEY = re.compile(r"\[([A-Z][A-Z0-9.]+(?:-[A-Z0-9.]+)+)\]")
#: 'Pandolf et al. (1977)', 'Tobler 1993', 'Campbell and others 2022'.
AUTHOR = re.compile(
    r"\b([A-Z][a-zA-Zé]+(?:(?: and| &) [A-Z][a-zé]+| et al\.?| and others)?),? \(?"
    r"((?:18|19|20)\d\d)\b"
)
NO_AUTHOR = set(
    "In Of STATUS January February Table EU No Regulation CFR FALCPA FASTER Act Annex Edition "
    "Since Release Compendium".split()
)

HEAD = """# Formulas, tables and rules, and where each comes from

Made by `python data/make/formulas.py` from the words that stand beside the code; the keys are
those of [the bibliography](bibliography.md), which says how well each source was seen. A
formula stands in one place only, with its range of validity and a check.

"""


def page() -> str:
    """The whole page."""
    parts = [HEAD]
    for room in ROOMS:
        rows = [
            row
            for path in sorted((ROOT / "src/fellfare" / room).rglob("*.py"))
            for row in _rows(path)
        ]
        if rows:
            parts.append(f"## {room}\n\n| where | what | sources |\n|---|---|---|\n")
            parts += [f"| `{where}` | {what} | {keys} |\n" for where, what, keys in rows]
            parts.append("\n")
    return "".join(parts).rstrip() + "\n"


def _rows(path: Path) -> list[tuple[str, str, str]]:
    text = path.read_text("utf-8")
    tree = ast.parse(text)
    place = path.relative_to(ROOT / "src/fellfare").with_suffix("").as_posix()
    rows = []
    lines = text.split("\n")
    whole = ast.get_docstring(tree) or ""
    if _sources(whole):
        rows.append(_row(place, whole))
    for node in tree.body:
        if not isinstance(node, ast.FunctionDef | ast.ClassDef | ast.Assign | ast.AnnAssign):
            continue
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            words, name = ast.get_docstring(node) or "", node.name
            first = min([node.lineno, *(d.lineno for d in node.decorator_list)])
            words += "\n" + _above(lines, first)
            for decorator in node.decorator_list:  # a rule's source stands in its decorator
                words += "\n" + (ast.get_source_segment(text, decorator) or "")
        else:
            target = node.targets[0] if isinstance(node, ast.Assign) else node.target
            if not isinstance(target, ast.Name):
                continue
            words, name = _above(lines, node.lineno), target.id
        if name.startswith("_") or not _sources(words):
            continue
        rows.append(_row(f"{place}.{name}", words))
    return rows


def _sources(words: str) -> list[str]:
    authors = {f"{name} {year}" for name, year in AUTHOR.findall(words) if name not in NO_AUTHOR}
    return sorted({*KEY.findall(words), *authors})


def _above(lines: list[str], number: int) -> str:
    """The '#:' lines right above a line (counted from 1)."""
    found = []
    at = number - 2
    while at >= 0 and lines[at].startswith("#:"):
        found.append(lines[at][2:].strip())
        at -= 1
    return "\n".join(reversed(found))


def _row(where: str, words: str) -> tuple[str, str, str]:
    keys = _sources(words)
    first = " ".join(words.strip().split("\n\n")[0].split())
    first = KEY.sub("", first).replace("|", "\\|").replace("  ", " ").strip()
    if len(first) > 160:
        first = first[:157].rsplit(" ", 1)[0] + " …"
    return where, first, ", ".join(keys)


def main() -> None:
    """Write the page, or say that it is stale."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--check", action="store_true")
    new = page()
    if words.parse_args().check:
        raise SystemExit(0 if PAGE.read_text("utf-8") == new else "docs/formulas.md is stale")
    PAGE.write_text(new, "utf-8")
    print(f"{PAGE.relative_to(ROOT)}: {new.count(chr(10))} lines")


if __name__ == "__main__":
    main()
