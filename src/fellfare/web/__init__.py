"""The browser app: pages and a JSON API over the book and the core.

A thin shell: a handler reads the request, calls the core, and hands the answer to a template.
``docs/web.md`` tells how a page is made.
"""

from fellfare.web.app import make_app
from fellfare.web.settings import Settings

__all__ = ["Settings", "make_app"]
