"""What is done in camp, in its order, and which bag goes in when?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import ceil
from typing import Final

from msgspec import Struct

from fellfare.pantry.food import Trust
from fellfare.provision.measures import Measure, minutes_said, water_measure
from fellfare.recipe.document import Act
from fellfare.recipe.watering import WateredStep

#: What a step asks of the eater, in two or three words.
SAID: Final[dict[Act, str]] = {
    "soak": "soak in cold water",
    "steep": "pour on boiling water, cover",
    "boil": "boil",
    "simmer": "simmer",
    "fry": "fry",
    "toast": "toast",
    "mix": "stir in",
    "rest": "let rest",
    "heat": "heat",
    "drain": "drain",
    "bake": "bake",
    "dry": "dry",
    "pack": "pack",
    "serve": "serve",
}

#: The same, where other bags go in with it.
_WITH: Final[dict[Act, str]] = {
    "steep": "pour boiling water on it and {}, cover",
    "mix": "stir together with {}",
    "drain": "drain, together with {}",
}

#: Done again for each batch, where one filling of the pots does not hold all of it.
IN_THE_POT: Final[tuple[Act, ...]] = ("boil", "simmer", "heat", "fry")

#: Where the only eater of a bag must not eat it: the plan itself is wrong.
STOP: Final = "STOP"


class LabelStep(Struct, frozen=True, kw_only=True):
    """One thing to do in camp."""

    act: Act
    #: 'pour on boiling water, cover'.
    said: str
    #: The author's own words.
    text: str
    #: None = no water, or unknown.
    water: Measure | None
    #: Water is needed, and nobody has told how much.
    water_unknown: bool
    minutes: float | None
    most_minutes: float | None
    minutes_trust: Trust
    #: The pots are filled so often, each time with an even part of it and of this water.
    batches: int = 1
    #: Of the recipe's steps, from 1; 0 = not told.
    number: int = 0

    @property
    def figures(self) -> tuple[str, ...]:
        """What to measure and how long to wait: '310 ml (1⅓ cups)', '5 min'."""
        parts = []
        if self.water is not None:
            parts.append(f"{self.water.metric} ({self.water.us})")
        elif self.water_unknown:
            parts.append("water not known: try it at home")
        if self.minutes is not None:
            parts.append(minutes_said(self.minutes, self.most_minutes))
        if self.batches > 1:
            parts.append(f"in {self.batches} batches")
        return tuple(parts)

    @property
    def line(self) -> str:
        """'pour on boiling water, cover: 310 ml (1⅓ cups), 5 min'."""
        return Deed(self.said, self.figures).line


class AddIn(Struct, frozen=True, kw_only=True):
    """Another bag of the dish, which goes in later or together."""

    number: int
    name: str
    #: The step of the recipe that it first goes into, from 1; past the last if none takes it.
    step: int = 0
    #: It goes in after the pot's first bag.
    later: bool
    #: Net mass; None = not measured.
    amount: Measure | None
    #: Names of those who add it, when it is not for all.
    only_for: tuple[str, ...] = ()
    #: Names of those who must not eat it, or go without it.
    not_for: tuple[str, ...] = ()
    #: Its only eater, who must not eat it: the plan is wrong.
    stop_for: tuple[str, ...] = ()

    @property
    def measured(self) -> str:
        """'24 g (3 tbsp)'; '' = nobody weighed it."""
        if self.amount is None:
            return ""
        spoons = f" ({self.amount.us_household})" if self.amount.us_household else ""
        return f"{self.amount.metric}{spoons}"

    @property
    def marks(self) -> str:
        """' [only Bo; NOT FOR Ada]'; '' where it is for everybody."""
        told = [f"only {', '.join(self.only_for)}"] if self.only_for else []
        told += [f"NOT FOR {', '.join(self.not_for)}"] if self.not_for else []
        told += [f"{STOP}: not for {', '.join(self.stop_for)}"] if self.stop_for else []
        return f" [{'; '.join(told)}]" if told else ""

    @property
    def said(self) -> str:
        """'walnuts 24 g [only Bo; NOT FOR Ada]'."""
        return f"{quoted(self.name)} {self.measured}".rstrip() + self.marks


class GoesIn(Struct, frozen=True):
    """A bag, or the like bags of several jars, with the step at which it goes in."""

    step: int
    later: bool
    #: 'oil 12 g (2¾ tsp)'; 'oil (Corrie 12 g, Fell 11 g)'.
    said: str


class Deed(Struct, frozen=True):
    """One line of what is done: 'soak in cold water with vegetables 9 g', and its figures."""

    said: str
    figures: tuple[str, ...] = ()
    act: Act | None = None

    @property
    def line(self) -> str:
        """'pour on boiling water, cover: 310 ml (1⅓ cups), 5 min'."""
        return f"{self.said}: {', '.join(self.figures)}" if self.figures else self.said


def quoted(name: str) -> str:
    """The bag's name, in quotation marks where it has a mark within."""
    return f"‘{name}’" if any(mark in name for mark in ":,;") else name


def goes_in(adds: Iterable[AddIn]) -> tuple[GoesIn, ...]:
    """The bags of one pot as they are said."""
    return tuple(GoesIn(one.step, one.later, one.said) for one in adds)


def deeds(
    steps: Sequence[LabelStep], adds: Sequence[GoesIn], *, into: str = ""
) -> tuple[Deed, ...]:
    """What is done, line by line; each bag stands at the step that it first goes into.

    Parameters
    ----------
    steps
        In the recipe's order.
    adds
        Bags that go in with the steps or after them, in any order.
    into
        Name of the bag whose pot the first step takes up; '' = a pot of its own.
    """
    told = []
    ahead = sorted(adds, key=lambda one: one.step)
    for place, step in enumerate(steps):
        here = [one for one in ahead if one.step <= step.number]
        ahead = ahead[len(here) :]
        later = any(one.later for one in here)
        here_said = both(one.said for one in here)
        if into and place == 0:
            told.append(_joining(step, quoted(into), here_said))
        elif not here:
            if step.act != "serve":
                told.append(Deed(step.said, step.figures, step.act))
        elif later:
            told.append(_adding(step, here_said))
        else:
            said = _WITH.get(step.act, f"{step.said} with {{}}").format(here_said)
            told.append(Deed(said, step.figures, step.act))
    if into and not steps:
        told.append(Deed(f"goes later into {quoted(into)}"))
    for number in dict.fromkeys(one.step for one in ahead):
        some = [one for one in ahead if one.step == number]
        lead = "later add" if any(one.later for one in some) else "with"
        told.append(Deed(f"{lead} {both(one.said for one in some)}"))
    return tuple(told)


def wetted(told: Iterable[Deed], wet: str) -> tuple[Deed, ...]:
    """The same lines; after the first soaking, or else at the end, when to wet it."""
    lines: list[Deed] = []
    for one in told:
        lines.append(one)
        if wet and one.act == "soak":
            lines.append(Deed(wet))
            wet = ""
    return (*lines, Deed(wet)) if wet else tuple(lines)


def _adding(step: LabelStep, said: str) -> Deed:
    """'later add sauce 92 g, then simmer'."""
    if step.act == "serve" or (step.act == "mix" and not step.figures):
        lead = "later add" if step.act == "serve" else "later stir in"
        return Deed(f"{lead} {said}", step.figures, step.act)
    return Deed(f"later add {said}, then {_then(step)}", step.figures, step.act)


def _joining(step: LabelStep, into: str, said: str) -> Deed:
    """'goes later into ‘noodles’, with oil 12 g; then simmer'."""
    lead = f"goes later into {into}" + (f", with {said}" if said else "")
    if step.act == "serve":
        return Deed(lead, step.figures, step.act)
    return Deed(f"{lead}; then {_then(step)}", step.figures, step.act)


def _then(step: LabelStep) -> str:
    return "stir" if step.act == "mix" else step.said


def joins_said(joins: str, into: str) -> str:
    """'goes in with noodles'; 'goes later into noodles, with chickpeas'."""
    if into:
        return f"goes later into {quoted(into)}, with {quoted(joins)}"
    return f"goes in with {quoted(joins)}"


def both(texts: Iterable[str]) -> str:
    """'sumac 5 g, walnuts 60 g and oil 40 g'."""
    some = tuple(texts)
    if len(some) < 2:
        return "".join(some)
    return f"{', '.join(some[:-1])} and {some[-1]}"


def label_step(
    step: WateredStep,
    factor: float = 1.0,
    slower: float = 1.0,
    batches: int = 1,
    number: int = 0,
) -> LabelStep:
    """One step of the sheet, for ``factor`` times the sheet's eaters.

    A soak, and a rest of what soaked, takes ``slower`` times as long as written; what cooks
    in the pot is cooked in so many ``batches``.  ``number`` is its place in the recipe, from 1.
    """
    longer = slower if step.act in ("soak", "rest") else 1.0

    def there(minutes: float | None) -> float | None:
        return None if minutes is None else float(ceil(minutes * longer - 1e-6))

    water_ml = None if step.water_ml is None else step.water_ml * factor
    return LabelStep(
        act=step.act,
        said=SAID[step.act],
        text=step.text,
        water=None if not water_ml else water_measure(water_ml),
        water_unknown=step.water_unknown,
        minutes=there(step.minutes) if longer > 1.0 else step.minutes,
        most_minutes=None
        if step.minutes == step.most_minutes
        else (there(step.most_minutes) if longer > 1.0 else step.most_minutes),
        minutes_trust=step.minutes_trust,
        batches=batches if step.act in IN_THE_POT else 1,
        number=number,
    )
