"""The person's own word on buying and packing: ``provision.toml`` beside the trip."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from math import isfinite
from pathlib import Path
from typing import Final

from msgspec import Struct

from fellfare.files.reading import parse_document, place, read_text
from fellfare.measure.reading import read_amount
from fellfare.menu.asked.stowing import RUBBISH_G
from fellfare.mistake import Mistake, Mistakes
from fellfare.pantry.pantry import Pantry
from fellfare.provision.prep.drying import Dryer
from fellfare.provision.shopping.packs import First, Pack
from fellfare.provision.trip.own import Own, OwnBox, OwnCarrier
from fellfare.recipe.weighing import weigh

#: Its name beside the trip.
NAME: Final = "provision.toml"
_GUIDE: Final = "docs/provision.md"


class _Pack(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    food: str
    #: '500 g'.
    size: str
    price: Decimal | None = None
    name: str = ""


class _Dryer(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    trays: int = Dryer().trays
    tray_m2: float = Dryer().tray_m2
    load_g_per_m2: float | None = None


class _Carrier(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    name: str
    share: float | None = None
    limit_share: float | None = None


class _Box(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    stop: str
    early_days: int = 0
    late_days: int | None = None
    packed_days: int = 1
    margin_days: int = 1
    carton_g: float = 0.0
    things: tuple[str, ...] = ()
    abroad: bool = False


class _Document(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The keys of the file; tables are named in the singular, one [[pack]] each."""

    currency: str = ""
    first: First = "cost"
    packed: date | None = None
    storage_c: float | None = None
    dry_at_home: tuple[str, ...] = ()
    loss_share: float = 0.0
    fewest_bags: bool = False
    smellables_l: float = 0.5
    rubbish_g: tuple[float, float] = RUBBISH_G
    at_home: dict[str, str] = {}
    dryer: _Dryer = _Dryer()
    pack: tuple[_Pack, ...] = ()
    box: tuple[_Box, ...] = ()
    carrier: tuple[_Carrier, ...] = ()


def read_own(path: Path, pantry: Pantry) -> Own:
    """What the person tells of packs, cupboard, dryer, boxes and who carries.

    Amounts are read as in recipes; a cup of flour becomes grams through its own measure.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.reading.read_document`; ``unknown-food``, and those of
        reading an amount, each with its line; ``pack-out-of-range``; ``box-twice``,
        ``carrier-twice``.
    """
    return own_of_text(read_text(path), path, pantry)


def own_of_text(text: str, path: Path, pantry: Pantry) -> Own:
    """As :func:`read_own`, of a text; ``path`` only names it in mistakes."""
    document = parse_document(text, path, _Document, _GUIDE)
    faults: list[Mistake] = []

    def grams(food: str, amount: str, field: str) -> float:
        try:
            told = weigh(read_amount(amount), pantry.food(food)).mass_g
        except Mistake as mistake:
            faults.append(Mistake(mistake.code, mistake.what, mistake.mend,
                                  place(path, text, field)))  # fmt: skip
            return 0.0
        if told is None or not (isfinite(told) and told >= 0.0):
            faults.append(
                Mistake(
                    "pack-out-of-range",
                    f"{amount[:40]!r} of {food} is no mass",
                    "give grams, or a measure whose mass is known",
                    place(path, text, field),
                )
            )
            return 0.0
        return told

    packs: dict[str, tuple[Pack, ...]] = {}
    for number, one in enumerate(document.pack):
        size_g = grams(one.food, one.size, f"pack[{number}].size")
        pack = Pack(size_g=size_g, price=one.price, name=one.name)
        packs[one.food] = (*packs.get(one.food, ()), pack)
    at_home = {
        food: grams(food, amount, f"at_home.{food}") for food, amount in document.at_home.items()
    }
    for food in document.dry_at_home:
        try:
            pantry.food(food)
        except Mistake as mistake:
            where = place(path, text, "dry_at_home")
            faults.append(Mistake(mistake.code, mistake.what, mistake.mend, where))
    for key, names, code in (
        ("box", [box.stop for box in document.box], "box-twice"),
        ("carrier", [one.name for one in document.carrier], "carrier-twice"),
    ):
        for number, name in enumerate(names):
            if name in names[:number]:
                where = place(path, text, f"{key}[{number}]")
                mend = "put all of it into one table"
                faults.append(Mistake(code, f"{name[:60]!r} stands twice", mend, where))
    if faults:
        raise faults[0] if len(faults) == 1 else Mistakes(tuple(faults))
    return Own(
        packs=packs,
        at_home=at_home,
        dry_at_home=document.dry_at_home,
        currency=document.currency,
        first=document.first,
        loss_share=document.loss_share,
        dryer=Dryer(
            trays=document.dryer.trays,
            tray_m2=document.dryer.tray_m2,
            load_g_per_m2=document.dryer.load_g_per_m2,
        ),
        packed_on=document.packed,
        storage_c=document.storage_c,
        regroup=document.fewest_bags,
        smellables_l=document.smellables_l,
        rubbish_g=document.rubbish_g,
        boxes={
            one.stop: OwnBox(
                early_days=one.early_days,
                late_days=one.late_days,
                packed_days=one.packed_days,
                margin_days=one.margin_days,
                carton_g=one.carton_g,
                things=one.things,
                abroad=one.abroad,
            )
            for one in document.box
        },
        carriers={
            one.name: OwnCarrier(share=one.share, limit_share=one.limit_share)
            for one in document.carrier
        },
    )
