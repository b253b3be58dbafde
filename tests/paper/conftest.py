"""Independent eyes for the papers: poppler reads and renders, zbar decodes."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from fellfare.files.shipped import shipped_pantry
from fellfare.paper.grid import Grid
from fellfare.provision.bags.plan import bags_of
from fellfare.provision.cards.trail import TrailCard, trail_card
from fellfare.provision.label import BagLabel, KeepBy, Stated, labels
from fellfare.provision.planned import Planned, Share, in_order, planned_recipe
from fellfare.recipe.document import Bag, Line, Recipe, Step

Picture = NDArray[np.uint8]
Run = Callable[..., bytes]


@pytest.fixture(scope="session")
def run() -> Run:
    """Runs an outside tool; CI must have it, elsewhere the test is skipped without it."""

    def go(name: str, *arguments: str, given: bytes | None = None) -> bytes:
        if shutil.which(name) is None:
            if os.environ.get("CI"):
                pytest.fail(f"{name} is missing: install poppler-utils and zbar-tools")
            pytest.skip(f"{name} is not installed")
        done = subprocess.run([name, *arguments], input=given, capture_output=True, check=False)
        if done.returncode not in (0, 4):  # zbarimg says 4 when it finds no code
            pytest.fail(f"{name}: {done.stderr.decode(errors='replace')}")
        return done.stdout

    return go


@pytest.fixture
def text_of(run: Run, tmp_path: Path) -> Callable[[bytes], str]:
    """The words of a PDF, all white space alike."""

    def read(pdf: bytes) -> str:
        path = tmp_path / "read.pdf"
        path.write_bytes(pdf)
        text = run("pdftotext", "-raw", str(path), "-").decode("utf-8")
        return " ".join(text.replace("\u200b", "").replace("\u202f", " ").split())

    return read


@pytest.fixture
def told_of(run: Run, tmp_path: Path) -> Callable[[bytes], dict[str, str]]:
    """What pdfinfo says."""

    def read(pdf: bytes) -> dict[str, str]:
        path = tmp_path / "info.pdf"
        path.write_bytes(pdf)
        lines = run("pdfinfo", str(path)).decode("utf-8").splitlines()
        return {key.strip(): value.strip() for key, _, value in (ln.partition(":") for ln in lines)}

    return read


@pytest.fixture
def pages_of(run: Run, tmp_path: Path) -> Callable[..., list[Picture]]:
    """Each page as grey pixels, 255 = white."""

    def render(pdf: bytes, dpi: int = 100, last: int | None = None) -> list[Picture]:
        path = tmp_path / "render.pdf"
        path.write_bytes(pdf)
        for old in tmp_path.glob("page-*.pgm"):
            old.unlink()
        ends = ("-l", str(last)) if last else ()
        run("pdftoppm", "-gray", "-r", str(dpi), *ends, str(path), str(tmp_path / "page"))
        return [_pgm(found.read_bytes()) for found in sorted(tmp_path.glob("page-*.pgm"))]

    return render


def _pgm(data: bytes) -> Picture:
    kind, width, height, most, rest = data.split(maxsplit=4)
    assert (kind, most) == (b"P5", b"255")
    size = int(width) * int(height)
    return np.frombuffer(rest[-size:], dtype=np.uint8).reshape(int(height), int(width))


@pytest.fixture
def codes_of(run: Run, tmp_path: Path) -> Callable[[Picture], list[str]]:
    """What zbar reads in a picture that holds one QR code; [] for none."""

    def decode(picture: Picture) -> list[str]:
        path = tmp_path / "cell.pgm"
        height, width = picture.shape
        path.write_bytes(b"P5 %d %d 255\n" % (width, height) + picture.tobytes())
        # Not --xml: zbar 0.23 garbles every byte above 127 there.
        out = run("zbarimg", "--quiet", "--raw", "-Sdisable", "-Sqrcode.enable", str(path))
        return [out.decode("utf-8").removesuffix("\n")] if out else []

    return decode


def cells_of(picture: Picture, grid: Grid, dpi: int, inset_mm: float = 0.0) -> list[Picture]:
    """The labels' boxes cut out of a page, row by row; ``inset_mm`` > 0 cuts inside the box."""
    found = []
    for row in range(grid.rows):
        for column in range(grid.columns):
            x = grid.margin_left_mm + column * (grid.width_mm + grid.gap_across_mm)
            y = grid.margin_top_mm + row * (grid.height_mm + grid.gap_down_mm)
            left, top = (round((at + inset_mm) * dpi / 25.4) for at in (x, y))
            right = round((x + grid.width_mm - inset_mm) * dpi / 25.4)
            bottom = round((y + grid.height_mm - inset_mm) * dpi / 25.4)
            found.append(picture[top:bottom, left:right])
    return found


def blanked(picture: Picture, grid: Grid, dpi: int, inset_mm: float) -> Picture:
    """The page with the inner part of each label's box painted white."""
    rest = picture.copy()
    for row in range(grid.rows):
        for column in range(grid.columns):
            x = grid.margin_left_mm + column * (grid.width_mm + grid.gap_across_mm) + inset_mm
            y = grid.margin_top_mm + row * (grid.height_mm + grid.gap_down_mm) + inset_mm
            left, top = (round(at * dpi / 25.4) for at in (x, y))
            right = round((x + grid.width_mm - 2 * inset_mm) * dpi / 25.4)
            bottom = round((y + grid.height_mm - 2 * inset_mm) * dpi / 25.4)
            rest[top:bottom, left:right] = 255
    return rest


def a_label(**changed: object) -> BagLabel:
    """One plain label; any field may be given another value."""
    fields: dict[str, object] = {
        "number": 1,
        "count": 1,
        "dish": "Barley broth",
        "bag": "broth",
        "day": 3,
        "eat_on": None,
        "time": "dinner",
        "eaters": ("Ada",),
        "for_all": False,
        "servings": 1.0,
        "stop": "",
        "net": None,
        "mass_unknown": (),
        "contents": (),
        "steps": (),
        "joins": "",
        "add_ins": (),
        "allergens": Stated(contains=("barley",), may_contain=(), unknown=()),
        "not_for": (),
        "packed_on": None,
        "keeps": KeepBy(until=None, days=None, food="", unknown=()),
        "advice": (),
    }
    return BagLabel(**{**fields, **changed})  # type: ignore[arg-type]


def a_recipe(**changed: object) -> Recipe:
    """A soup with nuts of its own bag; any field may be given another value."""
    fields: dict[str, object] = {
        "title": "Lentil soup",
        "serves": 2,
        "meals": ("dinner",),
        "lines": (
            Line(food="red-lentils", amount="120 g", bag="pot"),
            Line(food="salt", amount="2 g", bag="pot"),
            Line(food="walnut", amount="40 g", bag="nuts", note="chopped"),
        ),
        "bags": (Bag(name="pot"), Bag(name="nuts")),
        "steps": (
            Step(act="boil", bags=("pot",), water="600 ml", minutes=15.0),
            Step(act="serve", bags=("nuts",)),
        ),
    }
    return Recipe(**{**fields, **changed})  # type: ignore[arg-type]


def a_plan(*recipes: Recipe, days: Sequence[int] = (1,)) -> tuple[Planned, ...]:
    """The recipes on each of the days, for Ada (who avoids tree nuts) and Bo."""
    eaters = (Share(name="Ada", avoids=("tree-nut",)), Share(name="Bo"))
    plan: list[Planned] = []
    for recipe in recipes:
        plan += planned_recipe(recipe, shipped_pantry(), eaters, days=days)
    return in_order(plan)


def labels_of(plan: Sequence[Planned]) -> tuple[BagLabel, ...]:
    """Their labels, with dates."""
    return labels(
        plan, bags_of(plan), first_day=date(2031, 5, 1), packed_on=date(2031, 4, 20), storage_c=25.0
    )


def card_of(plan: Sequence[Planned], title: str = "Round") -> TrailCard:
    """Their trail card."""
    return trail_card(
        plan,
        bags_of(plan),
        title=title,
        first_day=date(2031, 5, 1),
        notes={1: ("Fire ban: no flame today.",)},
    )


class Our:
    """What the tests of this room make and measure with (a fixture hands it out)."""

    label = staticmethod(a_label)
    recipe = staticmethod(a_recipe)
    plan = staticmethod(a_plan)
    labels = staticmethod(labels_of)
    card = staticmethod(card_of)
    cells = staticmethod(cells_of)
    blanked = staticmethod(blanked)

    @staticmethod
    def lean(count: int) -> list[BagLabel]:
        """Short labels, one for each number."""
        return [a_label(number=number, count=count) for number in range(1, count + 1)]


@pytest.fixture(scope="session")
def our() -> type[Our]:
    """See :class:`Our`."""
    return Our
