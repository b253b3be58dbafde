"""Which wishes clash? A short list of them, none of which could be left out."""

from __future__ import annotations

from fellfare.menu.impossible.clock import Clock
from fellfare.menu.impossible.springs import Sprung
from fellfare.menu.impossible.stretching import NOTHING, clashes, priced_groups, relaxed_least

#: So much of the time that is left may go into naming the clashes.
PART = 0.35
#: Clashes that are told, no two of them with a wish in common.
MOST = 3


class Clashing:
    """Clashes among the groups of a model, by leaving out one wish after another.

    A deletion filter: Chinneck & Dravnieks (1991), 'Locating minimal infeasible
    constraint sets in linear programs', ORSA Journal on Computing 3(2), 157-168
    (from memory). ``by_parts``: that they clash even where dishes may be mixed in
    parts; otherwise every step is a model in whole dishes.
    """

    def __init__(self, model: Sprung, clock: Clock, by_parts: bool) -> None:
        self.model, self.clock, self.by_parts = model, clock, by_parts
        self.until = clock.spent() + clock.left() * PART
        self.found: list[set[int]] = []
        #: No wish of any clash found can be left out; False when time was too short to try.
        self.least = False

    def look(self, start: set[int]) -> None:
        """A clash (from ``start``, if those clash), one among the other wishes, and so on."""
        left = set(range(self.model.groups))
        first = start if start and self._still(start) else left
        while len(self.found) < MOST:
            groups, done = self._shortened(first)
            if not done and self.found:
                return
            self.found.append(groups)
            self.least = done
            left = left - groups
            if not done or not left or self._no_time():
                return
            first = self._among(left)
            if not first:
                return

    def common(self) -> list[frozenset[int]]:
        """The wishes that every clash has: only one of these can be enough alone.

        So can one rule of the document where it is a wish for each of several walkers: all of
        that name on that side, if every clash has one of them.
        """
        if not self.found:
            return []
        rules: dict[tuple[str, str, str], set[int]] = {}
        for single in self.model.apart.singles:
            rules.setdefault((single.kind, single.wish, single.side), set()).add(single.group)
        alone = [frozenset({group}) for group in sorted(set.intersection(*self.found))]
        of_all = [
            frozenset(groups)
            for groups in rules.values()
            if len(groups) > 1 and all(groups & clash for clash in self.found)
        ]
        return [*alone, *of_all]

    def _among(self, left: set[int]) -> set[int]:
        """Groups of these that clash still, few if that is cheap to say; none: they do not."""
        if self.by_parts:
            free = set(range(self.model.groups)) - left
            out = relaxed_least(self.model, self.clock.effort(), free)
            self.clock.solved += out.seconds
            if out.value is None or out.duals is None or out.value <= NOTHING:
                return set()
            priced = priced_groups(self.model, out.duals) & left
            if priced and self._still(priced):
                return priced
        return left if self._still(left) else set()

    def _shortened(self, groups: set[int]) -> tuple[set[int], bool]:
        """What is left of a clash when nothing more can go, and whether there was time for it."""
        for group in sorted(groups, key=lambda g: (-self._rows(g), g)):
            if self._no_time():
                return groups, False
            if self._still(groups - {group}):
                groups = groups - {group}
        return groups, True

    def _rows(self, group: int) -> int:
        """Groups of many rows are left out first: a short list is easier to grasp."""
        return sum(single.group == group for single in self.model.apart.singles)

    def _still(self, groups: set[int]) -> bool:
        out = clashes(self.model, groups, self.clock.effort(gap=0.0), whole=not self.by_parts)
        self.clock.solved += out.seconds
        return out.status == "impossible"

    def _no_time(self) -> bool:
        return self.clock.over("clash") or self.clock.spent() > self.until
