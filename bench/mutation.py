"""How many small faults do the tests of the core notice?  A random sample, by hand.

    python bench/mutation.py [--sample 40] [--seed 0] [--rooms measure safety ...]

One fault at a time is put into a copy of the source (a comparison turned, a sign, a number, a
'not', 'and' for 'or', a branch that is never taken), and the tests of that room are run until
one fails.  The unchanged copy is run first and must pass.  Printed: noticed of tried, by room,
with the 80 % interval of the share (Wilson), and every fault that nobody noticed.
"""

from __future__ import annotations

import argparse
import ast
import shutil
import subprocess
import sys
import tempfile
import time
from math import sqrt
from pathlib import Path
from random import Random

HERE = Path(__file__).resolve().parents[1]
ROOMS = ("mistake", "measure", "pantry", "recipe", "camp", "walk", "trip", "safety", "menu",
         "provision", "learn")  # fmt: skip
#: Where the tests of a room lie, when not under its own name alone.
TESTS = {
    "mistake": ["tests/measure", "tests/files"],
    "pantry": ["tests/pantry", "tests/recipe"],
    "trip": ["tests/trip", "tests/files/test_trip_document.py"],
}
TURNED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
SWAPPED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
}  # fmt: skip


class Spot:
    """One place of one file, and what is done there."""

    def __init__(self, file: Path, node: ast.AST, what: str) -> None:
        self.file, self.node, self.what = file, node, what


def spots(file: Path) -> list[Spot]:
    """Every place of a file where a fault can be put; docstrings and hints are no such place."""
    tree = ast.parse(file.read_text("utf-8"))
    hints = {
        id(below)
        for node in ast.walk(tree)
        for hint in (
            getattr(node, "annotation", None),
            getattr(node, "returns", None),
            *(
                word.value
                for word in getattr(node, "keywords", ())
                if isinstance(node, ast.ClassDef)
            ),
        )
        if hint is not None
        for below in ast.walk(hint)
    }
    found = []
    for node in ast.walk(tree):
        if id(node) in hints:
            continue
        if isinstance(node, ast.Compare) and type(node.ops[0]) in TURNED:
            found.append(Spot(file, node, "comparison"))
        elif isinstance(node, ast.BinOp) and type(node.op) in SWAPPED:
            if not any(isinstance(side, ast.Constant | ast.JoinedStr) and isinstance(
                getattr(side, "value", ""), str) for side in (node.left, node.right)):  # fmt: skip
                found.append(Spot(file, node, "operator"))
        elif isinstance(node, ast.BoolOp):
            found.append(Spot(file, node, "and/or"))
        elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
            found.append(Spot(file, node, "sign"))
        elif isinstance(node, ast.Constant) and type(node.value) in (int, float, bool):
            found.append(Spot(file, node, "number"))
        elif isinstance(node, ast.If | ast.IfExp):
            found.append(Spot(file, node, "branch"))
    return found


def faulty(spot: Spot) -> str:
    """The text of the file with the fault in it."""
    text = spot.file.read_text("utf-8")
    node = spot.node
    old = ast.get_source_segment(text, node if not isinstance(node, ast.If) else node.test)
    assert old is not None
    new = ast.unparse(changed(node))
    start = node.test if isinstance(node, ast.If) else node
    lines = text.splitlines(keepends=True)
    assert isinstance(start, ast.expr)
    before = "".join(lines[: start.lineno - 1])
    line = lines[start.lineno - 1].encode()
    head = before + line[: start.col_offset].decode()
    return head + f"({new})" + text[len(head) + len(old) :]


def changed(node: ast.AST) -> ast.AST:
    """The node with the fault; of an ``if`` only its test."""
    if isinstance(node, ast.Compare):
        return ast.Compare(
            node.left, [TURNED[type(node.ops[0])](), *node.ops[1:]], node.comparators
        )
    if isinstance(node, ast.BinOp):
        return ast.BinOp(node.left, SWAPPED[type(node.op)](), node.right)
    if isinstance(node, ast.BoolOp):
        return ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)
    if isinstance(node, ast.UnaryOp):
        return node.operand
    if isinstance(node, ast.Constant):
        value = node.value
        assert isinstance(value, int | float)
        if isinstance(value, bool):
            return ast.Constant(not value)
        return ast.Constant(value + 1 if isinstance(value, int) else value * 1.1 + 0.01)
    if isinstance(node, ast.IfExp):
        return node.orelse
    assert isinstance(node, ast.If)
    return ast.Constant(False)


def run(room: str, source: Path, most_s: float) -> str:
    """'passed', 'failed' or 'too long' for the tests of a room over a copy of the source."""
    tests = TESTS.get(room, [f"tests/{room}"])
    words = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", "-p",
             "no:randomly", "-o", f"pythonpath={source} .", *tests]  # fmt: skip
    try:
        done = subprocess.run(
            words, cwd=HERE, timeout=most_s, check=False, capture_output=True, text=True
        )
    except subprocess.TimeoutExpired:
        return "too long"
    return "passed" if done.returncode == 0 else "failed"


def wilson(hit: int, tried: int, z: float = 1.2816) -> tuple[float, float]:
    """Interval of a share (Wilson 1927), 80 % by default."""
    share, spread = hit / tried, z * z / tried
    middle = (share + spread / 2) / (1 + spread)
    half = z * sqrt(share * (1 - share) / tried + spread / (4 * tried)) / (1 + spread)
    return middle - half, middle + half


def main() -> None:
    """Sample, run, report."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--sample", type=int, default=40, help="faults for each room")
    words.add_argument("--seed", type=int, default=0)
    words.add_argument("--rooms", nargs="+", choices=ROOMS, default=list(ROOMS))
    asked = words.parse_args()
    totals = [0, 0]
    with tempfile.TemporaryDirectory() as name:
        source = Path(name) / "src"
        shutil.copytree(HERE / "src", source, ignore=shutil.ignore_patterns("__pycache__"))
        for room in asked.rooms:
            began = time.monotonic()
            if run(room, source, 1200.0) != "passed":
                print(f"{room}: the tests do not pass unchanged; left out")
                continue
            usual = time.monotonic() - began
            files = sorted((source / "fellfare" / room).rglob("*.py"))
            every = [spot for file in files for spot in spots(file)]
            chosen = Random(asked.seed).sample(every, min(asked.sample, len(every)))
            noticed = 0
            for spot in chosen:
                whole = spot.file.read_text("utf-8")
                spot.file.write_text(faulty(spot), "utf-8")
                try:
                    fate = run(room, source, 4 * usual + 30)
                finally:
                    spot.file.write_text(whole, "utf-8")
                if fate != "passed":
                    noticed += 1
                else:
                    at = getattr(spot.node, "lineno", 0)
                    line = whole.splitlines()[at - 1].strip()
                    print(
                        f"  not noticed: {spot.file.relative_to(source)}:{at} {spot.what}: {line}"
                    )
            low, high = wilson(noticed, len(chosen))
            print(f"{room}: {noticed} of {len(chosen)} noticed ({low:.0%} to {high:.0%}), "
                  f"{len(every)} places, one run {usual:.0f} s", flush=True)  # fmt: skip
            totals[0] += noticed
            totals[1] += len(chosen)
    if totals[1]:
        low, high = wilson(*totals)
        print(f"all: {totals[0]} of {totals[1]} noticed, {totals[0] / totals[1]:.0%} "
              f"({low:.0%} to {high:.0%})")  # fmt: skip


if __name__ == "__main__":
    main()
