"""Options that several questions share, each worded once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import click

from fellfare.cli.camp.burning import read_pot
from fellfare.cli.camp.reading import given, read_temperature_c

Option = Callable[[Callable[..., Any]], Callable[..., Any]]

as_json: Final[Option] = click.option("--json", "as_json", is_flag=True, help="Print JSON.")

own_folders: Final[Option] = click.option(
    "--foods",
    "own_folders",
    multiple=True,
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    help="Folder of own foods.",
)

pot: Final[Option] = click.option(
    "--pot", metavar="POT", callback=given(read_pot), help="With lid: 'aluminium 120g'."
)

air: Final[Option] = click.option(
    "--air",
    "air_c",
    metavar="TEMP",
    callback=given(read_temperature_c),
    help="Warmest air around the jar.",
)

way: Final[Option] = click.option(
    "--way",
    default="cold-soak",
    show_default=True,
    type=click.Choice(["cold-soak", "hot-pour"]),
    help="Soak in unheated water, or pour boiling water on.",
)

tested: Final[Option] = click.option(
    "--tested",
    "tested",
    multiple=True,
    metavar="'FOOD MIN at TEMP'",
    help="Your own soak test of it, once per food: 'bulgur 52 min at 11 °C' "
    "('fellfare camp soak-test').",
)
