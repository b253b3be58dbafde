"""The trip document: TOML in, TOML out, nothing lost on the way; and the track that it names."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import msgspec
from msgspec import Struct

from fellfare.files.gpx import MOST_BYTES, read_gpx, way_of
from fellfare.files.reading import parse_document, place, read_bytes, read_text
from fellfare.mistake import Mistake, Mistakes
from fellfare.pantry.allergens import GROUPS, agents_of
from fellfare.pantry.food import Allergen
from fellfare.trip.care import Care
from fellfare.trip.faults import faults_of
from fellfare.trip.ground import NO_GROUND, Ground
from fellfare.trip.kit import Container, Kitchen
from fellfare.trip.stop import TripStop
from fellfare.trip.trip import Trip
from fellfare.trip.way import DayWord, FireWord, StageLine, WaterSource, Way
from fellfare.trip.wishes import USUAL_EATING, Eating, FixedDish, LikedDish, Rules
from fellfare.walk.resting.body import Sex
from fellfare.walk.walker import USUAL_APPETITE, AppetiteStep, Diet, HighRisk, Walker

_GUIDE = "docs/trip-document.md"


class _Walker(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """The keys of a walker; allergens may be named by group ('tree-nut')."""

    name: str
    sex: Sex
    age_y: float
    height_cm: float
    mass_kg: float
    base_pack_kg: float
    pace_factor: float = 1.0
    pace_factor_sd: float = 0.20
    energy_factor: float = 1.0
    energy_factor_sd: float | None = None
    capacity_ml_per_kg_min: float | None = None
    appetite: tuple[AppetiteStep, ...] = USUAL_APPETITE
    diets: tuple[Diet, ...] = ()
    avoids: tuple[str, ...] = ()
    high_risk: tuple[HighRisk, ...] = ()


class _Document(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """The keys of the file; tables are named in the singular, one [[walker]] each."""

    title: str
    about: str = ""
    start_date: date | None = None
    recipes: tuple[str, ...] = ("recipes",)
    walk: Way
    rules: Rules = Rules()
    care: Care = Care()
    walker: tuple[_Walker, ...] = ()
    stage: tuple[StageLine, ...] = ()
    day: tuple[DayWord, ...] = ()
    fire: tuple[FireWord, ...] = ()
    water: tuple[WaterSource, ...] = ()
    kitchen: tuple[Kitchen, ...] = ()
    container: tuple[Container, ...] = ()
    stop: tuple[TripStop, ...] = ()
    eating: tuple[Eating, ...] = USUAL_EATING
    fixed: tuple[FixedDish, ...] = ()
    liked: tuple[LikedDish, ...] = ()


class TripFile(Struct, frozen=True):
    """A trip and the file it stands in, so that a mistake can name the line."""

    path: Path
    text: str
    trip: Trip

    def placed(self, mistake: Mistake) -> Mistake:
        """The mistake with file and line in front of its field (``kitchen[0] > fuel``)."""
        if isinstance(mistake, Mistakes):
            return Mistakes(tuple(self.placed(one) for one in mistake.each))
        field = mistake.where.replace(" > ", ".")
        return Mistake(mistake.code, mistake.what, mistake.mend, place(self.path, self.text, field))


def read_trip(path: Path) -> TripFile:
    """The trip in one TOML file; its track is not looked at yet, see :func:`read_ground`.

    Raises
    ------
    Mistake
        As :func:`fellfare.files.reading.read_document`; or all that is wrong with the walkers
        (:class:`fellfare.walk.walker.Walker`) and the rest
        (:func:`fellfare.trip.faults.faults_of`), each with its line in the file.
    """
    return trip_of_text(read_text(path), path)


def trip_of_text(text: str, path: Path) -> TripFile:
    """As :func:`read_trip`, of a text; ``path`` only names it in mistakes."""
    document = parse_document(text, path, _Document, _GUIDE)
    walkers: list[Walker] = []
    faults: list[Mistake] = []
    for number, words in enumerate(document.walker):
        try:
            walkers.append(_walker(words))
        except Mistake as mistake:
            each = mistake.each if isinstance(mistake, Mistakes) else (mistake,)
            faults += (_in_walker(one, number) for one in each)
    trip = _trip(document, tuple(walkers))
    broken = len(walkers) < len(document.walker)
    # With a walker missing, whoever names them would be told a fault that is none.
    faults += (one for one in faults_of(trip) if not (broken and _hangs_on_walkers(one)))
    file = TripFile(path, text, trip)
    if faults:
        placed = tuple(file.placed(fault) for fault in faults)
        raise placed[0] if len(placed) == 1 else Mistakes(placed)
    return file


def read_ground(file: TripFile) -> Ground:
    """The track that the trip names, from beside its document.

    Raises
    ------
    Mistake
        ``file-missing``, ``file-unreadable``, ``file-too-large`` and those of
        :func:`fellfare.files.gpx.read_gpx` and :func:`~fellfare.files.gpx.way_of`, with
        the line that names the track.
    """
    way = file.trip.way
    if not way.gpx:
        return NO_GROUND
    path = file.path.parent / way.gpx
    try:
        data = read_bytes(path, MOST_BYTES)
    except Mistake as mistake:
        mend = "thin the track, or give one file for each walk"
        told = mend if mistake.code == "file-too-large" else mistake.mend
        raise _in_track(file, path, mistake.what, told, mistake) from mistake
    return ground_of_track(file, data, path)


def ground_of_track(file: TripFile, data: bytes, path: Path) -> Ground:
    """As :func:`read_ground`, of a track at hand; ``path`` only names it in mistakes."""
    try:
        gpx = read_gpx(data)
    except Mistake as mistake:
        raise _in_track(file, path, mistake.what, mistake.mend, mistake) from mistake
    try:
        track, findings = way_of(gpx, file.trip.way.track)
    except Mistake as mistake:
        lone = [f.text for f in gpx.findings if f.rule == "single-point"]
        what = f"{mistake.what}: {' '.join(lone)}".rstrip(".") if lone else mistake.what
        raise _in_track(file, path, what, mistake.mend, mistake) from mistake
    return Ground(track=track, places=gpx.places, findings=(*gpx.findings, *findings))


def _in_track(file: TripFile, path: Path, what: str, mend: str, mistake: Mistake) -> Mistake:
    """The track's mistake with the line of the document that names it."""
    spot = place(file.path, file.text, "walk.gpx")
    inside = mistake.where.removeprefix(str(path)).lstrip(": ")
    return Mistake(mistake.code, what, mend, f"{spot} > {path}" + (f": {inside}" if inside else ""))


def _walker(words: _Walker) -> Walker:
    avoids: dict[Allergen, None] = {}
    for word in words.avoids:
        avoids |= dict.fromkeys(agents_of(word))
    plain = {key: getattr(words, key) for key in _Walker.__struct_fields__}
    return Walker(**(plain | {"avoids": tuple(avoids)}))


def _in_walker(mistake: Mistake, number: int) -> Mistake:
    """A walker's mistake names the walker and the field; ours the table and the field."""
    told = mistake.where.rpartition(" > ")[2]
    # 'age' is our 'age_y'; an allergen's mistake knows no field at all.
    field = next((key for key in _Walker.__struct_fields__ if told and key.startswith(told)), "")
    if mistake.code == "unknown-allergen":
        field = "avoids"
    where = f"walker[{number}].{field}".rstrip(".")
    return Mistake(mistake.code, mistake.what, mistake.mend, where)


def _hangs_on_walkers(mistake: Mistake) -> bool:
    return mistake.code in ("unknown-walker", "party-empty")


def _trip(document: _Document, walkers: tuple[Walker, ...]) -> Trip:
    return Trip(
        title=document.title,
        about=document.about,
        start_date=document.start_date,
        recipes=document.recipes,
        way=document.walk,
        rules=document.rules,
        care=document.care,
        walkers=walkers,
        stages=document.stage,
        days=document.day,
        fire=document.fire,
        water=document.water,
        kitchens=document.kitchen,
        containers=document.container,
        stops=document.stop,
        eating=document.eating,
        fixed=document.fixed,
        liked=document.liked,
    )


def trip_text(trip: Trip) -> str:
    """The trip as a TOML document; reading it again gives an equal value."""
    import tomlkit  # only writing needs it, and it is slow to import

    document = _Document(
        title=trip.title,
        about=trip.about,
        start_date=trip.start_date,
        recipes=trip.recipes,
        walk=trip.way,
        rules=trip.rules,
        care=trip.care,
        walker=tuple(_words(walker) for walker in trip.walkers),
        stage=trip.stages,
        day=trip.days,
        fire=trip.fire,
        water=trip.water,
        kitchen=trip.kitchens,
        container=trip.containers,
        stop=trip.stops,
        eating=trip.eating,
        fixed=trip.fixed,
        liked=trip.liked,
    )
    plain: dict[str, Any] = msgspec.to_builtins(document, builtin_types=(date,))
    for key in (
        "rules",
        "care",
        "walker",
        "stage",
        "day",
        "fire",
        "water",
        "kitchen",
        "container",
        "stop",
        "fixed",
        "liked",
    ):
        if not plain.get(key):
            plain.pop(key, None)
    if trip.eating == USUAL_EATING:
        plain.pop("eating", None)
    # Plain keys before tables: what follows a table's head would belong to it.
    flat = {k: v for k, v in plain.items() if not isinstance(v, dict) and not _is_rows(v)}
    return tomlkit.dumps(flat | plain)


def _is_rows(value: object) -> bool:
    return isinstance(value, list | tuple) and any(isinstance(one, dict) for one in value)


def _words(walker: Walker) -> _Walker:
    plain = {key: getattr(walker, key) for key in _Walker.__struct_fields__}
    return _Walker(**(plain | {"avoids": tuple(_folded(walker.avoids))}))


def _folded(avoids: tuple[Allergen, ...]) -> Iterator[str]:
    """Whole groups by their word again, as far as they stand together in order."""
    rest = list(avoids)
    groups = sorted(GROUPS.items(), key=lambda group: -len(group[1]))
    while rest:
        for word, agents in groups:
            if tuple(rest[: len(agents)]) == agents:
                yield word
                del rest[: len(agents)]
                break
        else:
            yield rest.pop(0)
