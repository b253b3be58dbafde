"""What is a recipe?  The document as its author wrote it, frozen.

Keys and meaning are ours (see ``docs/recipe-document.md``).  Reading and
writing TOML is the work of the ``files`` room.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from fellfare.measure.units import System

#: What the cook does.  'soak' is in unheated water, 'steep' is boiling water
#: poured on and left covered, 'boil' and 'simmer' are on the fire.
Act = Literal[
    "soak", "steep", "boil", "simmer", "fry", "toast", "mix", "rest", "heat", "drain", "bake",
    "dry", "pack", "serve",
]  # fmt: skip

#: Where a step is done.
Place = Literal["home", "camp"]

#: How a bag is closed and kept; the safety room minds the last two.
Packing = Literal["zip", "screw", "wrap", "vacuum", "oxygen-absorber"]


class Line(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """One ingredient of a recipe."""

    #: A pantry id, or the id of a food of one's own.
    food: str
    #: As the author wrote it: '90 g', '1/2 cup (70 g)', '2 cloves', 'to taste'.
    amount: str
    #: Name of the bag it travels in; None = on its own.
    bag: str | None = None
    #: 'finely chopped', 'toasted'.
    note: str = ""
    #: May be left out without spoiling the dish.
    optional: bool = False
    #: Exponent with which the mass grows with the number of eaters; None = by the food.
    scale_exponent: float | None = None
    #: Pantry ids that may stand in for it.
    swap: tuple[str, ...] = ()
    #: For dried meat and fish made at home: was it heated through before drying?
    preheated: bool | None = None
    #: True when the author dried or made it at home; None = as bought or not said.
    home_made: bool | None = None


class Step(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """One thing to do."""

    act: Act
    #: Bags or single foods that go in.
    bags: tuple[str, ...] = ()
    #: As written: '110 ml'; None = no water is added.
    water: str | None = None
    minutes: float | None = None
    where: Place = "camp"
    text: str = ""
    #: Temperature of the water or the core [°C], when the author says so.
    at_c: float | None = None
    #: The soaking or cooking water is poured away.
    discard_water: bool = False
    #: Water from a source or snow has been made fit to drink before it is used cold.
    water_treated: bool | None = None


class Bag(Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """How one named bag is closed; only bags that need a word are listed."""

    name: str
    packing: Packing = "zip"
    #: Where it waits: 'ambient', 'cold' (at or under 5 °C).
    kept: Literal["ambient", "cold"] = "ambient"
    #: The author's own tare, when weighed [g].
    tare_g: float | None = None


class Recipe(Struct, frozen=True, kw_only=True):
    """A dish for ``serves`` eaters, exactly as its document says."""

    title: str
    serves: int
    lines: tuple[Line, ...]
    steps: tuple[Step, ...] = ()
    bags: tuple[Bag, ...] = ()
    #: 'breakfast', 'lunch', 'snack', 'dinner', 'drink', 'sweet'.
    meals: tuple[str, ...] = ()
    #: Author's own words: flavour family and the like, for variety.
    tags: tuple[str, ...] = ()
    about: str = ""
    #: Whose cup and spoon the amounts mean.
    system: System = "us"
    #: Longest time from wetting to the last bite that the author allows [min].
    hold_minutes: float | None = None
    #: Highest air temperature the author had in mind [°C].
    air_c: float | None = None
    #: 'invented demo', 'own', a printed source.
    origin: str = ""
