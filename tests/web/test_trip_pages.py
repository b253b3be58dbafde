"""Trips through the pages: made, mended beside the field, read, with their track."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from litestar import Litestar
from litestar.testing import TestClient

from fellfare.book import Book
from fellfare.cli.main import fellfare
from fellfare.files.demo_documents import demo_documents
from fellfare.web.documents import trip_of
from fellfare.web.pages.trips.form import form_of, with_row, without_row
from fellfare.web.pages.trips.writing import place_faults, written

Client = TestClient[Litestar]

NEW = {
    "title": "Moor edge", "start_date": "2031-05-01",
    "walker-0-name": "Ana", "walker-0-sex": "female", "walker-0-age_y": "35",
    "walker-0-height_cm": "170", "walker-0-mass_kg": "64,5", "walker-0-base_pack_kg": "5.5",
    "walker-0-diets": ["vegetarian"], "walker-0-avoids": ["tree-nut"],
    "kitchen-0-jar_ml": "0.7", "walk-day_c": "14", "walk-night_c": "6", "walk-fire": "none",
    "stage-0-distance_m": "9", "stage-0-ascent_m": "300", "stage-0-camp": "Low Sike",
    "stage-1-distance_m": "7", "do": "save",
}  # fmt: skip


#: What few trips need, and what stands folded away.
FURTHER = {
    "fire-0-rule": "no-flame", "fire-0-from_date": "2031-05-02", "fire-0-note": "order 7",
    "water-0-name": "Slape Spring", "water-0-reliability": "doubtful", "water-0-chance_dry": "0.4",
    "water-0-day": "1", "water-0-at_m": "4,5", "water-0-cloudy": "no",
    "container-0-walker": "Ana", "container-0-litres": "9", "container-0-hard": "yes",
    "container-0-mass_g": "900",
    "fixed-0-day": "2", "fixed-0-eating": "lunch", "fixed-0-dish": "oatcakes-cheddar",
    "kitchen-0-pots": "2", "kitchen-0-batches": "3", "kitchen-0-canisters_g": "110, 230",
    "rules-sodium_mg-least": "800", "rules-sodium_mg-most": "4000",
}  # fmt: skip


def send(client: Client, address: str, fields: dict[str, Any], track: bytes | None = None) -> Any:
    found = re.search(r'name="_csrf_token" value="([^"]+)"', client.get("/").text)
    assert found is not None
    files = {"track": ("walk.gpx", b"" if track is None else track)} if track is not None else {
        "nothing": ("", b"")
    }  # fmt: skip
    data = {"_csrf_token": found[1]} | fields
    return client.post(address, data=data, files=files, follow_redirects=False)


def test_a_trip_is_made_from_a_form(tiny: Any, client: Client, book: Book) -> None:
    answer = send(client, "/trips/new", NEW)
    assert answer.status_code == 303
    assert answer.headers["location"] == "/trips/moor-edge?saved=1"
    trip = trip_of(book.get("trip", "moor-edge").text)
    assert trip.walkers[0].mass_kg == 64.5
    assert trip.walkers[0].diets == ("vegetarian",)
    assert "walnut" in trip.walkers[0].avoids
    assert trip.kitchens[0].walkers == ("Ana",)
    assert trip.kitchens[0].jar_ml == 700
    assert [stage.distance_m for stage in trip.stages] == [9000, 7000]
    said = tiny.words(client.get("/trips/moor-edge?saved=1"))
    assert "Kept as revision 1." in said
    assert "no walnut" in said
    assert "Need of Ana by day" in said


def test_what_few_trips_need_has_fields_too(tiny: Any, client: Client, book: Book) -> None:
    money = {"rules-budget": "120,50", "rules-currency": "EUR"}
    answer = send(client, "/trips/new", NEW | FURTHER | money)
    assert answer.status_code == 303, tiny.words(answer)
    trip = trip_of(book.get("trip", "moor-edge").text)
    assert (trip.fire[0].rule, str(trip.fire[0].from_date)) == ("no-flame", "2031-05-02")
    assert trip.water[0].at_m == 4500
    assert trip.water[0].cloudy is False
    assert trip.containers[0].hard
    assert trip.containers[0].litres == 9
    assert trip.fixed[0].dish == "oatcakes-cheddar"
    assert (trip.kitchens[0].pots, trip.kitchens[0].batches) == (2, 3)
    assert list(trip.kitchens[0].canisters_g) == [110, 230]
    assert str(trip.rules.budget) == "120.50"  # money stays exact
    assert trip.rules.sodium_mg == (800.0, 4000.0)
    said = tiny.words(client.get("/trips/moor-edge/edit"))
    assert "Several pots, fuel, wind 3 told" in said


def test_who_thinks_in_miles_is_asked_in_miles(tiny: Any, client: Client, book: Book) -> None:
    client.cookies.set("units", "us")
    page = tiny.words(client.get("/trips/new"))
    for label in ("Distance [mi]", "Height [in]", "Body mass [lb]", "By day [°F]", "Up [ft]"):
        assert label in page
    fields = NEW | {
        "measures": "us", "walker-0-height_cm": "65", "walker-0-mass_kg": "141",
        "walker-0-base_pack_kg": "12", "walk-day_c": "50", "walk-night_c": "41",
        "stage-0-distance_m": "5", "stage-0-ascent_m": "1000", "stage-1-distance_m": "4",
        "kitchen-0-jar_ml": "24",
    }  # fmt: skip
    answer = send(client, "/trips/new", fields | {"stage-0-distance_m": "500"})
    assert "500 mi is outside what can be" in tiny.words(answer)
    assert send(client, "/trips/new", fields).status_code == 303
    trip = trip_of(book.get("trip", "moor-edge").text)
    # The foot is 0.3048 m, the inch 25.4 mm, the pound 453.59237 g [NIST-SP-811 B.8]; 50 °F, 10 °C.
    assert trip.stages[0].distance_m == pytest.approx(5 * 1609.344)
    assert trip.stages[0].ascent_m == pytest.approx(304.8)
    assert trip.walkers[0].height_cm == pytest.approx(165.1)
    assert trip.walkers[0].mass_kg == pytest.approx(141 * 0.45359237)
    assert (trip.way.day_c, trip.way.night_c) == (10, 5)
    shown = client.get("/trips/moor-edge/edit").text
    assert re.search(r'name="stage-0-distance_m" value="5"', shown)
    assert re.search(r'name="walker-0-mass_kg" value="141"', shown)


def test_a_track_is_sent_up_and_cut_into_days(tiny: Any, client: Client, book: Book) -> None:
    fields = {key: value for key, value in NEW.items() if not key.startswith("stage")}
    answer = send(client, "/trips/new", fields, tiny.gpx())
    assert answer.status_code == 303
    assert book.get("track", "moor-edge").text.startswith("<?xml")
    page = client.get("/trips/moor-edge")
    assert "Heights of Moor edge" in page.text
    assert "The way of Moor edge as it lies" in page.text
    assert "Low Sike" in tiny.words(page)


@pytest.mark.parametrize(
    ("data", "word"),
    [
        (b"not a track", "XML"),
        (b'<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "b">]><gpx/>', "document type"),
        (b"<gpx version='1.1'></gpx>", ""),
        (b"\x00" * 10_000_001, "10 MB"),
    ],
)
def test_a_hostile_track_is_told_beside_its_field(
    client: Client, book: Book, data: bytes, word: str
) -> None:
    answer = send(client, "/trips/new", NEW, data)
    assert answer.status_code == 422
    fault = re.search(r'id="track-fault">(.*?)</div>', answer.text, re.S)
    assert fault is not None
    assert word.casefold() in fault[1].casefold()
    assert 'value="64,5"' in answer.text  # the rest of the form is kept
    assert book.names("trip") == book.names("track") == ()


@pytest.mark.parametrize(
    ("field", "value", "word"),
    [
        ("walker-0-mass_kg", "heavy", "no number"),
        ("walker-0-mass_kg", "-5", "outside"),
        ("walker-0-name", "", "missing"),
        ("title", "", "missing"),
        ("start_date", "soon", "no date"),
        ("kitchen-0-walkers", "Ben", "Ben"),
        ("stage-0-distance_m", "nan", "no number"),
        ("stage-0-distance_m", "900", "900 km is outside"),
        ("kitchen-0-pots", "two", "no whole number"),
        ("kitchen-0-batches", "11", "give 1 to 10"),
        ("rules-budget", "12.5.1", "no amount of money"),
        ("rules-budget", "120", "do not stand together"),
        ("kitchen-0-pot_ml", "90", "90 L is outside"),
        ("container-0-walker", "Ben", "Ben"),
        ("container-0-litres", "lots", "no number"),
        ("water-0-chance_dry", "2", "give 0 to 1"),
        ("water-0-at_m", "20", "give the distance walked"),
        ("fire-0-rule", "", "missing"),
        ("fire-0-from_date", "2031-13-01", "no date"),
        ("fixed-0-eating", "tea", "tea"),
        ("fixed-0-day", "7", "no day 7"),
    ],
)
def test_a_wrong_value_is_told_beside_its_field(
    tiny: Any, client: Client, book: Book, field: str, value: str, word: str
) -> None:
    answer = send(client, "/trips/new", NEW | FURTHER | {field: value})
    assert answer.status_code == 422
    fault = re.search(rf'id="{field}-fault">(.*?)</div>', answer.text, re.S)
    assert fault is not None, tiny.words(answer)
    assert word in fault[1]
    assert 'value="170"' in answer.text
    assert book.names("trip") == ()


def test_half_a_pair_is_told_beside_it(tiny: Any, client: Client) -> None:
    answer = send(client, "/trips/new", NEW | {"rules-sodium_mg-least": "800"})
    fault = re.search(r'id="rules-sodium_mg-fault">(.*?)</div>', answer.text, re.S)
    assert fault is not None
    assert "one of the two is missing" in fault[1]


def test_rows_come_and_go_without_saving(client: Client, book: Book) -> None:
    answer = send(client, "/trips/new", NEW | {"do": "add-walker"})
    assert answer.status_code == 200
    assert 'name="walker-1-name"' in answer.text
    assert 'value="Ana"' in answer.text
    answer = send(client, "/trips/new", NEW | {"do": "drop-stage-0"})
    assert 'name="stage-1-distance_m"' not in answer.text
    assert re.search(r'name="stage-0-distance_m" value="7"', answer.text)
    assert book.names("trip") == ()


def test_comments_and_keys_without_a_field_stay(tiny: Any, client: Client, book: Book) -> None:
    tiny.lay_in(book)
    fields = form_fields(client, "/trips/moor/edit")
    answer = send(client, "/trips/moor/edit", fields | {"walk-day_c": "11"})
    assert answer.status_code == 303
    text = book.get("trip", "moor").text
    assert text == tiny.TRIP.replace("day_c = 14", "day_c = 11")


def form_fields(client: Client, address: str) -> dict[str, Any]:
    """What a browser would send of this form as it stands."""
    page = client.get(address).text
    form = page[page.index("<form method") :]
    fields: dict[str, Any] = {"do": "save"}
    for tag in re.findall(r"<input[^>]*>", form):
        name = re.search(r'name="([^"]+)"', tag)
        value = re.search(r'value="([^"]*)"', tag)
        if (
            name is None
            or 'type="file"' in tag
            or ('type="checkbox"' in tag and " checked" not in tag)
        ):
            continue
        if 'type="checkbox"' in tag:
            fields.setdefault(name[1], []).append(value[1] if value else "on")
        elif name[1] != "_csrf_token":
            fields[name[1]] = "" if value is None else value[1]
    for name_, options in re.findall(r'<select[^>]*name="([^"]+)"[^>]*>(.*?)</select>', form, re.S):
        chosen = re.search(r'value="([^"]*)" selected', options)
        first = re.search(r'value="([^"]*)"', options)
        assert first is not None
        fields[name_] = chosen[1] if chosen else first[1]
    areas = re.findall(r'<textarea[^>]*name="([^"]+)"[^>]*>(.*?)</textarea>', form, re.S)
    return fields | dict(areas)


@pytest.mark.parametrize("us", [False, True])
def test_the_demo_goes_through_its_form_unchanged(us: bool) -> None:
    text = dict(demo_documents())["trip.toml"]
    again, faults, _ = written(form_of(text, us), text)
    assert not faults
    assert again == text


def test_a_row_taken_out_takes_its_own_comments_along() -> None:
    text = dict(demo_documents())["trip.toml"]
    form = without_row(form_of(text), "walker", 1)
    form.values["kitchen-0-walkers"] = "Tansy"
    again, faults, kept = written(form, text)
    assert not faults
    assert [walker.name for walker in trip_like(again)] == ["Tansy", "Fell"]
    assert kept["walker"] == [0, 1]


def trip_like(text: str) -> Any:
    import tomllib

    class Named:
        def __init__(self, name: str) -> None:
            self.name = name

    return [Named(one["name"]) for one in tomllib.loads(text)["walker"]]


def test_words_that_mean_as_usual_stay_as_they_stand(client: Client, book: Book, tiny: Any) -> None:
    said = 'title = "Said"\n' + tiny.TRIP.partition("title = ")[2].partition("\n")[2].replace(
        "[rules]", '[care]\nwater_agency = "strictest"\nwater_treatment = []\n'
        '[[container]]\nwalker = "Ana"\nlitres = 9\nhard = false\n[rules]\ntraces = "caution"'
    )  # fmt: skip
    book.save("trip", "said", said, None)
    fields = form_fields(client, "/trips/said/edit")
    assert send(client, "/trips/said/edit", fields | {"title": "Said again"}).status_code == 303
    assert book.get("trip", "said").text == said.replace('"Said"', '"Said again"')


def test_a_new_row_that_stays_empty_is_left_out(tiny: Any) -> None:
    again, faults, _ = written(with_row(form_of(tiny.TRIP), "stop"), tiny.TRIP)
    assert (again, faults) == (tiny.TRIP, {})


def test_faults_without_a_field_are_told_on_top() -> None:
    from fellfare.mistake import Mistake

    faults: dict[str, list[Mistake]] = {}
    place_faults(Mistake("a", "b", "c", "moor:3 > recipes[0]"), {}, faults)
    assert list(faults) == [""]


def test_a_trip_that_cannot_be_planned_is_shown_all_the_same(
    tiny: Any, client: Client, book: Book
) -> None:
    text = tiny.TRIP.replace("[walk]", '[walk]\ngpx = "/etc/passwd"').partition("[[stage]]")[0]
    book.save("trip", "moor", text, None)
    answer = client.get("/trips/moor")
    assert answer.status_code == 200
    assert "the book holds no track 'passwd'" in tiny.words(answer)
    assert "root:" not in answer.text


def test_a_word_of_markup_is_no_markup(tiny: Any, client: Client, book: Book) -> None:
    book.save("trip", "moor", tiny.TRIP.replace("Low Sike", "<script>alert(1)</script>"), None)
    text = client.get("/trips/moor").text
    assert "<script>alert(1)" not in text
    assert "&lt;script&gt;alert(1)" in text


def test_lists_say_how_to_begin(tiny: Any, client: Client, book: Book) -> None:
    assert "No trip yet" in tiny.words(client.get("/trips"))
    assert "No menu yet" in tiny.words(client.get("/menus"))
    book.save("trip", "draft", "title = ", None)
    assert "cannot be read yet" in tiny.words(client.get("/trips"))


def test_the_demo_trip_shows_need_rules_and_sources(tiny: Any, demo_client: Client) -> None:
    said = tiny.words(demo_client.get("/trips/harrowmoor-round"))
    assert "Need of Tansy by day" in said
    assert "6 different dinners, at least." in said
    assert "no flame at all on days 5, 6" in said
    assert "Ellerstead box" in said


def test_a_trip_is_told_in_the_readers_measures(tiny: Any, client: Client, book: Book) -> None:
    tiny.lay_in(book)
    metric = tiny.words(client.get("/trips/moor?units=metric"))
    assert "16.0 km" in metric
    assert "170 cm, 64 kg; pack 5.5 kg" in metric
    assert not re.search(r"\d mi\b", metric)
    us = tiny.words(client.get("/trips/moor?units=us"))
    # 16 km / 1.609344; 170 cm / 2.54; 64 kg / 0.45359237 [NIST-SP-811 B.8]
    assert "9.9 mi" in us
    assert "5 ft 7 in, 141 lb; pack 12.1 lb" in us
    assert "up, ft" in us
    both = tiny.words(client.get("/trips/moor?units=both"))
    assert "16.0 km 9.9 mi" in both


def test_fire_is_told_for_days_that_are_known_and_days_that_are_not(
    tiny: Any, client: Client, book: Book
) -> None:
    said = tiny.TRIP.replace('fire = "none"\n', "") + '[[day]]\nday = 2\nfire = "no-flame"\n'
    book.save("trip", "moor", said, None)
    page = tiny.words(client.get("/trips/moor"))
    assert "nobody has asked on day 1" in page
    assert "no flame at all on day 2" in page


def test_least_is_people_and_stages(tiny: Any, client: Client, book: Book) -> None:
    least = {key: value for key, value in NEW.items() if not key.startswith(("walk-", "kitchen"))}
    assert send(client, "/trips/new", least).status_code == 303
    assert trip_of(book.get("trip", "moor-edge").text).way.fire is None
    assert "nobody has asked on days 1, 2" in tiny.words(client.get("/trips/moor-edge"))


def test_two_edits_at_once_are_both_shown(tiny: Any, client: Client, book: Book) -> None:
    tiny.lay_in(book)
    fields = form_fields(client, "/trips/moor/edit")
    book.save("trip", "moor", tiny.TRIP.replace("day_c = 14", "day_c = 9"), 1)
    answer = send(client, "/trips/moor/edit", fields | {"walk-day_c": "11"})
    assert answer.status_code == 409
    assert "day_c = 9" in answer.text
    assert "day_c = 11" in answer.text


def test_a_walk_as_data_is_what_the_command_prints(
    tiny: Any, client: Client, book: Book, tmp_path: Path
) -> None:
    tiny.lay_in(book)
    path = tmp_path / "trip.toml"
    path.write_text(tiny.TRIP, "utf-8")
    printed = json.loads(CliRunner().invoke(fellfare, ["walk", str(path), "--json"]).stdout)
    told = client.get("/api/trips/moor").json()
    assert told["stages"] == printed["stages"]
    assert told.keys() == printed.keys()


def test_a_track_is_chosen_once_whatever_else_is_wrong(
    tiny: Any, client: Client, book: Book
) -> None:
    fields = {key: value for key, value in NEW.items() if not key.startswith("stage")}
    answer = send(client, "/trips/new", fields | {"walker-0-age_y": "old"}, tiny.gpx())
    assert answer.status_code == 422
    token = re.search(r'name="track-kept" value="([^"]+)"', answer.text)
    assert token is not None
    answer = send(client, "/trips/new", fields | {"track-kept": token[1]})
    assert answer.status_code == 303
    assert book.names("track") == ("moor-edge",)
    page = client.get("/trips/moor-edge/edit")
    assert "2 named places in it" in tiny.words(page)
    answer = send(client, "/trips/new", fields | {"track-kept": "somebody-elses"})
    assert answer.status_code == 422
    assert "not at hand any more" in tiny.words(answer)


#: Keys that are written in the whole text only: lists of tables, and what a track brings along.
IN_THE_TEXT = {
    "": {"recipes"}, "walk": {"gpx", "track"}, "walker": {"appetite"}, "kitchen": {"hot"},
}  # fmt: skip


def test_every_other_key_of_a_trip_has_a_field() -> None:
    from fellfare.files.trip_toml import _Document, _Walker
    from fellfare.trip.care import Care
    from fellfare.trip.kit import Container, Kitchen
    from fellfare.trip.stop import TripStop
    from fellfare.trip.way import DayWord, FireWord, StageLine, WaterSource, Way
    from fellfare.trip.wishes import Eating, FixedDish, Rules
    from fellfare.web.pages.trips.fields import PART_OF

    tables: dict[str, Any] = {
        "walker": _Walker, "walk": Way, "stage": StageLine, "day": DayWord, "fire": FireWord,
        "water": WaterSource, "kitchen": Kitchen, "container": Container, "stop": TripStop,
        "eating": Eating, "rules": Rules, "care": Care, "fixed": FixedDish,
    }  # fmt: skip
    plain = set(_Document.__struct_fields__) - set(tables)
    assert plain - {one.key for one in PART_OF[""].fields} - IN_THE_TEXT[""] <= set(PART_OF)
    for table, kind in tables.items():
        asked = {one.key for one in PART_OF[table].fields}
        assert set(kind.__struct_fields__) - asked == IN_THE_TEXT.get(table, set()), table
