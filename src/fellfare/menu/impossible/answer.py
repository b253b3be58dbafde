"""What is told when there is no menu."""

from __future__ import annotations

from typing import Literal, TypeAlias

import msgspec

from fellfare.menu.answer import Give, Plate
from fellfare.menu.pool import Question

#: 'impossible' is proven; 'possible': a menu that keeps every wish was found after
#: all; 'stopped': neither, the time was up or somebody stopped it.
Verdict: TypeAlias = Literal["impossible", "possible", "stopped"]


class WayOut(msgspec.Struct, frozen=True, kw_only=True):
    """A set of wishes that give, and a menu that keeps all the others.

    ``price`` compares ways out: wishes moved by parts of their own size, averaged
    over their days, and a little for each wish (1 would be: one wish given up
    whole). ``question`` is the question with the wishes at their new limits: to be
    planned again, for ``plates`` only show that a menu exists; it is not the lightest.
    Without plates the way out is rough: reckoned with dishes mixed in parts, so that
    no less will do in sum, and no menu was found in the time. ``least`` tells that
    no less of these wishes will do (to within a fiftieth); else less may be enough.
    """

    gives: tuple[Give, ...]
    price: float
    question: Question
    plates: tuple[Plate, ...] = ()
    least: bool = False


class Impossible(msgspec.Struct, frozen=True, kw_only=True):
    """Why there is no menu.

    Each of ``clashes`` names wishes that cannot all be kept at once whatever
    else gives; no two clashes have a wish in common. ``clash_least``: leave any one
    wish of a clash out and (dishes mixed in parts) the others of it can be kept;
    False when time was too short to make sure. ``empty`` are eating times at
    which too few dishes may stand, with the reasons: allergies, diets and fire
    rules do not give. ``ways_out`` come cheapest first, each with another set of
    wishes.
    """

    verdict: Verdict
    clashes: tuple[tuple[str, ...], ...] = ()
    clash_least: bool = False
    empty: tuple[Give, ...] = ()
    ways_out: tuple[WayOut, ...] = ()
    plates: tuple[Plate, ...] = ()
    solver: str = ""
    seconds: float = 0.0

    @property
    def proven(self) -> bool:
        """No menu keeps every wish: proven."""
        return self.verdict == "impossible"

    @property
    def gives(self) -> tuple[Give, ...]:
        """What must give: the cheapest way out, or the empty eating times."""
        return self.ways_out[0].gives if self.ways_out else self.empty
