"""What may be combined, what must hold, and what is better?"""

from __future__ import annotations

import math
from typing import Final, Literal

from msgspec import Struct

from fellfare.measure.units import System
from fellfare.mistake import Mistake
from fellfare.pantry.food import Way
from fellfare.recipe.composing.taste import TASTES

#: Figures that add up over the foods of a dish, for one eater.
SUMS: Final = (
    "mass_g",
    "energy_kcal",
    "protein_g",
    "fat_g",
    "carbohydrate_g",
    "fibre_g",
    "sugars_g",
    "sodium_mg",
    "water_add_ml",
    "cost",
)
#: Ratios of two sums: name → (above, below, how much of the lower one).
RATIOS: Final = {
    "energy_kcal_per_100g": ("energy_kcal", "mass_g", 100.0),
    "protein_g_per_1000_kcal": ("protein_g", "energy_kcal", 1000.0),
    "fibre_g_per_1000_kcal": ("fibre_g", "energy_kcal", 1000.0),
    "sodium_mg_per_1000_kcal": ("sodium_mg", "energy_kcal", 1000.0),
    "cost_per_1000_kcal": ("cost", "energy_kcal", 1000.0),
}
#: 'minutes' is the slowest food's; 'tastes' how many of the eight are there.
OTHERS: Final = ("minutes", "tastes")
FIGURES: Final = (*SUMS, *RATIOS, *OTHERS)

#: Smallest difference that a cook, walker or purse would notice: common practice, no source.
NOTICED: Final = {
    "mass_g": 5.0,
    "energy_kcal": 20.0,
    "protein_g": 1.0,
    "fat_g": 1.0,
    "carbohydrate_g": 2.0,
    "fibre_g": 0.5,
    "sugars_g": 1.0,
    "sodium_mg": 50.0,
    "water_add_ml": 10.0,
    "cost": 0.05,
    "energy_kcal_per_100g": 5.0,
    "protein_g_per_1000_kcal": 1.0,
    "fibre_g_per_1000_kcal": 0.5,
    "sodium_mg_per_1000_kcal": 50.0,
    "cost_per_1000_kcal": 0.05,
    "minutes": 1.0,
    "tastes": 1.0,
}

#: More parts, or more foods of one part in a dish, than any pot has.
MOST_PARTS: Final = 12
MOST_PICKS: Final = 6


class Part(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """One place in the dish: starch, sauce, fat, add-ins, finish; the person names it."""

    name: str
    #: Pantry ids that may stand there.
    foods: tuple[str, ...]
    #: Amounts to try, for one eater: '60 g', '1 tbsp'.
    amounts: tuple[str, ...]
    #: How many different foods of it go in.
    picks: int = 1
    #: May be left out altogether.
    optional: bool = False
    #: Goes in at the end, out of the pot: crumbs, nuts, oil.
    at_the_end: bool = False


class Pairing(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """A rule of flavour: this food only with one of those, or never with any of those."""

    food: str
    only_with: tuple[str, ...] = ()
    never_with: tuple[str, ...] = ()


class Limit(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """What a figure must be, for one eater; an unknown part never helps to keep it."""

    figure: str
    least: float | None = None
    most: float | None = None


class Aim(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """Which way is better; ``step`` is the difference that counts (None: the usual one)."""

    figure: str
    better: Literal["more", "less"]
    step: float | None = None

    @property
    def grain(self) -> float:
        """Differences below this do not make one dish better than another."""
        return NOTICED[self.figure] if self.step is None else self.step


class Composition(Struct, frozen=True, kw_only=True):
    """Everything the composer is asked, for one eater."""

    title: str
    parts: tuple[Part, ...]
    pairings: tuple[Pairing, ...] = ()
    limits: tuple[Limit, ...] = ()
    aims: tuple[Aim, ...] = (
        Aim(figure="energy_kcal_per_100g", better="more"),
        Aim(figure="protein_g", better="more"),
        Aim(figure="tastes", better="more"),
    )
    #: How the pot is made; gentler foods fit in too.
    way: Way = "hot-pour"
    #: Allergens or groups of them that must not be met, doubt included.
    avoid: tuple[str, ...] = ()
    #: Tastes that must be there.
    tastes: tuple[str, ...] = ()
    #: Money for a kilogram of a food; without one its cost is unknown.
    price_per_kg: tuple[tuple[str, float], ...] = ()
    #: Names of the parts whose foods make the kind of a dish; empty = the first two.
    kind: tuple[str, ...] = ()
    meals: tuple[str, ...] = ()
    system: System = "us"

    @property
    def kind_parts(self) -> tuple[int, ...]:
        """Places of the parts that make the kind of a dish."""
        names = self.kind or tuple(part.name for part in self.parts[:2])
        return tuple(at for at, part in enumerate(self.parts) if part.name in names)


def checked(asked: Composition) -> Composition:
    """The composition itself.

    Raises
    ------
    Mistake
        ``composition-empty``, ``part-twice``, ``part-picks``, ``part-unknown``, ``figure-unknown``,
        ``limit-not-understood``, ``aim-not-understood``, ``taste-unknown``, ``price-out-of-range``.
    """
    names = [part.name for part in asked.parts]
    if not 1 <= len(names) <= MOST_PARTS:
        raise Mistake(
            "composition-empty",
            f"{len(names)} parts are named",
            f"name 1 to {MOST_PARTS}, such as starch, sauce, fat, add-in, finish",
            "part",
        )
    for at, part in enumerate(asked.parts):
        if part.name in names[:at] or not part.name.strip():
            raise Mistake(
                "part-twice",
                f"the part {part.name!r} has no name of its own",
                "give every part another name",
                f"part[{at}].name",
            )
        if not part.foods or not part.amounts or not 1 <= part.picks <= MOST_PICKS:
            raise Mistake(
                "part-picks",
                f"{part.picks} of {len(part.foods)} foods in {len(part.amounts)} amounts",
                f"list foods and amounts, and pick 1 to {MOST_PICKS} of them",
                f"part[{at}]",
            )
        if part.picks > len(set(part.foods)):
            raise Mistake(
                "part-picks",
                f"{part.picks} different foods are wanted, {len(set(part.foods))} are listed",
                "list more foods, or pick fewer",
                f"part[{at}].picks",
            )
    for name in asked.kind:
        if name not in names:
            raise Mistake(
                "part-unknown",
                f"no part is called {name!r}",
                "one of: " + ", ".join(names),
                "kind",
            )
    if not asked.aims:
        raise Mistake(
            "aim-not-understood",
            "nothing is said to be better",
            "name at least one aim, such as 'more protein_g'",
            "aims",
        )
    for at, aim in enumerate(asked.aims):
        _figure(aim.figure, f"aims[{at}]")
        if aim.step is not None and not 0 <= aim.step < math.inf:
            raise Mistake(
                "aim-not-understood", f"a step of {aim.step}", "give 0 or more", f"aims[{at}]"
            )
    for at, limit in enumerate(asked.limits):
        _figure(limit.figure, f"limit[{at}].figure")
        if limit.figure == "tastes" or (limit.figure == "minutes" and limit.least is not None):
            raise Mistake(
                "limit-not-understood",
                f"{limit.figure} cannot be limited so",
                "minutes can have a most; for tastes name those that must be there: tastes = […]",
                f"limit[{at}]",
            )
        ends = [end for end in (limit.least, limit.most) if end is not None]
        fair = ends and all(math.isfinite(end) for end in ends) and ends == sorted(ends)
        if not fair:
            raise Mistake(
                "limit-not-understood",
                f"{limit.figure}: least {limit.least}, most {limit.most}",
                "give one end or both, the least first",
                f"limit[{at}]",
            )
    for at, taste in enumerate(asked.tastes):
        if taste not in TASTES:
            raise Mistake(
                "taste-unknown",
                f"no taste is called {taste!r}",
                "one of: " + ", ".join(TASTES),
                f"tastes[{at}]",
            )
    for food, price in asked.price_per_kg:
        if not 0 <= price < 1e6:
            raise Mistake(
                "price-out-of-range",
                f"a kilogram of {food} costs {price}",
                "give money for a kilogram, 0 or more",
                "price",
            )
    return asked


def _figure(name: str, where: str) -> None:
    if name not in FIGURES:
        raise Mistake(
            "figure-unknown",
            f"no figure is called {name!r}",
            "one of: " + ", ".join(FIGURES),
            where,
        )
