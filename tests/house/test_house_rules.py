"""Rules of the house that no other tool checks: words, docstrings, the page of mistakes."""

from __future__ import annotations

import ast
import importlib.util
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src" / "fellfare"
CORE = ("mistake", "measure", "pantry", "recipe", "walk", "camp", "trip", "safety")

#: A word of this house must not promise that food harms nobody; 'no rule fired' is all we say.
VERDICT = re.compile(r"(?<!fail-)\bsafe(?:ly)?\b", re.I)
#: Literals that hold the word for a reason: (file, whole literal).
NO_VERDICT = {("files/publish/diets.py", "safe")}  # a word that the publisher looks for


def _maker() -> ModuleType:
    path = ROOT / "data" / "make" / "mistakes.py"
    spec = importlib.util.spec_from_file_location("make_mistakes", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["make_mistakes"] = module
    spec.loader.exec_module(module)
    return module


MISTAKES = _maker()
RAISED = MISTAKES.raised()
LISTED = MISTAKES.listed()


def sources(*rooms: str) -> Iterator[tuple[str, ast.Module]]:
    for path in sorted(SOURCE.rglob("*.py")):
        name = path.relative_to(SOURCE).as_posix()
        if not rooms or name.split("/")[0] in rooms:
            yield name, ast.parse(path.read_text(encoding="utf-8"))


def docstrings(tree: ast.Module) -> set[int]:
    """Identities of the nodes that are docstrings."""
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef)) and node.body:
            first = node.body[0]
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                found.add(id(first.value))
    return found


def committed() -> list[Path]:
    """Text files under version control; all of the tree's own where there is none."""
    done = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    names = done.stdout.splitlines()
    if not names:
        kinds = ("src/**/*.py", "tests/**/*.py", "data/**/*", "docs/**/*.md", "*.md", "*.toml")
        return sorted(path for kind in kinds for path in ROOT.glob(kind) if path.is_file())
    return [ROOT / name for name in names if (ROOT / name).is_file()]


# -- the page of mistakes ------------------------------------------------------------------


def test_every_code_in_the_source_stands_on_the_page_of_mistakes() -> None:
    missing = RAISED.keys() - LISTED.keys()
    assert sorted(missing) == [], "run: python data/make/mistakes.py"


def test_every_code_on_the_page_of_mistakes_is_raised_somewhere() -> None:
    gone = LISTED.keys() - RAISED.keys()
    assert sorted(gone) == [], "run: python data/make/mistakes.py"


def test_every_code_is_explained_and_mended() -> None:
    assert len(LISTED) >= 150
    assert [code for code, (meaning, mend) in LISTED.items() if not (meaning and mend)] == []


@pytest.mark.parametrize(
    "code",
    # Seen in other tests as they come to the user; each is raised in another way.
    ["unknown-food", "number-ambiguous", "serves-out-of-range", "air-out-of-range", "gpx-not-gpx"],
)
def test_the_scan_finds_codes_however_they_are_raised(code: str) -> None:
    assert code in RAISED


# -- words ------------------------------------------------------------------------------------


def test_no_text_of_ours_gives_a_verdict_that_food_is_harmless() -> None:
    found = []
    for name, tree in sources():
        prose = docstrings(tree)  # addressed to us, not to the eater
        for node in ast.walk(tree):
            text = node.value if isinstance(node, ast.Constant) else None
            if not isinstance(text, str) or id(node) in prose or (name, text) in NO_VERDICT:
                continue
            if VERDICT.search(text):
                found.append(f"{name}: {text[:70]!r}")
    assert found == []


@pytest.mark.parametrize(
    ("text", "is_verdict"),
    [
        ("This dish is safe.", True),
        ("It can be eaten safely", True),
        ("unsafe at any heat", False),
        ("a fail-safe valve", False),
        ("food safety rules", False),
        ("no rule fired", False),
    ],
)
def test_the_word_is_known_when_it_is_seen(text: str, is_verdict: bool) -> None:
    assert bool(VERDICT.search(text)) == is_verdict


def test_no_shipped_recipe_or_food_gives_such_a_verdict() -> None:
    shipped = [*SOURCE.rglob("*.toml"), *SOURCE.rglob("*.jsonl")]
    assert shipped
    for path in shipped:
        for number, row in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            assert not VERDICT.search(row), f"{path.name}:{number}"


#: Paths of one machine, hosts of package registries, and papers that are not in the repository.
#: Written in pieces, so that this file does not hold them itself.
FOREIGN = re.compile(
    "|".join([
        r"(?<![\w.])/(?:work|ho" + r"me|ro" + r"ot|tmp)/\w",
        r"py" + r"pi\.org", r"python" + r"hosted\.org", r"npm" + r"js\.(?:com|org)",
        r"anaconda" + r"\.org", r"crates" + r"\.io", r"proxy" + r"\.golang",
        r"\bsha" + r"red/sources\b",
    ])
)  # fmt: skip


#: One of these stands in whatever FOREIGN could match.
SCENT = (
    "/wo" + "rk/",
    "/tmp/",
    "/ho" + "me/",
    "/ro" + "ot/",
    ".org",
    ".io",
    ".com",
    "golang",
    "shared/",
)


def test_no_committed_file_names_a_machine_or_a_registry() -> None:
    found = []
    for path in committed():
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue  # a picture, or a file that is bad on purpose
        name = path.relative_to(ROOT)
        if any(word in text for word in SCENT):  # a quick look first: the tables are long
            found += [f"{name}: {match.group()}" for match in FOREIGN.finditer(text)]
    assert found == []


# -- docstrings -----------------------------------------------------------------------------------


def undocumented() -> Iterator[str]:
    """Public functions and classes of the core without a docstring.

    A rule of the safety room says its meaning in its decorator.
    """
    for name, tree in sources(*CORE):
        if tree.body and ast.get_docstring(tree) is None:
            yield f"{name}: the module"
        for node in tree.body:
            if not isinstance(node, (ast.FunctionDef, ast.ClassDef)) or node.name.startswith("_"):
                continue
            rule = any(
                isinstance(one, ast.Call)
                and isinstance(one.func, ast.Name)
                and one.func.id == "rule"
                for one in node.decorator_list
            )
            if not rule and ast.get_docstring(node) is None:
                yield f"{name}: {node.name}"


def test_every_public_function_and_class_of_the_core_says_what_it_is() -> None:
    assert sorted(undocumented()) == []
