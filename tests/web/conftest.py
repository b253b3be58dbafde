"""A book of its own for every test, a client before it, and a real browser where there is one."""

from __future__ import annotations

import os
import re
import shutil
import threading
import time
from collections.abc import Iterator
from contextlib import closing
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from litestar import Litestar
from litestar.testing import TestClient
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from fellfare.book import Book, Shelf, open_book, open_shelf
from fellfare.cli.serve import listen
from fellfare.web import Settings, make_app
from fellfare.web.demo import lay_in_demo
from fellfare.web.desks import OwnDesk

HOST = "testserver.local"
SETTINGS = Settings(hosts=(HOST,), secret="0" * 64)

Client = TestClient[Litestar]


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    """An empty book."""
    with open_book(tmp_path / "book.fellfare") as made:
        yield made


@pytest.fixture(scope="session")
def one_app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Litestar]:
    """The app, put together once; every test lays a book of its own before it."""
    with open_book(tmp_path_factory.mktemp("app") / "book.fellfare") as made:
        yield make_app(made, SETTINGS)


@pytest.fixture
def client(book: Book, one_app: Litestar) -> Iterator[Client]:
    """A client of the app on that book."""
    one_app.state.desks = OwnDesk(book)
    with TestClient(one_app) as made:
        yield made


@pytest.fixture(scope="session")
def demo_book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    """A book with the demo in it: to be read, not to be changed."""
    with open_book(tmp_path_factory.mktemp("demo") / "book.fellfare") as made:
        lay_in_demo(made)
        yield made


@pytest.fixture(scope="session")
def demo_client(demo_book: Book) -> Iterator[Client]:
    """A client of the app on the demo: for reading."""
    with TestClient(make_app(demo_book, SETTINGS)) as made:
        yield made


def token(client: Client) -> str:
    """The token that every form of ours carries."""
    found = re.search(r'name="_csrf_token" value="([^"]+)"', client.get("/").text)
    assert found is not None
    return found[1]


class Poster:
    """Posts forms with their token and follows nowhere."""

    def __init__(self, client: Client) -> None:
        self.client, self.token = client, token(client)

    def __call__(self, address: str, **fields: Any) -> Any:
        data = {"_csrf_token": self.token} | {
            key.replace("__", "-"): value for key, value in fields.items()
        }
        return self.client.post(address, data=data, follow_redirects=False)

    def form(self, address: str, fields: dict[str, Any]) -> Any:
        """The same for field names with hyphens."""
        return self.client.post(
            address, data={"_csrf_token": self.token} | fields, follow_redirects=False
        )


@pytest.fixture
def post(client: Client) -> Poster:
    """Posts forms to the client of the test."""
    return Poster(client)


@pytest.fixture(scope="session")
def tiny() -> Any:
    """What ``tiny_trip.py`` holds: a trip whose menu takes less than a second."""
    path = Path(__file__).with_name("tiny_trip.py")
    spec = spec_from_file_location("tiny_trip", path)
    assert spec is not None
    assert spec.loader is not None
    made = module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


# ---------------------------------------------------------------- a real browser


class Served:
    """The app behind a real port of this machine."""

    def __init__(self, book: Book | Shelf) -> None:
        self.socket = listen(0)
        port = int(self.socket.getsockname()[1])
        self.address = f"http://127.0.0.1:{port}"
        app = make_app(book, Settings(port=port, secret="0" * 64))
        self.server = uvicorn.Server(uvicorn.Config(app, log_level="critical", ws="none"))
        run = self.server.run
        self.thread = threading.Thread(target=run, kwargs={"sockets": [self.socket]}, daemon=True)
        self.thread.start()
        while not self.server.started:
            time.sleep(0.01)

    def close(self) -> None:
        """Stop and wait."""
        self.server.should_exit = True
        self.thread.join(10)
        self.socket.close()


@pytest.fixture(scope="session")
def served_demo(demo_book: Book) -> Iterator[str]:
    """Address of a server that shows the demo: for reading."""
    with closing(Served(demo_book)) as served:
        yield served.address


@pytest.fixture
def served(book: Book) -> Iterator[str]:
    """Address of a server on the test's own book."""
    with closing(Served(book)) as served:
        yield served.address


@pytest.fixture(scope="session", params=["sqlite", "postgresql"])
def served_club(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[str, Shelf]]:
    """Address of a server with accounts, and the shelf behind it, on either engine."""
    place: str | Path = tmp_path_factory.mktemp("clubs") / "clubs.fellfare"
    if request.param == "postgresql":
        place = str(request.getfixturevalue("clubs_postgresql"))
    with open_shelf(place) as shelf, closing(Served(shelf)) as served:
        yield served.address, shelf


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium as the system has it; CI must have it, elsewhere the test is skipped without."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        if os.environ.get("CI"):
            pytest.fail("chromium is missing: install it")
        pytest.skip("chromium is not installed")
    with sync_playwright() as play:
        # A browser that runs as root in a container has no sandbox to offer.
        browser = play.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield browser
        browser.close()


class Watched:
    """A page of the browser, with everything that it complained of."""

    def __init__(self, page: Page, size: str) -> None:
        self.page, self.size = page, size
        self.complaints: list[str] = []
        page.on("console", self._hear)
        page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def _hear(self, message: Any) -> None:
        refused = "status of 422" in message.text or "status of 409" in message.text
        if message.type == "error" and not refused:
            self.complaints.append(message.text)


SIZES = {"desktop": (1280, 800), "phone": (360, 740)}


@pytest.fixture(scope="session")
def windows(browser: Browser) -> Iterator[dict[str, BrowserContext]]:
    """A window as on a desk and one as on a phone."""
    made = {}
    for name, (width, height) in SIZES.items():
        made[name] = browser.new_context(viewport={"width": width, "height": height})
        made[name].set_default_timeout(10_000)
    yield made
    for context in made.values():
        context.close()


@pytest.fixture(params=list(SIZES))
def watched(
    windows: dict[str, BrowserContext], request: pytest.FixtureRequest
) -> Iterator[Watched]:
    """A fresh page, once as on a desk and once as on a phone."""
    made = Watched(windows[request.param].new_page(), request.param)
    yield made
    made.page.close()
    assert made.complaints == []
