"""Why can it not be done, and what must give?"""

from __future__ import annotations

from typing import Literal, TypeAlias

import msgspec
import numpy as np
from msgspec.structs import replace

from fellfare.menu.answer import Give, Plate, Portion, Progress
from fellfare.menu.asking import checked
from fellfare.menu.checking import broken_rules
from fellfare.menu.impossible.elastic import sprung
from fellfare.menu.impossible.empty import empty_cells
from fellfare.menu.impossible.proof import proven_impossible
from fellfare.menu.impossible.softening import Softer, loosened, softened, softer
from fellfare.menu.impossible.springs import Sprung
from fellfare.menu.impossible.stretching import (
    NOTHING,
    SLACK,
    cheapest_set,
    clashes,
    giving,
    priced_groups,
    relaxed_least,
    with_whole_dishes,
    without,
)
from fellfare.menu.impossible.wishes import EACH_WISH, taken_apart
from fellfare.menu.impossible.words import gives_of
from fellfare.menu.model.board import Floats
from fellfare.menu.model.laying import lay_board
from fellfare.menu.planning import plan_menu
from fellfare.menu.pool import Question
from fellfare.menu.solver import Effort, version
from fellfare.menu.trying import Trying, Watch

#: 'impossible' is proven; 'possible': a menu that keeps every wish was found after
#: all; 'stopped': neither, the time was up or somebody stopped it.
Verdict: TypeAlias = Literal["impossible", "possible", "stopped"]

#: Ways out that are looked for.
WAYS = 3
#: Choices up to which the whole model is solved as it stands, not its relaxation first.
SMALL = 250
#: A further way out is not told when it takes more wishes than this to give ...
MOST_WISHES = 4
#: ... nor when it is so much dearer than the first.
MUCH_DEARER = 10.0
#: Choices (cells) above which no ways out are looked for, only the proof.
MOST_CELLS = 1_500
#: Seconds for one step of the search, at most, of the seconds that are left.
STEP_SECONDS = 2.0
#: With more cells the repeat rules are left out of the relaxation ...
MANY_CELLS = 150
#: ... and one that takes longer than this is not solved again and again, ...
SLOW_SECONDS = 1.5
#: but what gives in it is planned anew with so much more room, until a menu comes.
MORE = (1.02, 1.1, 1.3, 1.7, 2.5)
PLANNING_SECONDS = 6.0
#: Kinds of wish that are given up whole.
FREED = ("lock", "ban", "dislike")
#: So much of the time that is left may go into naming the clashes.
CLASH_PART = 0.35
#: Clashes that are told, no two of them with a wish in common.
CLASHES = 3


class WayOut(msgspec.Struct, frozen=True, kw_only=True):
    """A set of wishes that give, and a menu that keeps all the others.

    ``price`` compares ways out: wishes moved by parts of their own size, averaged
    over their days, and a little for each wish (1 would be: one wish given up
    whole). ``question`` is the question with the wishes at their new limits: to be
    planned again, for ``plates`` only show that a menu exists; it is not the lightest.
    Without plates the way out is rough: reckoned with dishes mixed in parts, so that
    no less will do in sum, and no menu was found in the time. ``least`` tells that
    no cheaper way out exists (to within a fiftieth).
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


class _Clock:
    """Seconds spent, and whether somebody says stop."""

    def __init__(self, tries: Trying, watch: Watch | None) -> None:
        self.tries, self.watch = tries, watch
        self.began = tries.clock() if tries.clock is not None else 0.0
        self.solved = 0.0
        self.said = False

    def spent(self) -> float:
        if self.tries.clock is not None:
            return self.tries.clock() - self.began
        return self.solved

    def left(self) -> float:
        return max(0.0, self.tries.seconds - self.spent())

    def over(self, stage: str) -> bool:
        if self.watch is not None and not self.said:
            self.said = self.watch(
                Progress(stage=stage, best_g=None, bound_g=0.0, gap=float("inf"))
            )
        return self.said or self.spent() >= self.tries.seconds

    def effort(self, most: float = STEP_SECONDS, gap: float = 0.02) -> Effort:
        seconds = max(0.01, min(most, self.left()))
        return Effort(seconds=seconds, gap=gap, threads=self.tries.threads, seed=self.tries.seed)


def why_impossible(
    question: Question, tries: Trying | None = None, watch: Watch | None = None
) -> Impossible:
    """Which wishes clash, and the cheapest sets of changes that let a menu through.

    Parameters
    ----------
    question
        A question for which no menu was found.
    tries
        ``seconds`` bounds all of it; ``gap`` is not used.
    watch
        Hears of each step; True stops, and what is known so far is handed over.

    Raises
    ------
    Mistake
        As ``plan_menu`` does, for a question that contradicts itself as it stands.
    """
    checked(question)
    tries = tries or Trying(seconds=30.0)
    clock = _Clock(tries, watch)
    board = lay_board(question)
    apart = taken_apart(question)
    empty = empty_cells(question, board)
    if empty and empty_cells(question, lay_board(apart.question)):
        return Impossible(verdict="impossible", empty=empty, clashes=((empty[0].wish,),),
                          clash_least=True, solver=version())  # fmt: skip
    proven = bool(empty)
    if not proven and not clock.over("proof"):
        # every day for itself where that is not too much
        blocks = list(range(board.days)) if board.cells <= 4_000 else board.legs.tolist()
        effort = clock.effort(tries.seconds / 3)
        proven = proven_impossible(
            board, blocks, effort.seconds, tries, over=lambda: clock.over("proof")
        )
    if clock.over("wishes"):
        return Impossible(verdict="impossible" if proven else "stopped", empty=empty,
                          solver=version(), seconds=clock.spent())  # fmt: skip
    if board.cells > MOST_CELLS:
        return Impossible(verdict="impossible" if proven else "stopped", empty=empty,
                          solver=version(), seconds=clock.spent())  # fmt: skip
    light = board.cells > MANY_CELLS
    model = sprung(apart, question, light)
    return _Search(question, model, clock, proven, empty).run(light)


class _Search:
    def __init__(
        self,
        question: Question,
        model: Sprung,
        clock: _Clock,
        proven: bool,
        empty: tuple[Give, ...],
    ) -> None:
        self.question, self.model, self.clock = question, model, clock
        self.proven, self.empty = proven, empty
        self.small = model.x_cell.shape[0] <= SMALL
        self.ways: list[WayOut] = []
        #: The groups that give in each of them, and in the last one that was looked at.
        self.given: list[set[int]] = []
        self.gave: set[int] = set()
        self.clashes: tuple[tuple[str, ...], ...] = ()
        self.clash_least = False
        self.clash_until = 0.0

    def told(self, plates: tuple[Plate, ...] = ()) -> Impossible:
        verdict: Verdict = "impossible" if self.proven else "possible" if plates else "stopped"
        told = zip(self.ways, self.given, strict=True)
        ways = [way for way, gave in told if not any(other < gave for other in self.given)]
        ways.sort(key=lambda way: way.price)
        return Impossible(
            verdict=verdict,
            clashes=self.clashes,
            clash_least=self.clash_least,
            empty=self.empty,
            ways_out=tuple(ways),
            plates=plates,
            solver=version(),
            seconds=self.clock.spent(),
        )

    def run(self, light: bool) -> Impossible:
        relaxed = relaxed_least(self.model, self.clock.effort(self.clock.left() / 2))
        self.clock.solved += relaxed.seconds
        if relaxed.status != "optimal" or relaxed.value is None or self.clock.over("clash"):
            return self.told()
        by_parts = relaxed.value > NOTHING
        if by_parts and self.model.whole:
            self.proven = True
        assert relaxed.duals is not None
        assert relaxed.x is not None
        start = priced_groups(self.model, relaxed.duals) if by_parts else set()
        if light or relaxed.seconds > SLOW_SECONDS:
            self.clashes = (self._named(start),) if start else ()
            way = self._planned(relaxed.x) if by_parts else None
            if way is not None:
                self.ways, self.given = [way], [self.gave]
            return self.told()
        if by_parts:
            self._clash(start, by_parts)
        kept = self._ways(by_parts)
        if kept:
            return self.told(kept)
        if self.proven and not by_parts:
            self._clash(start, by_parts)
        return self.told()

    def _named(self, groups: set[int]) -> tuple[str, ...]:
        return tuple(self.model.apart.groups[group] for group in sorted(groups))

    def _ways(self, by_parts: bool) -> tuple[Plate, ...]:
        """Fill ``ways``; the plates of a menu that keeps everything, should there be one."""
        whole = self.small or not by_parts
        problem = self.model.problem
        for _ in range(WAYS):
            if self.clock.over("what must give"):
                break
            effort = self.clock.effort(2 * STEP_SECONDS, gap=0.03)
            out = cheapest_set(self.model, problem, effort, whole)
            self.clock.solved += out.seconds
            if whole and not self.ways and self.model.whole and out.bound > 10 * SLACK:
                self.proven = True
            if out.x is None:
                break
            groups = giving(self.model, out.x)
            if not groups:
                return self._kept(out.x)
            if whole:
                sure = out.status in ("optimal", "good-enough") and self.model.whole
                way = self._way(out.x, sure and not self.ways)
            else:
                way = self._repaired(out.x, groups)
            if way is not None and self._worth(way):
                self.ways.append(way)
                self.given.append(self.gave)
                groups &= self.gave or groups  # a menu may have needed less
            problem = without(problem, self.model, groups)
        return ()

    def _repaired(self, x: Floats, groups: set[int]) -> WayOut | None:
        """A way out in whole dishes, from what gives where dishes may be mixed in parts."""
        out = with_whole_dishes(self.model, groups, self.clock.effort())
        self.clock.solved += out.seconds
        if out.x is not None:
            return self._way(out.x, least=False)
        return self._planned(x)

    def _planned(self, x: Floats) -> WayOut | None:
        """What gives in the relaxation, and a little more, planned anew; else in the rough."""
        model = self.model
        part: dict[int, float] = {}
        for spring in model.springs:
            if x[spring.column] > SLACK:
                part[spring.single] = max(part.get(spring.single, 0.0), float(x[spring.column]))
        if not part:
            return None
        groups = {model.apart.singles[number].group for number in part}
        concerned = [
            (number, single)
            for number, single in enumerate(model.apart.singles)
            if single.group in groups
        ]
        dropped = {number for number, single in concerned if single.kind in FREED}
        for more in MORE:
            if self.clock.over("planning again"):
                break
            given = tuple(
                loosened(self.question, single, more * part.get(number, 0.0) + (more - 1) / 4)
                for number, single in concerned
            )
            seconds = self.clock.effort(PLANNING_SECONDS).seconds
            tries = replace(self.clock.tries, gap=0.1, seconds=seconds)
            menu = plan_menu(softened(self.question, given), tries, _near_enough)
            self.clock.solved += menu.seconds
            way = self._told_way(menu.plates, dropped, least=False) if menu.plates else None
            if way is not None:
                return way
        rough = tuple(
            loosened(self.question, model.apart.singles[number], amount)
            for number, amount in sorted(part.items())
        )
        self.gave = groups
        return WayOut(
            gives=gives_of(self.question, rough),
            price=self._price(rough),
            question=softened(self.question, rough),
        )

    def _worth(self, way: WayOut) -> bool:
        if not self.ways:
            return True
        first = self.ways[0]
        return (
            len(way.gives) <= max(MOST_WISHES, len(first.gives))
            and way.price <= MUCH_DEARER * first.price
            and not any(known <= self.gave for known in self.given)
        )

    def _kept(self, x: Floats) -> tuple[Plate, ...]:
        plates = plates_of(self.question, self.model, x)
        return plates if not broken_rules(self.question, plates) else ()

    def _way(self, x: Floats, least: bool) -> WayOut | None:
        """In limits and words, if the checker agrees that the plates keep what is left."""
        model = self.model
        dropped = {
            spring.single
            for spring in model.springs
            if x[spring.column] > 0.5 and model.apart.singles[spring.single].kind in FREED
        }
        return self._told_way(plates_of(self.question, model, x), dropped, least)

    def _told_way(self, plates: tuple[Plate, ...], dropped: set[int], least: bool) -> WayOut | None:
        given = softer(self.model.apart, self.question, plates, dropped)
        question = softened(self.question, given)
        if not given or broken_rules(question, plates):
            return None
        self.gave = {each.single.group for each in given}
        return WayOut(
            gives=gives_of(self.question, given),
            price=self._price(given),
            question=question,
            plates=plates,
            least=least,
        )

    def _price(self, given: tuple[Softer, ...]) -> float:
        total = EACH_WISH * len({each.single.group for each in given})
        for each in given:
            single = each.single
            if single.kind in FREED:
                total += single.price
                continue
            own = abs(single.limit) if single.limit and single.size != 1.0 else 1.0
            total += single.price * abs(each.limit - single.limit) / own
        return round(total, 4)

    def _clash(self, start: set[int], by_parts: bool) -> None:
        """A clash, then one among the wishes that are not in it, and so on."""
        self.clash_until = self.clock.spent() + self.clock.left() * CLASH_PART
        left = set(range(self.model.groups))
        first = start if start and self._still(start, by_parts) else left
        while len(self.clashes) < CLASHES:
            groups = self._shortened(first, by_parts)
            if groups is None:
                self.clash_least = False
                return
            self.clashes += (self._named(groups),)
            self.clash_least = True
            left -= groups
            if not left or self._no_time() or not self._still(left, by_parts):
                return
            first = left

    def _no_time(self) -> bool:
        return self.clock.over("clash") or self.clock.spent() > self.clash_until

    def _shortened(self, groups: set[int], by_parts: bool) -> set[int] | None:
        """Leave out one wish after another as long as the rest still clash; None: no time."""
        for group in sorted(groups, key=lambda g: (-self._dearness(g), g)):
            if self._no_time():
                if not self.clashes:
                    self.clashes = (self._named(groups),)
                return None
            if self._still(groups - {group}, by_parts):
                groups = groups - {group}
        return groups

    def _still(self, groups: set[int], by_parts: bool) -> bool:
        out = clashes(self.model, groups, self.clock.effort(gap=0.0), whole=not by_parts)
        self.clock.solved += out.seconds
        return out.status == "impossible"

    def _dearness(self, group: int) -> int:
        """Groups of many rows are left out first: a short list is easier to grasp."""
        return sum(single.group == group for single in self.model.apart.singles)


def _near_enough(progress: Progress) -> bool:
    """Any whole menu will do: what misses a rule is never near its bound."""
    return progress.gap < 0.25


def plates_of(question: Question, model: Sprung, x: Floats) -> tuple[Plate, ...]:
    """The menu that the columns stand for."""
    board = model.board
    first_e = model.x_cell.shape[0]
    above = {
        (int(p), int(r)): round(float(x[first_e + k]))
        for k, (p, r) in enumerate(zip(model.e_plate, model.e_dish, strict=True))
    }
    order = {(slot.day, slot.time): at for at, slot in enumerate(question.slots)}
    made = []
    for k in np.nonzero(x[:first_e] > 0.5)[0].tolist():
        cell, r, times = int(model.x_cell[k]), int(model.x_dish[k]), round(float(x[k]))
        dish = question.dishes[r]
        portions = []
        for p in range(int(board.plate_start[cell]), int(board.plate_start[cell + 1])):
            steps = dish.least_steps * times + above.get((p, r), 0)
            portions.append(
                Portion(
                    walker=board.walker_ids[int(board.plate_walker[p])],
                    steps=steps,
                    mass_g=(dish.mass_g + dish.fuel_g) * steps / dish.steps_per_serving,
                    energy_kcal=dish.energy_kcal * steps / dish.steps_per_serving,
                )
            )
        made.append(
            Plate(
                day=int(board.cell_day[cell]),
                time=board.cell_time[cell],
                dish=dish.id,
                shared=int(board.cell_walker[cell]) < 0,
                times=times,
                portions=tuple(portions),
            )
        )
    made.sort(
        key=lambda plate: (order[plate.day, plate.time], plate.portions[0].walker, plate.dish)
    )
    return tuple(made)


__all__ = ["Impossible", "Verdict", "WayOut", "why_impossible"]
