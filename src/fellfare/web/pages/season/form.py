"""From a season's document to the rows of its tables and back; comments stay with their rows."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import Any, Final

import tomlkit
from msgspec import Struct, field
from tomlkit.items import AoT, Array, Float, Trivia

from fellfare.files.season_toml import SeasonFile
from fellfare.mistake import Mistake
from fellfare.pantry.pantry import Pantry
from fellfare.web.fields import Faults, put, read_number

#: Empty rows under each table.
SPARE: Final = 2
MOST_ROWS: Final = 500

#: Table → its fields: key, label, what it asks for, must it be there.
TABLES: Final[dict[str, tuple[tuple[str, str, str, bool], ...]]] = {
    "case": (
        ("food", "food", "food", True),
        ("size_g", "holds, g", "number", True),
        ("price", "price", "price", False),
        ("name", "called", "text", False),
    ),
    "store": (
        ("food", "food", "food", True),
        ("mass_g", "in the store room, g", "number", True),
    ),
    "lot": (
        ("number", "lot", "text", True),
        ("food", "food", "food", True),
        ("mass_g", "delivered, g", "number", True),
        ("best_before", "best before", "date", False),
        ("received", "received", "date", False),
        ("supplier", "supplier", "text", False),
    ),
}


class Rows(Struct):
    """What stands in the fields, by name, and how many rows each table has."""

    values: dict[str, str] = field(default_factory=dict)
    many: dict[str, int] = field(default_factory=dict)

    @classmethod
    def of(cls, **tables: list[dict[str, str]]) -> Rows:
        """Rows as they stand in the document, with a few empty ones."""
        made = cls()
        for told, rows in tables.items():
            table = {"cases": "case", "store": "store", "lots": "lot"}[told]
            for at, row in enumerate(rows):
                made.values |= {f"{table}-{at}-{key}": value for key, value in row.items()}
            made.many[table] = min(len(rows) + SPARE, MOST_ROWS)
        return made

    def value(self, name: str) -> str:
        """What stands in a field."""
        return self.values.get(name, "")


def rows_of_cases(file: SeasonFile) -> list[dict[str, str]]:
    """In the order of the document."""
    return [
        {key: _shown(row.get(key)) for key, *_ in TABLES["case"]} for row in _table(file, "case")
    ]


def rows_of_store(file: SeasonFile) -> list[dict[str, str]]:
    """Food and grams."""
    return [{"food": food, "mass_g": f"{grams:g}"} for food, grams in file.in_store.items()]


def rows_of_lots(file: SeasonFile, begin: str = "") -> list[dict[str, str]]:
    """In the order of the document; ``begin`` names a food for which a row is begun."""
    rows = [{key: _shown(row.get(key)) for key, *_ in TABLES["lot"]} for row in _table(file, "lot")]
    return [*rows, {"food": begin}] if begin else rows


def _table(file: SeasonFile, name: str) -> list[dict[str, Any]]:
    return [dict(row) for row in tomlkit.parse(file.text).get(name, [])]


def _shown(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, Float):  # as it is written: '14.50'
        return value.as_string()
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def rows_from(data: Mapping[str, Any], *tables: str) -> Rows:
    """What was sent."""
    made = Rows(values={str(key): _line(value) for key, value in data.items()})
    for table in tables:
        numbers = [
            int(found[1])
            for key in made.values
            if (found := re.fullmatch(rf"{table}-(\d{{1,4}})-\w+", key)) is not None
        ]
        made.many[table] = min(max(numbers, default=-1) + 1, MOST_ROWS)
    return made


def _line(value: Any) -> str:
    return "" if value is None else " ".join(str(value).split())[:300]


def read_rows(
    rows: Rows, table: str, pantry: Pantry, faults: Faults
) -> list[dict[str, Any] | None]:
    """Row by row as they stand on the page; None = nothing stands in it."""
    made: list[dict[str, Any] | None] = []
    for at in range(rows.many.get(table, 0)):
        told = {key: rows.value(f"{table}-{at}-{key}") for key, *_ in TABLES[table]}
        if not any(told.values()):
            made.append(None)
            continue
        row: dict[str, Any] = {}
        for key, label, asks, must in TABLES[table]:
            name = f"{table}-{at}-{key}"
            if not told[key]:
                if must:
                    put(faults, name, Mistake("row-short", f"nothing stands here: {label}",
                                              "fill it in, or empty the whole line"))  # fmt: skip
                continue
            value = _read(told[key], asks, name, pantry, faults)
            if value is not None:
                row[key] = value
        made.append(row)
    return made


def _read(text: str, asks: str, name: str, pantry: Pantry, faults: Faults) -> Any:
    if asks == "food":
        try:
            return _food(text, pantry)
        except Mistake as mistake:
            put(faults, name, mistake)
            return None
    if asks == "date":
        try:
            return date.fromisoformat(text)
        except ValueError:
            put(faults, name, Mistake("not-a-date", f"{text[:40]!r} is no date",
                                      "write year, month and day: 2031-06-15"))  # fmt: skip
            return None
    if asks in ("number", "price"):
        value = read_number(text, name, faults)
        if value is None:
            return None
        least = 0.0 if asks == "price" else 1e-3
        if not least <= value <= 1e6:
            put(faults, name, Mistake("row-out-of-range", f"{text[:40]} cannot be meant",
                                      "give more than 0 and at most 1 000 000"))  # fmt: skip
            return None
        if value == int(value):
            return int(value)
        plain = text.replace(",", ".")
        written = re.fullmatch(r"\d+\.\d+", plain, re.ASCII) is not None
        return Float(value, Trivia(), plain) if written else value  # '14.50' stays '14.50'
    return text


def _food(text: str, pantry: Pantry) -> str:
    """A food by its id, or by its whole name."""
    plain = text.casefold()
    by_name = next((food.id for food in pantry if food.name.casefold() == plain), None)
    return by_name or pantry.food(text).id


# -- into the document ----------------------------------------------------------------------


def with_words(text: str, **words: str) -> str:
    """The document with these plain keys; an empty one is taken away."""
    document: Any = tomlkit.parse(text)
    for key, word in words.items():
        if word:
            document[key] = word
        elif key in document:
            document.remove(key)
    made: str = tomlkit.dumps(document)
    return made


def with_names(text: str, key: str, names: list[str]) -> str:
    """The document with a list of words; an empty list is taken away."""
    document: Any = tomlkit.parse(text)
    if names != list(document.get(key, [])):
        if names:
            document[key] = names
        elif key in document:
            document.remove(key)
    made: str = tomlkit.dumps(document)
    return made


def with_store(text: str, rows: list[dict[str, Any] | None]) -> str:
    """The document with the store room as the rows say."""
    document: Any = tomlkit.parse(text)
    wanted = {row["food"]: row["mass_g"] for row in rows if row is not None}
    if "in_store" not in document:
        if not wanted:
            return text
        document["in_store"] = tomlkit.table()
    table = document["in_store"]
    for food in [one for one in table if one not in wanted]:
        table.remove(food)
    for food, grams in wanted.items():
        if table.get(food) != grams:
            table[food] = grams
    if not wanted:
        document.remove("in_store")
    made: str = tomlkit.dumps(document)
    return made


def with_rows(text: str, table: str, rows: list[dict[str, Any] | None]) -> str:
    """The document with these rows in a table; each stays where it was, new ones follow."""
    document: Any = tomlkit.parse(text)
    held = _rows_of(document, table)
    for at, row in reversed(list(enumerate(rows))):
        if at < len(held):
            if row is None:
                del held[at]
            else:
                _patch(held[at], row)
    known = len(_rows_of(tomlkit.parse(text), table))
    for row in rows[known:]:
        if row is not None:
            one = tomlkit.table()
            one.update(row)
            held.append(one)
    if table in document and not len(held):
        document.remove(table)
    elif len(held):
        document[table] = held
    made: str = tomlkit.dumps(document)
    return made


def _rows_of(document: Any, table: str) -> Any:
    held = document.get(table)
    if isinstance(held, AoT):
        return held
    made = tomlkit.aot()
    for row in held if isinstance(held, Array) else ():  # written inline: party = [{…}]
        one = tomlkit.table()
        one.update(row.unwrap())
        made.append(one)
    return made


def _patch(held: Any, row: Mapping[str, Any]) -> None:
    for key in [one for one in held if one not in row]:
        held.remove(key)
    for key, value in row.items():
        if held.get(key) != value:
            held[key] = value


def without_row(text: str, table: str, at: int) -> str:
    """The document without one row."""
    document: Any = tomlkit.parse(text)
    held = _rows_of(document, table)
    if 0 <= at < len(held):
        del held[at]
    if len(held):
        document[table] = held
    else:
        document.remove(table)
    made: str = tomlkit.dumps(document)
    return made
