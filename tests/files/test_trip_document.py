"""The trip document: nothing is lost on the way, and every fault names its line."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import get_args

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fellfare.camp.fuel.efficiency import STOVES
from fellfare.camp.fuel.fuels import FUELS
from fellfare.files.demo_documents import DEMO, SEED, demo_documents
from fellfare.files.demo_walk import demo_gpx
from fellfare.files.trip_toml import (
    TripFile,
    _Document,
    _Walker,
    read_ground,
    read_trip,
    trip_text,
)
from fellfare.mistake import Mistake, Mistakes
from fellfare.pantry.allergens import GROUPS
from fellfare.safety.water_treatment import AGENCIES, TREATMENTS
from fellfare.trip.care import Agency, Care, Treatment
from fellfare.trip.kit import Container, Hot, Kitchen
from fellfare.trip.plan import plan_trip
from fellfare.trip.stop import TripStop
from fellfare.trip.trip import Trip
from fellfare.trip.way import DayWord, FireWord, StageLine, WaterSource, Way
from fellfare.trip.wishes import Eating, FixedDish, Rules
from fellfare.walk.terrain import TERRAINS
from fellfare.walk.walker import AppetiteStep, Walker

DOCS = Path(__file__).parents[2] / "docs/trip-document.md"
EXAMPLES = re.findall(r"```toml\n(.*?)```", DOCS.read_text("utf-8"), re.DOTALL)
PLAIN = """\
title = "A walk"

[walk]
fire = "none"

[[stage]]
distance_m = 12000

[[walker]]
name = "Ash"
sex = "male"
age_y = 35
height_cm = 178
mass_kg = 75
base_pack_kg = 8
"""


def written(folder: Path, text: str, name: str = "trip.toml") -> Path:
    path = folder / name
    path.write_text(text, "utf-8")
    return path


def refused(folder: Path, text: str) -> Mistake:
    with pytest.raises(Mistake) as caught:
        read_trip(written(folder, text))
    return caught.value


def test_a_document_is_read_as_it_was_meant(tmp_path: Path) -> None:
    trip = read_trip(written(tmp_path, EXAMPLES[0])).trip
    assert trip.start_date == date(2031, 5, 1)
    assert trip.way.camps == ("Low Tarn", "Cold Edge")
    assert trip.walkers[0].avoids == GROUPS["tree-nut"]
    assert trip.walkers[0].diets == ("vegetarian",)
    assert trip.kitchens[0].hot == (
        Hot(eating="breakfast", water_ml=450),
        Hot(eating="dinner", water_ml=600),
    )
    assert trip.kitchens[1].stoveless
    assert trip.stops[0].takes_food
    assert trip.rules.budget == Decimal("120.00")
    assert [time.name for time in trip.eating] == ["breakfast", "snack", "dinner"]


@pytest.mark.parametrize("example", EXAMPLES)
def test_examples_of_the_page_are_read_and_come_back(example: str, tmp_path: Path) -> None:
    trip = read_trip(written(tmp_path, example)).trip
    again = read_trip(written(tmp_path, trip_text(trip), "again.toml")).trip
    assert again == trip


def test_the_page_names_every_key() -> None:
    text = DOCS.read_text("utf-8")
    shapes = (
        _Document, _Walker, Way, StageLine, DayWord, WaterSource, Kitchen, Hot, Container, TripStop,
        Eating, Rules, FixedDish, AppetiteStep, Care, FireWord,
    )  # fmt: skip
    keys = {key for shape in shapes for key in shape.__struct_fields__}
    assert [key for key in sorted(keys) if not re.search(rf"\b{key}\b", text)] == []
    words = {*STOVES, *FUELS, *(terrain.name for terrain in TERRAINS), *GROUPS}
    words |= {*AGENCIES, *TREATMENTS}
    assert [word for word in sorted(words) if word not in text] == []


def test_the_words_of_care_are_those_of_the_rules() -> None:
    # The document's room stands below the rules and may not ask them.
    assert get_args(Treatment) == TREATMENTS
    assert get_args(Agency) == AGENCIES


def test_the_walkers_keys_are_those_of_a_walker() -> None:
    assert _Walker.__struct_fields__ == Walker.__struct_fields__


names = st.text("abcdefgh äöß'\"\\#=[]", min_size=1, max_size=12).map(str.strip).filter(bool)


@st.composite
def trips(draw: st.DrawFn) -> Trip:
    """Trips without faults, all tables filled at times."""
    party = draw(st.lists(names, min_size=1, max_size=3, unique=True))
    walkers = tuple(
        Walker(
            name=name,
            sex=draw(st.sampled_from(("female", "male"))),
            age_y=draw(st.integers(18, 80)),
            height_cm=draw(st.floats(150, 200)),
            mass_kg=draw(st.floats(45, 110)),
            base_pack_kg=draw(st.floats(3, 12)),
            avoids=draw(st.sampled_from(((), ("milk",), GROUPS["tree-nut"], GROUPS["nut"]))),
            diets=draw(st.sampled_from(((), ("vegan",), ("no-pork", "no-alcohol")))),
            appetite=draw(
                st.sampled_from(
                    (
                        (AppetiteStep(from_day=1, share=1.0),),
                        (AppetiteStep(from_day=1, share=0.8), AppetiteStep(from_day=5, share=1.1)),
                    )
                )
            ),
        )
        for name in party
    )
    gas = Kitchen(
        walkers=tuple(party),
        stove="gas-screened",
        fuel="gas",
        pot_g=draw(st.none() | st.floats(50, 400)),
        canisters_g=draw(st.sampled_from(((), (100.0, 230.0)))),
        cooking_place=draw(st.sampled_from((None, "outside", "inside"))),
        own_pot=draw(st.sampled_from(((), (party[0],)))),
    )
    return Trip(
        title=draw(names),
        about=draw(st.text("ab\n\t \"'\\", max_size=20)),
        walkers=walkers,
        way=Way(
            fire=draw(st.sampled_from((None, "none", "gas-only"))),
            day_c=draw(st.none() | st.floats(0, 30)),
            end_hour=draw(st.none() | st.floats(9, 20)),
        ),
        start_date=draw(st.none() | st.dates(date(2000, 1, 1), date(2100, 1, 1))),
        stages=tuple(
            StageLine(distance_m=m, water_m=(m,))
            for m in draw(st.lists(st.floats(0, 30_000), min_size=1, max_size=4))
        ),
        days=draw(st.sampled_from(((), (DayWord(day=1, fire="no-flame", note="x"),)))),
        water=draw(
            st.sampled_from(
                (
                    (),
                    (
                        WaterSource(name="w", reliability="dry", day=1, at_m=0.0),
                        WaterSource(name="v", day=1, at_m=0.0, cloudy=True, chemicals=False),
                    ),
                )
            )
        ),
        kitchens=draw(st.sampled_from(((), (gas,)))),
        containers=tuple(Container(walker=name, litres=9.5, hard=True) for name in party),
        stops=draw(
            st.sampled_from(
                (
                    (),
                    (
                        TripStop(name="b", kind="box", day=1, at_m=0.0, posted=date(2031, 4, 1),
                                 transit_days=(3, 9), hold_days=15, warmest_c=31.5, fuels=()),
                        TripStop(name="h", kind="hut", day=1, at_m=0.0, meals=("dinner",),
                                 resupply=True, shut=("sunday",), asked=True),
                    ),
                )
            )
        ),
        fire=draw(
            st.sampled_from(((), (FireWord(rule="gas-only", from_place="x", note="order 7"),)))
        ),
        care=draw(
            st.sampled_from(
                (
                    Care(),
                    Care(water_treatment=(), flies=False, health_asked=True, raw_pulses=False),
                    Care(water_treatment=("filter", "uv"), water_agency="who", water_cloudy=False,
                         water_chemicals=True),
                )
            )
        ),
        rules=draw(
            st.sampled_from((Rules(), Rules(coverage=0.8, budget=Decimal("9.50"), currency="EUR")))
        ),
        fixed=draw(st.sampled_from(((), (FixedDish(day=1, eating="dinner", dish="x"),)))),
    )  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(trip=trips())
def test_value_to_document_to_value_loses_nothing(
    trip: Trip, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.mktemp("trip") / "trip.toml"
    path.write_text(trip_text(trip), "utf-8")
    assert read_trip(path).trip == trip


def test_the_demo_document_comes_back_whole(tmp_path: Path) -> None:
    trip = read_trip(DEMO / "trip.toml").trip
    assert read_trip(written(tmp_path, trip_text(trip))).trip == trip
    assert "tree-nut" in trip_text(trip)  # the word, not its nine agents
    assert "invented" in trip.title


@pytest.mark.parametrize(
    ("old", "new", "code", "line", "field"),
    [
        ("age_y = 35", "age_y = 350", "age-out-of-range", 12, "walker[0].age_y"),
        ('sex = "male"', 'sex = "x"', "wrong-shape", 11, "walker[0].sex"),
        ("mass_kg = 75", 'mass_kg = "x"', "wrong-shape", 14, "walker[0].mass_kg"),
        ("base_pack_kg = 8", "pack = 8", "wrong-shape", 15, "walker[0].pack"),
        ('fire = "none"', 'fire = "perhaps"', "wrong-shape", 4, "walk.fire"),
        ('fire = "none"', "wake_hour = 30", "figure-out-of-range", 4, "walk.wake_hour"),
        ('fire = "none"', 'terrain = "bog"', "unknown-terrain", 4, "walk.terrain"),
        ("distance_m = 12000", "distance_m = -1", "figure-out-of-range", 7, "stage[0].distance_m"),
        ('title = "A walk"', 'titel = "A walk"', "wrong-shape", 1, "titel"),
        ('title = "A walk"', 'title = "A walk', "not-toml", 1, None),
    ],
)
def test_a_fault_names_file_and_line(
    tmp_path: Path, old: str, new: str, code: str, line: int, field: str | None
) -> None:
    assert old in PLAIN
    mistake = refused(tmp_path, PLAIN.replace(old, new))
    faults = mistake.each if isinstance(mistake, Mistakes) else (mistake,)
    wanted = f"{tmp_path / 'trip.toml'}:{line}" + (f" > {field}" if field else "")
    assert (code, wanted) in [(one.code, one.where) for one in faults]
    assert "recipe-document" not in str(mistake)


def test_an_unknown_allergen_is_refused_at_its_line(tmp_path: Path) -> None:
    mistake = refused(tmp_path, PLAIN + 'avoids = ["treenut"]\n')
    assert mistake.code == "unknown-allergen"
    assert mistake.where == f"{tmp_path / 'trip.toml'}:16 > walker[0].avoids"
    assert "tree-nut" in mistake.mend


def test_all_faults_of_all_walkers_come_together(tmp_path: Path) -> None:
    second = PLAIN[PLAIN.index("[[walker]]") :].replace("Ash", "Ivy")
    text = PLAIN.replace("age_y = 35", "age_y = 350").replace("mass_kg = 75", "mass_kg = 7")
    text += second.replace("height_cm = 178", "height_cm = 5.8")
    text += '[[kitchen]]\nwalkers = ["Ash", "Ivy"]\nstove = "volcano"\nfuel = "gas"\n'
    mistake = refused(tmp_path, text)
    assert isinstance(mistake, Mistakes)
    # Ash and Ivy are there, only wrong: that they eat in the kitchen is no fault.
    codes = [one.code for one in mistake.each]
    assert codes == [
        "age-out-of-range", "body-mass-out-of-range", "height-out-of-range", "unknown-stove",
    ]  # fmt: skip


def test_numbers_may_be_whole_and_must_be_numbers(tmp_path: Path) -> None:
    assert read_trip(written(tmp_path, PLAIN)).trip.walkers[0].mass_kg == 75.0
    nan = refused(tmp_path, PLAIN.replace("base_pack_kg = 8", "base_pack_kg = nan"))
    assert nan.code == "pack-out-of-range"


def test_a_document_without_a_walk_is_refused(tmp_path: Path) -> None:
    assert refused(tmp_path, 'title = "x"\n').code == "wrong-shape"
    assert refused(tmp_path, "").code == "wrong-shape"


# --- the track beside the document -------------------------------------------------------

GPX_HEAD = '<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1">'
WITH_GPX = PLAIN.replace('fire = "none"', 'fire = "none"\ngpx = "walk.gpx"').replace(
    "[[stage]]\ndistance_m = 12000\n", ""
)


def test_a_missing_track_names_the_line_that_asks_for_it(tmp_path: Path) -> None:
    file = read_trip(written(tmp_path, WITH_GPX))
    with pytest.raises(Mistake) as caught:
        read_ground(file)
    assert caught.value.code == "file-missing"
    assert caught.value.where.startswith(f"{file.path}:5 > walk.gpx > {tmp_path / 'walk.gpx'}")


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "gpx-not-gpx"),
        (b'<gpx version="1.1"><trk>', "gpx-not-xml"),
        (b"<html/>", "gpx-not-gpx"),
        (b'<gpx version="1.1"></gpx>', "gpx-no-track"),
        (b"<!DOCTYPE x><gpx/>", "gpx-doctype"),
    ],
)
def test_a_bad_track_is_refused_with_its_own_words(tmp_path: Path, data: bytes, code: str) -> None:
    (tmp_path / "walk.gpx").write_bytes(data)
    with pytest.raises(Mistake) as caught:
        read_ground(read_trip(written(tmp_path, WITH_GPX)))
    assert caught.value.code == code
    assert "trip.toml:5 > walk.gpx" in caught.value.where


def test_a_table_needs_no_track(tmp_path: Path) -> None:
    ground = read_ground(read_trip(written(tmp_path, PLAIN)))
    assert (ground.track, ground.places) == (None, ())


def test_the_demo_writes_its_track_beside_its_trip() -> None:
    documents = dict(demo_documents())
    assert {"trip.toml", "walk.gpx"} <= set(documents)
    assert documents["walk.gpx"].encode() == demo_gpx(np.random.default_rng(SEED))


def test_written_text_keeps_what_a_person_may_type(tmp_path: Path) -> None:
    trip = read_trip(written(tmp_path, PLAIN)).trip
    odd = replace(trip, title='a "walk" # [x]', about="two\nlines\tand \\ more", start_date=None)
    assert read_trip(written(tmp_path, trip_text(odd))).trip == odd
    assert msgspec.to_builtins(odd.way) == {"fire": "none"}


def test_one_point_is_told_as_one_point(tmp_path: Path) -> None:
    gpx = GPX_HEAD + '<trk><name>lone</name><trkseg><trkpt lat="46" lon="7"/></trkseg></trk></gpx>'
    (tmp_path / "walk.gpx").write_text(gpx, "utf-8")
    with pytest.raises(Mistake, match="gpx-no-track") as caught:
        read_ground(read_trip(written(tmp_path, WITH_GPX)))
    assert "'lone' has a single point" in caught.value.what


def test_a_track_that_is_too_large_is_not_called_a_document(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fellfare.files.trip_toml.MOST_BYTES", 1_000)
    (tmp_path / "walk.gpx").write_text(GPX_HEAD + " " * 2_000 + "</gpx>", "utf-8")
    with pytest.raises(Mistake, match="file-too-large") as caught:
        read_ground(read_trip(written(tmp_path, WITH_GPX)))
    assert "thin the track" in caught.value.mend
    assert "walk.gpx" in caught.value.where


def climbing(folder: Path, share: int, more: str = "") -> TripFile:
    """A track of 200 points to the north, every ``share``-th with elevation."""
    points = "".join(
        f'<trkpt lat="{46 + n * 0.0005:.4f}" lon="7">'
        + (f"<ele>{500 + n}</ele>" if n % share == 0 else "")
        + "</trkpt>"
        for n in range(200)
    )
    gpx = f"{GPX_HEAD}<trk><trkseg>{points}</trkseg></trk></gpx>"
    (folder / "walk.gpx").write_text(gpx, "utf-8")
    return read_trip(written(folder, WITH_GPX.replace('fire = "none"', f'fire = "none"\n{more}')))


def test_a_way_without_camps_is_one_day_when_the_document_says_so(tmp_path: Path) -> None:
    file = climbing(tmp_path, 1, "days = 1")
    plan = plan_trip(file.trip, read_ground(file))
    assert len(plan.days) == 1
    assert plan.camps == ()
    file = climbing(tmp_path, 1)
    with pytest.raises(Mistake, match="no-camps") as caught:
        plan_trip(file.trip, read_ground(file))
    assert "hours_per_day = [6], or days = 1" in caught.value.mend


def test_too_few_heights_are_told_as_such(tmp_path: Path) -> None:
    file = climbing(tmp_path, 10, "days = 1")
    with pytest.raises(Mistake, match="no-elevation") as caught:
        plan_trip(file.trip, read_ground(file))
    assert "180 of 200 points have no elevation" in caught.value.what


def test_a_word_on_water_that_the_file_does_not_have_is_refused(tmp_path: Path) -> None:
    demo = DEMO / "trip.toml"
    (tmp_path / "walk.gpx").write_bytes(demo_gpx(np.random.default_rng(SEED), points=3_000))
    slip = demo.read_text("utf-8").replace('name = "Slape Spring"', 'name = "Slape Sprign"')
    file = read_trip(written(tmp_path, slip))
    with pytest.raises(Mistake, match="unknown-place") as caught:
        plan_trip(file.trip, read_ground(file))
    assert caught.value.where == "water[0].name"
    assert "'Slape Spring'" in caught.value.mend
