"""Label sheets: in their boxes, decodable, complete, the same bytes; or refused in clear words."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from fellfare.mistake import Mistake
from fellfare.paper.grid import COMMON, Grid, read_grid
from fellfare.paper.labels import EDGE_MM, INSET_MM, labels_pdf
from fellfare.paper.press import PAGES, Size
from fellfare.provision.label import BagLabel, Measure, Stated

Picture = NDArray[np.uint8]
Pages = Callable[..., list[Picture]]
Codes = Callable[[Picture], list[str]]
Text = Callable[[bytes], str]


@pytest.fixture(scope="module")
def made(our: Any) -> tuple[BagLabel, ...]:
    found: tuple[BagLabel, ...] = our.labels(our.plan(our.recipe(), days=(1, 2, 3, 4, 5)))
    return found


@pytest.mark.parametrize(("size", "grid"), [("a4", "2x4"), ("letter", "2x5"), ("a4", "3x7")])
def test_every_code_on_the_sheet_gives_back_its_label(
    our: Any, size: Size, grid: str, made: tuple[BagLabel, ...], pages_of: Pages, codes_of: Codes
) -> None:
    # zbar is the independent decoder; 300 dpi is a common office printer.
    cells = read_grid(grid, size)
    some = made if grid != "3x7" else our.lean(21)
    pages = pages_of(labels_pdf(some, cells), dpi=300)
    pictures = [cell for page in pages for cell in our.cells(page, cells, 300)]
    found = [codes_of(picture) for picture in pictures[: len(some)]]
    assert found == [[label.payload] for label in some]
    assert all(not codes_of(picture) for picture in pictures[len(some) :])


@pytest.mark.parametrize("grid", COMMON, ids=lambda grid: f"{grid.size}, {grid.said}")
def test_no_ink_outside_the_inner_box_of_a_label(our: Any, grid: Grid, pages_of: Pages) -> None:
    small = grid.height_mm < 30
    pdf = labels_pdf(our.lean(grid.cells), grid, code="never" if small else "always")
    (page,) = pages_of(pdf, dpi=150)
    # Half a millimetre less than the border that the house promises, for anti-aliasing.
    outside = our.blanked(page, grid, 150, INSET_MM - 0.5)
    assert outside.min() == 255
    assert all(cell.min() < 128 for cell in our.cells(page, grid, 150))


def test_the_edge_of_the_sheet_stays_white(our: Any, pages_of: Pages) -> None:
    # A grid without any margin, as when plain paper is cut into even parts.
    grid = read_grid("2x6", "a4")
    (page,) = pages_of(labels_pdf(our.lean(12), grid), dpi=150)
    edge = round((EDGE_MM - 0.5) * 150 / 25.4)
    inner = page.copy()
    inner[edge:-edge, edge:-edge] = 255
    # Right and bottom keep the inset of the labels, like left and top.
    assert inner[:, :edge].min() == 255
    assert inner[:edge].min() == 255
    assert inner[:, -edge:].min() == 255
    assert inner[-edge:].min() == 255


def test_long_text_shrinks_and_stays_in_its_box(our: Any, pages_of: Pages, text_of: Text) -> None:
    grid = read_grid("2x4", "a4")
    name = "Slow barley broth with roots " * 8
    pdf = labels_pdf([our.label(dish=name.strip())] * 8, grid)
    (page,) = pages_of(pdf, dpi=150)
    assert our.blanked(page, grid, 150, INSET_MM - 0.5).min() == 255
    assert text_of(pdf).count("Slow barley broth") == 8 * 8


NAMES = pytest.mark.parametrize(
    "name", ["x" * 400, "long name " * 40], ids=["one word", "many words"]
)


@NAMES
def test_a_name_of_400_letters_is_drawn_whole(
    our: Any, name: str, pages_of: Pages, text_of: Text
) -> None:
    grid = read_grid("2x4", "a4")
    pdf = labels_pdf([our.label(dish=name)] * 8, grid)
    (page,) = pages_of(pdf, dpi=100)
    assert our.blanked(page, grid, 100, INSET_MM - 0.5).min() == 255
    letters = text_of(pdf).replace(" ", "").replace("-", "")
    assert letters.count(name.replace(" ", "")) == 8


@NAMES
def test_a_name_of_400_letters_is_refused_where_it_has_no_room(our: Any, name: str) -> None:
    with pytest.raises(Mistake, match="name takes most of the room") as caught:
        labels_pdf([our.label(dish=name)], read_grid("3x8", "a4"))
    assert caught.value.code == "no-room"
    assert caught.value.where.startswith("label 1 of 1")


@pytest.mark.parametrize("field", ["dish", "bag", "time", "joins"])
def test_a_wide_word_that_may_not_be_broken_makes_the_text_smaller(
    our: Any, field: str, pages_of: Pages
) -> None:
    # 18 letters, too few to be broken: about 100 mm wide in the largest type.
    grid = read_grid("3x7", "a4")
    for code in ("always", "never"):
        labels = [our.label(**{field: "W" * 18})] * 21
        (page,) = pages_of(labels_pdf(labels, grid, code=code), dpi=100)
        assert our.blanked(page, grid, 100, INSET_MM - 0.5).min() == 255


def test_what_has_no_room_is_refused_with_label_and_field(our: Any) -> None:
    labels = [
        *our.lean(4),
        our.label(number=5, count=5, dish="Stew", not_for=("Ada: nuts " * 120,)),
    ]
    with pytest.raises(Mistake, match="not for takes most") as caught:
        labels_pdf(labels, read_grid("3x8", "a4"))
    assert caught.value.code == "no-room"
    assert caught.value.where == "label 5 of 5 (Day 3 dinner, Stew)"


def test_a_code_without_room_is_left_off_only_when_that_is_asked(
    our: Any, pages_of: Pages, codes_of: Codes, text_of: Text
) -> None:
    grid = read_grid("3x8", "a4")
    labels = [our.label(), our.label(not_for=("Ada: nuts " * 40,))]
    pdf = labels_pdf(labels, grid, code="if-room")
    (page,) = pages_of(pdf, dpi=300)
    first, second, *_ = our.cells(page, grid, 300)
    assert (codes_of(first), codes_of(second)) == ([labels[0].payload], [])
    assert text_of(pdf).count("Ada: nuts") == 40
    assert "label 1 of" not in text_of(pdf)
    assert our.blanked(page, grid, 300, INSET_MM - 0.5).min() == 255


def test_what_has_no_room_on_one_label_goes_on_over_the_next(
    our: Any, pages_of: Pages, codes_of: Codes, text_of: Text
) -> None:
    grid = read_grid("3x8", "a4")
    long = our.label(number=2, count=3, dish="Stew", not_for=("Ada: nuts " * 40,))
    labels = [our.label(number=1, count=3), long, our.label(number=3, count=3)]
    pdf = labels_pdf(labels, grid)
    (page,) = pages_of(pdf, dpi=300)
    cells = our.cells(page, grid, 300)
    inked = [bool((cell < 128).any()) for cell in cells]
    pieces = sum(inked) - 2
    text = text_of(pdf)
    assert pieces >= 2
    assert inked[: pieces + 2] == [True] * (pieces + 2)  # none of them is left blank
    assert text.count("Ada: nuts") == 40
    assert all(f"abel {at} of {pieces}" in text for at in range(1, pieces + 1))
    assert text.count("Bag 2 of 3, Stew") == pieces - 1
    codes = [code for cell in cells for code in codes_of(cell)]
    assert codes == [one.payload for one in labels]
    assert our.blanked(page, grid, 300, INSET_MM - 0.5).min() == 255


def test_text_that_is_code_elsewhere_is_printed_as_it_stands(our: Any, text_of: Text) -> None:
    odd = "#panic(1) $x$ *b* _i_ `c` <script>alert(1)</script> \\n @a [b] // c \\u{41} {{d}} %e"
    pdf = labels_pdf([our.label(dish=odd)], read_grid("2x4", "a4"))
    # A word of more than 22 letters may be broken anywhere, so the blanks do not count.
    assert odd.replace(" ", "") in text_of(pdf).replace(" ", "")


def test_names_in_other_scripts_are_printed(
    our: Any, text_of: Text, codes_of: Codes, pages_of: Pages
) -> None:
    names = ("Борщ с фасолью", "Φασολάδα", "Żurek à l’œuf Šárka ő", "شوربة عدس", "שקשוקה", "दाल")
    grid = read_grid("2x4", "a4")
    labels = [our.label(dish=name, number=n, count=6) for n, name in enumerate(names, 1)]
    pdf = labels_pdf(labels, grid)
    text = text_of(pdf)
    assert all(name in text for name in names[:3])
    # Poppler gives back right-to-left text in presentation order; its letters must be there.
    assert any("\u0600" <= char <= "\u06ff" or "\ufe70" <= char <= "\ufeff" for char in text)
    (page,) = pages_of(pdf, dpi=300)
    cells = our.cells(page, grid, 300)
    assert [codes_of(cell) for cell in cells[:6]] == [[label.payload] for label in labels]


@pytest.mark.parametrize(("name", "code"), [("Stew 🌶", "U+1F336"), ("味噌汁", "U+5473")])
def test_a_letter_without_glyph_is_named_not_boxed(our: Any, name: str, code: str) -> None:
    with pytest.raises(Mistake, match=re.escape(code)) as caught:
        labels_pdf([*our.lean(3), our.label(dish=name)], read_grid("2x4", "a4"))
    assert caught.value.code == "no-glyph"
    assert caught.value.where == f"label 1 of 1 (Day 3 dinner, {name}) > ‘{name}’"


def test_fractions_and_signs_are_real_glyphs(our: Any, text_of: Text) -> None:
    signs = "½ ⅓ ¼ ⅛ ⅔ ¾ ° × ☐ – ’ é"
    assert signs in text_of(labels_pdf([our.label(dish=signs)], read_grid("2x4", "a4")))


def test_control_characters_do_no_harm(our: Any, text_of: Text) -> None:
    odd = "A\x00B\x1b[31mC\u202eD\ud800E"
    text = text_of(labels_pdf([our.label(dish=odd)], read_grid("2x4", "a4")))
    assert "A B [31mC" in text


def test_no_water_is_not_printed_as_zero(our: Any, text_of: Text) -> None:
    zero = Measure(value=0.0, metric="0 ml", metric_household="0 ml", us="0 ml")
    step = our.labels(our.plan(our.recipe()))[0].steps[0]
    dry = type(step)(
        act="mix", said="stir in", text="", water=None, water_unknown=False,
        minutes=None, most_minutes=None, minutes_trust=step.minutes_trust,
    )  # fmt: skip
    plain = text_of(labels_pdf([our.label(steps=(dry,))], read_grid("2x4", "a4")))
    assert "Stir in" in plain
    assert "ml" not in plain
    told = type(step)(
        act="mix", said="stir in", text="", water=zero, water_unknown=False,
        minutes=0.0, most_minutes=None, minutes_trust=step.minutes_trust,
    )  # fmt: skip
    assert "0 ml (0 ml)" in text_of(labels_pdf([our.label(steps=(told,))], read_grid("2x4", "a4")))


def test_a_label_says_who_when_how_much_how_long_and_what_to_mind(
    made: tuple[BagLabel, ...], text_of: Text
) -> None:
    text = text_of(labels_pdf(made[:2], read_grid("2x4", "a4")))
    for word in (
        "Day 1 · dinner", "for all", "Lentil soup", "600 ml (2½ cups) · 15 min",
        "Contains: walnut", "NOT FOR Ada", "Eat Thu 1 May 2031", "Packed 20 Apr 2031",
        "bag 1 of 10",
    ):  # fmt: skip
        assert word in text, word


def test_the_same_labels_are_the_same_bytes(made: tuple[BagLabel, ...]) -> None:
    grid = read_grid("2x5", "letter")
    assert labels_pdf(made, grid) == labels_pdf(made, grid)


def test_used_cells_are_left_blank(our: Any, pages_of: Pages) -> None:
    grid = read_grid("2x4", "a4")
    first, second = pages_of(labels_pdf(our.lean(6), grid, skip=3), dpi=100)
    inked = [bool((cell < 128).any()) for cell in our.cells(first, grid, 100)]
    assert inked == [False] * 3 + [True] * 5
    assert sum(bool((cell < 128).any()) for cell in our.cells(second, grid, 100)) == 1


def test_the_outline_lies_on_the_edge_of_the_label(our: Any, pages_of: Pages) -> None:
    grid = read_grid("2x4", "a4")
    (page,) = pages_of(labels_pdf(our.lean(1), grid, outline=True), dpi=150)
    at = round(grid.margin_left_mm * 150 / 25.4)
    row = round((grid.margin_top_mm + grid.height_mm / 2) * 150 / 25.4)
    assert np.min(page[row, at - 3 : at + 4]) < 255


def test_three_thousand_labels_fill_their_pages(
    our: Any,
    told_of: Callable[[bytes], dict[str, str]],
) -> None:
    grid = read_grid("3x8", "a4")
    pdf = labels_pdf(our.lean(3000), grid, code="never")
    assert told_of(pdf)["Pages"] == str(3000 // grid.cells)


@pytest.mark.parametrize(
    ("count", "skip", "code"),
    [(0, 0, "no-labels"), (1, 8, "skip-out-of-range"), (1, -1, "skip-out-of-range")],
)
def test_what_makes_no_sheet_is_refused(our: Any, count: int, skip: int, code: str) -> None:
    with pytest.raises(Mistake) as caught:
        labels_pdf(our.lean(count), read_grid("2x4", "a4"), skip=skip)
    assert caught.value.code == code


def test_too_much_text_for_any_code_is_refused(our: Any) -> None:
    with pytest.raises(Mistake) as caught:
        labels_pdf([our.label(joins="nuts " * 800)], read_grid("1x1", "a4"))
    assert caught.value.code == "code-too-long"
    assert "--code if-room" in caught.value.mend


def test_a_label_too_long_for_a_code_has_none_where_codes_are_only_for_room(
    our: Any, pages_of: Callable[..., list[Picture]], codes_of: Callable[[Picture], list[str]]
) -> None:
    names = tuple(f"{letter} {'long name of a walker ' * 18}" for letter in "ABCDEF")
    grid = read_grid("1x2", "a4")
    made = [our.label(eaters=names, number=1, count=2), our.label(number=2, count=2)]
    (page,) = pages_of(labels_pdf(made, grid, code="if-room"), dpi=200)
    first, second = (codes_of(cell) for cell in our.cells(page, grid, 200))
    assert first == []
    assert len(second) == 1


def test_a_page_has_the_size_that_was_asked(
    our: Any,
    told_of: Callable[[bytes], dict[str, str]],
) -> None:
    # ISO 216 A4 is 210 × 297 mm, US Letter 8.5 × 11 in; a point is 1/72 in.
    points_of: dict[Size, str] = {"a4": "595.276 x 841.89 pts", "letter": "612 x 792 pts"}
    for size, points in points_of.items():
        told = told_of(labels_pdf(our.lean(1), read_grid(None, size)))
        assert told["Page size"].startswith(points)
        assert told["Tagged"] == "yes"
    assert PAGES["letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))


def test_accents_and_tails_stay_inside_too(our: Any, pages_of: Pages) -> None:
    grid = read_grid("3x7", "a4")
    label = our.label(dish="ẤỒẾ ŢŖĢ", time="ẤẾỒ", allergens=Stated(
        contains=("ģģjjyyggqqpp",), may_contain=(), unknown=()))  # fmt: skip
    for code in ("always", "never"):
        (page,) = pages_of(labels_pdf([label] * 21, grid, code=code), dpi=200)
        assert our.blanked(page, grid, 200, INSET_MM - 0.3).min() == 255
