"""How is the app put together?  The book, the pages, the guard; nothing is decided here twice."""

from __future__ import annotations

from functools import partial
from typing import Any

from litestar import Litestar, Router
from litestar.config.allowed_hosts import AllowedHostsConfig
from litestar.datastructures import State
from litestar.di import Provide
from litestar.exceptions import HTTPException
from litestar.openapi import OpenAPIConfig
from litestar.openapi.plugins import JsonRenderPlugin
from litestar.template import TemplateConfig

from fellfare import __version__
from fellfare.book import Book, Shelf, open_book
from fellfare.mistake import Mistake
from fellfare.web import assets
from fellfare.web.api import API
from fellfare.web.desks import ClubDesks, Desks, OwnDesk
from fellfare.web.drawing import engine
from fellfare.web.errors import failed, mistake_page, refused, sign_in_wanted
from fellfare.web.guard import add_headers, form_tokens
from fellfare.web.here import SignInWanted, provide_guest, provide_here
from fellfare.web.pages import PAGES
from fellfare.web.rooms import rooms_among
from fellfare.web.settings import MOST_FORM_BYTES, Settings
from fellfare.web.work.worker import hand_back


def make_app(book: Book | Shelf | str, settings: Settings | None = None) -> Litestar:
    """The app on one book, or on the books of clubs.

    Parameters
    ----------
    book
        An open book, or its address as :func:`fellfare.book.open_book` takes it.  An open shelf:
        its clubs, each with its own book; then nobody sees anything before signing in.
    settings
        Hosts, port and secret; for one's own machine when None.
    """
    settings = Settings() if settings is None else settings
    desks: Desks
    if isinstance(book, Shelf):
        desks = ClubDesks(book)
    else:
        desks = OwnDesk(open_book(book) if isinstance(book, str) else book)
    handlers: dict[Any, Any] = {
        Mistake: mistake_page,
        SignInWanted: sign_in_wanted,
        HTTPException: refused,
        Exception: failed,
    }
    # One router, registered once: the framework wraps a handler that runs in a thread anew with
    # every registration of its address, and twice wrapped (GET and POST beside each other) fails.
    everything = Router(path="/", route_handlers=[*PAGES, *API, assets.serve])
    app = Litestar(
        route_handlers=[everything],
        allowed_hosts=AllowedHostsConfig(allowed_hosts=settings.allowed_hosts, www_redirect=False),
        before_send=[add_headers],
        csrf_config=form_tokens(settings),
        debug=False,
        dependencies={
            "here": Provide(provide_here),
            "guest": Provide(provide_guest),
        },
        exception_handlers=handlers,
        logging_config=None,
        multipart_form_part_limit=5000,
        on_shutdown=[partial(hand_back, desks.shelf)],
        openapi_config=OpenAPIConfig(
            title="Fellfare",
            version=__version__,
            description="Foods and recipes as figures: the same answers as the pages and commands.",
            path="/api/openapi.json",
            render_plugins=[JsonRenderPlugin(path="/")],
            use_handler_docstrings=True,
        ),
        request_max_body_size=MOST_FORM_BYTES,
        state=State({"desks": desks, "https": settings.https}),
        template_config=TemplateConfig(instance=engine()),
    )
    app.state.rooms = rooms_among(route.path for route in app.routes)
    return app
