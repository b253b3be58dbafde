"""What does every answer carry, whoever asked for it?  Headers that shut what we do not use."""

from __future__ import annotations

from typing import Final

from litestar.config.csrf import CSRFConfig
from litestar.datastructures import MutableScopeHeaders
from litestar.types import Message, Scope

from fellfare.web.settings import Settings

#: Nothing inline, nothing from elsewhere, nobody's frame.
POLICY: Final = "; ".join((
    "default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self' data:",
    "connect-src 'self'", "form-action 'self'", "frame-ancestors 'none'", "base-uri 'none'",
))  # fmt: skip

_HEADERS: Final = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
}


async def add_headers(message: Message, _: Scope) -> None:
    """Put the headers on every answer, refusals and failures too."""
    if message["type"] != "http.response.start":
        return
    message.setdefault("headers", [])
    headers = MutableScopeHeaders.from_message(message)
    for name, value in _HEADERS.items():
        headers[name] = value
    headers.setdefault("cache-control", "no-store")  # a page may show what is one's own


def form_tokens(settings: Settings) -> CSRFConfig:
    """Every form proves that it came from one of our pages."""
    return CSRFConfig(
        secret=settings.secret,
        cookie_name="fellfare-form",
        cookie_httponly=True,
        cookie_samesite="strict",
        cookie_secure=settings.https,
        exclude_from_csrf_key="reckons_only",
    )
