"""After: what came home, what it teaches, and the next trip made from it."""

from __future__ import annotations

from typing import Any, Final

from fellfare.web.pages.after.read import READING
from fellfare.web.pages.after.write import WRITING

#: Every page of after.
AFTER: Final[list[Any]] = [*READING, *WRITING]
