"""How is a name printed that holds a sign which no font here has?

A recipe with such a sign is refused, for its text might lose its meaning.  A name from a
telephone loses a picture and is a name still, so it must not keep a party from its papers.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping
from typing import Any

import msgspec
from msgspec import Struct
from msgspec.structs import replace

from fellfare.mistake import Finding
from fellfare.pantry.food import Food
from fellfare.paper.press import lacking_in
from fellfare.provision.trip.provision import Provision
from fellfare.recipe.document import Recipe


def printable(one: Provision) -> tuple[Provision, tuple[Finding, ...]]:
    """The provision with names that can be printed, and a finding for each changed one.

    Names are those of the walkers and stops, and the trip's title.  A sign is dropped, or
    written with common letters where Unicode knows them (NFKC); a name of which no letter is
    left becomes 'Walker 2', 'Stop 1' or 'Trip'.  What stands in a recipe too is left alone.
    """
    trip = one.plan.trip
    told = {walker.name: f"Walker {at}" for at, walker in enumerate(trip.walkers, 1)}
    told |= {stop.name: f"Stop {at}" for at, stop in enumerate(trip.stops, 1)}
    told |= {trip.title: "Trip"}
    names = stand_ins(told)
    if names:
        recipes = "\n".join(str(msgspec.to_builtins(dish.sheet.recipe)) for dish in one.dishes)
        names = {name: said for name, said in names.items() if name not in recipes}
    if not names:
        return one, ()
    found = tuple(_finding(name, said) for name, said in names.items())
    said_as = re.compile("|".join(map(re.escape, sorted(names, key=len, reverse=True))))
    made: Provision = _respelled(one, lambda text: said_as.sub(lambda at: names[at[0]], text), {})
    return made, found


def stand_ins(told: Mapping[str, str]) -> dict[str, str]:
    """Name to what is printed instead, for those of ``told`` that no font here can print.

    Parameters
    ----------
    told
        Name to what it is called where no letter of it is left.
    """
    lacking = lacking_in("\n".join(told))
    plain = {
        name: "".join(unicodedata.normalize("NFKC", c) if c in lacking else c for c in name)
        for name in told
        if lacking & set(name)
    }
    lacking = lacking_in("\n".join(plain.values()))
    taken = {name for name in told if name not in plain}
    said = {}
    for name, tried in plain.items():
        left = " ".join("".join(c for c in tried if c not in lacking).split())
        if not any(map(str.isalnum, left)) or left in taken:
            left = f"{left} {told[name]}".strip()
        taken.add(left)
        said[name] = left
    return said


def _finding(name: str, said: str) -> Finding:
    return Finding(
        severity="caution",
        rule="name-respelled",
        text=f"'{name}' is '{said}' on the printed papers: no font here has all of its signs.  "
        "The telephone's card and the tables keep it.",
        source="the fonts of the papers",
        about=(said,),
    )


def _respelled(value: Any, change: Callable[[str], str], known: dict[int, Any]) -> Any:
    """The same value with every text in it changed; foods and recipes stay as they are."""
    if isinstance(value, str):
        return change(value)
    if isinstance(value, Food | Recipe) or not isinstance(value, Struct | tuple | dict):
        return value
    if id(value) in known:
        return known[id(value)]
    made: Any
    if isinstance(value, Struct):
        fields = {name: getattr(value, name) for name in value.__struct_fields__}
        changed = {name: _respelled(field, change, known) for name, field in fields.items()}
        made = replace(value, **{n: v for n, v in changed.items() if v is not fields[n]})
    elif isinstance(value, dict):
        made = {
            _respelled(key, change, known): _respelled(v, change, known) for key, v in value.items()
        }
    else:
        made = tuple(_respelled(item, change, known) for item in value)
    known[id(value)] = made
    return made
