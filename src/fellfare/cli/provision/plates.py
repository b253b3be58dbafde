"""Which plates are provided for: those of a saved menu, of one worked out now, or fixed ones."""

from __future__ import annotations

import time
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from msgspec import Struct

from fellfare.files.menu_toml import read_menu
from fellfare.files.recipe_folder import RecipeFolder
from fellfare.files.trip_toml import TripFile
from fellfare.menu.answer import Plate
from fellfare.menu.written import WrittenRation, minding_late
from fellfare.mistake import Finding, Mistake
from fellfare.provision.trip.dishes import STEPS
from fellfare.provision.trip.fixed import fixed_plates
from fellfare.trip.plan import TripPlan

#: A saved menu's name beside the trip.
MENU: Final = "menu.toml"


class Chosen(Struct, frozen=True, kw_only=True):
    """What is eaten, and in a few words where that comes from."""

    plates: tuple[Plate, ...]
    told: str
    steps_per_serving: int | Mapping[str, int] = STEPS
    rations: tuple[WrittenRation, ...] = ()
    findings: tuple[Finding, ...] = ()
    #: The file of the menu; None = there is none.
    path: Path | None = None


def plates_for(
    file: TripFile,
    plan: TripPlan,
    folder: RecipeFolder,
    menu_path: Path | None = None,
    seconds: float = 30.0,
) -> Chosen:
    """The plates of a trip.

    A menu that is named or lies beside the trip is taken; else one is worked out; and where
    none is found, the trip's fixed dishes, one serving each, with a caution.

    Raises
    ------
    Mistake
        ``no-menu`` when nothing is fixed either; as
        :func:`~fellfare.files.menu_toml.read_menu` and
        :func:`~fellfare.menu.asked.question.question_of_trip`.
    """
    beside = file.path.parent / MENU
    path = menu_path or (beside if beside.exists() else None)
    if path is not None:
        menu = read_menu(path)
        return Chosen(
            plates=menu.plates,
            told=f"the menu in {path.name}",
            steps_per_serving=menu.steps_per_serving,
            rations=menu.rations,
            findings=minding_late(menu),
            path=path,
        )
    solved = _worked_out(file, plan, folder, seconds)
    if solved is not None:
        return solved
    if not file.trip.fixed:
        raise Mistake(
            "no-menu",
            f"no menu was found in {seconds:g} seconds, and the trip fixes no dish",
            f"ask 'fellfare menu' why, or for longer, and save its answer as {MENU}; or add "
            "[[fixed]] dishes",
            str(file.path),
        )
    return Chosen(
        plates=fixed_plates(file.trip, folder.recipes, folder.pantry),
        told="the trip's fixed dishes",
        findings=(
            Finding(
                severity="caution",
                rule="only-fixed-dishes",
                text="No menu was found: only the dishes that the trip fixes are provided for, "
                "one serving each.  All other meals are missing.",
                source="ask 'fellfare menu' why there is none",
            ),
        ),
    )


def _worked_out(
    file: TripFile, plan: TripPlan, folder: RecipeFolder, seconds: float
) -> Chosen | None:
    from fellfare.cli.menu import planned_menu  # the solver is slow to import
    from fellfare.menu.asked import question_of_trip
    from fellfare.menu.trying import Trying
    from fellfare.menu.written import written

    try:
        asked = question_of_trip(plan, folder.recipes, folder.pantry)
    except Mistake as mistake:
        raise file.placed(mistake) from None
    made = planned_menu(asked, Trying(seconds=seconds, clock=time.monotonic))
    if not made.plates:
        return None
    menu = written(made)
    return Chosen(
        plates=menu.plates,
        told="a menu worked out now",
        steps_per_serving=menu.steps_per_serving,
        rations=menu.rations,
        findings=made.findings,
    )
