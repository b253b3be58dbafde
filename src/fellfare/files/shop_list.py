"""What a thin shop has on its shelf: TOML or CSV, with our own keys.

The keys are the same in both. Composition is per 100 g as on a label, or per
pack (``per``). ``contains`` left out: nobody has read that label, and every
allergen is unknown; an empty list (in CSV ``none``): read, and nothing named.
A figure that is left out is unknown, never zero.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from math import isfinite
from pathlib import Path
from typing import Any, Final, Literal

import msgspec
from msgspec import Struct

from fellfare.files.reading import place, read_document, read_text
from fellfare.menu.basket.shop import MOST_KINDS, ShopPack
from fellfare.mistake import Mistake
from fellfare.pantry.allergens import agents_of
from fellfare.pantry.food import Way
from fellfare.pantry.label import SALT_PER_SODIUM
from fellfare.walk.walker import Diet

GUIDE: Final = "docs/basket.md"
#: What a pack that fits one diet fits as well.
IMPLIED: Final[dict[str, tuple[Diet, ...]]] = {
    "vegan": ("vegan", "vegetarian", "pescetarian", "no-pork", "no-beef"),
    "vegetarian": ("vegetarian", "pescetarian", "no-pork", "no-beef"),
    "pescetarian": ("pescetarian", "no-pork", "no-beef"),
}
_FIGURES: Final = (
    "size_g", "wrapping_g", "price", "volume_ml", "energy_kcal", "protein_g", "fat_g",
    "carbohydrate_g", "fibre_g", "sodium_mg", "salt_g",
)  # fmt: skip
_LISTS: Final = ("contains", "may_contain", "unknown", "diets", "ways")
#: Of 100 g there can be no more than this.
_MOST_PER_100G: Final = {"energy_kcal": 905.0, "sodium_mg": 40_000.0}


class ShopList(Struct, frozen=True, kw_only=True):
    """The shelf, and the currency of its prices ('' = not told)."""

    title: str
    currency: str
    packs: tuple[ShopPack, ...]


class _Pack(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    name: str
    size_g: float
    wrapping_g: float | None = None
    price: float | str | None = None
    stock: int | None = None
    volume_ml: float | None = None
    per: Literal["100 g", "pack"] = "100 g"
    energy_kcal: float | None = None
    protein_g: float | None = None
    fat_g: float | None = None
    carbohydrate_g: float | None = None
    fibre_g: float | None = None
    sodium_mg: float | None = None
    salt_g: float | None = None
    contains: tuple[str, ...] | None = None
    may_contain: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()
    diets: tuple[Diet, ...] = ()
    ways: tuple[Way, ...] = ("dry",)


class _Document(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    pack: tuple[_Pack, ...]
    title: str = ""
    currency: str = ""


def read_shop_list(path: Path) -> ShopList:
    """The shelf from a ``.csv`` file, or from TOML whatever else it is called.

    Raises
    ------
    Mistake
        As :func:`~fellfare.files.reading.read_document`; ``shop-csv``,
        ``shop-empty``, ``shop-figure``, ``shop-name-twice``, ``shop-salt-twice``,
        ``unknown-allergen``.
    """
    if path.suffix.lower() == ".csv":
        document, spots = _from_csv(path)
    else:
        document, text = read_document(path, _Document, GUIDE)
        spots = [place(path, text, f"pack[{at}]") for at in range(len(document.pack))]
    if not 1 <= len(document.pack) <= MOST_KINDS:
        raise Mistake(
            "shop-empty",
            f"{len(document.pack)} packs on the shelf",
            f"give from 1 to {MOST_KINDS} of them",
            str(path),
        )
    seen: dict[str, str] = {}
    packs = []
    for one, spot in zip(document.pack, spots, strict=True):
        if one.name in seen:
            raise Mistake(
                "shop-name-twice",
                f"'{one.name}' stands there already ({seen[one.name]})",
                "put the size into the name",
                spot,
            )
        seen[one.name] = spot
        try:
            packs.append(_shop_pack(one))
        except Mistake as mistake:
            raise mistake.at(spot) from mistake
    return ShopList(
        title=document.title or path.stem, currency=document.currency, packs=tuple(packs)
    )


def _shop_pack(one: _Pack) -> ShopPack:
    price = _price(one.price)
    for name, value in (
        *((name, getattr(one, name)) for name in _FIGURES if name != "price"),
        ("price", price),
        ("stock", one.stock),
    ):
        if value is None:
            continue
        most = 1e6
        if one.per == "100 g" and (name in _MOST_PER_100G or name.endswith("_g")):
            most = _MOST_PER_100G.get(name, 100.0) if name not in ("size_g", "wrapping_g") else 1e6
        if not (isfinite(value) and 0 <= value <= most) or (name == "size_g" and value == 0):
            raise Mistake(
                "shop-figure",
                f"{name} = {value:g}",
                f"a number from 0 to {most:g}; leave out what is not known "
                '(figures are per 100 g unless per = "pack")',
                name,
            )
    share = one.size_g / 100.0 if one.per == "100 g" else 1.0

    def of_pack(value: float | None) -> float | None:
        return None if value is None else value * share

    if one.salt_g is not None and one.sodium_mg is not None:
        raise Mistake("shop-salt-twice", "sodium_mg and salt_g are both given", "keep one of them")
    sodium = one.sodium_mg
    if one.salt_g is not None:
        sodium = one.salt_g * 1000.0 / SALT_PER_SODIUM
    return ShopPack(
        name=one.name,
        content_g=one.size_g,
        wrapping_g=one.wrapping_g,
        energy_kcal=of_pack(one.energy_kcal),
        protein_g=of_pack(one.protein_g),
        fat_g=of_pack(one.fat_g),
        carbohydrate_g=of_pack(one.carbohydrate_g),
        fibre_g=of_pack(one.fibre_g),
        sodium_mg=of_pack(sodium),
        volume_ml=one.volume_ml,
        price=price,
        stock=one.stock,
        contains=_agents(one.contains or ()),
        may_contain=_agents(one.may_contain),
        unknown_allergens=_agents(one.unknown),
        label_read=one.contains is not None,
        diets=tuple(dict.fromkeys(fit for diet in one.diets for fit in IMPLIED.get(diet, (diet,)))),
        ways=one.ways,
    )


def _price(price: float | str | None) -> float | None:
    if price is None or isinstance(price, int | float):
        return price
    try:
        return float(price.replace(",", "."))
    except ValueError:
        raise Mistake(
            "shop-figure", f"price = {price[:40]!r}", "a number: 2.40; the currency apart", "price"
        ) from None


def _agents(words: tuple[str, ...]) -> tuple[str, ...]:
    """Agents; a group ('gluten') stands for every one in it."""
    return tuple(dict.fromkeys(agent for word in words for agent in agents_of(word)))


def _from_csv(path: Path) -> tuple[_Document, list[str]]:
    text = read_text(path)
    # A semicolon between columns is what spreadsheets write where the comma is a decimal mark.
    first = text.split("\n", 1)[0]
    mark = ";" if first.count(";") > first.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    packs, spots = [], []
    currencies: dict[str, None] = {}
    try:
        head = [name.strip() for name in next(reader, [])]
        _head_fits(path, head)
        for cells in reader:
            spot = f"{path}:{reader.line_num}"
            if not any(cell.strip() for cell in cells):
                continue
            if len(cells) != len(head):
                raise Mistake(
                    "shop-csv",
                    f"{len(cells)} cells under {len(head)} columns",
                    "one cell for each column; put text with commas into double quotes",
                    spot,
                )
            plain = dict(_cells(head, cells, mark, spot))
            currencies.setdefault(str(plain.pop("currency", "") or ""))
            try:
                packs.append(msgspec.convert(plain, _Pack))
            except msgspec.ValidationError as error:
                raise Mistake(
                    "shop-csv", str(error), f"see the columns in {GUIDE}", spot
                ) from error
            spots.append(spot)
    except csv.Error as error:
        raise Mistake(
            "shop-csv",
            f"is not CSV: {error}",
            "commas between cells, text with commas in double quotes",
            f"{path}:{reader.line_num}",
        ) from error
    named = [each for each in currencies if each]
    if len(named) > 1:
        raise Mistake(
            "shop-csv",
            f"prices in {' and '.join(named)}",
            "write all prices in one currency",
            str(path),
        )
    return _Document(pack=tuple(packs), currency=named[0] if named else ""), spots


def _head_fits(path: Path, head: list[str]) -> None:
    known = {*_Pack.__struct_fields__, "currency"}
    odd = [name for name in head if name not in known]
    missing = [name for name in ("name", "size_g") if name not in head]
    if odd or missing or len(set(head)) < len(head):
        what = (
            f"the column {odd[0]!r} is not known here"
            if odd
            else f"the column {missing[0]!r} is missing"
            if missing
            else "two columns have the same name"
        )
        raise Mistake("shop-csv", what, f"see the columns in {GUIDE}", f"{path}:1")


def _cells(head: list[str], cells: list[str], mark: str, spot: str) -> Iterator[tuple[str, Any]]:
    """(key, value) of the cells that are not empty."""
    for name, cell in zip(head, cells, strict=True):
        word = cell.strip()
        if not word:
            continue
        if name in _LISTS:
            words = word.replace(";", " ").replace(",", " ").split()
            yield name, () if words == ["none"] else tuple(words)
        elif name in _FIGURES or name == "stock":
            number = word.replace(",", ".") if mark == ";" else word
            try:
                yield name, int(number) if name == "stock" else float(number)
            except ValueError:
                raise Mistake(
                    "shop-csv",
                    f"{name} = {word[:40]!r}",
                    "a number, without unit or thousands mark; leave unknown cells empty",
                    spot,
                ) from None
        else:
            yield name, word
