"""Every ``fellfare …`` example of the pages is understood; those of the reference pages run.

An example is a line of an indented block, or what stands in backquotes.  Words in capitals (FILE,
TRIP) stand for something, so only the command and its options are asked of those.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from fellfare.cli.main import fellfare
from fellfare.files.demo_documents import DEMO

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
PAGES = sorted(path for path in (*DOCS.rglob("*.md"), ROOT / "README.md"))
#: Reference pages whose examples are run, one after the other in one folder.
RUN = ("camp", "publishing", "papers", "learn", "menu", "provision", "robust", "basket", "bulk")

TRIP = """title = "Five days"
recipes = ["recipes"]
[walk]
fire = "none"
start_hour = 12
end_hour = 14
""" + "".join(
    f'[[stage]]\ndistance_m = 9000\nascent_m = 200\ncamp = "Camp {day}"\ncamp_m = 400\n'
    for day in range(1, 6)
) + """[[walker]]
name = "Rowan"
sex = "male"
age_y = 35
height_cm = 178
mass_kg = 75
base_pack_kg = 8
[[kitchen]]
walkers = ["Rowan"]
stove = "gas-screened"
fuel = "gas"
pot_material = "titanium"
pot_g = 145
pot_ml = 1300
[[stop]]
name = "Moss box"
kind = "box"
day = 5
at_m = 3000
"""  # fmt: skip


def blocks(text: str) -> Iterator[str]:
    """Indented and fenced command lines, with those that go on put together, comments cut."""
    text = re.sub(r"\\\n\s*", "", text)
    for line in re.findall(r"^(?: {4})?(?:\S*/)?(fellfare [a-z].*)$", text, re.M):
        yield re.sub(r"\s{1,}#.*$", "", line).strip()


def quoted(text: str) -> Iterator[str]:
    yield from re.findall(r"`(fellfare [a-z][^`]*)`", re.sub(r"\s*\n\s*", " ", text))


def words_of(line: str) -> list[str]:
    """The words before a pipe or a redirection."""
    return shlex.split(re.split(r"\s(?:[|<>]|2>|&&)", line)[0])[1:]


def command_of(words: list[str]) -> tuple[click.Command, list[str]]:
    """The command that the words name, and what is left of them."""
    found: click.Command = fellfare
    rest = list(words)
    while isinstance(found, click.Group) and rest and re.fullmatch(r"[a-z][a-z-]*", rest[0]):
        with click.Context(found) as context:
            inner = found.get_command(context, rest[0])
        assert inner is not None, f"no command {rest[0]!r}"
        found, rest = inner, rest[1:]
    return found, rest


EXAMPLES = sorted(
    {
        (path.relative_to(ROOT).as_posix(), line)
        for path in PAGES
        for line in (*blocks(path.read_text("utf-8")), *quoted(path.read_text("utf-8")))
    }
)


def test_examples_are_found() -> None:
    assert len(EXAMPLES) > 100
    assert {f"docs/{name}.md" for name in RUN} <= {page for page, _ in EXAMPLES}


@pytest.mark.parametrize(("page", "line"), EXAMPLES)
def test_every_example_names_a_command_and_options_that_are_there(page: str, line: str) -> None:
    command, rest = command_of(words_of(line))
    known = {
        name
        for param in command.params
        if isinstance(param, click.Option)
        for name in (*param.opts, *param.secondary_opts)
    } | {"--help", "-h", "--version"}
    named = [word.partition("=")[0] for word in rest if re.match(r"--?[a-z]", word)]
    assert set(named) <= known, f"{page}: {line}"
    placeholder = re.search(r"\b[A-Z]{2,}\b|…|\.\.\.", line)
    if not placeholder and any(not word.startswith("-") for word in rest):
        with command.make_context("example", list(rest)):
            pass  # each option has the value that it takes, and no argument is wanting


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The files that the examples name, out of the demo's invented recipes."""
    made = tmp_path_factory.mktemp("examples")
    (made / "recipes").mkdir()
    for path in sorted((DEMO / "recipes").glob("*.toml")):
        # Short names: not every name has room on the smallest label, and that is said elsewhere.
        text = re.sub(r'^(title = "(?:[^" ]+ ?){1,3})[^"]*"', r'\1"', path.read_text("utf-8"))
        (made / "recipes" / path.name).write_text(text.replace(' "\n', '"\n', 1), "utf-8")
    (made / "foods").mkdir()
    for path in sorted((DEMO / "foods").glob("*.toml")):
        (made / "foods" / path.name).write_bytes(path.read_bytes())
    for name, source in {"porridge": "maple-farina-pecan", "soup": "smoky-bean-rice-pot"}.items():
        (made / f"{name}.toml").write_bytes((DEMO / f"recipes/{source}.toml").read_bytes())
    (made / "trip.toml").write_text(TRIP, "utf-8")
    soup = (DEMO / "recipes/smoky-bean-rice-pot.toml").read_text("utf-8")
    (made / "recipes/bulgur.toml").write_text(soup, "utf-8")
    page = (
        CliRunner()
        .invoke(
            fellfare,
            ["publish", str(made / "soup.toml"), "--as", "json-ld"],
            catch_exceptions=False,
        )
        .stdout
    )
    (made / "recipe.jsonld").write_text(page, "utf-8")
    html = f'<html><script type="application/ld+json">{page}</script></html>'
    (made / "saved-page.html").write_text(html, "utf-8")
    (made / "kiosk.csv").write_text(kiosk(), "utf-8")
    return made


def kiosk() -> str:
    """The list that the page of the basket shows."""
    text = (DOCS / "basket.md").read_text("utf-8")
    found = re.search(r"((?:^ {4}[^\n]*,[^\n]*\n){2,})", text, re.M)
    assert found, "the page shows no list"
    return re.sub(r"^ {4}", "", found[1], flags=re.M)


@pytest.mark.parametrize("page", RUN)
def test_the_examples_of_a_reference_page_run(
    page: str, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder)
    text = (DOCS / f"{page}.md").read_text("utf-8")
    lines = [line for line in blocks(text) if not re.search(r"\bFILE\b|\bREC", line)]
    if page == "bulk":  # its document is the page's own
        own = re.search(r"((?:^(?: {4}[^\n]*)?\n)+)", text[text.index("    title") :], re.M)
        assert own
        (folder / "bulk.toml").write_text(re.sub(r"^ {4}", "", own[1], flags=re.M), "utf-8")
        lines = ["fellfare bulk bulk.toml"]
    assert lines
    for line in lines:
        words = words_of(line.replace(" TRIP", " trip.toml"))
        if "--seconds" not in words and words[0] == "menu":
            words += ["--seconds", "20"]
        result = CliRunner().invoke(fellfare, words)
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise AssertionError(f"{page}: {line}: {result.exception}") from result.exception
        assert result.exit_code in (0, 1), f"{page}: {line}\n{result.output[-1500:]}"
        into = re.search(r"> (\S+)", line)
        if into:
            (folder / into[1]).write_text(result.stdout, "utf-8")
        assert result.output or "--out" in words, line
