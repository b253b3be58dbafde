"""How quickly does a page answer?  The server's start, and each page beside an empty handler.

    .venv/bin/python bench/web.py            # 1 and 50 readers, about a minute
    .venv/bin/python bench/web.py --few      # a short look
    .venv/bin/python bench/web.py --many     # a book of 2 000 recipes: taking in, first list

Server and readers are two processes on this machine, on the loopback.  The empty handler runs in
the same server; it tells what of the time is the framework's and the machine's own.  Of every page
the readers' times are told, their ratio to the empty handler's, and the processor time that the
server spent on one answer: that one hardly minds what else the machine is doing.

'update' is the answer to a keystroke in an amount of the recipe editor, 'typing' to one in the name
of a food, which is not yet one: no two that follow one another hold the same.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from html import unescape
from pathlib import Path
from statistics import median, quantiles
from urllib.parse import urlencode

import httpx
from msgspec import Struct

HERE = Path(__file__).resolve().parent
NAME = "bulgur-pepper-walnut-sumac"
PAGES = {"empty": "/empty", "menu": "/menus/harrowmoor-round", "sheet": f"/recipes/{NAME}",
         "list": "/recipes"}  # fmt: skip
SENT = {"content-type": "application/x-www-form-urlencoded", "hx-request": "true"}
FORMS = ("update", "typing")
FOODS = ("smoked paprika", "peanut butter powder", "couscous", "sun-dried tomato", "oat bran")
MANY = 2_000


def serve(place: str) -> None:
    """The app with an empty handler beside its pages, until it is stopped."""
    import uvicorn
    from litestar import get

    from fellfare.book import open_book
    from fellfare.cli.serve import listen
    from fellfare.web import Settings, make_app

    @get("/empty", sync_to_thread=False)
    def empty() -> str:
        return "empty"

    listening = listen(0)
    port = int(listening.getsockname()[1])
    with open_book(place) as book:
        app = make_app(book, Settings(port=port))
        app.register(empty)
        print(port, flush=True)
        config = uvicorn.Config(app, log_level="critical", access_log=False)
        uvicorn.Server(config).run(sockets=[listening])


def lay_in(place: str) -> None:
    """The demo, and a menu for its trip: the best that is found in a short while."""
    from fellfare.book import open_book
    from fellfare.web.demo import NAME as TRIP
    from fellfare.web.demo import lay_in_demo
    from fellfare.web.work.results import MENU, Wanted
    from fellfare.web.work.solving import do_job

    with open_book(place) as book:
        lay_in_demo(book)
        wanted = Wanted(trip=TRIP, menu=TRIP, seconds=15, gap=0.2)
        assert do_job(book, MENU, wanted, lambda _: True).proof is not None


def start_to_first_page(folder: str) -> float:
    """Seconds from the command to the first page, the book being there already [s]."""
    began = time.perf_counter()
    command = [sys.executable, "-m", "fellfare", "serve", "--no-browser", "--port", "0"]
    place = str(Path(folder) / "start.fellfare")
    with subprocess.Popen([*command, "--book", place], stdout=subprocess.PIPE, text=True) as server:
        assert server.stdout is not None
        address = re.search(r"http://\S+", server.stdout.readline())
        assert address is not None
        while True:
            try:
                httpx.get(address[0]).raise_for_status()
                break
            except httpx.TransportError:
                time.sleep(0.01)
        taken = time.perf_counter() - began
        server.terminate()
    return taken


class Reader(Struct):
    """What the readers ask for, and of whom."""

    client: httpx.AsyncClient
    #: Process of the server.
    server: int
    #: The fields of the editor, to be sent with another amount each time.
    form: dict[str, str]
    count: int = 0

    def typed(self, what: str) -> bytes:
        """The form as the browser sends it, with amounts that were not there before; or with the
        name of a food that is not written out yet."""
        self.count += 1
        if what == "typing":
            word = FOODS[self.count % len(FOODS)]
            half = word[: 2 + self.count // len(FOODS) % (len(word) - 2)]
            return urlencode(self.form | {"line-1-food": half}).encode()
        amounts = {"line-0-amount": f"{40 + self.count % 89}.{self.count % 10} g",
                   "line-2-amount": f"{1 + self.count % 61 / 4} tsp"}  # fmt: skip
        return urlencode(self.form | amounts).encode()

    def spent_s(self) -> float:
        """Processor time of the server so far [s]."""
        told = Path(f"/proc/{self.server}/stat").read_text().rpartition(")")[2].split()
        return (int(told[11]) + int(told[12])) / os.sysconf("SC_CLK_TCK")


async def fields_of(client: httpx.AsyncClient) -> dict[str, str]:
    """The fields of the recipe editor."""
    page = (await client.get(f"/recipes/{NAME}/edit")).text
    form = {}
    for name, options in re.findall(r'<select[^>]* name="([^"]+)".*?>(.*?)</select>', page, re.S):
        chosen = re.search(r'value="([^"]*)" selected', options)
        form[name] = "" if chosen is None else unescape(chosen[1])
    for name, text in re.findall(
        r'<textarea[^>]* name="([^"]+)"[^>]*>(.*?)</textarea>', page, re.S
    ):
        form[name] = unescape(text)
    for tag in re.findall(r"<input[^>]*>", page):
        told = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        if told.get("name") and told.get("type") not in ("checkbox", "radio"):
            form[told["name"]] = unescape(told.get("value", ""))
    assert form["line-0-food"] == "bulgur"
    assert form["system"]
    return form


async def ask(reader: Reader, readers: int, each: int, what: str) -> tuple[list[float], float]:
    """Seconds of every one of ``readers × each`` answers; the server's own for one of them."""

    async def one() -> list[float]:
        taken = []
        for _ in range(each):
            body = reader.typed(what) if what in FORMS else b""
            began = time.perf_counter()
            if what in FORMS:
                answer = await reader.client.post("/recipes/figures", content=body, headers=SENT)
            else:
                answer = await reader.client.get(PAGES[what])
            taken.append(time.perf_counter() - began)
            answer.raise_for_status()
        return taken

    before = reader.spent_s()
    found = await asyncio.gather(*(one() for _ in range(readers)))
    spent = (reader.spent_s() - before) / (readers * each)
    return [seconds for row in found for seconds in row], spent


async def readings(address: str, server: int, few: bool) -> None:
    """Print a row for each question and number of readers."""
    # The server closes a connection that rests for 5 s; a form must not be caught on its way.
    limits = httpx.Limits(max_connections=50, keepalive_expiry=2.0)
    async with httpx.AsyncClient(base_url=address, limits=limits, timeout=30) as client:
        reader = Reader(client, server, await fields_of(client))
        for what in (*FORMS, *PAGES):
            began = time.perf_counter()
            await ask(reader, 1, 1, what)
            print(f"first {what}: {(time.perf_counter() - began) * 1e3:.0f} ms")
            await ask(reader, 1, 5, what)  # warm
        print(f"{'readers':>8} {'page':<8} {'median ms':>10} {'p95 ms':>8} {'of empty':>9}"
              f" {'processor ms':>13}")  # fmt: skip
        for readers, each in ((1, 30 if few else 200), (50, 2 if few else 10)):
            base = 0.0
            for what in ("empty", "update", "typing", "menu", "sheet", "list"):
                taken, spent = await ask(reader, readers, each, what)
                p95 = quantiles(taken, n=20)[-1]
                base = base or p95
                print(f"{readers:>8} {what:<8} {median(taken) * 1e3:>10.1f} {p95 * 1e3:>8.1f}"
                      f" {p95 / base:>8.1f}x {spent * 1e3:>13.2f}")  # fmt: skip


def many() -> None:
    """A book of 2 000 recipes: taking them in, the first list of them, and the next."""
    from fellfare.book import open_book
    from fellfare.files.demo_documents import demo_documents

    texts = [text for path, text in demo_documents() if path.startswith("recipes/")]
    foods = [one for one in demo_documents() if one[0].startswith("foods/")]
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "in" / "recipes").mkdir(parents=True)
        for number in range(MANY):
            to = Path(folder) / "in" / "recipes" / f"recipe-{number:04}.toml"
            to.write_text(texts[number % len(texts)], "utf-8")
        (Path(folder) / "in" / "foods").mkdir()
        for path, text in foods:
            (Path(folder) / "in" / path).write_text(text, "utf-8")
        place = f"{folder}/many.fellfare"
        with open_book(place) as book:
            began = time.perf_counter(), time.process_time()
            book.import_folder(Path(folder) / "in")
            print(f"import of {MANY:,} recipes: {time.perf_counter() - began[0]:.2f} s"
                  f" ({time.process_time() - began[1]:.2f} s of processor)")  # fmt: skip
        with serving(place) as (server, address):
            for which in ("first", "second", "third"):
                began_at = time.perf_counter()
                answer = httpx.get(f"{address}/recipes", timeout=120).raise_for_status()
                print(f"{which} list of them: {time.perf_counter() - began_at:.2f} s,"
                      f" {len(answer.content) / 1e3:.0f} kB")  # fmt: skip
            print(f"memory of the server: {memory_mb(server):.0f} MB")


def memory_mb(server: int) -> float:
    """What the process holds in memory [MB]."""
    held = re.search(r"VmRSS:\s+(\d+)", Path(f"/proc/{server}/status").read_text())
    assert held is not None
    return int(held[1]) / 1024


@contextmanager
def serving(place: str) -> Iterator[tuple[int, str]]:
    """The bench's own server: its process and address."""
    command = [sys.executable, str(HERE / "web.py"), "--serve", place]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
        assert server.stdout is not None
        port = server.stdout.readline().strip()
        time.sleep(0.5)
        try:
            yield server.pid, f"http://127.0.0.1:{port}"
        finally:
            server.terminate()


def main() -> None:
    """Read the words and measure."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--few", action="store_true", help="a short look")
    words.add_argument("--many", action="store_true", help="a book of 2 000 recipes")
    words.add_argument("--serve", metavar="FILE", help="(the server of this bench)")
    told = words.parse_args()
    if told.serve:
        serve(told.serve)
        return
    if told.many:
        many()
        return
    with tempfile.TemporaryDirectory() as folder:
        start_to_first_page(folder)  # makes the book
        best = min(start_to_first_page(folder) for _ in range(2 if told.few else 5))
        print(f"start to first page: {best * 1e3:.0f} ms")
        lay_in(f"{folder}/bench.fellfare")
        with serving(f"{folder}/bench.fellfare") as (server, address):
            asyncio.run(readings(address, server, told.few))
            print(f"memory of the server: {memory_mb(server):.0f} MB")
    print(f"{os.cpu_count()} processors, load {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()
