"""The season document of an outfitter: parties, cases, store room, deliveries."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Final

from msgspec import Struct

from fellfare.files.reading import parse_document, place, read_text
from fellfare.mistake import Mistake, Mistakes
from fellfare.provision.season.lots import Lot, Packed
from fellfare.provision.shopping.packs import Pack

GUIDE: Final = "docs/season.md"


class PartyWord(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One party: its trip document, seen from the season's folder; its log when it is back.

    In a book the three are names of its documents.
    """

    name: str
    trip: str
    #: '' = the one that lies beside the trip, or bears its name.
    menu: str = ""
    log: str = ""


class _Case(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    food: str
    size_g: float
    price: Decimal | None = None
    name: str = ""


class _Document(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The keys of the file; tables are named in the singular, one [[party]] each."""

    title: str
    currency: str = ""
    dry_at_home: tuple[str, ...] = ()
    #: Food → grams in the store room.
    in_store: dict[str, float] = {}
    party: tuple[PartyWord, ...] = ()
    case: tuple[_Case, ...] = ()
    lot: tuple[Lot, ...] = ()
    packed: tuple[Packed, ...] = ()


class SeasonFile(Struct, frozen=True, kw_only=True):
    """A season and the file it stands in."""

    path: Path
    text: str
    title: str
    currency: str
    dry_at_home: tuple[str, ...]
    in_store: dict[str, float]
    parties: tuple[PartyWord, ...]
    cases: dict[str, tuple[Pack, ...]]
    lots: tuple[Lot, ...]
    #: In the order of packing.
    packed: tuple[Packed, ...]

    def with_parties(self) -> SeasonFile:
        """Itself, if it names a party.

        Raises
        ------
        Mistake
            ``season-empty``.
        """
        if self.parties:
            return self
        raise self.placed(
            Mistake(
                "season-empty", "no party is named", "add [[party]] with name and trip", "title"
            )
        )

    def placed(self, mistake: Mistake) -> Mistake:
        """The mistake with file and line in front of its field (``lot[0].food``)."""
        if isinstance(mistake, Mistakes):
            return Mistakes(tuple(self.placed(one) for one in mistake.each))
        field = mistake.where.replace(" > ", ".")
        return Mistake(mistake.code, mistake.what, mistake.mend, place(self.path, self.text, field))


def read_season(path: Path) -> SeasonFile:
    """The season in one TOML file; its trips are not opened yet.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.reading.read_document`; ``party-twice``.
    """
    return season_of_text(read_text(path), path)


def season_of_text(text: str, path: Path) -> SeasonFile:
    """As :func:`read_season`, of a text; ``path`` only names it in mistakes."""
    document = parse_document(text, path, _Document, GUIDE)
    cases: dict[str, tuple[Pack, ...]] = {}
    for case in document.case:
        pack = Pack(size_g=case.size_g, price=case.price, name=case.name)
        cases[case.food] = (*cases.get(case.food, ()), pack)
    season = SeasonFile(
        path=path,
        text=text,
        title=document.title,
        currency=document.currency,
        dry_at_home=document.dry_at_home,
        in_store=document.in_store,
        parties=document.party,
        cases=cases,
        lots=document.lot,
        packed=document.packed,
    )
    names = [party.name for party in document.party]
    for at, name in enumerate(names):
        if name in names[:at] or not name.strip() or "/" in name or name.startswith("."):
            raise season.placed(
                Mistake(
                    "party-twice",
                    f"the party {name!r} has no name of its own",
                    "give each a name of its own that can be a folder's, too",
                    f"party[{at}].name",
                )
            )
    return season
