"""From the form of a trip to its document; comments and keys without a field stay."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from math import isfinite
from typing import Any, Final

import tomlkit
from tomlkit.items import AoT

from fellfare.mistake import Mistake, Mistakes
from fellfare.trip.ranges import range_of
from fellfare.web.fields import Faults, put, read_number, read_whole
from fellfare.web.pages.trips.asking import Field, Part
from fellfare.web.pages.trips.fields import PART_OF, PARTS
from fellfare.web.pages.trips.form import TripForm, name_of, shown

#: (code, table) → how to mend it in the form, where the mistake speaks of keys of the document.
_MENDS: Final = {
    ("place-unclear", "fire"): "fill in the date or the place, one of the two",
    ("place-unclear", "stop"): "fill in the day and the distance walked on it",
    ("place-unclear", "water"): "fill in the day and the distance walked on it",
    ("place-off-day", "stop"): "give the distance walked on that day",
    ("place-off-day", "water"): "give the distance walked on that day",
    ("budget-without-currency", "rules"): "fill in both, or neither",
    ("eating-time", "eating"): "fill in the hour or the hours of walking, one of the two",
    ("no-way", "walk"): "choose a track, or give one stage for each day below",
    ("unknown-walker", "kitchen"): "use the names of the people above",
}
_PLACE: Final = re.compile(r"^([a-z_]+)(?:\[(\d+)\])?(?:[. >]+([a-z_]+))?")


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
        told = any(value is not None for value in values.values())
        if not told and part.table != "walk":  # a trip has a walk, be nothing told of it
            return
        document.add(part.table, tomlkit.table())
    _set(form, part, None, document[part.table] if part.table else document, values)


def _write_rows(document: Any, form: TripForm, part: Part, faults: Faults) -> list[int]:
    old = document.get(part.table, [])
    made, kept = [], []
    for number, origin in enumerate(form.rows.get(part.table, [])):
        if _empty(form, part, number):
            continue
        row = old[origin] if origin is not None and origin < len(old) else tomlkit.table()
        _set(form, part, number, row, _values(form, part, number, faults))
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
        if made and not (one.must and one.asks == "choice" and one.options[0][0]):
            return False
    # A kitchen may be told by 'everybody, no stove' alone: an empty row that was kept says so.
    return form.rows[part.table][number] is None or part.table != "kitchen"


def _set(
    form: TripForm, part: Part, row: int | None, table: Any, values: Mapping[str, Any]
) -> None:
    for one in part.fields:
        there, value = table.get(one.key), values[one.key]
        plain = there.unwrap() if hasattr(there, "unwrap") else there
        if value is None:
            if there is not None and plain != [] and plain != one.usual:
                table.remove(one.key)
        elif not (_untouched(form, part, row, one, plain) or _alike(one, plain, value)):
            table[one.key] = value


def _untouched(form: TripForm, part: Part, row: int | None, one: Field, plain: Any) -> bool:
    """The field still says what the document says: a figure keeps all of its places."""
    if plain is None or one.asks == "ticks":
        return False
    name = name_of(part, row, one.key)
    if one.asks == "pair":
        return [form.value(f"{name}-least"), form.value(f"{name}-most")] == [
            shown(each, one, form.us) for each in plain
        ]
    return form.value(name) == shown(plain, one, form.us)


def _alike(one: Field, there: Any, value: Any) -> bool:
    """Nothing to write: the same value, or the same words in another order."""
    if isinstance(there, bool) != isinstance(value, bool):
        return False
    if one.asks == "ticks" and isinstance(there, list):
        return sorted(map(str, there)) == sorted(value)
    if one.asks == "money":
        return str(there) == str(value)
    return bool(there == value)


def _values(form: TripForm, part: Part, row: int | None, faults: Faults) -> dict[str, Any]:
    values = {}
    for one in part.fields:
        name = name_of(part, row, one.key)
        values[one.key] = _value(form, part, one, name, faults)
        if one.must and values[one.key] is None and name not in faults:
            what = f"{one.label} is missing"
            put(faults, name, Mistake("field-empty", what, "fill it in"))
    return values


def _value(form: TripForm, part: Part, one: Field, name: str, faults: Faults) -> Any:
    if one.asks == "ticks":
        known = {word for word, _ in one.options}
        return [word for word in form.ticks(name) if word in known] or None
    if one.asks == "pair":
        return _pair(form, part, one, name, faults)
    text = form.value(name)
    if not text:
        return None
    match one.asks:
        case "number":
            return _number(form, part, one, text, name, faults)
        case "whole":
            return _whole(form, part, one, text, name, faults)
        case "money":
            return _money(text, name, faults)
        case "date":
            return _date(text, name, faults)
        case "answer":
            return text == "yes"
        case "words":
            return [word.strip() for word in re.split(r"[,;\n]", text) if word.strip()] or None
        case "numbers":
            each = [word for word in re.split(r"[;\s]+|,\s+", text) if word]
            told = [_number(form, part, one, word, name, faults) for word in each]
            return None if None in told else told or None
        case _:
            return text


def _pair(form: TripForm, part: Part, one: Field, name: str, faults: Faults) -> list[float] | None:
    least, most = form.value(f"{name}-least"), form.value(f"{name}-most")
    if not least and not most:
        return None
    if not least or not most:
        mend = "give the least and the most, or leave both empty"
        put(faults, name, Mistake("not-a-number", "one of the two is missing", mend))
        return None
    low = _number(form, part, one, least, name, faults)
    high = _number(form, part, one, most, name, faults)
    return None if low is None or high is None else [low, high]


def _number(
    form: TripForm, part: Part, one: Field, text: str, name: str, faults: Faults
) -> float | int | None:
    told = read_number(text, name, faults)
    if told is None:
        return None
    unit = one.unit(form.us)
    value = told if unit is None else unit.of_form(told)
    if not isfinite(value):
        put(faults, name, Mistake("not-a-number", f"{text[:40]!r} is too large", "check its zeros"))
        return None
    if not _in_range(form, part, one, value, text, name, faults):
        return None
    return int(value) if value.is_integer() else value


def _whole(
    form: TripForm, part: Part, one: Field, text: str, name: str, faults: Faults
) -> int | None:
    value = read_whole(text, name, faults)
    if value is None or not _in_range(form, part, one, value, text, name, faults):
        return None
    return value


def _in_range(
    form: TripForm, part: Part, one: Field, value: float, text: str, name: str, faults: Faults
) -> bool:
    """A slip is told in the words and the unit of the field: the document's own are others."""
    unit, ends = one.unit(form.us), range_of(part.table, one.key)
    if ends is None or ends[0] <= value <= ends[1]:
        return True
    told = text[:40] if unit is None else f"{text[:40]} {unit.word}"
    shown_ends = ends if unit is None else tuple(unit.of_document(end) for end in ends)
    least, most = (f"{end:,g}".replace(",", " ") for end in shown_ends)
    what = f"{told} is outside what can be"
    put(faults, name, Mistake("figure-out-of-range", what, f"give {least} to {most}"))
    return False


def _money(text: str, name: str, faults: Faults) -> str | None:
    """Money stays exact: its digits are written as they were typed."""
    plain = text.replace(" ", "").replace(",", ".")
    if re.fullmatch(r"\d{1,9}(\.\d{1,4})?", plain, re.ASCII):
        return plain
    mend = "write an amount such as 120 or 120.50; its currency stands beside it"
    put(faults, name, Mistake("not-a-number", f"{text[:40]!r} is no amount of money", mend))
    return None


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
        field = _field_of(one.where, kept)
        mend = _MENDS.get((one.code, field.partition("-")[0]), one.mend)
        put(faults, field, Mistake(one.code, one.what, mend))


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
