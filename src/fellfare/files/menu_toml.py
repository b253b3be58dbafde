"""The menu document: TOML in, TOML out, nothing lost on the way."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from msgspec import Struct, to_builtins

from fellfare.files.reading import parse_document, place, read_text
from fellfare.menu.answer import Plate, Portion
from fellfare.menu.written import WrittenMenu, WrittenRation
from fellfare.mistake import Mistake, Mistakes
from fellfare.recipe.leaving_out import name_without, parted_name

_GUIDE: Final = "docs/menu.md"
#: Longer than any walk, and more pieces of a serving than anybody cuts.
_MOST_DAYS: Final = 400
_MOST_STEPS: Final = 10_000


class _Portion(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """'steps' of 'of' make a serving."""

    walker: str
    steps: int
    of: int
    mass_g: float
    energy_kcal: float


class _Plate(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    day: int
    time: str
    dish: str
    #: Foods of the dish that are left out for all who eat it.
    without: tuple[str, ...] = ()
    shared: bool = False
    times: int = 1
    portions: tuple[_Portion, ...] = ()


class _Ration(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    day: int
    walker: str
    times: tuple[str, ...]
    mass_g: float
    energy_kcal: float


class _Document(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    title: str
    asked_otherwise: tuple[str, ...] = ()
    plate: tuple[_Plate, ...] = ()
    ration: tuple[_Ration, ...] = ()


def read_menu(path: Path) -> WrittenMenu:
    """The menu in one TOML file.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.reading.read_document`; ``menu-without-plates``,
        ``day-out-of-range``, ``portion-steps``, ``portion-out-of-range``, ``eater-twice``,
        each with its line.
    """
    return menu_of_text(read_text(path), path)


def menu_of_text(text: str, path: Path) -> WrittenMenu:
    """As :func:`read_menu`, of a text; ``path`` only names it in mistakes."""
    document = parse_document(text, path, _Document, _GUIDE)
    faults: list[Mistake] = []
    if not document.plate and not document.ration:
        faults.append(
            Mistake(
                "menu-without-plates",
                "the menu holds no [[plate]]",
                "let 'fellfare menu TRIP --out menu.toml' write one",
                str(path),
            )
        )
    steps: dict[str, int] = {}
    for number, plate in enumerate(document.plate):
        faults += _plate_faults(plate, steps, place(path, text, f"plate[{number}]"))
    for number, ration in enumerate(document.ration):
        spot = place(path, text, f"ration[{number}]")
        faults += _day_fault(ration.day, spot)
        faults += _figure_faults(ration.mass_g, ration.energy_kcal, spot)
    if faults:
        raise faults[0] if len(faults) == 1 else Mistakes(tuple(faults))
    return WrittenMenu(
        title=document.title,
        plates=tuple(_plate(plate) for plate in document.plate),
        steps_per_serving=steps,
        rations=tuple(
            WrittenRation(
                day=one.day,
                walker=one.walker,
                times=one.times,
                mass_g=one.mass_g,
                energy_kcal=one.energy_kcal,
            )
            for one in document.ration
        ),
        asked_otherwise=document.asked_otherwise,
    )


def _plate_faults(plate: _Plate, steps: dict[str, int], spot: str) -> list[Mistake]:
    faults = _day_fault(plate.day, spot)
    dish = name_without(plate.dish, plate.without)
    names = [portion.walker for portion in plate.portions]
    if len(set(names)) < len(names):
        mend = "give one portion with the steps added up"
        faults.append(Mistake("eater-twice", f"somebody eats of {plate.dish} twice", mend, spot))
    if plate.times < 1:
        mend = "give a whole number from 1"
        faults.append(Mistake("portion-steps", f"times = {plate.times}", mend, spot))
    for portion in plate.portions:
        if not (1 <= portion.of <= _MOST_STEPS and 0 <= portion.steps <= _MOST_STEPS):
            what = f"{portion.walker} gets {portion.steps} of {portion.of} steps of a serving"
            mend = "whole numbers: 15 of 20 are three quarters"
            faults.append(Mistake("portion-steps", what, mend, spot))
        elif steps.setdefault(dish, portion.of) != portion.of:
            what = f"{dish} has servings of {steps[dish]} and of {portion.of} steps"
            mend = "count all portions of a dish in the same steps"
            faults.append(Mistake("portion-steps", what, mend, spot))
        faults += _figure_faults(portion.mass_g, portion.energy_kcal, spot)
    return faults


def _day_fault(day: int, spot: str) -> list[Mistake]:
    if 1 <= day <= _MOST_DAYS:
        return []
    mend = "count the days of the walk from 1"
    return [Mistake("day-out-of-range", f"there is no day {day}", mend, spot)]


def _figure_faults(mass_g: float, energy_kcal: float, spot: str) -> list[Mistake]:
    if 0.0 <= mass_g <= 1e6 and 0.0 <= energy_kcal <= 1e6:  # NaN is in no range
        return []
    what = f"a portion of {mass_g:g} g and {energy_kcal:g} kcal"
    return [Mistake("portion-out-of-range", what, "grams and kcal, zero or more", spot)]


def _plate(plate: _Plate) -> Plate:
    return Plate(
        day=plate.day,
        time=plate.time,
        dish=name_without(plate.dish, plate.without),
        shared=plate.shared,
        times=plate.times,
        portions=tuple(
            Portion(
                walker=one.walker,
                steps=one.steps,
                mass_g=one.mass_g,
                energy_kcal=one.energy_kcal,
            )
            for one in plate.portions
        ),
    )


def menu_text(menu: WrittenMenu) -> str:
    """The menu as a TOML document; reading it again gives an equal value."""
    import tomlkit  # only writing needs it, and it is slow to import

    document = tomlkit.document()
    document.add(tomlkit.comment("A menu by Fellfare.  Portions are 'steps' of 'of' to a serving;"))
    document.add(tomlkit.comment("masses are with packing and fuel.  See docs/menu.md."))
    document.add("title", menu.title)
    if menu.asked_otherwise:
        document.add("asked_otherwise", list(menu.asked_otherwise))
    plates = tomlkit.aot()
    for plate in menu.plates:
        table = tomlkit.table()
        dish, without = parted_name(plate.dish)
        plain: dict[str, Any] = {"day": plate.day, "time": plate.time, "dish": dish}
        if without:
            plain["without"] = list(without)
        if plate.shared:
            plain["shared"] = True
        if plate.times != 1:
            plain["times"] = plate.times
        for key, value in plain.items():
            table.add(key, value)
        rows = tomlkit.array()
        for one in plate.portions:
            row = tomlkit.inline_table()
            row.update(
                {
                    "walker": one.walker,
                    "steps": one.steps,
                    "of": menu.steps_per_serving[plate.dish],
                    "mass_g": one.mass_g,
                    "energy_kcal": one.energy_kcal,
                }
            )
            rows.append(row)
        table.add("portions", rows.multiline(True))
        plates.append(table)
    if menu.plates:
        document.add("plate", plates)
    rations = tomlkit.aot()
    for ration in menu.rations:
        table = tomlkit.table()
        for key, value in to_builtins(ration).items():
            table.add(key, list(value) if isinstance(value, tuple) else value)
        rations.append(table)
    if menu.rations:
        document.add("ration", rations)
    return tomlkit.dumps(document)
