"""The page of formulas, tables and rules with their sources: ``docs/formulas.md``.

    python data/make/formulas.py [--check]

Every row is read from the source: what a formula gives and where it holds from its docstring,
the equation from its own lines, what it is checked with from the tests that name it.
"""

from __future__ import annotations

import argparse
import ast
import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs/formulas.md"
SOURCE = ROOT / "src/fellfare"
ROOMS = ("measure", "pantry", "recipe", "camp", "walk", "trip", "safety", "menu", "provision",
         "learn")  # fmt: skip
#: Heading → the bare formulas under it, 'file.function'.
FORMULAS = {
    "Air, water and heat": (
        "camp/air.geopotential_height_m", "camp/air.standard_pressure_pa",
        "camp/water.saturation_temperature_k", "camp/steam.vapour_pressure_pa",
        "camp/steam.vapour_pressure_slope", "camp/steam.liquid_density",
        "camp/steam.steam_density", "camp/fuel/vapour.antoine_bar",
        "camp/fuel/spirit.ethanol_water_density",
    ),
    "Cooking and soaking": (
        "camp/cooking.thermal_time_factor", "camp/soaking/minutes.arrhenius_time_factor",
        "camp/soaking/peleg.peleg_moisture", "camp/soaking/weibull.weibull_fraction",
        "camp/soaking/sphere.sphere_fraction",
    ),
    "Energy of walking": (
        "walk/energy/lcda_backpacking.lcda_backpacking_w_per_kg",
        "walk/energy/lcda_backpacking.speed_term", "walk/energy/lcda_backpacking.grade_term",
        "walk/energy/lcda_backpacking.load_factor", "walk/energy/lcda_graded.lcda_graded_w_per_kg",
        "walk/energy/pandolf.pandolf_w", "walk/energy/santee.downhill_w",
        "walk/energy/minetti.minetti_j_per_kg_m", "walk/energy/minetti.herzog_j_per_kg_m",
        "walk/energy/ludlow_weyand.ludlow_weyand_ml_per_kg_min",
        "walk/energy/acsm.acsm_ml_per_kg_min",
        "walk/terrain.footprint_snow_eta", "walk/terrain.density_snow_eta",
        "walk/terrain.sinkage_cm",
    ),
    "Energy of a day at rest": (
        "walk/resting/mifflin.mifflin_kcal", "walk/resting/henry.henry_kcal",
        "walk/resting/roza_shizgal.roza_shizgal_kcal", "walk/resting/eer.nasem_kcal",
        "walk/resting/eer.iom_kcal", "walk/ration.club_energy_kj",
    ),
    "Pace": (
        "walk/pace/campbell.campbell_m_s", "walk/pace/tobler.tobler_km_h",
        "walk/pace/naismith.naismith_hours", "walk/pace/naismith.naismith_climb_as_distance_hours",
        "walk/pace/langmuir.langmuir_s_per_m", "walk/pace/swiss.swiss_min_per_km",
        "walk/pace/signposts.din_33466_hours", "walk/pace/signposts.sac_hours",
    ),
    "Water in food, and keeping": (
        "safety/sorption.gab", "safety/sorption.bet", "safety/sorption.salwin_slawson",
        "safety/shelf.q10_factor",
    ),
}  # fmt: skip
KEY = re.compile(r"\[((?:[A-Z][A-Z0-9]*(?:-[A-Z0-9.]+)+|SR28|FOODKEEPER))[\] (,]")
#: 'Mifflin, St Jeor, Hill & Koh 1990', 'Looney et al. (2022)', 'Tobler 1993'.
CITED = re.compile(
    r"\b((?:van den |van der )?[A-Z][a-zA-Zéüö]+(?:-[A-Z][a-z]+)?)"
    r"((?:, (?:[A-Z][a-z] )?[A-Z][a-zA-Zé]+)*)"
    r"((?:,? (?:and|&) (?:[A-Z]\. )?[A-Z][a-zA-Zé]+)?)( et al\.?| and others)?,? \(?"
    r"((?:18|19|20)\d\d)\b"
)
NO_AUTHOR = set(
    "In Of STATUS January February March April May June July August September October November "
    "December Table EU No Regulation CFR FALCPA FASTER Act Annex Edition Since Release Compendium "
    "Atmosphere Formulation Leadership Food Standard Reference FoodKeeper Guidelines From".split()
)

HEAD = """# Formulas, tables and rules, and where each comes from

Made by `python data/make/formulas.py` from the source: what a formula gives, where it holds and
who published it stand in its docstring; the equation is the code's own, with constants put in
(`x ** y` is x to the power of y); what it is checked with are the tests that name it or the door
that calls it. [The bibliography](bibliography.md) gives each source in full and says how well it
was seen. A formula stands in one place only. *Not stated* means that the papers as we saw them
name no range: no range is made up here.

"""
RULES_HEAD = """## Rules of safety

`error` and `caution` are the heaviest that a rule says; one that finds less says it more mildly.
That no rule fired is no verdict on the food. What each looks at in the code bears its name in
`safety/rules` and `safety/trip/rules`.

| rule | severity | fires on | source |
|---|---|---|---|
"""
TABLES_HEAD = """## Tables, constants and methods

| where | what | source |
|---|---|---|
"""


def page() -> str:
    """The whole page."""
    names = authors()
    parts = [HEAD]
    for heading, places in FORMULAS.items():
        parts.append(
            f"## {heading}\n\n| what it gives | equation | holds for | source | code, and "
            "checked in |\n|---|---|---|---|---|\n"
        )
        parts += [formula_row(place, names) for place in places]
        parts.append("\n")
    parts.append(RULES_HEAD)
    parts += rule_rows(names)
    parts += ["\n", TABLES_HEAD]
    known = {place for places in FORMULAS.values() for place in places}
    known |= {place.rsplit(".", 1)[0] for place in known}  # their files say the same once more
    for room in ROOMS:
        for path in sorted((SOURCE / room).rglob("*.py")):
            parts += [row for place, row in table_rows(path, names) if place not in known]
    return "".join(parts).rstrip() + "\n"


# -- sources --------------------------------------------------------------------------------


def authors() -> dict[str, str]:
    """Key of the bibliography → 'Minetti et al. 2002'; the key itself where no authors stand."""
    text = (ROOT / "docs/bibliography.md").read_text("utf-8")
    told: dict[str, str] = {}
    for key, what in re.findall(r"^\| \[([^\]]+)\] \| (.*?) \|", text, re.M):
        one = r"(?:[Vv]an den )?[A-Z][\w-]+(?: [A-Z][a-z]\w+)? [A-Z]{1,3}"
        found = re.match(rf"({one}(?:, {one})*)( et al)?\.", what)
        year = re.search(r"-(1[89]\d\d|20\d\d)", key)  # in the words a page may look like one
        if not found or not year:
            told[key] = key
            continue
        people = [each.rsplit(" ", 1)[0] for each in found[1].split(", ")]
        if found[2] or len(people) > 2:
            told[key] = f"{people[0]} et al. {year[1]}"
        else:
            told[key] = f"{' & '.join(people)} {year[1]}"
    return told


def sources(words: str, names: dict[str, str]) -> list[str]:
    """Who is cited: by key where one stands, then by first author and year."""
    keys = list(dict.fromkeys(KEY.findall(words)))
    told = [key if names.get(key, key) == key else f"{names[key]} [{key}]" for key in keys]
    if told:
        return told
    for first, more, last, others, year in CITED.findall(words):
        if first in NO_AUTHOR:
            continue
        many = bool(more or others)
        name = f"{first} et al. {year}" if many else f"{first}{last.replace(' and ', ' & ')} {year}"
        if name not in told:
            told.append(name)
    return told


# -- formulas -------------------------------------------------------------------------------


def formula_row(place: str, names: dict[str, str]) -> str:
    """One row: what, equation, range, source, place and checks."""
    file, name = place.rsplit(".", 1)
    tree = ast.parse((SOURCE / f"{file}.py").read_text("utf-8"))
    node = next(n for n in tree.body if isinstance(n, ast.FunctionDef) and n.name == name)
    words = ast.get_docstring(node) or ""
    what = plain(words.split("\n\n")[0])
    checks = checked(file, name, tree)
    cells = (
        what, equation(node, tree), holds(words, tree), "; ".join(sources(words, names)),
        f"`{place}`; {', '.join(f'`{one}`' for one in checks) or 'no test names it'}",
    )  # fmt: skip
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |\n"


def plain(words: str) -> str:
    """A docstring's words as a cell: no marks of its markup, no keys, one line."""
    words = re.sub(r":\w+:`~?(?:[\w.]*\.)?(\w+)`", r"`\1`", " ".join(words.split()))
    words = KEY.sub(lambda found: "" if found[0].endswith("]") else found[0], words)
    words = words.replace("``", "`").replace("[]", "")
    words = re.sub(r"\s+([.,;:)])", r"\1", words).replace("( ", "(").replace("()", "")
    words = re.sub(r"([;,]) ?,", r"\1", words).replace(" .", ".")
    return " ".join(words.split()).strip(" ;,")


def holds(words: str, tree: ast.Module) -> str:
    """The docstring's sentence that begins with 'Valid', or the RANGE of its file."""
    found = re.search(r"\bValid ((?:[^.]|\.(?=\d))+)\.", " ".join(words.split()))
    if found:
        said = re.sub(r"[;,]?\s*not checked here[^)]*", "", found[1])
        return plain(re.sub(r"\s*\(\s*\)", "", said))
    for node in tree.body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "RANGE":
            assert isinstance(node.value, ast.Call)
            given = {one.arg: one.value for one in node.value.keywords}
            units = {"speed_m_s": "speed {} m/s", "grade": "grade {}", "load_kg": "load {} kg",
                     "load_share": "load over body {}"}  # fmt: skip
            told = []
            for key, said in units.items():
                if key in given:
                    low, high = eval(ast.unparse(given[key]), {"__builtins__": {}})
                    told.append(
                        "no load" if (key, high) == ("load_kg", 0)
                        else said.format(f"{low:.3g} to {high:.3g}")
                    )  # fmt: skip
            return "; ".join(told)
    return "not stated"


class _Put(ast.NodeTransformer):
    """Constants of the file in place of their names; no 'np.'; no 'float(…)' about it all."""

    def __init__(self, constants: dict[str, str]) -> None:
        self.constants = constants
        self.left: dict[str, str] = {}

    def visit_Name(self, node: ast.Name) -> ast.AST:
        value = self.constants.get(node.id)
        if value is None:
            return node
        if len(value) < 20:
            return ast.parse(value, mode="eval").body
        self.left[node.id.strip("_")] = value
        return ast.Name(id=node.id.strip("_"), ctx=node.ctx)

    def visit_Attribute(self, node: ast.Attribute) -> ast.AST:
        self.generic_visit(node)
        if ast.unparse(node.value) in ("np", "math", "np.polynomial.polynomial", "polynomial"):
            return ast.Name(id=node.attr, ctx=node.ctx)
        return node

    def visit_Call(self, node: ast.Call) -> ast.AST:
        self.generic_visit(node)
        if ast.unparse(node.func) in ("float", "asarray") and node.args:
            return node.args[0]
        return node


def equation(node: ast.FunctionDef, tree: ast.Module) -> str:
    """The lines of a bare formula as code, one after the other, with its file's constants."""
    constants = {}
    for one in tree.body:
        if isinstance(one, ast.Assign | ast.AnnAssign) and one.value is not None:
            target = one.targets[0] if isinstance(one, ast.Assign) else one.target
            if isinstance(target, ast.Name):
                try:
                    ast.literal_eval(one.value)
                except ValueError:
                    if not re.fullmatch(
                        r"((np|math)\.\w+\(?|\w+\(|[\d\s./*(),+e-])+", ast.unparse(one.value)
                    ):
                        continue
                constants[target.id] = ast.unparse(one.value)
    put = _Put(constants)
    helpers = {one.name: one for one in tree.body if isinstance(one, ast.FunctionDef)}
    lines = [line for line in _lines(node.body[1:], put) if line]
    for one in dict.fromkeys(re.findall(r"\b(_\w+)\(", " ".join(lines))):
        inner = "; ".join(_lines(helpers[one].body, put)).split(" = ", 1)[-1]
        lines.append(
            f"{one.strip('_')}({', '.join(a.arg for a in helpers[one].args.args)}): {inner}"
        )
    lines = [re.sub(r"\b_(\w+)\(", r"\1(", line) for line in lines]
    lines = [re.sub(r"\b(\w+) >= [\d.]+ and (?=\1 >= )", "", line) for line in lines]
    told = {name: re.sub(r"^float\((.*)\)$", r"\1", value) for name, value in put.left.items()}
    with_ = [f"with `{name} = {value.replace('np.', '')}`" for name, value in told.items()]
    return "<br>".join([*(f"`{line}`" for line in lines), *with_])


def _lines(body: list[ast.stmt], put: _Put, when: str = "") -> Iterator[str]:
    """Statement by statement; ``when`` holds under which conditions."""
    for one in body:
        lead = f"if {when}: " if when else ""
        if isinstance(one, ast.Return) and one.value is not None:
            yield lead + re.sub(r"\s+", " ", ast.unparse(put.visit(one.value)))
        elif isinstance(one, ast.Assign):
            name, value = re.sub(r"\s+", " ", ast.unparse(put.visit(one))).split(" = ", 1)
            if name != value:
                yield f"{lead}{name} = {value}"
        elif isinstance(one, ast.If):
            if any(isinstance(inner, ast.Raise) for inner in one.body):
                continue  # the door's refusal
            test = ast.unparse(put.visit(one.test))
            both = f"{when} and " if when else ""
            other = f"not {test}" if " " not in test else _turned(test)
            yield from _lines(one.body, put, both + test)
            yield from _lines(one.orelse, put, both + other)
            if isinstance(one.body[-1], ast.Return | ast.If) and not one.orelse:
                when = both + other  # what follows is for the others
        elif isinstance(one, ast.For):
            inside = "; ".join(_lines(one.body, put))
            head = f"for {ast.unparse(one.target)} in {ast.unparse(put.visit(one.iter))}"
            yield f"{lead}{head}: {inside}"


def _turned(test: str) -> str:
    """'A >= 18' for 'A < 18'."""
    for one, other in ((" < ", " >= "), (" == ", " != ")):
        if one in test:
            return test.replace(one, other)
    return f"not ({test})"


_TESTS: dict[str, str] = {}


def checked(file: str, name: str, tree: ast.Module) -> list[str]:
    """Files of tests that name the formula, or a public function of its file that calls it.

    Tables that the docstring names come first.
    """
    node = next(n for n in tree.body if isinstance(n, ast.FunctionDef) and n.name == name)
    tables = re.findall(r"tests/reference/[\w.-]+\.csv", ast.get_docstring(node) or "")
    if not _TESTS:
        for path in sorted((ROOT / "tests").rglob("*.py")):
            _TESTS[path.relative_to(ROOT).as_posix()] = path.read_text("utf-8")
    found = [path for path, text in _TESTS.items() if re.search(rf"\b{name}\b", text)]
    if found:
        return [*tables, *found[:3]]
    module = "fellfare." + file.replace("/", ".")
    doors = [
        n.name for n in tree.body
        if isinstance(n, ast.FunctionDef) and n.name != name
        and re.search(rf"\b{name}\b", ast.unparse(n))
    ]  # fmt: skip
    package, leaf = module.rsplit(".", 1)
    return tables + [
        path for path, text in _TESTS.items()
        if any(re.search(rf"\b{door}\b", text) for door in doors)
        and (module in text or re.search(rf"from {re.escape(package)} import [^#]*\b{leaf}\b", text)
             or any(len(door) > 14 and f"import {door}" in text for door in doors))
    ][:3]  # fmt: skip


# -- rules and tables -----------------------------------------------------------------------


def rule_rows(names: dict[str, str]) -> Iterator[str]:
    """Every rule of the registries, by room and then in the order of the source."""
    for folder in ("safety/rules", "safety/trip/rules"):
        for path in sorted((SOURCE / folder).rglob("*.py")):
            tree = ast.parse(path.read_text("utf-8"))
            constants = {
                ast.unparse(one.targets[0] if isinstance(one, ast.Assign) else one.target):
                ast.literal_eval(one.value)
                for one in tree.body
                if isinstance(one, ast.Assign | ast.AnnAssign)
                and isinstance(one.value, ast.Constant)
            }  # fmt: skip
            for node in tree.body:
                for mark in getattr(node, "decorator_list", ()):
                    if isinstance(mark, ast.Call) and ast.unparse(mark.func) == "rule":
                        rule, severity, source, meaning = (
                            _said(one, constants) for one in mark.args
                        )
                        cells = (f"`{rule}`", severity, meaning, " ".join(source.split()))
                        yield "| " + " | ".join(c.replace("|", "\\|") for c in cells) + " |\n"


def _said(node: ast.expr, constants: dict[str, object]) -> str:
    if isinstance(node, ast.Name):
        return str(constants[node.id])
    if isinstance(node, ast.JoinedStr):
        return "".join(
            str(part.value) if isinstance(part, ast.Constant)
            else _said(part.value, constants) if isinstance(part, ast.FormattedValue) else ""
            for part in node.values
        )  # fmt: skip
    if isinstance(node, ast.BinOp):
        return _said(node.left, constants) + _said(node.right, constants)
    return str(ast.literal_eval(node))


def table_rows(path: Path, names: dict[str, str]) -> Iterator[tuple[str, str]]:
    """(place, row) of what else cites a source: modules, constants, methods; no rules."""
    text = path.read_text("utf-8")
    tree = ast.parse(text)
    place = path.relative_to(SOURCE).with_suffix("").as_posix()
    lines = text.split("\n")
    yield from _table_row(place, ast.get_docstring(tree) or "", names)
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            if any("rule(" in ast.unparse(mark) for mark in node.decorator_list):
                continue
            words, name = ast.get_docstring(node) or "", node.name
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            target = node.targets[0] if isinstance(node, ast.Assign) else node.target
            if not isinstance(target, ast.Name):
                continue
            words, name = _above(lines, node.lineno), target.id
        else:
            continue
        if not name.startswith("_"):
            yield from _table_row(f"{place}.{name}", words, names)


def _table_row(where: str, words: str, names: dict[str, str]) -> Iterator[tuple[str, str]]:
    words = re.split(r"\n(?:Parameters|Examples|Raises|Returns)\n-", words)[0]
    cited = sources(words, names)
    if cited:
        what = plain(words.strip().split("\n\n")[0])
        if len(what) > 160:
            what = what[:157].rsplit(" ", 1)[0] + " …"
        cells = (f"`{where}`", what, "; ".join(cited))
        yield where, "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |\n"


def _above(lines: list[str], number: int) -> str:
    """The '#:' lines right above a line (counted from 1)."""
    found = []
    at = number - 2
    while at >= 0 and lines[at].startswith("#:"):
        found.append(lines[at][2:].strip())
        at -= 1
    return "\n".join(reversed(found))


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
