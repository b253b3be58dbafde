"""How quick is the book?  Ratios against the bare sqlite3 module in the same run and folder.

    python bench/book.py [POSTGRESQL-ADDRESS]

* open: a book that is there, against opening its file and reading one row
* save: one more revision of a 1.5 kB recipe, against the two statements that a program
  without a book would write (insert, update), with the same durability
* get, names of 500: against the one statement each
* import of 2 000 recipes from a folder, against reading the files and one executemany
* eight processes that save at once: saves a second, against one

The disk's flush is in every save of both: with a slow disk the ratio goes to one.
"""

from __future__ import annotations

import multiprocessing
import os
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from fellfare.book import Book, open_book

TEXT = "".join(f'[[line]]\nfood = "food-{n}"\namount = "{n} g"\n' for n in range(40))
RECIPES = 2_000


def both(
    ours: Callable[[int], object], base: Callable[[int], object], times: int
) -> tuple[float, float]:
    """Medians of the single calls; taken in turn, so that a busy disk is busy for both."""
    taken: tuple[list[float], list[float]] = ([], [])
    for number in range(times):
        for work, into in zip((ours, base), taken, strict=True):
            start = time.perf_counter()
            work(number)
            into.append(time.perf_counter() - start)
    return statistics.median(taken[0]), statistics.median(taken[1])


def once(work: Callable[[], object]) -> float:
    """One call."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def told(what: str, ours: float, base: float) -> None:
    """A line of the table."""
    print(f"{what:<34} {ours * 1e3:>9.2f} ms {base * 1e3:>9.2f} ms {ours / base:>7.1f} x")


def bare(path: Path) -> sqlite3.Connection:
    """The module alone, as durable as the book."""
    raw = sqlite3.connect(path, isolation_level=None, timeout=20)
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
        raw.execute(f"PRAGMA {pragma}")
    return raw


def saving(address: str, name: str, times: int) -> None:
    """What one of several processes does."""
    with open_book(address) as book:
        for number in range(times):
            book.save("log", name, f"{number} {TEXT}", number or None)


def processes(address: str) -> None:
    """Eight who save at once, each a document of its own."""
    rates = []
    for count in (1, 8):
        names = [f"log-{count}-{n}" for n in range(count)]
        work = [multiprocessing.Process(target=saving, args=(address, n, 100)) for n in names]
        start = time.perf_counter()
        for one in work:
            one.start()
        for one in work:
            one.join()
        rates.append(count * 100 / (time.perf_counter() - start))
    print(f"saves a second, start-up included: one process {rates[0]:.0f}, eight {rates[1]:.0f}")


def compared(book: Book, raw: sqlite3.Connection) -> None:
    """Single steps, ours against the bare statements."""
    raw.execute("CREATE TABLE document (id INTEGER PRIMARY KEY, name TEXT UNIQUE, newest INTEGER)")
    raw.execute(
        "CREATE TABLE revision (id INTEGER PRIMARY KEY, document_id INTEGER, number INTEGER, "
        "text TEXT, saved_at TEXT, UNIQUE (document_id, number))"
    )
    raw.execute("INSERT INTO document VALUES (1, 'soup', 1)")
    insert = "INSERT INTO revision (document_id, number, text, saved_at) VALUES (1, ?, ?, '')"
    raw.execute(insert, (1, TEXT))
    book.save("recipe", "soup", TEXT, None)

    def save(number: int) -> None:
        book.save("recipe", "soup", f"{number} {TEXT}", number + 1)

    def save_bare(number: int) -> None:
        raw.execute("BEGIN IMMEDIATE")
        raw.execute("UPDATE document SET newest = ? WHERE id = 1", (number + 2,))
        raw.execute(insert, (number + 2, f"{number} {TEXT}"))
        raw.execute("COMMIT")

    told("save", *both(save, save_bare, 200))

    def get_bare(number: int) -> None:
        raw.execute(
            "SELECT text FROM document d JOIN revision r "
            "ON r.document_id = d.id AND r.number = d.newest WHERE d.name = 'soup'"
        ).fetchone()

    told("get", *both(lambda _: book.get("recipe", "soup"), get_bare, 500))
    raw.executemany(
        "INSERT INTO document (name, newest) VALUES (?, 1)", [(f"n{n}",) for n in range(499)]
    )
    for number in range(500):
        book.save("menu", f"n{number}", "x", None)
    told(
        "names of 500",
        *both(
            lambda _: book.names("menu"),
            lambda _: raw.execute("SELECT name FROM document").fetchall(),
            50,
        ),
    )


def imported(address: str, folder: Path, raw: sqlite3.Connection) -> None:
    """A folder of many recipes."""
    recipes = folder / "in" / "recipes"
    recipes.mkdir(parents=True)
    for number in range(RECIPES):
        (recipes / f"recipe-{number:04}.toml").write_text(f"# {number}\n{TEXT}", "utf-8")

    def take_in_bare() -> None:
        rows = [(2, n, path.read_text("utf-8")) for n, path in enumerate(sorted(recipes.iterdir()))]
        raw.execute("BEGIN")
        raw.executemany("INSERT INTO revision (document_id, number, text) VALUES (?, ?, ?)", rows)
        raw.execute("COMMIT")

    base = once(take_in_bare)
    with open_book(address) as book:
        told(
            f"import of {RECIPES:,} recipes", once(lambda: book.import_folder(folder / "in")), base
        )
        told("the same again: nothing new", once(lambda: book.import_folder(folder / "in")), base)
        told("export", once(lambda: book.export_folder(folder / "out")), base)
        told("backup", once(lambda: book.backup(folder / "copy")), base)


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        address = sys.argv[1] if len(sys.argv) > 1 else str(folder / "book.fellfare")
        print(f"{'':<34} {'ours':>12} {'bare sqlite3':>12} {'ratio':>9}   ({os.cpu_count()} cores)")
        open_book(address).close()
        with closing(bare(folder / "bare")) as raw:

            def open_bare(_: int) -> None:
                with closing(bare(folder / "bare")) as again:
                    again.execute("SELECT * FROM sqlite_master").fetchone()

            told("open", *both(lambda _: open_book(address).close(), open_bare, 20))
            with open_book(address) as book:
                compared(book, raw)
            imported(address, folder, raw)
        processes(address)


if __name__ == "__main__":
    main()
