"""Two edits become one text where they do not touch, and a question where they do.

``git merge-file`` is the outside judge: what it puts together without a conflict, we put
together to the same text; where it sees a conflict, so do we.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fellfare.book import Agreed, Conflict, compare_texts, merge
from fellfare.book.difference import MOST_LINES, lines_of, stretches

BASE = "title\n\nbulgur 90 g\npepper 12 g\n\nsoak 60 min\n"

TEXTS = st.lists(st.sampled_from(["a\n", "b\n", "c\n", "\n", "d"]), max_size=12).map("".join)


def test_edits_apart_are_both_taken() -> None:
    merged = merge(BASE, BASE.replace("90", "100"), BASE.replace("60", "45"))
    assert merged.conflicts == ()
    assert merged.text == BASE.replace("90", "100").replace("60", "45")


def test_edits_of_one_line_are_a_question() -> None:
    merged = merge(BASE, BASE.replace("90", "100"), BASE.replace("90", "80"))
    assert merged.conflicts == (
        Conflict(base="bulgur 90 g\n", mine="bulgur 100 g\n", theirs="bulgur 80 g\n"),
    )
    assert merged.chosen(["mine"]) == BASE.replace("90", "100")
    assert merged.chosen(["theirs"]) == BASE.replace("90", "80")
    both = BASE.replace("bulgur 90 g\n", "bulgur 100 g\nbulgur 80 g\n")
    assert merged.chosen(["both"]) == both
    # Whoever keeps the text unread finds both sides in it, and the marks.
    assert [line for line in merged.text.splitlines() if line.startswith("#")] != []
    assert "100 g" in merged.text
    assert "80 g" in merged.text


def test_deleted_here_and_changed_there_is_a_question() -> None:
    merged = merge(BASE, BASE.replace("pepper 12 g\n", ""), BASE.replace("12 g", "15 g"))
    (conflict,) = merged.conflicts
    assert (conflict.mine, conflict.theirs) == ("", "pepper 15 g\n")


def test_a_missing_line_end_at_the_end_runs_into_nothing() -> None:
    merged = merge("a\nb", "a\nc", "a\nd")
    assert merged.chosen(["both"]) == "a\nc\nd"
    assert merged.text.splitlines()[2] == "c"


def test_one_choice_for_each_conflict() -> None:
    merged = merge("a\n", "b\n", "c\n")
    with pytest.raises(StopIteration):
        merged.chosen([])
    with pytest.raises(TypeError):
        merged.chosen(["mine", "mine"])


@given(TEXTS, TEXTS)
def test_who_did_nothing_changes_nothing(base: str, edited: str) -> None:
    for merged in (
        merge(base, edited, base),
        merge(base, base, edited),
        merge(base, edited, edited),
    ):
        assert merged.pieces in ((Agreed(text=edited),), ())
        assert merged.text == edited


@given(TEXTS, TEXTS, TEXTS)
def test_no_side_loses_a_line_and_the_sides_are_alike(base: str, mine: str, theirs: str) -> None:
    merged, turned = merge(base, mine, theirs), merge(base, theirs, mine)
    assert [(one.mine, one.theirs) for one in merged.conflicts] == [
        (one.theirs, one.mine) for one in turned.conflicts
    ]
    if merged.conflicts:
        count = len(merged.conflicts)
        assert merged.chosen(["mine"] * count) == turned.chosen(["theirs"] * count)
        assert merged.text != mine
        assert merged.text != theirs


def edits() -> st.SearchStrategy[list[str]]:
    """For each line of a base of ten unlike lines: kept, dropped, changed, or one put behind."""
    return st.lists(st.sampled_from("kkkkkdci"), min_size=10, max_size=10)


def edited(how: list[str], who: str) -> str:
    lines = []
    for number, step in enumerate(how):
        if step in "ki":
            lines.append(f"line {number}\n")
        if step in "ci":
            lines.append(f"{who} {number}\n")
    return "".join(lines)


@pytest.mark.skipif(shutil.which("git") is None, reason="git is the judge here")
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(edits(), edits())
def test_git_puts_the_same_texts_together(
    tmp_path: Path, left: list[str], right: list[str]
) -> None:
    base, mine, theirs = edited(["k"] * 10, ""), edited(left, "mine"), edited(right, "theirs")
    for name, text in (("base", base), ("mine", mine), ("theirs", theirs)):
        (tmp_path / name).write_bytes(text.encode())
    done = subprocess.run(
        ["git", "merge-file", "-p", "mine", "base", "theirs"],
        cwd=tmp_path, capture_output=True, text=True, check=False,
    )  # fmt: skip
    merged = merge(base, mine, theirs)
    assert done.returncode >= 0
    assert (done.returncode == 0) == (merged.conflicts == ())
    if not merged.conflicts:
        assert merged.text == done.stdout


# -- comparing ----------------------------------------------------------------------------


@given(TEXTS, TEXTS, st.integers(0, 3))
def test_a_comparison_holds_both_texts(a: str, b: str, context: int) -> None:
    groups = compare_texts(a, b, context)
    if a == b:
        assert groups == ()
        return
    lines = [line for group in groups for line in group]
    first, second = lines_of(a), lines_of(b)
    for line in lines:
        if line.number_a is not None:
            assert first[line.number_a - 1] == line.text
        if line.number_b is not None:
            assert second[line.number_b - 1] == line.text
    # Whatever is not shown is alike.
    shown_a = {line.number_a for line in lines}
    shown_b = {line.number_b for line in lines}
    left = [text for number, text in enumerate(first, 1) if number not in shown_a]
    assert left == [text for number, text in enumerate(second, 1) if number not in shown_b]


def test_a_comparison_reads_like_a_unified_one() -> None:
    a = "".join(f"{n}\n" for n in range(1, 21))
    b = a.replace("3\n", "three\n", 1).replace("20\n", "")
    groups = compare_texts(a, b, context=1)
    told = [[f"{line.sign}{line.text.strip()}" for line in group] for group in groups]
    assert told == [[" 2", "-3", "+three", " 4"], [" 19", "-20"]]


def test_two_long_tracks_that_share_nothing_take_no_minutes() -> None:
    a = [f"{n}\n" for n in range(MOST_LINES)]
    b = [f"x{n % 7}\n" for n in range(MOST_LINES)]
    assert stretches(["1\n", *a], ["1\n", *b]) == [
        ("equal", 0, 1, 0, 1),
        ("replace", 1, MOST_LINES + 1, 1, MOST_LINES + 1),
    ]


def test_odd_line_ends_stay_inside_their_line() -> None:
    assert lines_of("a\x0bb\u2028c\rd\ne") == ["a\x0bb\u2028c\rd\n", "e"]
    assert lines_of("") == []
