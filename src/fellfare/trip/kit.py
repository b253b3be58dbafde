"""Who eats out of which pot, and what holds the food?"""

from __future__ import annotations

from math import ceil
from typing import Final, Literal

from msgspec import Struct

from fellfare.camp.fuel.efficiency import Wind
from fellfare.camp.heat import PotMaterial


class Hot(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Water that is brought to the boil at one eating time, for one eater."""

    #: Name of the eating time.
    eating: str
    water_ml: float


#: A hot drink at breakfast (250 mL), a pour-on dinner (350 to 500 mL): the middle of
#: common practice, no source.  It stands until a menu knows better.
USUAL_HOT: Final = (
    Hot(eating="breakfast", water_ml=250.0),
    Hot(eating="dinner", water_ml=425.0),
)

#: A pot is filled to this part of what it holds (judgement).
POT_FILL: Final = 0.9


class Kitchen(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """One or more walkers who cook and eat together, on a stove or without."""

    #: Names of the walkers; everybody stands in one kitchen.
    walkers: tuple[str, ...]
    #: Class of stove, see ``camp.STOVES``; None = no stove.
    stove: str | None = None
    #: Id of the fuel, see ``camp.FUELS``; None without a stove.
    fuel: str | None = None
    #: One's own weighed efficiency instead of the class's, a share.
    efficiency: float | None = None
    #: Wind at the stove; None = that of the day.
    wind: Wind | None = None
    pot_material: PotMaterial = "aluminium"
    #: Pot with its lid [g] and what it holds [mL]; None = not known.
    pot_g: float | None = None
    pot_ml: float | None = None
    #: How many pots of that kind there are, and how often they may be filled for one meal.
    pots: int = 1
    batches: int = 1
    #: Stove, lighter, screen, without pot and fuel [g].
    kit_g: float = 0.0
    #: Net fills of the canisters to choose from [g]; empty = all common ones.
    canisters_g: tuple[float, ...] = ()
    #: Fuel on top of what is reckoned, as a share; None = the house's 0.15.
    reserve: float | None = None
    hot: tuple[Hot, ...] = USUAL_HOT
    #: Soak jar of each walker: what it holds [mL] and weighs [g]; None = no jar.
    jar_ml: float | None = None
    jar_g: float = 0.0
    #: Where the stove burns; 'inside' is a tent, porch, hut or vehicle.  None = not told.
    cooking_place: Literal["outside", "inside"] | None = None
    #: Those who have a pot and spoon that nobody else uses.
    own_pot: tuple[str, ...] = ()

    @property
    def stoveless(self) -> bool:
        """Whether nothing is ever heated here."""
        return self.stove is None

    @property
    def usable_ml(self) -> float | None:
        """What one pot is filled with at most [mL]; None = nobody has told what it holds."""
        return None if self.pot_ml is None else POT_FILL * self.pot_ml

    @property
    def meal_ml(self) -> float | None:
        """What all pots hold in all batches of one meal [mL]; None = not known."""
        return None if self.usable_ml is None else self.usable_ml * self.pots * self.batches

    def fills(self, content_ml: float) -> int:
        """How often a pot is filled for so much [mL]; 1 where its size is not known."""
        if self.usable_ml is None:
            return 1
        return max(1, ceil(content_ml / self.usable_ml - 1e-9))

    def batches_for(self, content_ml: float) -> int:
        """In how many batches so much is cooked [mL], all pots on the fire in each."""
        return -(-self.fills(content_ml) // self.pots)


class Container(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """A food bag, or a hard canister that animals cannot open."""

    #: Who carries it.
    walker: str
    litres: float
    #: 'bag' or 'canister'.
    hard: bool = False
    mass_g: float = 0.0
