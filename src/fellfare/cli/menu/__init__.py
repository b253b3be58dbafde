"""``fellfare menu TRIP``: what is eaten when, at the least carried mass, with the proof."""

from __future__ import annotations

import json
import time
from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import Final, Literal

import click
from msgspec.structs import replace

from fellfare.cli.menu.watching import watching
from fellfare.cli.told import tell
from fellfare.files.menu_json import dishes_data, front_data, menu_data, stops_data
from fellfare.files.menu_toml import menu_text as menu_document
from fellfare.files.menu_toml import read_menu
from fellfare.files.provision_toml import NAME, read_own
from fellfare.files.recipe_folder import read_recipes_of
from fellfare.files.trip_toml import TripFile, read_ground, read_trip
from fellfare.files.writing import write_text
from fellfare.menu.asked import Asked, question_of_trip
from fellfare.menu.asked.here import dishes_here
from fellfare.menu.changing.late import Late, late_trip
from fellfare.menu.front_of_trip import front_of_trip
from fellfare.menu.impossible.why import why_impossible
from fellfare.menu.of_trip import menu_of_trip
from fellfare.menu.pool import Pack
from fellfare.menu.resupply.of_trip import stops_of_trip
from fellfare.menu.resupply.stops import Worth
from fellfare.menu.staying import other_than, stay_near
from fellfare.menu.trip_menu import TripMenu, trip_menu
from fellfare.menu.trying import Trying
from fellfare.menu.written import WrittenMenu, minding_late, written
from fellfare.mistake import Finding, Mistake, worst
from fellfare.pantry.pantry import Pantry
from fellfare.provision.trip.priced import menu_packs
from fellfare.recipe.document import Recipe
from fellfare.safety import standing_findings
from fellfare.trip.plan import TripPlan, plan_trip
from fellfare.trip.wishes import FixedDish

#: What is always said under a menu.
_STANDING = ("who-decides", "allergens-declared", "how-well-known", "water")
#: Longest search where nobody says, for a menu and for a front [s].
MENU_SECONDS: Final = 30.0
FRONT_SECONDS: Final = 90.0
#: Time in which it is looked for what must give, at most and beside the search itself [s].
WHY_SECONDS: Final = 20.0
#: More different dinners, or less money.
By = Literal["variety", "cost"]


@click.command()
@click.argument("trip", type=click.Path(path_type=Path))
@click.option(
    "--gap",
    type=click.FloatRange(0, 0.5),
    default=0.02,
    show_default=True,
    metavar="SHARE",
    help="Enough when no menu can be lighter by more than this share.",
)
@click.option(
    "--seconds",
    type=click.FloatRange(0.5, 86_400),
    help="Longest search (30; a front 90); then the best found counts.",
)
@click.option(
    "--fix",
    "fixes",
    type=(int, str, str),
    multiple=True,
    metavar="DAY TIME DISH",
    help="This dish there, whatever it weighs (repeat).",
)
@click.option(
    "--without", multiple=True, metavar="DISH", help="Not this dish, by its file name (repeat)."
)
@click.option(
    "--swap",
    "swaps",
    type=(int, str),
    multiple=True,
    metavar="DAY TIME",
    help="Something else there than in the saved menu (with --near; repeat).",
)
@click.option(
    "--fire",
    "fires",
    type=(float, str),
    multiple=True,
    metavar="KM RULE",
    help="From this kilometre on: no-open-fire, gas-only or no-flame (repeat).",
)
@click.option(
    "--camp",
    "camps",
    type=(int, str),
    multiple=True,
    metavar="NIGHT PLACE",
    help="This night at another place of the track (repeat).",
)
@click.option(
    "--diet",
    "diets",
    type=(str, str),
    multiple=True,
    metavar="WALKER DIET",
    help="A late diet: vegan, vegetarian … (repeat).",
)
@click.option(
    "--avoid",
    "avoids",
    type=(str, str),
    multiple=True,
    metavar="WALKER WHAT",
    help="A late allergy: milk, tree-nut … (repeat).",
)
@click.option(
    "--near",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Stay near this saved menu: only what must change does.",
)
@click.option(
    "--front",
    "by",
    type=click.Choice(["variety", "cost"]),
    help="Instead: what one more different dinner, or less money, costs in grams.",
)
@click.option(
    "--stops", is_flag=True, help="Instead: which boxes and shops are worth using, set by set."
)
@click.option(
    "--money-worth",
    type=click.FloatRange(0, 100_000),
    default=0.0,
    metavar="G",
    help="With --stops: grams of mean load that a unit of money is worth.",
)
@click.option(
    "--minute-worth",
    type=click.FloatRange(0, 100_000),
    default=0.0,
    metavar="G",
    help="With --stops: grams of mean load that a minute is worth.",
)
@click.option("--dishes", is_flag=True, help="Instead: which recipes can be made on which day.")
@click.option(
    "--out", type=click.Path(path_type=Path, dir_okay=False), help="Save the menu as a document."
)
@click.option("--replace", "over", is_flag=True, help="Write over an older document.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command(
    trip: Path,
    gap: float,
    seconds: float | None,
    fixes: tuple[tuple[int, str, str], ...],
    without: tuple[str, ...],
    swaps: tuple[tuple[int, str], ...],
    fires: tuple[tuple[float, str], ...],
    camps: tuple[tuple[int, str], ...],
    diets: tuple[tuple[str, str], ...],
    avoids: tuple[tuple[str, str], ...],
    near: Path | None,
    by: By | None,
    stops: bool,
    money_worth: float,
    minute_worth: float,
    dishes: bool,
    out: Path | None,
    over: bool,
    as_json: bool,
) -> None:
    """Choose the dishes of the walk in TRIP (a TOML document) at the least mass carried.

    Every rule of the trip is kept; how far the answer can be from the best is proven.
    Ctrl-C ends the search, and the best found so far is shown.
    """
    if out is not None and not over and out.exists():
        raise Mistake(
            "file-exists",
            "the file is there already",
            "choose another name, or say --replace",
            str(out),
        )
    if swaps and near is None:
        mend = "say --near with the saved menu in which it stands"
        raise Mistake("swap-without-menu", "--swap needs a saved menu", mend, "--swap")
    file = _wished(read_trip(trip), fixes, without)
    plan = _planned(file)
    late = Late(fire=fires, camps=camps, diets=diets, avoids=avoids)
    lately: tuple[str, ...] = ()
    if not late.nothing:
        changed, lately = late_trip(plan, late)
        file = TripFile(file.path, file.text, changed)
        plan = _planned(file)
    folder = read_recipes_of(file)
    _known_dishes(folder.recipes, fixes, without)
    try:
        asked = question_of_trip(
            plan, folder.recipes, folder.pantry, packs=_packs(file, folder.pantry)
        )
    except Mistake as mistake:
        raise file.placed(mistake) from None
    saved = None if near is None else read_menu(near)
    otherwise = lately
    if swaps and saved is not None:
        asked, said = other_than(asked, saved.plates, swaps)
        otherwise = (*otherwise, *said)
    used = {food.id for dish in asked.dishes for food in dish.foods}
    labels = tuple(one for one in folder.findings if used & set(one.about))
    usual = FRONT_SECONDS if by is not None or stops else MENU_SECONDS
    tries = Trying(gap=gap, seconds=seconds or usual, clock=time.monotonic)
    if dishes:
        _show_dishes(asked, labels, as_json)
    elif stops:
        _show_stops(
            asked, Worth(money_g=money_worth, minute_g=minute_worth), tries, labels, as_json
        )
    elif by is not None:
        _show_front(asked, by, tries, labels, as_json)
    else:
        menu = (
            planned_menu(asked, tries, labels)
            if saved is None
            else _near_menu(asked, saved, tries, labels)
        )
        menu = replace(menu, asked_otherwise=otherwise)
        if out is not None and menu.plates:
            kept = replace(written(menu), asked_otherwise=lately)
            write_text(out, menu_document(kept), replace=over)
            menu = replace(menu, findings=(*menu.findings, *minding_late(kept)))
        _show(menu, plan, out, as_json)


def _packs(file: TripFile, pantry: Pantry) -> tuple[Pack, ...]:
    """Those of the person's own file beside the trip; none where there is no such file."""
    path = file.path.parent / NAME
    return menu_packs(read_own(path, pantry)) if path.exists() else ()


def planned_menu(asked: Asked, tries: Trying, findings: Iterable[Finding] = ()) -> TripMenu:
    """The settled menu of a trip; usual wishes for variety give way before those written."""
    with watching() as watch:
        return menu_of_trip(
            asked,
            tries,
            watch,
            findings=findings,
            why_seconds=WHY_SECONDS,
            stopped=lambda: watch.stopped,
        )


def _near_menu(
    asked: Asked, old: WrittenMenu, tries: Trying, findings: tuple[Finding, ...]
) -> TripMenu:
    """The menu that stays near to a saved one."""
    with watching() as watch:
        made = stay_near(asked, old.plates, old.steps_per_serving, tries, watch)
        why = None
        if not made.done.menu.plates and not watch.stopped:
            seconds = min(tries.seconds, WHY_SECONDS)
            why = why_impossible(made.done.question, replace(tries, seconds=seconds), watch)
    menu = trip_menu(asked, made.done, made.whole, why=why, findings=findings)
    return replace(menu, changes=made.changes, change_sentences=made.sentences)


def _wished(
    file: TripFile, fixes: tuple[tuple[int, str, str], ...], without: tuple[str, ...]
) -> TripFile:
    """The trip with the wishes of the command line added to its own."""
    trip = file.trip
    times = [one.name for one in trip.eating]
    for day, eating, _ in fixes:
        if eating not in times:
            raise Mistake(
                "unknown-eating-time",
                f"no eating time is called {eating!r}",
                f"choose from {', '.join(times)}",
                "--fix",
            )
        if day < 1:
            raise Mistake("day-out-of-range", f"there is no day {day}", "count from 1", "--fix")
    fixed = tuple(FixedDish(day=day, eating=eating, dish=dish) for day, eating, dish in fixes)
    rules = replace(trip.rules, never=(*trip.rules.never, *without))
    return TripFile(file.path, file.text, replace(trip, fixed=(*trip.fixed, *fixed), rules=rules))


def _known_dishes(
    recipes: Mapping[str, Recipe], fixes: tuple[tuple[int, str, str], ...], without: tuple[str, ...]
) -> None:
    """Refuse a dish of the command line that no recipe is called by, where it was written."""
    named = [("--fix", dish) for _, _, dish in fixes] + [("--without", dish) for dish in without]
    for option, dish in named:
        if dish not in recipes:
            near = get_close_matches(dish, recipes, n=2)
            raise Mistake(
                "unknown-dish",
                f"no recipe is called {dish[:60]!r}",
                f"did you mean {' or '.join(map(repr, near))}?"
                if near
                else "name a file of the trip's folders of recipes, without its ending",
                option,
            )


def _planned(file: TripFile) -> TripPlan:
    try:
        return plan_trip(file.trip, read_ground(file))
    except Mistake as mistake:
        # A mistake of the track carries its file and line already.
        raise (mistake if str(file.path) in mistake.where else file.placed(mistake)) from None


def _show(menu: TripMenu, plan: TripPlan, out: Path | None, as_json: bool) -> None:
    if as_json:
        click.echo(json.dumps(menu_data(menu), ensure_ascii=False, indent=1))
    else:
        from fellfare.cli.layout import paragraph
        from fellfare.cli.menu.text import menu_text

        click.echo(menu_text(menu, _times(plan)))
        for note in standing_findings():
            if menu.days and note.rule in _STANDING:
                click.echo("\n".join(paragraph(note.text, "    ", "  · ")))
        if out is not None and menu.plates:
            click.echo(f"Saved as {out}")
        tell(menu.findings)
    raise SystemExit(1 if not menu.plates or worst(menu.findings) == "error" else 0)


def _times(plan: TripPlan) -> list[str]:
    """Eating times in the order in which a day holds them."""
    order = [meal.name for day in plan.days for meal in day.meals]
    hours = {one.name: one.hour for one in plan.trip.eating}
    walking = [name for name in dict.fromkeys(order) if hours.get(name) is None]
    clock = sorted(
        (n for n in dict.fromkeys(order) if n not in walking), key=lambda n: hours[n] or 0
    )
    noon = sum((hours[name] or 0) <= 10 for name in clock)
    return [*clock[:noon], *walking, *clock[noon:]]


def _show_dishes(asked: Asked, labels: tuple[Finding, ...], as_json: bool) -> None:
    here = dishes_here(asked)
    findings = (*asked.findings, *labels)
    title = f"{asked.plan.trip.title}: what can be made where"
    if as_json:
        data = dishes_data(asked.plan.trip.title, here, findings)
        click.echo(json.dumps(data, ensure_ascii=False, indent=1))
    else:
        from fellfare.cli.menu.text import dishes_text

        click.echo(dishes_text(title, here))
        tell(findings)
    raise SystemExit(1 if worst(findings) == "error" else 0)


def _show_stops(
    asked: Asked, worth: Worth, tries: Trying, labels: tuple[Finding, ...], as_json: bool
) -> None:
    with watching() as watch:
        found = stops_of_trip(asked, tries, worth, watch, stopped=lambda: watch.stopped)
    findings = (*asked.findings, *labels)
    title = f"{asked.plan.trip.title}: which stops to use"
    if as_json:
        click.echo(json.dumps(stops_data(title, found, findings), ensure_ascii=False, indent=1))
    else:
        from fellfare.cli.menu.text import stops_text

        click.echo(stops_text(title, found))
        tell(findings)
    none = found.resupply.best is None
    raise SystemExit(1 if none or worst(findings) == "error" else 0)


def _show_front(
    asked: Asked, by: By, tries: Trying, labels: tuple[Finding, ...], as_json: bool
) -> None:
    with watching() as watch:
        drawn = front_of_trip(asked, by, tries, watch, stopped=lambda: watch.stopped)
    findings = (*asked.findings, *labels)
    if as_json:
        data = front_data(asked.plan.trip.title, drawn, findings)
        click.echo(json.dumps(data, ensure_ascii=False, indent=1))
    else:
        from fellfare.cli.menu.text import front_text

        click.echo(front_text(asked.plan.trip.title, drawn))
        tell(findings)
    raise SystemExit(1 if not drawn.points or worst(findings) == "error" else 0)
