"""The site builds without a warning, every page is in it, and every example runs."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
#: Pages whose ``sh`` blocks are run one after another in an empty folder.
RUN = (
    "start/tutorial.md", "how/author.md", "how/solo.md", "how/long-distance.md", "how/leader.md",
    "how/outfitter.md",
)  # fmt: skip


def test_the_site_is_built_without_a_warning(tmp_path: Path) -> None:
    words = [sys.executable, "-m", "sphinx", "-q", "-W", "--keep-going", "-b", "html"]
    done = subprocess.run(
        [*words, "-d", str(tmp_path / "trees"), str(DOCS), str(tmp_path / "site")],
        capture_output=True, text=True, check=False, timeout=300,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    pages = {path.relative_to(DOCS).with_suffix("") for path in DOCS.rglob("*.md")}
    built = {
        path.relative_to(tmp_path / "site").with_suffix("")
        for path in (tmp_path / "site").rglob("*.html")
    }
    assert pages <= built
    # It reads without the network: no page loads anything from elsewhere.
    for path in (tmp_path / "site").rglob("*.html"):
        for address in re.findall(r'(?:src|href)="(https?:[^"]+)"', path.read_text("utf-8")):
            assert not address.endswith((".js", ".css", ".woff2")), (path.name, address)


def test_every_page_stands_in_a_toctree() -> None:
    told: set[Path] = {Path("index")}
    for path in DOCS.rglob("*.md"):
        for tree in re.findall(r"```\{toctree\}\n(.*?)```", path.read_text("utf-8"), re.S):
            here = path.relative_to(DOCS).parent
            rows = [row.strip() for row in tree.split("\n") if row.strip()[:1] not in ("", ":")]
            for row in rows:
                found = [one.relative_to(DOCS) for one in (DOCS / here).glob(f"{row}.md")]
                assert found, f"{path}: no page {row}"
                told |= {one.with_suffix("") for one in found}
    pages = {path.relative_to(DOCS).with_suffix("") for path in DOCS.rglob("*.md")}
    assert pages - told == set()
    assert {page for page in pages if page.parts[0] == "explain"} <= told


def test_the_page_of_formulas_is_fresh() -> None:
    done = subprocess.run(
        [sys.executable, str(ROOT / "data/make/formulas.py"), "--check"], check=False,
        capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("page", RUN)
def test_every_example_runs(page: str, tmp_path: Path) -> None:
    blocks = re.findall(r"^```sh\n(.*?)^```", (DOCS / page).read_text("utf-8"), re.M | re.S)
    assert blocks
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    for block in blocks:
        done = subprocess.run(
            ["bash", "-e", "-o", "pipefail", "-c", block], cwd=tmp_path, capture_output=True,
            text=True, check=False, timeout=300, env={**os.environ, "PATH": path},
        )  # fmt: skip
        assert done.returncode == 0, f"{page}:\n{block}\n{done.stdout[-2000:]}\n{done.stderr}"
