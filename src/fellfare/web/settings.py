"""What does the server need to know before it starts?  Told once, by whoever starts it."""

from __future__ import annotations

from secrets import token_hex
from typing import Final

from msgspec import Struct, field

#: Names under which one's own machine may be asked.
LOOPBACK: Final = ("127.0.0.1", "localhost", "[::1]")

#: Largest form or document that a page takes [bytes].
MOST_FORM_BYTES: Final = 1_000_000
#: Largest file that may be sent up: a saved page or a track [bytes].
MOST_UPLOAD_BYTES: Final = 10_000_000


class Settings(Struct, frozen=True, kw_only=True):
    """How the pages are served."""

    #: Port that is listened on; 0 = any port is meant, and the hosts name none.
    port: int = 0
    #: Names that the browser may have typed, without the port.
    hosts: tuple[str, ...] = LOOPBACK
    #: Key of the form tokens.  A fresh one makes every open form stale at a restart.
    secret: str = field(default_factory=lambda: token_hex(32))
    #: Served by https: cookies then travel by https only.
    https: bool = False

    @property
    def allowed_hosts(self) -> list[str]:
        """Every value of the Host header that is answered."""
        ports = ("",) if not self.port else ("", f":{self.port}")
        return [f"{host}{port}" for host in self.hosts for port in ports]
