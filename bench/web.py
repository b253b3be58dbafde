"""How quickly does a page answer?  The server's start, and a recipe update beside an empty handler.

    .venv/bin/python bench/web.py            # 1 and 50 readers, about 20 s
    .venv/bin/python bench/web.py --few      # a short look

Server and readers are two processes on this machine, on the loopback.  The empty handler runs in
the same server; it tells what of the time is the framework's and the machine's own.
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
from html import unescape
from pathlib import Path
from statistics import median, quantiles

import httpx

HERE = Path(__file__).resolve().parent
NAME = "bulgur-pepper-walnut-sumac"


def serve(place: str) -> None:
    """The app with an empty handler beside its pages, until it is stopped."""
    import uvicorn
    from litestar import get

    from fellfare.book import open_book
    from fellfare.cli.serve import listen
    from fellfare.web import Settings, make_app
    from fellfare.web.demo import lay_in_demo

    @get("/empty", sync_to_thread=False)
    def empty() -> str:
        return "empty"

    listening = listen(0)
    port = int(listening.getsockname()[1])
    with open_book(place) as book:
        lay_in_demo(book)
        app = make_app(book, Settings(port=port))
        app.register(empty)
        print(port, flush=True)
        config = uvicorn.Config(app, log_level="critical", access_log=False)
        uvicorn.Server(config).run(sockets=[listening])


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


async def ask(client: httpx.AsyncClient, readers: int, each: int, what: str) -> list[float]:
    """Seconds that every one of ``readers × each`` answers took."""
    page = (await client.get(f"/recipes/{NAME}/edit")).text
    form = {"step-0-act": "soak", "step-0-where": "camp", "system": "us"}
    for tag in re.findall(r"<input[^>]*>", page):
        told = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        if told.get("name") and told.get("type") not in ("checkbox", "radio"):
            form[told["name"]] = unescape(told.get("value", ""))
    assert form["line-0-food"] == "bulgur"

    async def one() -> list[float]:
        taken = []
        for _ in range(each):
            began = time.perf_counter()
            if what == "update":
                answer = await client.post("/recipes/figures", data=form)
            else:
                answer = await client.get({"empty": "/empty", "sheet": f"/recipes/{NAME}",
                                           "list": "/recipes"}[what])  # fmt: skip
            taken.append(time.perf_counter() - began)
            answer.raise_for_status()
        return taken

    found = await asyncio.gather(*(one() for _ in range(readers)))
    return [seconds for row in found for seconds in row]


async def readings(address: str, few: bool) -> None:
    """Print a row for each question and number of readers."""
    limits = httpx.Limits(max_connections=50)
    async with httpx.AsyncClient(base_url=address, limits=limits, timeout=30) as client:
        for what in ("empty", "update", "sheet", "list"):
            await ask(client, 1, 5, what)  # warm
        print(f"{'readers':>8} {'page':<8} {'median ms':>10} {'p95 ms':>8}")
        for readers, each in ((1, 20 if few else 100), (50, 2 if few else 6)):
            for what in ("empty", "update", "sheet", "list"):
                taken = await ask(client, readers, each, what)
                p95 = quantiles(taken, n=20)[-1]
                print(f"{readers:>8} {what:<8} {median(taken) * 1e3:>10.1f} {p95 * 1e3:>8.1f}")


def main() -> None:
    """Read the words and measure."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--few", action="store_true", help="a short look")
    words.add_argument("--serve", metavar="FILE", help="(the server of this bench)")
    told = words.parse_args()
    if told.serve:
        serve(told.serve)
        return
    with tempfile.TemporaryDirectory() as folder:
        start_to_first_page(folder)  # makes the book
        best = min(start_to_first_page(folder) for _ in range(2 if told.few else 5))
        print(f"start to first page: {best * 1e3:.0f} ms")
        command = [sys.executable, str(HERE / "web.py"), "--serve", f"{folder}/bench.fellfare"]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
            assert server.stdout is not None
            port = server.stdout.readline().strip()
            time.sleep(1)
            asyncio.run(readings(f"http://127.0.0.1:{port}", told.few))
            status = Path(f"/proc/{server.pid}/status")
            if status.exists():
                held = re.search(r"VmRSS:\s+(\d+)", status.read_text())
                print(f"memory of the server: {int(held[1]) / 1024:.0f} MB" if held else "")
            server.terminate()
    print(f"{os.cpu_count()} processors, load {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()
