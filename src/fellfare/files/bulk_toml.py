"""The bulk-ration document, as TOML."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Final

from msgspec import Struct

from fellfare.files.reading import place, read_document
from fellfare.mistake import Mistake
from fellfare.provision.bulk.asked import USUAL_BAG_G, BulkAsked, GroupWish
from fellfare.provision.shopping.packs import Pack

GUIDE: Final = "docs/bulk.md"


class _Pack(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    food: str
    size_g: float
    price: Decimal | None = None
    name: str = ""


class _Document(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The keys of the file; tables are named in the singular, one [[group]] each."""

    title: str
    people: int
    days: float
    column_lb: float
    #: A trip document, seen from this one's folder: its need is compared.
    trip: str = ""
    avoid: tuple[str, ...] = ()
    bag_g: float = USUAL_BAG_G
    #: Word behind the cost.
    currency: str = ""
    group: tuple[GroupWish, ...] = ()
    pack: tuple[_Pack, ...] = ()


class BulkFile(Struct, frozen=True):
    """A bulk ration and the file it stands in."""

    path: Path
    text: str
    title: str
    trip: str
    asked: BulkAsked

    def placed(self, mistake: Mistake) -> Mistake:
        """The mistake with file and line in front of its field."""
        field = mistake.where.replace(" > ", ".")
        return Mistake(mistake.code, mistake.what, mistake.mend, place(self.path, self.text, field))


def read_bulk(path: Path) -> BulkFile:
    """The ration in one TOML file.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.reading.read_document`.
    """
    document, text = read_document(path, _Document, GUIDE)
    packs: dict[str, tuple[Pack, ...]] = {}
    for one in document.pack:
        pack = Pack(size_g=one.size_g, price=one.price, name=one.name)
        packs[one.food] = (*packs.get(one.food, ()), pack)
    return BulkFile(
        path,
        text,
        document.title,
        document.trip,
        BulkAsked(
            people=document.people,
            days=document.days,
            column_lb=document.column_lb,
            groups=document.group,
            avoid=document.avoid,
            packs=packs,
            bag_g=document.bag_g,
            currency=document.currency,
        ),
    )
