"""What stands in the fields of a trip: from its document, and from what was sent."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from typing import Any, Final

from msgspec import Struct, field

from fellfare.web.pages.trips.asking import Field, Part
from fellfare.web.pages.trips.fields import PARTS

#: Most rows of one table, and longest text of one field.
MOST_ROWS: Final = 200
MOST_TEXT: Final = 4_000
_ROW: Final = re.compile(r"([a-z]+)-(\d{1,3})-")


class TripForm(Struct):
    """What stands in the fields, by name: 'title', 'walk-day_c', 'walker-0-name'."""

    values: dict[str, str] = field(default_factory=dict)
    ticked: dict[str, list[str]] = field(default_factory=dict)
    #: Table → for each row of the form the row of the document it came from; None = new.
    rows: dict[str, list[int | None]] = field(default_factory=dict)
    #: Figures stand in miles, feet, pounds, degrees Fahrenheit.
    us: bool = False

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


def form_of(text: str, us: bool = False) -> TripForm:
    """The form of a document that can be read."""
    plain = tomllib.loads(text)
    form = TripForm(us=us)
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
            form.values[f"{name}-least"] = shown(value[0], one, form.us)
            form.values[f"{name}-most"] = shown(value[1], one, form.us)
        else:
            form.values[name] = shown(value, one, form.us)


def shown(value: Any, one: Field, us: bool) -> str:
    """A value of the document as it stands in its field."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(shown(each, one, us) for each in value)
    if isinstance(value, int | float):
        unit = one.unit(us)
        return f"{value if unit is None else unit.of_document(value):.12g}"
    return str(value)


def form_from(data: Mapping[str, Any]) -> TripForm:
    """What was sent."""
    form = TripForm(us=data.get("measures") == "us")
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
