"""Every source key in the code stands in the bibliography, and none stands there idle."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
KEY = re.compile(r"\[([A-Z][A-Z0-9]*(?:-[A-Z0-9.]+)+|SR28|FOODKEEPER)[ \](,]")


def keys_in(folder: Path) -> set[str]:
    texts = (path.read_text("utf-8") for path in folder.rglob("*.py"))
    return {key for text in texts for key in KEY.findall(text)}


def test_every_key_is_explained() -> None:
    known = set(re.findall(r"^\| \[([^\]]+)\]", (ROOT / "docs/bibliography.md").read_text(), re.M))
    used = {key.rstrip(".") for key in keys_in(ROOT / "src")}
    assert used - known == set()


def test_no_entry_is_idle() -> None:
    known = set(re.findall(r"^\| \[([^\]]+)\]", (ROOT / "docs/bibliography.md").read_text(), re.M))
    everywhere = "".join(
        path.read_text("utf-8", errors="replace")
        for folder in ("src", "tests", "data")
        for path in (ROOT / folder).rglob("*")
        if path.suffix in {".py", ".csv", ".toml"} and path.name != "test_bibliography.py"
    )
    loose = {"SR28": "SR28", "FOODKEEPER": "FoodKeeper", "IFCT-2017": "IFCT 2017"}
    assert [key for key in sorted(known) if loose.get(key, key) not in everywhere] == []
