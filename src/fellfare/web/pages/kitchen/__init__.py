"""The kitchen: buy, dry, weigh, bag, label, post, carry; and what if something goes wrong."""

from __future__ import annotations

from typing import Any, Final

from fellfare.web.pages.kitchen.cupboard import CUPBOARD
from fellfare.web.pages.kitchen.marking import MARKING
from fellfare.web.pages.kitchen.papers import PRINTING
from fellfare.web.pages.kitchen.read import READING
from fellfare.web.pages.kitchen.wrong import WRONG

#: Every page of the kitchen.
KITCHEN: Final[list[Any]] = [*READING, *MARKING, *PRINTING, *CUPBOARD, *WRONG]
