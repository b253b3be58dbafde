"""The choices to be made: one cell for each eating time (and walker), one for each fixed dish."""

from __future__ import annotations

import msgspec
import numpy as np

from fellfare.menu.model.board import Flags
from fellfare.menu.model.fitting import Masks, leg_of, why_not
from fellfare.menu.pool import Lock, Question, Slot
from fellfare.mistake import Mistake


class Cells(msgspec.Struct, kw_only=True):
    """Cells, one entry each in every list; ``plates`` names the eaters by number."""

    day: list[int]
    time: list[str]
    slot: list[int]
    walker: list[int]
    least: list[int]
    most: list[int]
    twice: list[int]
    mask: list[int]
    plates: list[tuple[int, ...]]
    masks: Flags


class _Laying:
    def __init__(self, question: Question) -> None:
        self.question = question
        self.fitting = Masks(question)
        self.number = {walker.id: at for at, walker in enumerate(question.walkers)}
        self.classes: dict[bytes, int] = {}
        self.kept: list[Flags] = []
        self.cells = Cells(
            day=[], time=[], slot=[], walker=[], least=[], most=[], twice=[], mask=[], plates=[],
            masks=np.zeros((0, len(question.dishes)), dtype=np.bool_),
        )  # fmt: skip
        self.locks: dict[tuple[int, str, str | None], list[Lock]] = {}
        for lock in question.locks:
            self.locks.setdefault((lock.day, lock.time, lock.walker), []).append(lock)
        self.used: set[tuple[int, str, str | None]] = set()

    def lay(self, at: int, who: str | None, least: int, most: int, twice: int, f: Flags) -> None:
        slot, cells = self.question.slots[at], self.cells
        seen = f.tobytes()
        if seen not in self.classes:
            self.classes[seen] = len(self.kept)
            self.kept.append(f)
        cells.day.append(slot.day)
        cells.time.append(slot.time)
        cells.slot.append(at)
        cells.walker.append(-1 if who is None else self.number[who])
        cells.least.append(least)
        cells.most.append(most)
        cells.twice.append(twice)
        cells.mask.append(self.classes[seen])
        eaters = slot.walkers if who is None else (who,)
        cells.plates.append(tuple(self.number[name] for name in eaters))

    def fixed(self, at: int, who: str | None) -> int:
        """Lay the dishes that are fixed here, a cell each; how many."""
        slot = self.question.slots[at]
        whose = (None,) if who is None else (None, who)
        many = 0
        for key in ((slot.day, slot.time, each) for each in whose):
            for lock in self.locks.get(key, ()):
                self.used.add(key)
                self._fit(slot, who, lock, slot.most - many)
                only = np.zeros(len(self.question.dishes), dtype=np.bool_)
                only[self.fitting.at[lock.dish]] = True
                self.lay(at, who, 1, 1, 1, only)
                many += 1
        return many

    def beside_fixed(self, slot: Slot, who: str | None, flags: Flags) -> Flags:
        """Without the dishes that are fixed there as often as a dish may come at one time."""
        whose = (None,) if who is None else (None, who)
        held = [
            lock.dish for one in whose for lock in self.locks.get((slot.day, slot.time, one), ())
        ]
        often = {dish for dish in held if held.count(dish) >= slot.twice}
        if not often:
            return flags
        left = flags.copy()
        left[[self.fitting.at[dish] for dish in sorted(often)]] = False
        return left

    def _fit(self, slot: Slot, who: str | None, lock: Lock, left: int) -> None:
        dish = self.question.dishes[self.fitting.at[lock.dish]]
        reason = why_not(self.question, slot, who, dish)
        if reason is None and left <= 0:
            reason = "there is no place left at this time"
        if reason is not None:
            raise Mistake(
                "locked-dish-does-not-fit",
                what=f"'{dish.title}' is fixed there, but {reason}",
                mend="fix another dish, or change what speaks against it",
                where=f"day {slot.day} > {slot.time}",
            )

    def all_used(self) -> None:
        for (day, time, _), held in self.locks.items():
            if (day, time, held[0].walker) not in self.used:
                raise Mistake(
                    "lock-without-eating-time",
                    what=f"'{held[0].dish}' is fixed on day {day} at '{time}', "
                    "which is no eating time of that walker",
                    mend="give the day, the eating time and (where each chooses) the walker",
                )


def lay_cells(question: Question) -> Cells:
    """All cells, slot by slot; a dish that is fixed takes one of the slot's places.

    Raises ``locked-dish-does-not-fit`` and ``lock-without-eating-time``.
    """
    laying = _Laying(question)
    for at, slot in enumerate(question.slots):
        leg = leg_of(question, slot.day)
        for who in (None,) if slot.shared else slot.walkers:
            many = laying.fixed(at, who)
            if slot.most > many:
                flags = laying.beside_fixed(slot, who, laying.fitting.of(slot, leg, who))
                laying.lay(at, who, max(0, slot.least - many), slot.most - many, slot.twice, flags)
    laying.all_used()
    cells = laying.cells
    cells.masks = np.array(laying.kept, dtype=np.bool_).reshape(
        len(laying.kept), len(question.dishes)
    )
    return cells
