"""What must give? The cheapest sets of wishes, each with a menu that keeps the rest."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from fellfare.menu.answer import Plate, Progress
from fellfare.menu.cheaply import cheap_menu
from fellfare.menu.checking import broken_rules
from fellfare.menu.impossible.answer import WayOut
from fellfare.menu.impossible.clock import STEP_SECONDS, Clock
from fellfare.menu.impossible.served import columns_of, plates_of
from fellfare.menu.impossible.singles import EACH_WISH
from fellfare.menu.impossible.softening import Softer, loosened, softened, softer
from fellfare.menu.impossible.springs import Sprung
from fellfare.menu.impossible.stretching import (
    SLACK,
    cheapest_set,
    giving,
    improved,
    stretched_least,
    with_whole_dishes,
    without,
)
from fellfare.menu.impossible.words import gives_of
from fellfare.menu.model.board import Floats
from fellfare.menu.planning import plan_menu
from fellfare.menu.pool import Question
from fellfare.menu.solver import Problem

#: Ways out that are looked for.
WAYS = 3
#: Choices up to which the whole model is solved as it stands, not its relaxation first.
SMALL = 250
#: A further way out is not told when it takes more wishes than this to give ...
MOST_WISHES = 4
#: ... nor when it is so much dearer than the first.
MUCH_DEARER = 10.0
#: What gives in the relaxation is planned anew with so much more room: the most first, for
#: then a menu is found soonest, and less as long as one is found.
MORE = (2.5, 1.25, 1.05)
#: A wish that gives alone is first let go much further: then there surely is a menu.
MUCH_MORE = (12.0,)
PLANNING_SECONDS = 8.0
TIGHTER_SECONDS = 2.5
#: Part of the time that is left for ways out in which a single wish gives.
ALONE = 0.6
#: ... and for the budget alone, before any other.
MONEY_PART = 0.5
#: So near to what must give where dishes may be mixed in parts is near enough.
NEAR_LEAST = 1.25
NEAR_ALONE = 1.05
#: ... and so near is the least itself.
LEAST = 1.02
#: For whole dishes in a model that holds all rules, where planning found nothing.
DISHES_SECONDS = 8.0
#: Kinds of wish that are given up whole.
FREED = ("lock", "ban", "dislike")


class Ways:
    """Ways out of one question, as they are found."""

    def __init__(
        self, question: Question, model: Sprung, clock: Clock, light: bool = False
    ) -> None:
        self.question, self.model, self.clock, self.light = question, model, clock, light
        self.small = model.x_cell.shape[0] <= SMALL
        self.found: list[WayOut] = []
        #: The groups that give in each of them, and in the last one that was looked at.
        self.given: list[set[int]] = []
        self.gave: set[int] = set()
        #: What gives with dishes mixed in parts, when no menu shows it.
        self.rough: WayOut | None = None
        #: A model in whole dishes had to give something: there is no menu.
        self.proven = False
        #: A menu that keeps every wish, should there be one after all.
        self.kept: tuple[Plate, ...] = ()

    def told(self) -> tuple[WayOut, ...]:
        """Those of fewest wishes first, then the cheapest; none that holds another one whole.

        A rough one for want of any.
        """
        if not self.found:
            return () if self.rough is None else (self.rough,)
        pairs = zip(self.found, self.given, strict=True)
        ways = [way for way, gave in pairs if not any(other < gave for other in self.given)]
        return tuple(sorted(ways, key=lambda way: (_rules(way), len(way.gives), way.price)))

    def look(self, by_parts: bool) -> None:
        """The cheapest set of wishes to give, then the cheapest other than that, and so on.

        ``by_parts``: something must give even where dishes may be mixed in parts,
        so the sets are looked for there first, which is quick.
        """
        whole = self.small or not by_parts
        problem = self.model.problem
        for gave in self.given:
            problem = without(problem, self.model, gave)
        for _ in range(WAYS - len(self.found)):
            if self.clock.over("what must give"):
                return
            effort = self.clock.effort(2 * STEP_SECONDS, gap=0.03)
            out = cheapest_set(self.model, problem, effort, whole)
            self.clock.solved += out.seconds
            done = out.status in ("optimal", "good-enough")
            if whole and not self.found and self.model.whole:
                # solved to the end, or bounded from below: something has to give
                must = out.value if done and out.value is not None else out.bound
                self.proven = self.proven or must > 10 * SLACK
            if out.x is None:
                return
            groups = giving(self.model, out.x)
            if not groups:
                plates = plates_of(self.question, self.model, out.x)
                self.kept = () if broken_rules(self.question, plates) else plates
                return
            if whole:
                way = self._served(out.x, done and self.model.whole and not self.found)
            else:
                way = self._repaired(out.x, groups, out.value or 0.0)
            if way is None:
                self.rough = self.rough or self._rough(out.x)
                way = self._whole(problem)  # perhaps that is not enough in whole dishes
            if way is not None and self._worth(way):
                self.found.append(way)
                self.given.append(self.gave)
            # a menu may have needed fewer wishes to give, or others
            problem = without(problem, self.model, groups if way is None else self.gave)

    def alone(self, candidates: Iterable[frozenset[int]]) -> None:
        """Ways out in which a single wish, or one rule, gives; before any that takes two.

        No wish outside of a clash can be one, so ``candidates`` are those of a clash.
        """
        told: list[tuple[float, list[int], Floats]] = []
        began = self.clock.left()
        for groups in candidates:
            if self.clock.over("one wish alone") or self.clock.left() < began * (1 - ALONE / 2):
                break
            others = [each for each in range(self.model.groups) if each not in groups]
            out = stretched_least(self.model, others, self.clock.effort())
            self.clock.solved += out.seconds
            if out.x is not None and out.value is not None:
                told.append((out.value, sorted(groups), out.x))
        for least, members, x in sorted(told, key=lambda each: each[:2])[:WAYS]:
            if self.clock.over("one wish alone") or self.clock.left() < began * (1 - ALONE):
                break
            way = self._repaired(x, set(members), least, alone=True)
            if way is not None and self.gave <= set(members):
                self.found.append(way)
                self.given.append(self.gave)

    def by_money(self) -> None:
        """The budget alone: of a menu that costs little, what it costs is enough.

        A small model is solved whole instead, which tells the least.
        """
        if self.small:
            return
        groups = {one.group for one in self.model.apart.singles if one.kind == "budget"}
        if not groups or self.clock.over("the budget alone"):
            return
        tries = replace(self.clock.tries, seconds=max(MONEY_PART * self.clock.left(), 0.1))
        made = cheap_menu(self.question, tries, self.clock.watch)
        if made is None:
            return
        self.clock.solved += made.menu.seconds
        if not broken_rules(self.question, made.menu.plates):
            self.kept = made.menu.plates
            return
        way = self._told_way(made.menu.plates, set(), least=False)
        if way is not None and self.gave <= groups:
            self.found.append(way)
            self.given.append(self.gave)

    def one_planned(self, x: Floats, least: float) -> None:
        """One way out, for a question that is too large to look for more."""
        way = self._repaired(x, giving(self.model, x), least)
        if way is None:
            self.rough = self._rough(x)
        else:
            self.found, self.given = [way], [self.gave]

    def _whole(self, problem: Problem) -> WayOut | None:
        """The cheapest set with whole dishes from the start, if that can be had in the time."""
        if self.clock.over("what must give"):
            return None
        out = cheapest_set(self.model, problem, self.clock.effort(DISHES_SECONDS), whole=True)
        self.clock.solved += out.seconds
        way = None if out.x is None else self._served(out.x, least=False)
        return way if way is not None and len(way.gives) <= MOST_WISHES else None

    def _repaired(
        self, x: Floats, groups: set[int], least: float, alone: bool = False
    ) -> WayOut | None:
        """A way out in whole dishes, from what gives where dishes may be mixed in parts.

        ``least`` is the price there: no way out in whole dishes is cheaper.
        """
        way = self._planned(x, least, alone)
        if way is None and not self.light and not self.clock.over("what must give"):
            effort = self.clock.effort(DISHES_SECONDS, gap=0.1)
            out = with_whole_dishes(self.model, groups, effort)
            self.clock.solved += out.seconds
            way = None if out.x is None else self._served(out.x, least=False)
        return way

    def _planned(self, x: Floats, least: float, alone: bool) -> WayOut | None:
        """What gives in the relaxation, and more, planned anew."""
        model, part = self.model, self._parts(x)
        groups = {model.apart.singles[number].group for number in part}
        concerned = [
            (number, single)
            for number, single in enumerate(model.apart.singles)
            if single.group in groups
        ]
        dropped = {number for number, single in concerned if single.kind in FREED}
        best: tuple[WayOut, set[int]] | None = None
        near = NEAR_ALONE if alone else NEAR_LEAST
        for more in (*MUCH_MORE, *MORE) if alone else MORE:
            if self.clock.over("planning again"):
                break
            given = tuple(
                loosened(self.question, single, more * part.get(number, 0.0) + (more - 1) / 4)
                for number, single in concerned
            )
            seconds = self.clock.effort(self._patience(best is None)).seconds
            tries = replace(self.clock.tries, gap=0.1, seconds=seconds)
            menu = plan_menu(softened(self.question, given), tries, _near_enough)
            self.clock.solved += menu.seconds
            if not menu.plates:
                break
            way = self._improved(menu.plates, groups, dropped)
            if way is not None and (best is None or way.price < best[0].price):
                best = way, self.gave
                if way.price <= near * least:
                    break
        if best is None:
            return None
        self.gave = best[1]
        # what is proven is of these groups alone, or of all that may give
        proven = (not alone or self.gave <= groups) and best[0].price <= LEAST * least
        return replace(best[0], least=best[0].least or proven)

    def _patience(self, first_try: bool) -> float:
        """Seconds for one planning: much of what is left while there is no way out at all."""
        if not first_try:
            return TIGHTER_SECONDS
        return max(PLANNING_SECONDS, 0.0 if self.found else 0.4 * self.clock.left())

    def _parts(self, x: Floats) -> dict[int, float]:
        """Single wishes that give, each by so much of its own size."""
        part: dict[int, float] = {}
        for spring in self.model.springs:
            if x[spring.column] > SLACK:
                part[spring.single] = max(part.get(spring.single, 0.0), float(x[spring.column]))
        return part

    def _rough(self, x: Floats) -> WayOut:
        """What gives where dishes may be mixed in parts; no menu shows it."""
        singles = self.model.apart.singles
        rough = tuple(
            loosened(self.question, singles[number], amount)
            for number, amount in sorted(self._parts(x).items())
        )
        return WayOut(
            gives=tuple(
                replace(give, gives=f"{give.gives} (roughly: no such menu was found yet)")
                for give in gives_of(self.question, rough)
            ),
            price=self._price(rough),
            question=softened(self.question, rough),
        )

    def _improved(
        self, plates: tuple[Plate, ...], groups: set[int], dropped: set[int]
    ) -> WayOut | None:
        """A planned menu gives more than it must, for that is lighter: less of that."""
        way = self._told_way(plates, dropped, least=False)
        menu = columns_of(self.model, plates)
        gave = self.gave
        for dishes_stand in (True, False):
            if way is None or menu is None or self.clock.over("what must give"):
                break
            if self.light and not dishes_stand:
                break  # a light model knows nothing of repeats, so its dishes must stand
            effort = self.clock.effort(2 * STEP_SECONDS, gap=0.1)
            out = improved(self.model, groups, menu, effort, dishes_stand)
            self.clock.solved += out.seconds
            better = None if out.x is None else self._served(out.x, least=False)
            if better is not None and better.price < way.price:
                way, gave = better, self.gave
                menu = columns_of(self.model, better.plates) or menu
        self.gave = gave
        return way

    def _worth(self, way: WayOut) -> bool:
        if not self.found:
            return True
        first = self.found[0]
        return (
            len(way.gives) <= max(MOST_WISHES, len(first.gives))
            and way.price <= MUCH_DEARER * first.price
            and not any(known <= self.gave for known in self.given)
        )

    def _served(self, x: Floats, least: bool) -> WayOut | None:
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
            gives=gives_of(self.question, given, plates),
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


def _rules(way: WayOut) -> int:
    """How many rules give, whoever they are for."""
    return len({give.wish for give in way.gives})


def _near_enough(progress: Progress) -> bool:
    """Any whole menu will do: what misses a rule is never near its bound."""
    return progress.gap < 0.25
