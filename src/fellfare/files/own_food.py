"""A food of one's own: TOML with the figures of its label."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.files.reading import parse_document, place, read_text
from fellfare.measure.units import KINDS
from fellfare.mistake import Finding, Mistake
from fellfare.pantry.food import (
    Allergen,
    Allergens,
    Food,
    Form,
    Group,
    Hazard,
    HouseholdMeasure,
    Keeping,
    Soak,
    Source,
    Trait,
    Way,
)
from fellfare.pantry.label import Label, available_carbohydrate_g, read_label
from fellfare.pantry.pantry import Pantry

#: Name of the folder of own foods beside (or one above) a recipe.
FOLDER: Final = "foods"


#: Volumes in which an own food may say what it weighs; cups and spoons are US customary.
_VOLUMES: Final = frozenset({"cup", "tbsp", "tsp", "fl-oz", "ml", "dl", "l"})
#: Rock salt, solid: nothing that is eaten lies denser [g/mL].
_MOST_DENSITY: Final = 2.2


class _Measure(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    unit: str
    mass_g: float
    note: str = ""


class _Soak(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    way: Way
    minutes: float
    most_minutes: float | None = None
    at_c: float | None = None
    water_ml_per_g: float | None = None


class _Document(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    id: str
    name: str
    label: Label
    group: Group = "ready"
    form: Form = "solid"
    words: tuple[str, ...] = ()
    ways: tuple[Way, ...] = ("dry",)
    measure: tuple[_Measure, ...] = ()
    #: None = nobody has read the allergen line of the label yet.
    contains: tuple[Allergen, ...] | None = None
    may_contain: tuple[Allergen, ...] = ()
    hazards: tuple[Hazard, ...] = ()
    traits: tuple[Trait, ...] = ()
    soak: tuple[_Soak, ...] = ()
    keeps_days: tuple[int, int] | None = None
    water_activity: tuple[float, float] | None = None
    bulk_density_g_per_ml: float | None = None


def read_own_food(path: Path) -> tuple[Food, tuple[Finding, ...]]:
    """One food from its TOML file, and what is odd about its label.

    Raises
    ------
    Mistake
        As :func:`~fellfare.files.reading.read_document`, ``bad-food-id``,
        ``unknown-unit``, ``measure-out-of-range``, ``figure-out-of-range``, and
        the ``label-…`` codes of :func:`fellfare.pantry.label.read_label`.
    """
    return own_food_of_text(read_text(path), path)


def own_food_of_text(text: str, path: Path) -> tuple[Food, tuple[Finding, ...]]:
    """As :func:`read_own_food`, of a text; ``path`` only names it in mistakes."""
    document = parse_document(text, path, _Document)
    if not document.id or document.id.strip("abcdefghijklmnopqrstuvwxyz0123456789-"):
        raise Mistake(
            "bad-food-id",
            f"{document.id[:60]!r} cannot be an id",
            "lower-case letters, digits and hyphens: 'oat-bar'",
            place(path, text, "id"),
        )
    for number, measure in enumerate(document.measure):
        spot = place(path, text, f"measure[{number}]")
        if measure.unit not in _VOLUMES and KINDS.get(measure.unit) != "count":
            raise Mistake(
                "unknown-unit",
                f"{measure.unit[:40]!r} is no measure of a food",
                "cup, tbsp, tsp, ml, dl, l, or a counted thing: piece, slice, packet …",
                spot,
            )
        if not 0 < measure.mass_g <= 100_000:
            said = f"mass_g = {measure.mass_g:g}"
            raise Mistake("measure-out-of-range", said, "grams of one, above 0", spot)
    for field, value, least, most in _figures(document):
        if not least <= value <= most:  # NaN is in no range
            said = f"{field.rpartition('.')[2]} = {value:g}"
            mend = f"a number from {least:g} to {most:g}; leave out what is not known"
            raise Mistake("figure-out-of-range", said, mend, place(path, text, field))
    try:
        per_100g, findings = read_label(document.label)
    except Mistake as mistake:
        spot = place(path, text, f"label.{mistake.where}")
        raise Mistake(mistake.code, mistake.what, mistake.mend, spot) from mistake
    findings = tuple(replace(finding, about=(document.id,)) for finding in findings)
    said = "own food, by its label"
    keeping = None
    if document.keeps_days is not None:
        keeping = Keeping(
            id=document.id, unopened_days=document.keeps_days, trust="label", source=said
        )
    return (
        Food(
            id=document.id,
            name=document.name,
            group=document.group,
            form=document.form,
            source=Source(kind="label", ref=f"{said} ({document.label.style.upper()} panel)"),
            per_100g=per_100g,
            available_carbohydrate_g=available_carbohydrate_g(document.label),
            words=document.words,
            ways=document.ways,
            measures=tuple(
                HouseholdMeasure(
                    unit=one.unit, mass_g=one.mass_g, note=one.note, trust="label", source=said
                )
                for one in document.measure
            ),
            soaks=tuple(
                Soak(
                    way=one.way,
                    minutes=one.minutes,
                    most_minutes=one.most_minutes,
                    at_c=one.at_c,
                    water_ml_per_g=one.water_ml_per_g,
                    trust="label",
                    source=said,
                )
                for one in document.soak
            ),
            allergens=Allergens(
                contains=document.contains or (),
                may_contain=document.may_contain,
                open_mix=document.contains is None,
            ),
            hazards=document.hazards,
            traits=document.traits,
            keeping=keeping,
            water_activity=document.water_activity,
            water_activity_source=said if document.water_activity else "",
            bulk_density_g_per_ml=document.bulk_density_g_per_ml,
            bulk_density_trust="label" if document.bulk_density_g_per_ml else "unknown",
            bulk_density_source=said if document.bulk_density_g_per_ml else "",
        ),
        findings,
    )


def _figures(document: _Document) -> Iterator[tuple[str, float, float, float]]:
    """(field, value, least, most) of every figure that is not on the label."""
    density, days = document.bulk_density_g_per_ml, document.keeps_days
    if density is not None:
        yield "bulk_density_g_per_ml", density, 0.01, _MOST_DENSITY
    if document.water_activity is not None:
        low, high = document.water_activity
        yield "water_activity", low, 0.0, 1.0
        yield "water_activity", high, low, 1.0
    if days is not None:
        yield "keeps_days", days[0], 0, 36_500
        yield "keeps_days", days[1], days[0], 36_500
    for number, soak in enumerate(document.soak):
        at = f"soak[{number}]"
        yield f"{at}.minutes", soak.minutes, 0.0, 100_000.0
        if soak.most_minutes is not None:
            yield f"{at}.most_minutes", soak.most_minutes, soak.minutes, 100_000.0
        if soak.at_c is not None:
            yield f"{at}.at_c", soak.at_c, 0.0, 100.0
        if soak.water_ml_per_g is not None:
            yield f"{at}.water_ml_per_g", soak.water_ml_per_g, 0.0, 50.0


def own_food_folders(recipe: Path) -> tuple[Path, ...]:
    """Folders named 'foods' beside the recipe and one above it, as far as they exist."""
    near = recipe.resolve().parent
    return tuple(folder for folder in (near.parent / FOLDER, near / FOLDER) if folder.is_dir())


def read_own_foods(folders: Iterable[Path]) -> tuple[tuple[Food, ...], tuple[Finding, ...]]:
    """All own foods of some folders, by file name; the nearer folder comes last.

    Raises
    ------
    Mistake
        As :func:`read_own_food`; ``food-twice`` for one id in two files of a folder.
    """
    foods: list[Food] = []
    findings: list[Finding] = []
    for folder in folders:
        seen: dict[str, Path] = {}
        for path in sorted(folder.glob("*.toml")):
            food, said = read_own_food(path)
            if food.id in seen:
                raise Mistake(
                    "food-twice",
                    f"the id {food.id!r} is taken by {seen[food.id].name} in the same folder",
                    "give each food an id of its own",
                    str(path),
                )
            seen[food.id] = path
            foods.append(food)
            findings += said
    return tuple(foods), tuple(findings)


def shadowed(own: Iterable[Food], shipped: Pantry) -> tuple[Finding, ...]:
    """A note for each own food that stands in place of a shipped one of the same id."""
    return tuple(
        Finding(
            severity="note",
            rule="own-food-in-place",
            text=f"Your own food '{food.id}' stands in place of the shipped one "
            f"({shipped.food(food.id).name}).",
            source="own food",
            about=(food.id,),
        )
        for food in own
        if food.id in shipped
    )
