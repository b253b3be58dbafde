"""From a log and the menu that was carried to a form, and back to the log; nothing is dropped."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final, get_args

from msgspec import Struct, field

from fellfare.learn.log import (
    Boiled,
    Day,
    Felt,
    Item,
    Left,
    Liked,
    Soaked,
    TripLog,
    Walked,
    Weighed,
)
from fellfare.mistake import Mistake, Mistakes
from fellfare.pantry.food import Way
from fellfare.web.fields import Faults, put, read_number

FELT: Final[tuple[Felt, ...]] = get_args(Felt)
WAYS: Final[tuple[Way, ...]] = get_args(Way)
#: Empty rows under each table.
SPARE: Final = 2
MOST_ROWS: Final = 400

#: Table → its fields: key, label, 'text', 'number', 'whole' or a choice, must it be there.
ROWS: Final[dict[str, tuple[tuple[str, str, str, bool], ...]]] = {
    "weighed": (
        ("walker", "who", "walker", False),
        ("before_kg", "before, kg", "number", True),
        ("after_kg", "after, kg", "number", True),
        ("error_kg", "error, kg", "number", False),
    ),
    "boiled": (
        ("kitchen", "kitchen", "kitchen", False),
        ("water_g", "water, g", "number", True),
        ("from_c", "from, °C", "number", True),
        ("to_c", "to, °C", "number", False),
        ("fuel_g", "fuel, g", "number", True),
        ("scale_step_g", "scale shows, g", "number", False),
    ),
    "soaked": (
        ("food", "food", "text", True),
        ("way", "how", "way", False),
        ("water_c", "water, °C", "number", True),
        ("done_minutes", "done after, min", "number", True),
        ("not_yet_minutes", "still hard at, min", "number", False),
    ),
    "other": (
        ("walker", "who", "walker", False),
        ("day", "day", "whole", True),
        ("eating", "eating time", "text", True),
        ("dish", "dish", "text", False),
        ("carried_g", "carried, g", "number", False),
        ("home_g", "came home, g", "number", True),
    ),
}
_CHOICES: Final = ("walker", "kitchen", "way")
_PLACE: Final = re.compile(
    r"(left|day|liked|weighed|walked|boiled|soaked)\[(\d+)\](?:[. >]+(\w+))?"
)


class LogForm(Struct):
    """What stands in the fields, by name."""

    values: dict[str, str] = field(default_factory=dict)
    #: Items that are asked for, in their order on the page.
    items: tuple[Item, ...] = ()
    #: Rows of each table of :data:`ROWS`.
    many: dict[str, int] = field(default_factory=dict)

    def value(self, name: str) -> str:
        """What stands in a field."""
        return self.values.get(name, "")


def figure(value: float | None) -> str:
    """'12.5'; '' where nothing is told."""
    return "" if value is None else f"{round(value, 6):.12g}"


def key_of(item: Item | Left) -> tuple[str, int, str, str]:
    """By what an item of the menu is found again."""
    return item.walker, item.day, item.eating, item.dish


def joined(items: tuple[Item, ...]) -> tuple[Item, ...]:
    """One for each walker, day, eating time and dish; a dish eaten twice a day is one."""
    found: dict[tuple[str, int, str, str], Item] = {}
    for item in items:
        before = found.get(key_of(item))
        found[key_of(item)] = item if before is None else Item(
            walker=item.walker, day=item.day, eating=item.eating, dish=item.dish,
            mass_g=before.mass_g + item.mass_g, energy_kcal=before.energy_kcal + item.energy_kcal,
        )  # fmt: skip
    return tuple(found.values())


def fits_form(log: TripLog, walkers: tuple[str, ...], days: int) -> bool:
    """Whether every row has a field of its own; a log with other rows is changed as text."""
    names = {
        *(row.walker for row in log.left), *(row.walker for row in log.days),
        *(row.walker for row in log.liked), *(row.walker for row in log.weighed),
        *(row.walker for row in log.walked),
    }  # fmt: skip
    known = names <= set(walkers)
    told = (*(row.day for row in log.days), *(row.day for row in log.walked))
    there = all(1 <= day <= days for day in told)
    once = all(
        len(keys) == len(set(keys))
        for keys in (
            [(row.walker, row.day) for row in log.days],
            [(row.walker, row.day) for row in log.walked],
            [(row.walker, row.dish) for row in log.liked],
        )
    )
    return known and there and once


def form_of(log: TripLog, items: tuple[Item, ...], walkers: tuple[str, ...]) -> LogForm:
    """The form of a log; rows that no item of the menu fits come under 'other'."""
    form = LogForm(items=joined(items))
    form.values["rest"] = "eaten" if log.rest_eaten else "unknown"
    places = {key_of(item): at for at, item in enumerate(form.items)}
    other: list[Left] = []
    for left in log.left:
        at = places.pop(key_of(left), None)
        if at is None:
            other.append(left)
        else:
            form.values[f"home-{at}"] = figure(left.home_g)
            form.values[f"carried-{at}"] = figure(left.carried_g)
    who = {name: at for at, name in enumerate(walkers)}
    for day in log.days:
        form.values[f"felt-{who.get(day.walker, 0)}-{day.day}"] = day.felt
    for walked in log.walked:
        form.values[f"hours-{who.get(walked.walker, 0)}-{walked.day}"] = figure(walked.hours)
    for liked in log.liked:
        form.values[f"mark-{who.get(liked.walker, 0)}-{liked.dish}"] = figure(liked.mark)
    tables: dict[str, tuple[Any, ...]] = {
        "weighed": log.weighed, "boiled": log.boiled, "soaked": log.soaked, "other": tuple(other),
    }  # fmt: skip
    for name, rows in tables.items():
        for at, row in enumerate(rows):
            for key, _, _, _ in ROWS[name]:
                value = getattr(row, key)
                form.values[f"{name}-{at}-{key}"] = (
                    value if isinstance(value, str) else figure(value)
                )
        form.many[name] = len(rows) + SPARE
    told = {row.walker for row in log.weighed}
    unweighed = [name for name in walkers if name not in told]
    for at, name in enumerate(unweighed, len(log.weighed)):
        form.values[f"weighed-{at}-walker"] = name
    form.many["weighed"] = max(len(log.weighed) + len(unweighed), 1)
    return form


def form_from(
    data: Mapping[str, Any], items: tuple[Item, ...], log: TripLog, walkers: tuple[str, ...]
) -> LogForm:
    """What was sent; its items are those of the menu as it stands."""
    blank = form_of(log, items, walkers)
    values = {str(key): _text(value) for key, value in data.items()}
    many = {}
    for name in ROWS:
        numbers = [
            int(found[1])
            for key in values
            if (found := re.match(rf"{name}-(\d{{1,3}})-", key)) is not None
        ]
        many[name] = min(max(numbers, default=-1) + 1, MOST_ROWS)
    return LogForm(values=values, items=blank.items, many=many)


def _text(value: Any) -> str:
    return " ".join(str(value).split())[:300] if value is not None else ""


def log_from(
    form: LogForm, title: str, walkers: tuple[str, ...], days: int
) -> tuple[TripLog, Faults, dict[str, str]]:
    """The log, what is wrong beside which field, and from its places to the fields."""
    faults: Faults = {}
    fields: dict[str, str] = {}
    left: list[Left] = []
    for at, item in enumerate(form.items):
        home_g = read_number(form.value(f"home-{at}"), f"home-{at}", faults)
        carried_g = read_number(form.value(f"carried-{at}"), f"carried-{at}", faults)
        if home_g is None and carried_g is None:
            continue
        if home_g is None:
            put(faults, f"home-{at}", _missing("how much of it came home; 0 when all was eaten"))
            continue
        spot = f"left[{len(left)}]"
        fields |= {spot: f"home-{at}", f"{spot}.carried_g": f"carried-{at}"}
        left.append(
            Left(walker=item.walker, day=item.day, eating=item.eating, dish=item.dish,
                 home_g=home_g, carried_g=carried_g)
        )  # fmt: skip
    felt: list[Day] = []
    walked: list[Walked] = []
    liked: list[Liked] = []
    for who, name in enumerate(walkers):
        for day in range(1, days + 1):
            said = form.value(f"felt-{who}-{day}")
            for word in FELT:
                if said == word:
                    fields[f"day[{len(felt)}]"] = f"felt-{who}-{day}"
                    felt.append(Day(walker=name, day=day, felt=word))
            hours = read_number(form.value(f"hours-{who}-{day}"), f"hours-{who}-{day}", faults)
            if hours is not None:
                fields[f"walked[{len(walked)}]"] = f"hours-{who}-{day}"
                walked.append(Walked(walker=name, day=day, hours=hours))
        opening = f"mark-{who}-"
        for key in form.values:
            if key.startswith(opening) and form.value(key):
                mark = read_number(form.value(key), key, faults)
                if mark is not None:
                    fields[f"liked[{len(liked)}]"] = key
                    liked.append(Liked(walker=name, dish=key[len(opening) :], mark=mark))
    rows = {name: _rows(form, name, walkers, faults) for name in ROWS}
    for name, found in rows.items():
        for number, (at, _) in enumerate(found):
            place = len(left) + number if name == "other" else number
            spot = f"{'left' if name == 'other' else name}[{place}]"
            first = next(key for key, _, _, must in ROWS[name] if must)
            fields[spot] = f"{name}-{at}-{first}"
            fields |= {f"{spot}.{key}": f"{name}-{at}-{key}" for key, _, _, _ in ROWS[name]}
    left += [Left(**row) for _, row in rows["other"]]
    log = TripLog(
        title=title,
        rest_eaten=form.value("rest") != "unknown",
        left=tuple(left),
        days=tuple(felt),
        liked=tuple(liked),
        weighed=tuple(Weighed(**row) for _, row in rows["weighed"]),
        walked=tuple(walked),
        boiled=tuple(Boiled(**row) for _, row in rows["boiled"]),
        soaked=tuple(Soaked(**row) for _, row in rows["soaked"]),
    )
    return log, faults, fields


def _rows(
    form: LogForm, name: str, walkers: tuple[str, ...], faults: Faults
) -> list[tuple[int, dict[str, Any]]]:
    """(row of the form, its values) of all rows that are filled in."""
    made = []
    for at in range(form.many.get(name, 0)):
        told = {key: form.value(f"{name}-{at}-{key}") for key, _, _, _ in ROWS[name]}
        if not any(told[key] for key, _, asks, _ in ROWS[name] if asks not in _CHOICES):
            continue
        row: dict[str, Any] = {}
        whole = True
        for key, label, asks, must in ROWS[name]:
            value = _value(told[key], f"{name}-{at}-{key}", asks, walkers, faults)
            if value is not None:
                row[key] = value
            elif must:
                whole = False
                if not told[key]:
                    put(faults, f"{name}-{at}-{key}", _missing(label))
        if whole:
            made.append((at, row))
    return made


def _value(
    text: str, name: str, asks: str, walkers: tuple[str, ...], faults: Faults
) -> float | int | str | None:
    if asks == "number":
        return read_number(text, name, faults)
    if asks in ("whole", "kitchen"):
        value = read_number(text, name, faults)
        if value is None and asks == "kitchen":
            return 1
        return None if value is None else int(value)
    if asks == "walker":
        return text or walkers[0]
    if asks == "way":
        return text if text in WAYS else "cold-soak"
    return text or None


def _missing(what: str) -> Mistake:
    return Mistake("log-row-short", f"nothing stands here: {what}",
                   "fill it in, or empty the whole line")  # fmt: skip


def place_faults(mistake: Mistake, fields: Mapping[str, str], faults: Faults) -> None:
    """Tell a mistake of the log beside its field; one without a place under ''."""
    for one in mistake.each if isinstance(mistake, Mistakes) else (mistake,):
        found = _PLACE.search(one.where)
        name = ""
        if found is not None:
            spot = f"{found[1]}[{found[2]}]"
            name = fields.get(f"{spot}.{found[3]}", fields.get(spot, ""))
        put(faults, name, one)
