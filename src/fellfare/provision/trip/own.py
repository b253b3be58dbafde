"""What only the person can say: packs, the cupboard, the dryer, shares, boxes."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from math import isfinite

from msgspec import Struct

from fellfare.menu.asked.stowing import RUBBISH_G, SMELLABLES_L
from fellfare.mistake import Mistake
from fellfare.provision.boxes.box import BOX_C
from fellfare.provision.carrying import LIMIT_SHARE
from fellfare.provision.prep.drying import Dryer
from fellfare.provision.shopping.packs import First, Pack


class OwnBox(Struct, frozen=True, kw_only=True):
    """What the person adds to the trip's word about one box."""

    #: Days by which the walkers may come earlier or later than planned; ``late_days`` of
    #: None = the trip's whole spare days.
    early_days: int = 0
    late_days: int | None = None
    #: Days before posting on which its bags are filled.
    packed_days: int = 1
    #: Days added before the slowest arrival: closed counters, holidays.
    margin_days: int = 1
    #: Cardboard and padding [g].
    carton_g: float = 0.0
    #: Things that are no food.
    things: tuple[str, ...] = ()
    #: It crosses a border.
    abroad: bool = False


class OwnCarrier(Struct, frozen=True, kw_only=True):
    """What the person says of one who carries."""

    #: Stated part of the food, in any unit common to all; None = by body mass.
    share: float | None = None
    #: Most that the pack may weigh, as a share of the body mass; None = the trip's rule.
    limit_share: float | None = None


class Own(Struct, frozen=True, kw_only=True):
    """The person's own figures; without any, food is bought loose at an unknown price."""

    #: Food id to the packs that the shop sells.
    packs: Mapping[str, tuple[Pack, ...]] = {}
    #: Food id to what is in the cupboard [g, as bought].
    at_home: Mapping[str, float] = {}
    #: Ids of dried foods that are made at home.
    dry_at_home: tuple[str, ...] = ()
    currency: str = ""
    first: First = "cost"
    #: Lost in drying besides peel and water, 0 to 0.9.
    loss_share: float = 0.0
    dryer: Dryer = Dryer()
    #: When the bags for the start are filled; None = the day before the walk.
    packed_on: date | None = None
    #: How warm the bags lie until they are eaten [°C]; None = the warmest day of the walk.
    storage_c: float | None = None
    #: The fewest bags that the rules allow, instead of the author's.
    regroup: bool = False
    #: Room of soap, toothpaste and the like for each walker [L].
    smellables_l: float = SMELLABLES_L
    #: Rubbish of a walker and day, least and most [g].
    rubbish_g: tuple[float, float] = RUBBISH_G
    #: Stop name to what is said of its box.
    boxes: Mapping[str, OwnBox] = {}
    #: Walker to what is said of them.
    carriers: Mapping[str, OwnCarrier] = {}


#: How warm a box gets where the trip does not say [°C].
UNTOLD_BOX_C = BOX_C
#: Nobody fills bags earlier before posting [days].
MOST_PACKED_DAYS = 400
#: Most of the body's mass on the back where nobody says.
UNTOLD_LIMIT = LIMIT_SHARE


def check_own(own: Own, walkers: tuple[str, ...], boxes: tuple[str, ...]) -> None:
    """Refuse names that the trip does not have, and figures that are none.

    Raises
    ------
    Mistake
        ``unknown-walker``, ``unknown-stop``, ``supply-out-of-range``.
    """
    for name in own.carriers:
        if name not in walkers:
            raise Mistake(
                "unknown-walker",
                f"nobody is called {name[:60]!r}",
                f"choose from {', '.join(walkers)}",
                f"carrier > {name[:60]}",
            )
    for name, box in own.boxes.items():
        if name not in boxes:
            raise Mistake(
                "unknown-stop",
                f"the trip has no box called {name[:60]!r}",
                "name one of its boxes: " + (", ".join(boxes) or "there is none"),
                f"box > {name[:60]}",
            )
        if not 0 <= box.packed_days <= MOST_PACKED_DAYS:
            raise Mistake(
                "supply-out-of-range",
                f"the bags are filled {box.packed_days} days before posting",
                f"give packed_days as whole days, 0 to {MOST_PACKED_DAYS}",
                f"box > {name[:60]}",
            )
        if not (isfinite(box.carton_g) and 0.0 <= box.carton_g <= 20_000.0):
            raise Mistake(
                "supply-out-of-range",
                f"a carton of {box.carton_g:g} g",
                "give the empty box with its padding in grams, 0 to 20 000",
                f"box > {name[:60]}",
            )
