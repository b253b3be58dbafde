"""What of every item was eaten, and what came home?  From the log, held against the plan."""

from __future__ import annotations

from msgspec import Struct

from fellfare.learn.log import Eaten, Item, Left, TripLog
from fellfare.mistake import Mistake, Mistakes

#: Masses within this share are one mass.
_ALIKE = 1e-9


class _Row(Struct, frozen=True):
    """One row of the log with the places of the items that it fits."""

    at: int
    left: Left
    fits: tuple[int, ...]


def eaten_of(log: TripLog, planned: tuple[Item, ...]) -> tuple[Eaten, ...]:
    """Every item with what came home of it, as far as the log knows.

    A row finds its item by walker, day and eating time, and by the dish where it names one;
    where several items fit, what came home is shared out by mass, after what other rows name
    of a single one of them.  Rows of the same item add.

    Raises
    ------
    Mistake
        ``log-item-unknown``; ``log-more-home`` and ``log-carried-twice``, with every row that
        has a part in it (:class:`~fellfare.mistake.Mistakes`).
    """
    rows = [_Row(at, left, _fits(at, left, planned)) for at, left in enumerate(log.left)]
    carried = _carried(rows, planned)
    home = [0.0] * len(planned)
    told: list[list[_Row]] = [[] for _ in planned]
    # What names one dish comes first; the rest is shared over what is left then.
    for row in sorted(rows, key=lambda one: (len(one.fits), one.at)):
        room = [carried[number] - home[number] for number in row.fits]
        for number in row.fits:
            told[number].append(row)
        if row.left.home_g > sum(room) + _ALIKE * sum(carried[number] for number in row.fits):
            raise _more_home(row, told, sum(carried[number] for number in row.fits))
        for number, free in zip(row.fits, room, strict=True):
            part = free / sum(room) if sum(room) > 0 else 0.0
            home[number] = min(home[number] + row.left.home_g * part, carried[number])
    touched = {number for row in rows for number in row.fits}
    return tuple(
        Eaten(
            walker=item.walker,
            day=item.day,
            eating=item.eating,
            dish=item.dish,
            carried_g=carried[number],
            home_g=home[number],
            energy_kcal=item.energy_kcal * carried[number] / item.mass_g,
        )
        for number, item in enumerate(planned)
        if (log.rest_eaten or number in touched) and item.mass_g > 0
    )


def _fits(at: int, row: Left, planned: tuple[Item, ...]) -> tuple[int, ...]:
    fits = tuple(
        number
        for number, item in enumerate(planned)
        if (item.walker, item.day, item.eating) == (row.walker, row.day, row.eating)
        and row.dish in ("", item.dish)
        and item.mass_g > 0
    )
    if not fits:
        raise Mistake(
            "log-item-unknown",
            f"{row.walker} was to eat no {row.dish or 'food'} on day {row.day} at {row.eating}",
            "name an item of the menu, or leave the dish out",
            f"left[{at}]",
        )
    return fits


def _carried(rows: list[_Row], planned: tuple[Item, ...]) -> list[float]:
    """Mass of every item as carried [g]: as planned, unless a row says otherwise."""
    carried = [item.mass_g for item in planned]
    by: dict[int, tuple[_Row, float]] = {}
    for row in rows:
        if row.left.carried_g is None:
            continue
        mass = sum(planned[number].mass_g for number in row.fits)
        for number in row.fits:
            now = row.left.carried_g * planned[number].mass_g / mass
            first, before = by.setdefault(number, (row, now))
            if abs(now - before) > 1e-6 * before:
                raise _all_rows(
                    "log-carried-twice",
                    f"{first.left.carried_g:g} g and {row.left.carried_g:g} g are both said to "
                    f"have been carried: {_what(row.left)}",
                    "say it once, or give each dish its own row",
                    (first, row),
                    "carried_g",
                )
            carried[number] = now
    return carried


def _more_home(row: _Row, told: list[list[_Row]], carried_g: float) -> Mistake:
    parts = sorted(
        {one.at: one for number in row.fits for one in told[number]}.values(),
        key=lambda one: one.at,
    )
    grams = " and ".join(f"{one.left.home_g:g} g" for one in parts)
    several = len(parts) > 1
    return _all_rows(
        "log-more-home",
        f"{grams} came home{' in rows that add up' if several else ''} of {carried_g:.0f} g: "
        f"{_what(row.left)}",
        ("strike out the row that says the same thing twice, or give" if several else "give")
        + " what was carried too (carried_g), if it was more than planned",
        tuple(parts),
        "home_g",
    )


def _what(row: Left) -> str:
    return f"{row.walker}, day {row.day}, {row.eating}" + (f", {row.dish}" if row.dish else "")


def _all_rows(code: str, what: str, mend: str, rows: tuple[_Row, ...], key: str) -> Mistake:
    each = tuple(Mistake(code, what, mend, f"left[{row.at}].{key}") for row in rows)
    return each[0] if len(each) == 1 else Mistakes(each)
