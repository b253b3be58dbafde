"""From a composition document to a form, and back."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final, get_args

from msgspec import Struct, field

from fellfare.measure.units import System
from fellfare.mistake import Mistake, Mistakes
from fellfare.pantry.food import Way
from fellfare.recipe.composing.question import (
    FIGURES,
    Aim,
    Composition,
    Limit,
    Pairing,
    Part,
)
from fellfare.recipe.composing.taste import TASTES
from fellfare.web.fields import Faults, put, read_number, read_whole

WAYS: Final[tuple[Way, ...]] = get_args(Way)
SYSTEMS: Final[tuple[System, ...]] = get_args(System)
MEALS: Final = ("breakfast", "lunch", "dinner", "snack", "drink")
#: Tables: name → keys of a row; a row is there when its first key is filled in.
TABLES: Final[dict[str, tuple[str, ...]]] = {
    "part": ("name", "foods", "amounts", "picks", "optional", "at_the_end"),
    "aim": ("figure", "better", "step"),
    "limit": ("figure", "least", "most"),
    "pairing": ("food", "only_with", "never_with"),
    "price": ("food", "kg"),
}
MOST_ROWS: Final = 60
_PLACE: Final = re.compile(r"(part|limit|pairing|aims)\[(\d+)\](?:[. >]+(\w+))?")


class ComposeForm(Struct):
    """What stands in the fields, by name: 'part-0-foods'."""

    values: dict[str, str] = field(default_factory=dict)
    ticked: dict[str, tuple[str, ...]] = field(default_factory=dict)
    many: dict[str, int] = field(default_factory=dict)

    def value(self, name: str) -> str:
        """What stands in a field."""
        return self.values.get(name, "")


def _figure(value: float | None) -> str:
    return "" if value is None else f"{value:.12g}"


def blank() -> ComposeForm:
    """A form to begin with: the usual parts and aims, no food yet."""
    form = ComposeForm(values={"way": "hot-pour"}, ticked={"meals": ("dinner",)})
    for at, (name, amounts) in enumerate((
        ("starch", "60 g, 80 g"), ("sauce", "10 g, 20 g"), ("fat", "10 g, 20 g"),
        ("add-in", "5 g, 10 g"), ("finish", "10 g"),
    )):  # fmt: skip
        form.values |= {f"part-{at}-name": name, f"part-{at}-amounts": amounts,
                        f"part-{at}-picks": "1"}  # fmt: skip
    for at, figure in enumerate(("energy_kcal_per_100g", "protein_g", "tastes")):
        form.values |= {f"aim-{at}-figure": figure, f"aim-{at}-better": "more"}
    form.many = {"part": 5, "aim": 4, "limit": 2, "pairing": 1, "price": 1}
    return form


def form_of(asked: Composition) -> ComposeForm:
    """The form of a composition, with a row to spare in each table."""
    form = ComposeForm(
        values={
            "title": asked.title, "way": asked.way, "avoid": ", ".join(asked.avoid),
            "kind": ", ".join(asked.kind), "system": asked.system,
        },
        ticked={"meals": asked.meals, "tastes": asked.tastes},
    )  # fmt: skip
    for at, part in enumerate(asked.parts):
        form.values |= {
            f"part-{at}-name": part.name,
            f"part-{at}-foods": ", ".join(part.foods),
            f"part-{at}-amounts": ", ".join(part.amounts),
            f"part-{at}-picks": str(part.picks),
            f"part-{at}-optional": "on" if part.optional else "",
            f"part-{at}-at_the_end": "on" if part.at_the_end else "",
        }
    for at, aim in enumerate(asked.aims):
        form.values |= {f"aim-{at}-figure": aim.figure, f"aim-{at}-better": aim.better,
                        f"aim-{at}-step": _figure(aim.step)}  # fmt: skip
    for at, limit in enumerate(asked.limits):
        form.values |= {f"limit-{at}-figure": limit.figure, f"limit-{at}-least":
                        _figure(limit.least), f"limit-{at}-most": _figure(limit.most)}  # fmt: skip
    for at, pair in enumerate(asked.pairings):
        form.values |= {f"pairing-{at}-food": pair.food,
                        f"pairing-{at}-only_with": ", ".join(pair.only_with),
                        f"pairing-{at}-never_with": ", ".join(pair.never_with)}  # fmt: skip
    for at, (food, price) in enumerate(asked.price_per_kg):
        form.values |= {f"price-{at}-food": food, f"price-{at}-kg": _figure(price)}
    form.many = {
        "part": len(asked.parts) + 1, "aim": len(asked.aims) + 1, "limit": len(asked.limits) + 1,
        "pairing": len(asked.pairings) + 1, "price": len(asked.price_per_kg) + 1,
    }  # fmt: skip
    return form


def form_from(data: Mapping[str, Any]) -> ComposeForm:
    """What was sent."""
    form = ComposeForm()
    for key, value in data.items():
        if isinstance(value, list):
            form.ticked[key] = tuple(str(one)[:60] for one in value)
            form.values[key] = str(value[-1])[:4000]
        else:
            form.values[key] = " ".join(str(value).split())[:4000]
            form.ticked[key] = (form.values[key],)
    for table in TABLES:
        numbers = [
            int(found[1])
            for key in form.values
            if (found := re.match(rf"{table}-(\d{{1,3}})-", key)) is not None
        ]
        form.many[table] = min(max(numbers, default=-1) + 1, MOST_ROWS)
    return form


def _words(text: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in re.split(r"[,;]", text) if word.strip())


def composition_from(form: ComposeForm) -> tuple[Composition, Faults, dict[str, str]]:
    """The composition, what is wrong with its fields, and from its places to the fields."""
    faults: Faults = {}
    fields: dict[str, str] = {"kind": "kind", "part": "part-0-name", "aims": "aim-0-figure",
                              "price": "price-0-kg"}  # fmt: skip
    if not form.value("title"):
        put(faults, "title", Mistake("title-missing", "it has no title", "give it a short name"))
    parts: list[Part] = []
    for at in range(form.many.get("part", 0)):
        row = f"part-{at}"
        name, foods = form.value(f"{row}-name"), _words(form.value(f"{row}-foods"))
        if not foods:
            continue  # a place for which there is no food yet
        fields[f"part[{len(parts)}]"] = f"{row}-foods"
        fields |= {f"part[{len(parts)}].{key}": f"{row}-{key}" for key in TABLES["part"]}
        picks = read_whole(form.value(f"{row}-picks") or "1", f"{row}-picks", faults)
        parts.append(
            Part(
                name=name, foods=foods, amounts=_words(form.value(f"{row}-amounts")),
                picks=picks or 1, optional=bool(form.value(f"{row}-optional")),
                at_the_end=bool(form.value(f"{row}-at_the_end")),
            )
        )  # fmt: skip
    aims: list[Aim] = []
    for at in range(form.many.get("aim", 0)):
        figure = form.value(f"aim-{at}-figure")
        if figure:
            fields[f"aims[{len(aims)}]"] = f"aim-{at}-figure"
            step = read_number(form.value(f"aim-{at}-step"), f"aim-{at}-step", faults)
            less = form.value(f"aim-{at}-better") == "less"
            aims.append(Aim(figure=figure, better="less" if less else "more", step=step))
    limits: list[Limit] = []
    for at in range(form.many.get("limit", 0)):
        row, figure = f"limit-{at}", form.value(f"limit-{at}-figure")
        least = read_number(form.value(f"{row}-least"), f"{row}-least", faults)
        most = read_number(form.value(f"{row}-most"), f"{row}-most", faults)
        if figure and (least is not None or most is not None):
            fields[f"limit[{len(limits)}]"] = f"{row}-least"
            fields[f"limit[{len(limits)}].figure"] = f"{row}-figure"
            limits.append(Limit(figure=figure, least=least, most=most))
    pairings: list[Pairing] = []
    for at in range(form.many.get("pairing", 0)):
        row, food = f"pairing-{at}", form.value(f"pairing-{at}-food")
        if food:
            fields[f"pairing[{len(pairings)}]"] = f"{row}-food"
            fields |= {f"pairing[{len(pairings)}].{key}": f"{row}-{key}"
                       for key in TABLES["pairing"]}  # fmt: skip
            pairings.append(
                Pairing(food=food, only_with=_words(form.value(f"{row}-only_with")),
                        never_with=_words(form.value(f"{row}-never_with")))
            )  # fmt: skip
    prices: dict[str, float] = {}
    for at in range(form.many.get("price", 0)):
        food = form.value(f"price-{at}-food")
        price = read_number(form.value(f"price-{at}-kg"), f"price-{at}-kg", faults)
        if food and price is not None:
            prices[food] = price
    way: Way = next((one for one in WAYS if one == form.value("way")), "hot-pour")
    system = form.value("system")
    asked = Composition(
        title=form.value("title"),
        parts=tuple(parts),
        aims=tuple(aims) or Composition(title="", parts=()).aims,
        limits=tuple(limits),
        pairings=tuple(pairings),
        way=way,
        avoid=_words(form.value("avoid")),
        tastes=tuple(one for one in form.ticked.get("tastes", ()) if one in TASTES),
        price_per_kg=tuple(prices.items()),
        kind=_words(form.value("kind")),
        meals=tuple(one for one in form.ticked.get("meals", ()) if one in MEALS),
        system=next((one for one in SYSTEMS if one == system), "us"),
    )  # fmt: skip
    return asked, faults, fields


def place_faults(mistake: Mistake, fields: Mapping[str, str], faults: Faults) -> None:
    """Tell a mistake beside its field; one without a place under ''."""
    for one in mistake.each if isinstance(mistake, Mistakes) else (mistake,):
        found = _PLACE.search(one.where)
        name = fields.get(one.where, "")
        if found is not None:
            spot = f"{found[1]}[{found[2]}]"
            name = fields.get(f"{spot}.{found[3]}", fields.get(spot, ""))
        put(faults, name, one)


#: Figures in words.
FIGURE_WORDS: Final = {
    "mass_g": "mass, g", "energy_kcal": "energy, kcal", "protein_g": "protein, g",
    "fat_g": "fat, g", "carbohydrate_g": "carbohydrate, g", "fibre_g": "fibre, g",
    "sugars_g": "sugars, g", "sodium_mg": "sodium, mg", "water_add_ml": "water to add, ml",
    "cost": "cost", "energy_kcal_per_100g": "kcal per 100 g",
    "protein_g_per_1000_kcal": "protein, g per 1 000 kcal",
    "fibre_g_per_1000_kcal": "fibre, g per 1 000 kcal",
    "sodium_mg_per_1000_kcal": "sodium, mg per 1 000 kcal",
    "cost_per_1000_kcal": "cost per 1 000 kcal", "minutes": "minutes", "tastes": "tastes",
}  # fmt: skip
assert set(FIGURE_WORDS) == set(FIGURES)
