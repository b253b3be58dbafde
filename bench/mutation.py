"""How many small faults do the tests of the core notice?  A random sample, by hand.

    python bench/mutation.py [--sample 40] [--seed 0] [--rooms measure safety ...]

One fault at a time (bench/mutants.py) is put into a copy of the source, and the tests are run
until one fails: those of the room's own folder and then the stories, and of these, in the order
of their files' quickness, the ones that call the function with the fault.  A fault noticed by
none of them, outside of functions or in a function called while tests are gathered, is tried
once more with every test of both in a fresh interpreter.  After 40 s of tests no more files of
them are begun: the fault was not noticed.  A test that takes far more processor time than usual
has noticed.  The unchanged source is run first and must pass.

Printed: noticed of tried, by room, with the 80 % interval of the share (Wilson), and every fault
that nobody noticed.  What stands in bench/faults_without_effect.csv, with the reason, is told
apart and not counted.

Only one process works at a time: the tests are gathered once, and each fault gets a fork.
"""

from __future__ import annotations

import argparse
import ast
import csv
import gc
import importlib
import os
import pickle
import resource
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Generator, Iterable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from functools import _lru_cache_wrapper, partial
from math import sqrt
from pathlib import Path
from random import Random
from types import CodeType, FrameType, FunctionType
from typing import Any, TextIO

import pytest

HERE = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(HERE))

from bench.mutants import Fault, faults_of, with_fault  # noqa: E402

ROOMS = ("mistake", "measure", "pantry", "recipe", "walk", "camp", "trip", "safety", "provision",
         "learn", "menu")  # fmt: skip
#: Where the tests of a room lie, when not under its own name alone.
TESTS = {
    "mistake": ["tests/measure", "tests/files"],
    "pantry": ["tests/pantry", "tests/recipe/test_bounds_of_the_unknown.py"],
    "trip": ["tests/trip", "tests/files/test_trip_document.py"],
}
STORIES = "tests/stories"
#: Loaded once, before the forks; nothing of ours is among them.
LOADED = ("numpy", "highspy", "msgspec", "scipy.optimize", "sqlite3", "jinja2")
WITHOUT_EFFECT = Path(__file__).parent / "faults_without_effect.csv"
#: Processor time of tests after which a fault counts as not noticed [s]: no more files of tests
#: are begun.
ENOUGH_S = 40.0
#: The memory that a fault may take, in bytes.
MOST_BYTES = 6 << 30

#: A function of the source: file, name, first line.
Key = tuple[str, str, int]


def tests_of(room: str) -> list[str]:
    """The folders whose tests look at a room, its own first."""
    return [*TESTS.get(room, [f"tests/{room}"]), STORIES]


def quiet(source: Path) -> None:
    """The surroundings of every run: the copy of the source first, no output, the same laws."""
    os.environ.update(CI="1", PYTHONPATH=str(source), PYTHONDONTWRITEBYTECODE="1",
                      OPENBLAS_NUM_THREADS="1", OMP_NUM_THREADS="1")  # fmt: skip
    sys.dont_write_bytecode = True
    sys.path.insert(0, str(source))
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)


def asked_of_pytest(source: Path, tests: Iterable[str]) -> list[str]:
    """The words of one run of pytest."""
    return ["-q", "-x", "-p", "no:cacheprovider", "-p", "no:randomly", "-p", "no:xdist",
            "-o", f"pythonpath={source} .", *tests]  # fmt: skip


def apart(work: Callable[[], object], cpu_s: float) -> tuple[object, str]:
    """What a piece of work gives, done in a fork: (value, '') or (None, how it ended)."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read)
        status = 1
        try:
            signal.signal(signal.SIGXCPU, signal.SIG_DFL)
            used = int(time.process_time())  # a fork begins at naught, but its limit does not know
            limit = int(cpu_s) + used + 1
            resource.setrlimit(resource.RLIMIT_CPU, (limit, limit + 5))
            resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
            value = work()
            with os.fdopen(write, "wb") as out:
                pickle.dump(value, out)
            status = 0
        finally:
            os._exit(status)
    os.close(write)
    ends = time.monotonic() + 20 * cpu_s + 120
    with os.fdopen(read, "rb") as into:
        os.set_blocking(into.fileno(), False)
        parts: list[bytes] = []
        while True:
            part = into.read()
            if part == b"":
                break
            if part:
                parts.append(part)
            elif time.monotonic() > ends:
                os.kill(child, signal.SIGKILL)
                break
            else:
                time.sleep(0.005)
    _, how = os.waitpid(child, 0)
    if os.WIFSIGNALED(how):
        return None, "too long" if os.WTERMSIG(how) != signal.SIGSEGV else "crashed"
    if os.WEXITSTATUS(how) or not parts:
        return None, "broken"
    return pickle.loads(b"".join(parts)), ""


class Gathered:
    """A plugin: gathers the tests of a room, notes what each calls, then runs faults over them."""

    def __init__(
        self, own: str, source: Path, faults: list[tuple[str, Fault]], tell: Callable[[str], None]
    ) -> None:
        self.own, self.source, self.faults, self.tell = own, source, faults, tell
        self.called: set[CodeType] = set()
        self.wide: dict[str, set[CodeType]] = {}
        self.fates: list[str] = []

    def trace(self, frame: FrameType, event: str, arg: object) -> None:
        """Notes a call; follows no lines."""
        self.called.add(frame.f_code)

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(
        self, fixturedef: Any, request: Any
    ) -> Generator[None, object, object]:
        """What a fixture of a file calls counts for every test of that file."""
        if fixturedef.scope == "function":
            return (yield)
        outer, self.called = self.called, set()
        try:
            return (yield)
        finally:
            where = str(request.node.path) if fixturedef.scope in ("module", "class") else ""
            self.wide.setdefault(where, set()).update(self.called)
            self.called = outer

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Instead of running the tests: each fault over those that call its function."""
        sys.settrace(None)
        early = self.keys(self.called)
        began = time.process_time()
        noted, how = apart(lambda: self.note(session), 900.0)
        if how or noted is None:
            self.fates = [f"unchanged: {how or 'a test fails'}"]
            return True
        calls: list[tuple[float, set[Key]]] = noted  # type: ignore[assignment] # as pickled
        self.tell(f"gathered {len(session.items)} tests, "
                  f"{sum(cost for cost, _ in calls):.0f} s of them, "
                  f"{time.process_time() - began:.0f}")  # fmt: skip
        live: dict[Key, list[FunctionType]] = {}
        for one in gc.get_objects():
            if isinstance(one, FunctionType):
                for key in self.keys([one.__code__]):
                    live.setdefault(key, []).append(one)
        others = {
            item.path for item in session.items if "subprocess." in item.path.read_text("utf-8")
        }
        elsewhere = {
            item.path for item in session.items if f"/{self.own}/" not in item.path.as_posix()
        }
        for file, fault in self.faults:
            if fault.inside is None:
                self.fates.append("fresh")
                continue
            key = (file, *fault.inside)
            files: dict[Path, float] = {}
            for item, (cost, keys) in zip(session.items, calls, strict=True):
                if key in keys or item.path in others:
                    files[item.path] = files.get(item.path, 0.0) + cost
            chosen: list[tuple[pytest.Item, float]] = []
            for path in sorted(files, key=lambda path: (path in elsewhere, files[path])):
                chosen += [
                    (item, cost)
                    for item, (cost, keys) in zip(session.items, calls, strict=True)
                    if item.path == path and (key in keys or path in others)
                ]
                if sum(cost for _, cost in chosen) > ENOUGH_S:
                    break
            usual = sum(cost for _, cost in chosen)
            fate = "no test calls it"
            if chosen and key in live:
                path = self.source / file
                tree, _, _ = with_fault(path.read_text("utf-8"), fault)
                new = _code(compile(tree, str(path), "exec"), *fault.inside)
                tried = partial(self.try_out, session, new, [item for item, _ in chosen], live[key])
                with on_disk(path, fault):
                    told, how = apart(tried, 5 * usual + 15)
                fate = how or str(told)
            if fate in ("passed", "no test calls it"):
                fate = "fresh" if key in early else fate
                self.tell(f"{len(self.fates)}: {file}:{fault.line} {fault.kind} {fate}")
            self.fates.append(fate)
        return True

    def keys(self, codes: Iterable[CodeType]) -> set[Key]:
        """Of code objects those of the source, as file, name and first line."""
        root = str(self.source) + os.sep
        return {
            (code.co_filename[len(root) :], code.co_qualname, code.co_firstlineno)
            for code in codes
            if code.co_filename.startswith(root)
        }

    def note(self, session: pytest.Session) -> list[tuple[float, set[Key]]] | None:
        """Runs every test; for each its processor time and the functions that it calls."""
        caches = [one for one in gc.get_objects() if isinstance(one, _lru_cache_wrapper)]
        found = []
        items = session.items
        for at, item in enumerate(items):
            for cache in caches:
                cache.cache_clear()
            self.called = set()
            began = time.process_time()
            sys.settrace(self.trace)
            item.config.hook.pytest_runtest_protocol(
                item=item, nextitem=items[at + 1] if at + 1 < len(items) else None
            )
            sys.settrace(None)
            found.append((time.process_time() - began, self.keys(self.called)))
            if session.testsfailed:
                return None
        wide = {where: self.keys(codes) for where, codes in self.wide.items()}
        return [
            (cost, keys | wide.get("", set()) | wide.get(str(item.path), set()))
            for item, (cost, keys) in zip(items, found, strict=True)
        ]

    def try_out(
        self,
        session: pytest.Session,
        new: CodeType,
        items: list[pytest.Item],
        functions: list[FunctionType],
    ) -> str:
        """'failed' or 'passed', of some tests, with other code put into a living function."""
        for function in functions:
            function.__code__ = new
        for one in gc.get_objects():
            if isinstance(one, _lru_cache_wrapper):
                one.cache_clear()
        for at, item in enumerate(items):
            item.config.hook.pytest_runtest_protocol(
                item=item, nextitem=items[at + 1] if at + 1 < len(items) else None
            )
            if session.testsfailed:
                return "failed"
        return "passed"


def _code(whole: CodeType, name: str, line: int) -> CodeType:
    for one in whole.co_consts:
        if isinstance(one, CodeType):
            if (one.co_qualname, one.co_firstlineno) == (name, line):
                return one
            try:
                return _code(one, name, line)
            except LookupError:
                continue
    raise LookupError(name)


@contextmanager
def on_disk(path: Path, fault: Fault) -> Iterator[None]:
    """The file with the fault in it, for whatever loads it anew meanwhile."""
    whole, stamp = path.read_bytes(), path.stat()
    tree, _, _ = with_fault(whole.decode(), fault)
    path.write_text(ast.unparse(tree), "utf-8")
    try:
        yield
    finally:
        path.write_bytes(whole)
        os.utime(path, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))


def gathered(
    room: str, source: Path, faults: list[tuple[str, Fault]], tell: Callable[[str], None]
) -> list[str]:
    """The fate of each fault from one gathering of the tests; 'fresh' asks for a fresh run."""
    quiet(source)
    plugin = Gathered(room, source, faults, tell)
    sys.settrace(plugin.trace)
    pytest.main(asked_of_pytest(source, tests_of(room)), plugins=[plugin])
    loaded = sys.modules["fellfare"].__file__ or ""
    assert loaded.startswith(str(source)), loaded
    return plugin.fates


def fresh(room: str, source: Path) -> str:
    """'passed' or 'failed' of all tests of a room with the source as it now stands."""
    quiet(source)
    status = pytest.main(asked_of_pytest(source, tests_of(room)))
    return "passed" if status == 0 else "failed"


def fresh_with(room: str, source: Path, file: str, fault: Fault) -> str:
    """The fate of one fault in a fresh run."""
    with on_disk(source / file, fault):
        told, how = apart(lambda: fresh(room, source), 300.0)
    return how or str(told)


def wilson(hit: int, tried: int, z: float = 1.2816) -> tuple[float, float]:
    """Interval of a share (Wilson 1927), 80 % by default."""
    share, spread = hit / tried, z * z / tried
    middle = (share + spread / 2) / (1 + spread)
    half = z * sqrt(share * (1 - share) / tried + spread / (4 * tried)) / (1 + spread)
    return middle - half, middle + half


def without_effect() -> set[tuple[str, str, str, str]]:
    """(file, function, before, after) of the faults that were looked at and change nothing."""
    if not WITHOUT_EFFECT.exists():
        return set()
    with WITHOUT_EFFECT.open(encoding="utf-8", newline="") as lines:
        rows = csv.DictReader(line for line in lines if not line.startswith("#"))
        return {(row["file"], row["function"], row["before"], row["after"]) for row in rows}


def try_room(room: str, source: Path, many: int, seed: int, out: TextIO) -> tuple[int, int]:
    """A room's sample: how many of the faults with an effect were noticed, of how many."""
    began = time.monotonic()
    every = [
        (str(file.relative_to(source)), fault)
        for file in sorted((source / "fellfare" / room).rglob("*.py"))
        for fault in faults_of(file.read_text("utf-8"))
    ]
    chosen = Random(f"{room} {seed}").sample(every, min(many, len(every)))

    def tell(text: str) -> None:
        out.write(f"  {text}\n")

    fates, how = apart(lambda: gathered(room, source, chosen, tell), 3000.0)
    if how or not isinstance(fates, list) or len(fates) != len(chosen):
        print(f"{room}: {how or fates}; left out", file=out)
        return 0, 0
    known = without_effect()
    noticed = idle = 0
    for (file, fault), first in zip(chosen, fates, strict=True):
        fate = fresh_with(room, source, file, fault) if first == "fresh" else first
        _, before, after = with_fault((source / file).read_text("utf-8"), fault)
        name = fault.inside[0] if fault.inside else ""
        if fate not in ("passed", "no test calls it"):
            noticed += 1
        elif (file, name, before, after) in known:
            idle += 1
        else:
            tell(f"not noticed ({fate}): src/{file}:{fault.line} {name} {fault.kind}: "
                 f"{before}  ->  {after}")  # fmt: skip
    tried = len(chosen) - idle
    low, high = wilson(noticed, tried)
    today = datetime.now(UTC).date()
    print(f"{room}: {noticed} of {tried} noticed, {noticed / tried:.0%} "
          f"({low:.0%} to {high:.0%}), {idle} more without effect, {len(every)} places, "
          f"seed {seed}, {today}, {time.monotonic() - began:.0f} s", file=out)  # fmt: skip
    return noticed, tried


def main() -> None:
    """Sample, run, report."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--sample", type=int, default=40, help="faults for each room")
    words.add_argument("--seed", type=int, default=0)
    words.add_argument("--rooms", nargs="+", choices=ROOMS, default=list(ROOMS))
    asked = words.parse_args()
    os.chdir(HERE)
    out = os.fdopen(os.dup(1), "w", buffering=1)
    for name in LOADED:
        importlib.import_module(name)
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder).resolve() / "src"
        shutil.copytree(HERE / "src", source)
        each = [try_room(room, source, asked.sample, asked.seed, out) for room in asked.rooms]
    noticed, tried = (sum(column) for column in zip(*each, strict=True))
    if tried:
        low, high = wilson(noticed, tried)
        print(f"all: {noticed} of {tried} noticed, {noticed / tried:.0%} "
              f"({low:.0%} to {high:.0%})", file=out)  # fmt: skip


if __name__ == "__main__":
    main()
