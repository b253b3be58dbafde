"""A food of one's own: its label copied down, and read by the reader of own foods."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final, get_args
from urllib.parse import quote

from litestar import Response, get, post
from litestar.params import FromPath, FromQuery, URLEncodedBody
from litestar.response import Redirect, Template

from fellfare.mistake import Mistake
from fellfare.pantry.allergens import AGENTS
from fellfare.pantry.food import Form, Group, Hazard, Trait, Way
from fellfare.web.documents import food_keys, food_of, food_text
from fellfare.web.drawing import page
from fellfare.web.errors import each_of
from fellfare.web.fields import Faults, put, read_number
from fellfare.web.here import FromHere, Here
from fellfare.web.names import name_from
from fellfare.web.saving import save_or_show_both

Posted = URLEncodedBody[dict[str, Any]]

#: Figures of a panel in the order in which labels print them: key, name, unit.
FIGURES: Final = (
    ("energy_kcal", "energy", "kcal"), ("energy_kj", "energy", "kJ"), ("fat_g", "fat", "g"),
    ("saturated_g", "of which saturated", "g"), ("carbohydrate_g", "carbohydrate", "g"),
    ("sugars_g", "of which sugars", "g"), ("fibre_g", "fibre", "g"), ("protein_g", "protein", "g"),
    ("salt_g", "salt", "g"), ("sodium_mg", "sodium", "mg"),
)  # fmt: skip
#: Figures that few labels print.
MORE_FIGURES: Final = (
    ("polyols_g", "polyols", "g"), ("alcohol_g", "alcohol", "g"), ("water_g", "water", "g"),
    ("potassium_mg", "potassium", "mg"), ("calcium_mg", "calcium", "mg"), ("iron_mg", "iron", "mg"),
    ("magnesium_mg", "magnesium", "mg"), ("vitamin_c_mg", "vitamin C", "mg"),
)  # fmt: skip
_LABEL: Final = ("per_g", *(key for key, _, _ in (*FIGURES, *MORE_FIGURES)))

WAYS: Final[tuple[tuple[Way, str], ...]] = (
    ("dry", "as it is"), ("cold-soak", "after a cold soak"),
    ("hot-pour", "with boiling water poured on"), ("boil", "after boiling"),
)  # fmt: skip
#: Rows for measures and soaks; empty ones are passed over.
MEASURE_ROWS: Final = 3
SOAK_ROWS: Final = 2
_WHERE: Final = re.compile(r"(label|measure|soak)(?:\[(\d+)\])?(?:\.(\w+))?|(\w+)$")


@get("/foods/new", sync_to_thread=True, include_in_schema=False)
def blank(here: FromHere) -> Template:
    """An empty label."""
    keys: dict[str, Any] = {"label": {"style": "us" if here.units == "us" else "eu"}}
    return _form(here, _fields_of(keys), {}, None, None)


@post("/foods/new", sync_to_thread=True, include_in_schema=False)
def begin(here: FromHere, data: Posted) -> Response[Any]:
    """Keep a new food."""
    return _kept(here, data, None)


@get("/foods/own/{name:str}", sync_to_thread=True, include_in_schema=False)
def shown(here: FromHere, name: FromPath[str], saved: FromQuery[str] = "") -> Redirect:
    """An own food is shown among all foods; one that cannot be read, as its text."""
    document = here.book.get("food", name)
    names = here.foods.names()
    found = next((one for one in names if names[one] == document.name), "")
    if not found:
        return Redirect(f"/book/food/{quote(document.name, safe='')}/text", status_code=303)
    return Redirect(f"/foods/{found}{'?saved=1' if saved else ''}", status_code=303)


@get("/foods/own/{name:str}/edit", sync_to_thread=True, include_in_schema=False)
def edit(here: FromHere, name: FromPath[str]) -> Response[Any]:
    """The label of an own food; a document that is no TOML is mended as text."""
    document = here.book.get("food", name)
    keys = food_keys(document.text)
    if not keys:
        return Redirect(f"/book/food/{quote(name, safe='')}/text", status_code=303)
    return _form(here, _fields_of(keys), {}, name, document.revision)


@post("/foods/own/{name:str}/edit", sync_to_thread=True, include_in_schema=False)
def change(here: FromHere, name: FromPath[str], data: Posted) -> Response[Any]:
    """Keep a changed food."""
    return _kept(here, data, name)


def _kept(here: Here, data: Mapping[str, Any], name: str | None) -> Response[Any]:
    fields = _posted(data)
    faults: Faults = {}
    told = str(data.get("based_on", ""))
    based_on = int(told) if told.isascii() and told.isdigit() else None
    old = food_keys(here.book.get("food", name).text) if name else {}
    keys = _keys_of(fields, old, faults)
    kept = name or _free(here, str(fields["name"]))
    keys = {"id": old.get("id", kept)} | keys
    if not fields["name"]:
        faults["name"] = [
            Mistake("no-name", "the food has no name", "write it as on a shopping list")
        ]
    text = ""
    if not faults:
        text = food_text(keys)
        try:
            food_of(text, kept)
        except Mistake as mistake:
            for one in each_of(mistake):
                put(faults, _field_of(one), one)
    if faults:
        return _form(here, fields, faults, name, based_on, status=422)
    return save_or_show_both(here, "food", kept, text, based_on)


def _free(here: Here, title: str) -> str:
    """An id that neither the book nor the shipped table has."""
    taken = {*here.book.names("food"), *(food.id for food in here.pantry)}
    made = name = name_from(title, "food")
    number = 2
    while made in taken:
        made, number = f"{name}-{number}", number + 1
    return made


def _form(
    here: Here,
    fields: dict[str, Any],
    faults: Faults,
    name: str | None,
    based_on: int | None,
    *,
    status: int = 200,
) -> Template:
    return page(
        here, "foods/label.html", "foods", status=status, name=name, based_on=based_on,
        fields=fields, faults=faults, figures=FIGURES, more_figures=MORE_FIGURES, agents=AGENTS,
        ways=WAYS, groups=get_args(Group), forms=get_args(Form), traits=get_args(Trait),
        hazards=get_args(Hazard), measure_rows=range(MEASURE_ROWS), soak_rows=range(SOAK_ROWS),
    )  # fmt: skip


# ---------------------------------------------------------------- document → fields → document


def _fields_of(keys: Mapping[str, Any]) -> dict[str, Any]:
    """Every field of the form, as text, from the keys of a document."""
    label = keys.get("label", {})
    days = keys.get("keeps_days", ("", ""))
    activity = keys.get("water_activity", ("", ""))
    fields: dict[str, Any] = {
        "name": keys.get("name", ""),
        "group": keys.get("group", "ready"),
        "form": keys.get("form", "solid"),
        "words": ", ".join(keys.get("words", ())),
        "style": label.get("style", "eu"),
        "read": "contains" in keys,
        "contains": list(keys.get("contains", ())),
        "may_contain": list(keys.get("may_contain", ())),
        "ways": list(keys.get("ways", ("dry",))),
        "traits": list(keys.get("traits", ())),
        "hazards": list(keys.get("hazards", ())),
        "keeps_least": _text(days[0]),
        "keeps_most": _text(days[1]),
        "activity_least": _text(activity[0]),
        "activity_most": _text(activity[1]),
        "bulk_density_g_per_ml": _text(keys.get("bulk_density_g_per_ml", "")),
    }
    fields |= {key: _text(label.get(key, "")) for key in _LABEL}
    fields["per_g"] = fields["per_g"] or "100"
    for row in range(MEASURE_ROWS):
        one = dict(keys.get("measure", ())[row]) if row < len(keys.get("measure", ())) else {}
        fields |= {f"measure-{row}-unit": one.get("unit", ""),
                   f"measure-{row}-mass_g": _text(one.get("mass_g", ""))}  # fmt: skip
    for row in range(SOAK_ROWS):
        one = dict(keys.get("soak", ())[row]) if row < len(keys.get("soak", ())) else {}
        fields |= {f"soak-{row}-way": one.get("way", "")}
        for key in ("minutes", "most_minutes", "at_c", "water_ml_per_g"):
            fields[f"soak-{row}-{key}"] = _text(one.get(key, ""))
    return fields


def _text(value: Any) -> str:
    return f"{value:.12g}" if isinstance(value, int | float) else str(value)


def _posted(data: Mapping[str, Any]) -> dict[str, Any]:
    """The same fields from a posted form."""
    fields = _fields_of({})
    for key, usual in fields.items():
        value = data.get(key, [] if isinstance(usual, list) else "")
        if isinstance(usual, list):
            fields[key] = [str(one) for one in (value if isinstance(value, list) else [value])]
        elif key == "read":
            fields[key] = value == "yes"
        else:
            told = " ".join(str(value).split())[:300]
            fields[key] = told or (usual if key in ("group", "form", "style", "per_g") else "")
    return fields


def _keys_of(fields: Mapping[str, Any], old: Mapping[str, Any], faults: Faults) -> dict[str, Any]:
    """The document's keys; what the form does not show is taken over from ``old``."""

    def figure(field: str) -> float | None:
        return read_number(str(fields[field]), field, faults)

    keys = dict(old)
    keys |= {
        "name": fields["name"],
        "group": fields["group"],
        "form": fields["form"],
        "words": [word.strip() for word in str(fields["words"]).split(",") if word.strip()],
        "ways": fields["ways"],
        "traits": fields["traits"],
        "hazards": fields["hazards"],
        "may_contain": fields["may_contain"],
        "contains": fields["contains"] if fields["read"] or fields["contains"] else None,
        "bulk_density_g_per_ml": figure("bulk_density_g_per_ml"),
        "keeps_days": _pair(fields, "keeps_least", "keeps_most", faults, whole=True),
        "water_activity": _pair(fields, "activity_least", "activity_most", faults),
    }
    label = {"style": fields["style"]} | {key: figure(key) for key in _LABEL}
    keys["label"] = {key: value for key, value in label.items() if value is not None}
    measures = []
    for row in range(MEASURE_ROWS):
        unit, mass_at = fields[f"measure-{row}-unit"], f"measure-{row}-mass_g"
        if not unit:
            continue
        mass_g = figure(mass_at)
        if mass_g is None and mass_at not in faults:
            mend = "write the grams of one, or leave the row empty"
            put(faults, mass_at, Mistake("not-a-number", "no mass is given", mend))
        measures.append({"unit": unit, "mass_g": mass_g})
    kept = [dict(one) for one in old.get("measure", ())][MEASURE_ROWS:]
    notes = {one.get("unit"): one["note"] for one in old.get("measure", ()) if one.get("note")}
    keys["measure"] = [
        one | ({"note": notes[one["unit"]]} if one["unit"] in notes else {}) for one in measures
    ] + kept
    keys["soak"] = _soaks(fields, faults) + [dict(one) for one in old.get("soak", ())][SOAK_ROWS:]
    emptied = {key for key, value in keys.items() if value is None}
    emptied |= {key for key in ("words", "traits", "hazards", "may_contain", "measure", "soak")
                if not keys[key]}  # fmt: skip
    return {key: value for key, value in keys.items() if key not in emptied}


def _soaks(fields: Mapping[str, Any], faults: Faults) -> list[dict[str, Any]]:
    soaks = []
    for row in range(SOAK_ROWS):
        if not fields[f"soak-{row}-way"]:
            continue
        one: dict[str, Any] = {"way": fields[f"soak-{row}-way"]}
        for key in ("minutes", "most_minutes", "at_c", "water_ml_per_g"):
            value = read_number(str(fields[f"soak-{row}-{key}"]), f"soak-{row}-{key}", faults)
            if value is not None:
                one[key] = value
        if "minutes" not in one and f"soak-{row}-minutes" not in faults:
            mend = "write the minutes, or choose no way"
            said = Mistake("not-a-number", "no minutes are given", mend)
            put(faults, f"soak-{row}-minutes", said)
        soaks.append(one)
    return soaks


def _pair(
    fields: Mapping[str, Any], least: str, most: str, faults: Faults, *, whole: bool = False
) -> list[float] | list[int] | None:
    low = read_number(str(fields[least]), least, faults)
    high = read_number(str(fields[most]), most, faults)
    if low is None and high is None:
        return None
    low = high if low is None else low
    high = low if high is None else high
    assert low is not None
    assert high is not None
    return [round(low), round(high)] if whole else [low, high]


def _field_of(mistake: Mistake) -> str:
    """The field of the form beside which a mistake of the document belongs."""
    place = mistake.where.rpartition(" > ")[2]
    found = _WHERE.search(place)
    if found is None:
        return ""
    table, row, key, plain = found.groups()
    if table == "label":
        return key or ""
    if table in ("measure", "soak"):
        usual = "mass_g" if table == "measure" else "minutes"
        key = "unit" if mistake.code == "unknown-unit" else key or usual
        return f"{table}-{row or 0}-{key}"
    return {"keeps_days": "keeps_least", "water_activity": "activity_least"}.get(plain, plain or "")


OWN_FOODS: Final[list[Any]] = [blank, begin, shown, edit, change]
