"""All style sheets are joined: no family of pages may lay its hand on another's names."""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path

import fellfare.web
from fellfare.web.assets import STYLES, assets

CSS = Path(fellfare.web.__file__).parent / "static" / "css"


def bare_names(path: Path) -> set[str]:
    """The classes that a sheet draws by themselves, whatever they stand in."""
    text = re.sub(r"/\*.*?\*/", "", path.read_text("utf-8"), flags=re.S)
    found = set()
    for selectors in re.findall(r"([^{}]+)\{", text):
        for selector in selectors.split(","):
            bare = re.fullmatch(r"\s*\.([\w-]+)(?::[\w-]+)*\s*", selector)
            if bare is not None:
                found.add(bare[1])
    return found


def test_no_two_families_share_a_bare_name() -> None:
    shared = set().union(*(bare_names(CSS / name) for name in STYLES))
    families = {path.name: bare_names(path) - shared for path in sorted(CSS.glob("*.css"))
                if path.name not in STYLES}  # fmt: skip
    assert len(families) >= 4
    for one, other in combinations(families, 2):
        assert families[one] & families[other] == set(), (one, other)


def test_colours_stand_in_the_tokens_only() -> None:
    for path in CSS.glob("*.css"):
        if path.name == "tokens.css":
            continue
        text = re.sub(r"@media print \{.*", "", path.read_text("utf-8"), flags=re.S)
        assert re.findall(r"#[0-9a-fA-F]{3,8}\b|rgba?\(|hsla?\(", text) == [], path.name


def test_the_sheet_fetches_nothing() -> None:
    assert b"url(" not in assets()["fellfare.css"].data
    assert b"@import" not in assets()["fellfare.css"].data


def led_by(path: Path) -> dict[str, str]:
    """Class that opens a selector by itself and reaches plain elements below it → the selector."""
    text = re.sub(r"/\*.*?\*/", "", path.read_text("utf-8"), flags=re.S)
    found = {}
    for selectors in re.findall(r"([^{}]+)\{", text):
        for selector in selectors.split(","):
            led = re.fullmatch(r"\s*\.([\w-]+)(?: >)? [a-z0-9]+(?::[\w-]+)*\s*", selector)
            if led is not None:
                found[led[1]] = selector.strip()
    return found


def test_no_family_draws_the_elements_below_anothers_name() -> None:
    """'.entry input' of one sheet once widened every tick box of three other forms."""
    pages = CSS.parent.parent / "templates"
    known = set().union(*(bare_names(CSS / name) for name in STYLES))
    worn = {
        folder.name: {
            name
            for path in folder.glob("*.html")
            for names in re.findall(r'class="([^"{]*)', path.read_text("utf-8"))
            for name in names.split()
        }
        for folder in pages.iterdir()
        if folder.is_dir()
    }
    family = {"kitchen": {"kitchen", "trail", "after", "compose", "season"},
              "trips": {"trips", "menus"}, "menus": {"trips", "menus"},
              "season": {"season", "kitchen"}}  # fmt: skip
    wrong = [
        (path.name, selector, folder)
        for path in sorted(CSS.glob("*.css"))
        if path.name not in STYLES
        for name, selector in led_by(path).items()
        for folder, names in worn.items()
        if name in names - known and folder not in family.get(path.stem, {path.stem})
    ]
    assert not wrong, "\n".join(map(str, wrong))
