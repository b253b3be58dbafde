"""Bring ``docs/mistakes.md`` up to date: every code that the source can raise, one line each.

Lines that stand there stay as they are (they are written by hand); a code that is new gets
a draft made of its own words in the source, one that is gone is taken out.

    python data/make/mistakes.py           # write
    python data/make/mistakes.py --check   # tell what is missing or gone, write nothing
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Final, NamedTuple

ROOT: Final = Path(__file__).parents[2]
SOURCE: Final = ROOT / "src" / "fellfare"
PAGE: Final = ROOT / "docs" / "mistakes.md"

HEAD: Final = """\
# Mistakes

When something that was given cannot be used, there is one kind of error: what is wrong,
where, how to mend it, and a code that never changes (the wording may get better at any
time). On the command line it looks so, and ends with exit status 2:

    soup.toml:8 > line[1].food: no food is called 'walnuts'
      mend: did you mean walnut or walnut-oil?  [unknown-food]

`…` stands for what was given. Made by `python data/make/mistakes.py`, which keeps lines
that were written by hand.

"""

_CODE: Final = re.compile(r"[a-z][a-z0-9]*(?:-[a-z0-9]+)+")
_ROW: Final = re.compile(r"\| `([a-z0-9-]+)` \| (.*?) \| (.*?) \|")


class Site(NamedTuple):
    """Where a code is raised, and the words that stand there ('' = not to be seen)."""

    code: str
    place: str
    what: str
    mend: str


def words_of(node: ast.expr | None) -> str:
    """A string of the source, with '…' for what is put in."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        parts = [str(part.value) if isinstance(part, ast.Constant) else "…" for part in node.values]
        return "".join(parts)
    return ""


def _argument(call: ast.Call, place: int, name: str) -> ast.expr | None:
    if place < len(call.args):
        return call.args[place]
    return next((one.value for one in call.keywords if one.arg == name), None)


def _name(call: ast.Call) -> str:
    if isinstance(call.func, ast.Name):
        return call.func.id
    return call.func.attr if isinstance(call.func, ast.Attribute) else ""


def _functions(tree: ast.Module) -> Iterator[ast.FunctionDef]:
    yield from (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef))


def _raisers(tree: ast.Module) -> dict[str, int]:
    """Functions that hand their argument 'code' to a Mistake: name → its place."""
    found = {"Mistake": 0}
    for function in _functions(tree):
        names = [one.arg for one in function.args.args if one.arg != "self"]
        if "code" in names:
            found[function.name] = names.index("code")
    return found


def sites() -> Iterator[Site]:
    """Every code in the source, with its words, in the order of the files."""
    for path in sorted(SOURCE.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        raisers = _raisers(tree) | ({"fail": 0} if "measure/reading" in path.as_posix() else {})
        where = path.relative_to(ROOT).as_posix()
        for call in ast.walk(tree):
            if not isinstance(call, ast.Call) or _name(call) not in raisers:
                continue
            code = words_of(_argument(call, raisers[_name(call)], "code"))
            if not _CODE.fullmatch(code):
                continue
            plain = _name(call) == "Mistake"
            what = words_of(_argument(call, 1, "what")) if plain else ""
            mend = words_of(_argument(call, 2, "mend")) if plain else ""
            yield Site(code, f"{where}:{call.lineno}", what, mend)
        for node in tree.body:  # tables of codes: MENDS of the amount reader, ranges of fields
            value = node.value if isinstance(node, (ast.Assign, ast.AnnAssign)) else None
            if isinstance(value, ast.Dict):
                yield from _of_table(value, where)


def _of_table(table: ast.Dict, where: str) -> Iterator[Site]:
    for key, value in zip(table.keys, table.values, strict=True):
        code = words_of(key)
        if where.endswith("measure/reading/cursor.py") and _CODE.fullmatch(code):
            yield Site(code, where, "", words_of(value))
        for part in value.elts if isinstance(value, ast.Tuple) else ():
            text = words_of(part)
            if _CODE.fullmatch(text) and text.endswith("-out-of-range"):
                yield Site(text, where, "", "")


def raised() -> dict[str, Site]:
    """Each code once, with the words of the first place that has any."""
    found: dict[str, Site] = {}
    for site in sites():
        known = found.get(site.code)
        if known is None:
            found[site.code] = site
        else:
            found[site.code] = known._replace(
                what=known.what or site.what, mend=known.mend or site.mend
            )
    return found


def listed() -> dict[str, tuple[str, str]]:
    """Code → (meaning, mend) as they stand on the page."""
    if not PAGE.exists():
        return {}
    rows = _ROW.findall(PAGE.read_text(encoding="utf-8"))
    return {code: (meaning, mend) for code, meaning, mend in rows}


def page() -> str:
    """The page as it should stand."""
    written = listed()
    lines = [HEAD, "| code | what it means | how to mend it |\n", "|---|---|---|\n"]
    for code, site in sorted(raised().items()):
        drafted = site.what or "told by the message itself", site.mend or "as the message says"
        meaning, mend = written.get(code, drafted)
        cells = (" ".join(cell.replace("|", "/").split()) for cell in (meaning, mend))
        lines.append("| `{}` | {} | {} |\n".format(code, *cells))
    return "".join(lines)


def main() -> None:
    """Write the page, or with --check tell what is wrong with it."""
    if "--check" in sys.argv[1:]:
        codes, known = raised(), listed()
        for code in sorted(codes.keys() - known.keys()):
            print(f"{codes[code].place}: {code} is not on the page")
        for code in sorted(known.keys() - codes.keys()):
            print(f"{PAGE.name}: {code} is raised nowhere")
        raise SystemExit(1 if codes.keys() != known.keys() else 0)
    PAGE.write_text(page(), encoding="utf-8")


if __name__ == "__main__":
    main()
