"""What does a page load?  One style sheet, a few scripts, all from here and all known at start.

The style sheet is every file of ``static/css`` in the order of :data:`STYLES`, joined.  Each
address holds a stamp of the content, so a browser may keep it for good.
"""

from __future__ import annotations

from functools import cache
from hashlib import blake2b
from importlib.resources import files
from pathlib import Path
from typing import Final

from litestar import Response, get
from litestar.exceptions import NotFoundException
from litestar.params import FromPath
from msgspec import Struct

_STATIC: Final = Path(__file__).parent / "static"

#: Joined in this order; whatever else lies there follows by name.
STYLES: Final = ("tokens.css", "ground.css", "frame.css", "parts.css", "forms.css")

_KINDS: Final = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".woff2": "font/woff2",
}


class Asset(Struct, frozen=True):
    """One file that pages load."""

    name: str
    data: bytes
    kind: str
    #: Changes with the content.
    stamp: str

    @property
    def address(self) -> str:
        """Where the page finds it."""
        return f"/static/{self.stamp}/{self.name}"


@cache
def assets() -> dict[str, Asset]:
    """Every asset by name, read once per process."""
    found = {"fellfare.css": _joined(), "htmx.js": _htmx()}
    for path in sorted((_STATIC / "js").glob("*.js")):
        found[path.name] = path.read_bytes()
    for path in sorted((_STATIC / "pictures").glob("*.svg")):
        found[path.name] = path.read_bytes()
    return {name: _asset(name, data) for name, data in found.items()}


def _asset(name: str, data: bytes) -> Asset:
    return Asset(name, data, _KINDS[Path(name).suffix], blake2b(data, digest_size=6).hexdigest())


def _joined() -> bytes:
    folder = _STATIC / "css"
    rest = sorted(path.name for path in folder.glob("*.css") if path.name not in STYLES)
    return b"\n".join((folder / name).read_bytes() for name in (*STYLES, *rest))


def _htmx() -> bytes:
    """The script of the package django-js-lib-htmx, which ships it as a plain file."""
    return (files("js_lib_htmx") / "static" / "htmx" / "htmx.min.js").read_bytes()


def address(name: str) -> str:
    """The address of one asset, for templates: ``{{ asset('fellfare.css') }}``."""
    return assets()[name].address


@get("/static/{stamp:str}/{name:str}", sync_to_thread=False, include_in_schema=False)
def serve(stamp: FromPath[str], name: FromPath[str]) -> Response[bytes]:
    """One asset; only names of the table are known, so no path can be tricked."""
    asset = assets().get(name)
    if asset is None:
        raise NotFoundException
    lasting = "public, max-age=31536000, immutable" if stamp == asset.stamp else "no-cache"
    return Response(asset.data, media_type=asset.kind, headers={"cache-control": lasting})
