"""A food of one's own: TOML with the figures of its label."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from fellfare.files.reading import place, read_document
from fellfare.measure.units import UNITS
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
from fellfare.pantry.label import Label, read_label

#: Name of the folder of own foods beside (or one above) a recipe.
FOLDER: Final = "foods"


class _Measure(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    unit: str
    mass_g: float
    note: str = ""


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
    soak: tuple[Soak, ...] = ()
    keeps_days: tuple[int, int] | None = None
    water_activity: tuple[float, float] | None = None
    bulk_density_g_per_ml: float | None = None


def read_own_food(path: Path) -> tuple[Food, tuple[Finding, ...]]:
    """One food from its TOML file, and what is odd about its label.

    Raises
    ------
    Mistake
        As :func:`~fellfare.files.reading.read_document`, ``bad-food-id``,
        ``unknown-unit``, ``measure-out-of-range``, and the ``label-…`` codes
        of :func:`fellfare.pantry.label.read_label`.
    """
    document, text = read_document(path, _Document)
    if not document.id or document.id.strip("abcdefghijklmnopqrstuvwxyz0123456789-"):
        raise Mistake(
            "bad-food-id",
            f"{document.id[:60]!r} cannot be an id",
            "lower-case letters, digits and hyphens: 'oat-bar'",
            place(path, text, "id"),
        )
    for number, measure in enumerate(document.measure):
        spot = place(path, text, f"measure[{number}]")
        if measure.unit not in UNITS:
            raise Mistake(
                "unknown-unit",
                f"{measure.unit[:40]!r} is no measure",
                "cup, tbsp, tsp, piece, slice, packet …",
                spot,
            )
        if not 0 < measure.mass_g <= 100_000:
            said = f"mass_g = {measure.mass_g:g}"
            raise Mistake("measure-out-of-range", said, "grams of one, above 0", spot)
    try:
        per_100g, findings = read_label(document.label)
    except Mistake as mistake:
        raise mistake.at(place(path, text, "label")) from mistake
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
            words=document.words,
            ways=document.ways,
            measures=tuple(
                HouseholdMeasure(
                    unit=one.unit, mass_g=one.mass_g, note=one.note, trust="label", source=said
                )
                for one in document.measure
            ),
            soaks=document.soak,
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


def own_food_folders(recipe: Path) -> tuple[Path, ...]:
    """Folders named 'foods' beside the recipe and one above it, as far as they exist."""
    near = recipe.resolve().parent
    return tuple(folder for folder in (near.parent / FOLDER, near / FOLDER) if folder.is_dir())


def read_own_foods(folders: Iterable[Path]) -> tuple[tuple[Food, ...], tuple[Finding, ...]]:
    """All own foods of some folders, by file name; the nearer folder comes last."""
    foods: list[Food] = []
    findings: list[Finding] = []
    for folder in folders:
        for path in sorted(folder.glob("*.toml")):
            food, said = read_own_food(path)
            foods.append(food)
            findings += said
    return tuple(foods), tuple(findings)
