"""From a trip document to its form and back; comments and keys without a field stay."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from datetime import date
from math import isfinite
from typing import Any, Final

import tomlkit
from msgspec import Struct, field
from tomlkit.items import AoT

from fellfare.mistake import Mistake, Mistakes
from fellfare.web.fields import Faults, put, read_number, read_whole
from fellfare.web.pages.trips.fields import PART_OF, PARTS, Field, Part

#: Most rows of one table, and longest text of one field.
MOST_ROWS: Final = 200
MOST_TEXT: Final = 4_000
_ROW: Final = re.compile(r"([a-z]+)-(\d{1,3})-")
_PLACE: Final = re.compile(r"^([a-z_]+)(?:\[(\d+)\])?(?:[. >]+([a-z_]+))?")


class TripForm(Struct):
    """What stands in the fields, by name: 'title', 'walk-day_c', 'walker-0-name'."""

    values: dict[str, str] = field(default_factory=dict)
    ticked: dict[str, list[str]] = field(default_factory=dict)
    #: Table → for each row of the form the row of the document it came from; None = new.
    rows: dict[str, list[int | None]] = field(default_factory=dict)

    def value(self, name: str) -> str:
        """What stands in a field."""
        return self.values.get(name, "")

    def ticks(self, name: str) -> list[str]:
        """What is ticked there."""
        return self.ticked.get(name, [])


def name_of(part: Part, row: int | None, key: str) -> str:
    """The name of a field on the page."""
    if not part.table:
        return key
    return f"{part.table}-{key}" if row is None else f"{part.table}-{row}-{key}"


def form_of(text: str) -> TripForm:
    """The form of a document that can be read."""
    plain = tomllib.loads(text)
    form = TripForm()
    for part in PARTS:
        if part.many:
            rows = plain.get(part.table, [])
            form.rows[part.table] = list(range(len(rows)))
            for number, row in enumerate(rows):
                _fill(form, part, number, row)
        else:
            _fill(form, part, None, plain if not part.table else plain.get(part.table, {}))
    return form


def _fill(form: TripForm, part: Part, row: int | None, keys: Mapping[str, Any]) -> None:
    for one in part.fields:
        if one.key not in keys:
            continue
        name, value = name_of(part, row, one.key), keys[one.key]
        if one.asks == "ticks":
            form.ticked[name] = [str(each) for each in value]
        elif one.asks == "pair":
            form.values[f"{name}-least"] = _shown(value[0], one)
            form.values[f"{name}-most"] = _shown(value[1], one)
        else:
            form.values[name] = _shown(value, one)


def _shown(value: Any, one: Field) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(_shown(each, one) for each in value)
    if isinstance(value, int | float):
        return f"{round(value / one.scale, 6):.12g}"
    return str(value)


def form_from(data: Mapping[str, Any]) -> TripForm:
    """What was sent."""
    form = TripForm()
    for part in PARTS:
        rows: list[int | None] = [None]
        if part.many:
            numbers = {
                int(found[2])
                for key in data
                if (found := _ROW.match(key)) is not None and found[1] == part.table
            }
            many = min(max(numbers, default=-1) + 1, MOST_ROWS)
            form.rows[part.table] = [_origin(data, part.table, number) for number in range(many)]
            rows = list(range(many))
        for row in rows:
            for one in part.fields:
                name = name_of(part, row, one.key)
                if one.asks == "ticks":
                    form.ticked[name] = _several(data.get(name))
                elif one.asks == "pair":
                    for end in ("least", "most"):
                        form.values[f"{name}-{end}"] = _text(data.get(f"{name}-{end}"))
                else:
                    form.values[name] = _text(data.get(name))
    return form


def _origin(data: Mapping[str, Any], table: str, number: int) -> int | None:
    told = _text(data.get(f"{table}-{number}-row"))
    return int(told) if told.isascii() and told.isdigit() and len(told) < 5 else None


def _several(value: Any) -> list[str]:
    if value is None:
        return []
    return [_text(one) for one in value] if isinstance(value, list) else [_text(value)]


def _text(value: Any) -> str:
    return str(value).replace("\r\n", "\n").strip()[:MOST_TEXT] if isinstance(value, str) else ""


def with_row(form: TripForm, table: str) -> TripForm:
    """One empty row more."""
    if table in form.rows and len(form.rows[table]) < MOST_ROWS:
        form.rows[table].append(None)
    return form


def without_row(form: TripForm, table: str, row: int) -> TripForm:
    """A row less; those behind it move up."""
    if table not in form.rows or row >= len(form.rows[table]):
        return form
    del form.rows[table][row]
    for kept in (form.values, form.ticked):
        moved: dict[str, Any] = {}
        for name, value in kept.items():
            found = _ROW.match(name)
            if found is None or found[1] != table:
                moved[name] = value
            elif int(found[2]) != row:
                number = int(found[2]) - (int(found[2]) > row)
                moved[f"{table}-{number}-{name[found.end() :]}"] = value
        kept.clear()
        kept.update(moved)
    return form


def written(form: TripForm, text: str) -> tuple[str, Faults, dict[str, list[int]]]:
    """The document with what stands in the form.

    Returns
    -------
    tuple
        Text; mistakes by field; for each table the form's row of each row of the text (empty
        rows are left out).
    """
    faults: Faults = {}
    document: Any = tomlkit.parse(text)
    kept: dict[str, list[int]] = {}
    for part in PARTS:
        if part.many:
            kept[part.table] = _write_rows(document, form, part, faults)
        else:
            _write_table(document, form, part, faults)
    _everybody_eats(document)
    return tomlkit.dumps(document), faults, kept


def _write_table(document: Any, form: TripForm, part: Part, faults: Faults) -> None:
    values = _values(form, part, None, faults)
    if part.table and part.table not in document:
        if not any(value is not None for value in values.values()):
            return
        document.add(part.table, tomlkit.table())
    _set(part, document[part.table] if part.table else document, values)


def _write_rows(document: Any, form: TripForm, part: Part, faults: Faults) -> list[int]:
    old = document.get(part.table, [])
    made, kept = [], []
    for number, origin in enumerate(form.rows.get(part.table, [])):
        if _empty(form, part, number):
            continue
        row = old[origin] if origin is not None and origin < len(old) else tomlkit.table()
        _set(part, row, _values(form, part, number, faults))
        made.append(row)
        kept.append(number)
    same = len(made) == len(old) and all(one is two for one, two in zip(made, old, strict=True))
    if same and (isinstance(old, AoT) or not made):
        return kept
    if part.table in document:
        document.remove(part.table)
    if made:
        rows = tomlkit.aot()
        for row in made:
            rows.append(row if isinstance(row, tomlkit.items.Table) else _as_table(row))
        document.append(part.table, rows)
    return kept


def _as_table(row: Any) -> Any:
    table = tomlkit.table()
    for key, value in row.items():
        table.add(key, value)
    return table


def _empty(form: TripForm, part: Part, number: int) -> bool:
    """Nothing but the choices that are always made stands in it."""
    for one in part.fields:
        name = name_of(part, number, one.key)
        texts = (f"{name}-least", f"{name}-most") if one.asks == "pair" else (name,)
        made = any(form.value(each) for each in texts) or bool(form.ticks(name))
        if made and not (one.must and one.asks == "choice"):
            return False
    # A kitchen may be told by 'everybody, no stove' alone: an empty row that was kept says so.
    return form.rows[part.table][number] is None or part.table != "kitchen"


def _set(part: Part, table: Any, values: Mapping[str, Any]) -> None:
    sets = {one.key for one in part.fields if one.asks == "ticks"}
    for key, value in values.items():
        there = table.get(key)
        plain = there.unwrap() if hasattr(there, "unwrap") else there
        if value is None:
            if there is not None:
                table.remove(key)
        elif not _alike(plain, value, as_set=key in sets):
            table[key] = value


def _alike(there: Any, value: Any, *, as_set: bool) -> bool:
    """Nothing to write: the same value, or the same words in another order."""
    if isinstance(there, bool) != isinstance(value, bool):
        return False
    if as_set and isinstance(there, list):
        return sorted(map(str, there)) == sorted(value)
    return bool(there == value)


def _values(form: TripForm, part: Part, row: int | None, faults: Faults) -> dict[str, Any]:
    values = {}
    for one in part.fields:
        name = name_of(part, row, one.key)
        values[one.key] = _value(form, one, name, faults)
        if one.must and values[one.key] is None and name not in faults:
            what = f"{one.label.partition(' [')[0]} is missing"
            put(faults, name, Mistake("field-empty", what, "fill it in"))
    return values


def _value(form: TripForm, one: Field, name: str, faults: Faults) -> Any:
    if one.asks == "ticks":
        known = {word for word, _ in one.options}
        return [word for word in form.ticks(name) if word in known] or None
    if one.asks == "pair":
        return _pair(form, one, name, faults)
    text = form.value(name)
    if not text:
        return None
    match one.asks:
        case "number":
            return _number(text, one, name, faults)
        case "whole":
            return read_whole(text, name, faults)
        case "date":
            return _date(text, name, faults)
        case "answer":
            return text == "yes"
        case "words":
            return [word.strip() for word in re.split(r"[,;\n]", text) if word.strip()] or None
        case "numbers":
            each = [part for part in re.split(r"[;\s]+|,\s+", text) if part]
            told = [_number(part, one, name, faults) for part in each]
            return None if None in told else told or None
        case _:
            return text


def _pair(form: TripForm, one: Field, name: str, faults: Faults) -> list[float] | None:
    least, most = form.value(f"{name}-least"), form.value(f"{name}-most")
    if not least and not most:
        return None
    if not least or not most:
        mend = "give the least and the most, or leave both empty"
        put(faults, name, Mistake("not-a-number", "one of the two is missing", mend))
        return None
    low, high = _number(least, one, name, faults), _number(most, one, name, faults)
    return None if low is None or high is None else [low, high]


def _number(text: str, one: Field, name: str, faults: Faults) -> float | int | None:
    told = read_number(text, name, faults)
    if told is None:
        return None
    value = round(told * one.scale, 6)
    if not isfinite(value):
        put(faults, name, Mistake("not-a-number", f"{text[:40]!r} is too large", "check its zeros"))
        return None
    return int(value) if value.is_integer() else value


def _date(text: str, name: str, faults: Faults) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        mend = "write it as 2031-05-01, or leave it empty"
        put(faults, name, Mistake("not-a-date", f"{text[:40]!r} is no date", mend))
        return None


def _everybody_eats(document: Any) -> None:
    """A kitchen without names is that of everybody who is in no other one."""
    kitchens = document.get("kitchen", [])
    names = [str(one["name"]) for one in document.get("walker", []) if "name" in one]
    taken = {str(name) for one in kitchens for name in one.get("walkers", [])}
    for one in kitchens:
        if not one.get("walkers"):
            one["walkers"] = [name for name in names if name not in taken]
            taken.update(names)


def place_faults(mistake: Mistake, kept: Mapping[str, list[int]], faults: Faults) -> None:
    """Put the mistakes of a document beside their fields; what has none goes to ''."""
    for one in mistake.each if isinstance(mistake, Mistakes) else (mistake,):
        put(faults, _field_of(one.where, kept), one)


def _field_of(where: str, kept: Mapping[str, list[int]]) -> str:
    """'trip:12 > walker[0].mass_kg' → 'walker-0-mass_kg'."""
    for spot in (where.partition(" > ")[2], where):
        found = _PLACE.match(spot)
        if found is None:
            continue
        table, row, key = found[1], found[2], found[3] or ""
        part = PART_OF.get(table)
        if part is None:
            if row is None and any(one.key == table for one in PART_OF[""].fields):
                return table
            continue
        if part.many and row is not None:
            shown = kept.get(table, [])
            number = shown[int(row)] if int(row) < len(shown) else int(row)
            known = key if any(one.key == key for one in part.fields) else part.fields[0].key
            return name_of(part, number, known)
        if not part.many and any(one.key == key for one in part.fields):
            return name_of(part, None, key)
        if table == "walk" and key == "gpx":
            return "track"
    return ""
