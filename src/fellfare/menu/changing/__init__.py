"""Change one thing, and keep the rest of the menu as it is."""

from fellfare.menu.changing.differing import Change
from fellfare.menu.changing.near import KEEP_G, Changed, change_menu
from fellfare.menu.changing.questions import (
    with_avoid,
    with_ban,
    with_diet,
    with_lock,
    with_no_fire_from,
    with_swap,
    without_lock,
)

__all__ = [
    "KEEP_G",
    "Change",
    "Changed",
    "change_menu",
    "with_avoid",
    "with_ban",
    "with_diet",
    "with_lock",
    "with_no_fire_from",
    "with_swap",
    "without_lock",
]
