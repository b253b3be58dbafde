"""``fellfare walk``: what is printed, what is in the JSON, and with which status it ends."""

from __future__ import annotations

import json
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from fellfare.cli.demo import command as demo_command
from fellfare.cli.layout import WIDTH, shown_width
from fellfare.cli.main import COMMANDS, main
from fellfare.cli.walk import command
from fellfare.files.demo_documents import demo_documents
from fellfare.mistake import Mistake

TABLE = """\
title = "By the table"
[walk]
fire = "none"
start_m = 640
[[stage]]
distance_m = 12000
ascent_m = 600
descent_m = 100
camp = "Low Tarn"
water_m = [4000, 12000]
[[stage]]
distance_m = 0
camp = "Low Tarn"
[[stage]]
distance_m = 9000
[[walker]]
name = "Rowan"
sex = "male"
age_y = 35
height_cm = 178
mass_kg = 75
base_pack_kg = 8
"""


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    for name, text in demo_documents():
        if name in ("trip.toml", "walk.gpx"):
            (folder / name).write_text(text, "utf-8")
    return folder / "trip.toml"


@pytest.fixture(scope="module")
def text(demo: Path) -> Result:
    return CliRunner().invoke(command, [str(demo)])


@pytest.fixture(scope="module")
def data(demo: Path) -> dict[str, Any]:
    result = CliRunner().invoke(command, [str(demo), "--json"])
    assert result.exit_code == 0
    assert result.stderr == ""
    found = json.loads(result.stdout)
    assert isinstance(found, dict)
    return found


def table(folder: Path, text: str = TABLE) -> Path:
    path = folder / "trip.toml"
    path.write_text(text, "utf-8")
    return path


def test_it_is_among_the_commands() -> None:
    assert COMMANDS["walk"][0] == "walk"


def test_text_has_at_most_80_columns(text: Result) -> None:
    assert text.exit_code == 0
    wide = [line for line in text.output.splitlines() if shown_width(line) > WIDTH]
    assert wide == []


def test_every_part_is_printed(text: Result) -> None:
    heads = (
        "Heights", "Days", "By the clock", "Tansy: need", "Corrie: need", "Fell: need",
        "Food to take up", "Camps", "Fuel", "Water", "The trade's way", "Both ways",
        "Beside other rules", "How well this is known",
    )  # fmt: skip
    lines = text.stdout.splitlines()
    assert all(any(line.startswith(head) for line in lines) for head in heads)
    assert "8 × breakfast, 20 × snack, 9 × lunch, 8 × dinner" in text.stdout
    assert "no medical or" in text.stdout
    assert "carbon monoxide" in text.stdout


def test_cautions_stand_on_standard_error_with_their_source(text: Result) -> None:
    assert "caution: Tansy, Corrie: the stove stays off" in text.stderr
    assert "[nothing-hot]" in text.stderr
    assert "caution:" not in text.stdout


def test_no_figure_is_parted_from_its_thousands_or_unit(text: Result) -> None:
    for line, below in pairwise(text.stdout.splitlines()):
        assert not re.search(r"×$", line)
        assert not (re.search(r"\d$", line) and re.match(r" +(\d{3}\b|%|kcal\b|kg\b)", below))
    assert "‿" not in text.output


def test_a_long_name_cuts_no_hour_of_arrival(tmp_path: Path) -> None:
    long = TABLE.replace('camp = "Low Tarn"', f'camp = "{"The tarn below the col " * 3}"')
    out = CliRunner().invoke(command, [str(table(tmp_path, long))]).stdout
    day = next(line for line in out.splitlines() if line.startswith("  1 The tarn"))
    assert re.search(r"\d\d:\d\d \(\d\d:\d\d–\d\d:\d\d\)$", day)
    assert shown_width(day) <= WIDTH
    assert "plain" not in out  # without a record there is no plain sum


def test_the_longest_name_stays_within_the_line(tmp_path: Path) -> None:
    long = TABLE.replace("Rowan", "Rowan of the long and winding name and title " * 3)
    result = CliRunner().invoke(command, [str(table(tmp_path, long))])
    assert result.exit_code == 0
    assert [line for line in result.output.splitlines() if shown_width(line) > WIDTH] == []


def test_one_walker_may_be_chosen(demo: Path) -> None:
    out = CliRunner().invoke(command, [str(demo), "--walker", "Fell"]).stdout
    assert "Fell: need" in out
    assert "Tansy: need" not in out


@pytest.mark.parametrize("rule", ["tobler", "naismith", "swiss"])
def test_another_pace_rule_moves_the_hours_and_keeps_the_spread(
    demo: Path, data: dict[str, Any], rule: str
) -> None:
    result = CliRunner().invoke(command, [str(demo), "--json", "--pace", rule])
    other = json.loads(result.stdout)
    assert (data["pace_rule"], other["pace_rule"]) == ("campbell", rule)
    assert other["pace_rules"] == data["pace_rules"]
    assert len(other["pace_rules"]) == 7
    hours = [sum(stage["hours"] for stage in one["stages"]) for one in (data, other)]
    bare = {one["rule"].split()[0].lower(): one["hours"] for one in data["pace_rules"]}
    # By Naismith the climbs are slower, but there the power cap binds in any case.
    if rule != "naismith":
        assert (hours[1] > hours[0]) == (bare[rule] > bare["campbell"])
    assert abs(hours[1] - hours[0]) > 0.05


def test_rations_stand_beside_the_need(demo: Path, data: dict[str, Any]) -> None:
    told = data["rations"]["by_factor"]
    assert told["planned_g_per_person_day"] == data["rations"]["g_per_person_day"]
    assert told["low_g"] < told["high_g"]
    result = CliRunner().invoke(command, [str(demo), "--json", "--ration", "1.5"])
    asked = json.loads(result.stdout)["rations"]["by_factor"]
    assert (
        asked["low_g"] == asked["high_g"] == pytest.approx(sum(g["low_g"] for g in asked["groups"]))
    )
    wrong = CliRunner().invoke(command, [str(demo), "--ration", "680"])
    assert isinstance(wrong.exception, Mistake)
    assert wrong.exception.code == "ration-not-in-pounds"


def test_a_jar_is_told_day_by_day(demo: Path) -> None:
    words = [str(demo), "--jar", "bulgur", "--tested", "bulgur 45-52 min at 11 °C"]
    jar = json.loads(CliRunner().invoke(command, [*words, "--json"]).stdout)["jar"]
    assert [one["day"] for one in jar] == list(range(1, 9))
    # Day 5 has water of 1 °C and air that keeps the jar cold by itself: 6 h from the first wet.
    assert {one["day"] for one in jar if one["hold_min"] > 120} == {5}
    for one in jar:  # the band does not go into two hours in cold water; the usual time may
        assert one["soak_low_min"] <= one["soak_min"] <= one["soak_high_min"]
        if one["usual_only"]:
            assert one["soak_high_min"] + 20 > one["hold_min"]
            assert one["soak_min"] + 20 <= one["hold_min"]
    words[-1] = "bulgur 95-150 min at 11 °C"
    jar = json.loads(CliRunner().invoke(command, [*words, "--json"]).stdout)["jar"]
    assert "impossible" in {one["verdict"] for one in jar}
    for one in jar:
        whats = [moment["what"] for moment in one["timetable"]]
        assert ("wet" in whats) == (one["verdict"] != "impossible")
    text = CliRunner().invoke(command, words)
    assert "impossible here" in text.stdout
    assert all(shown_width(line) <= WIDTH for line in text.stdout.splitlines())
    wrong = CliRunner().invoke(command, [str(demo), "--jar", "rice noodles"])
    assert isinstance(wrong.exception, Mistake)
    assert wrong.exception.code == "soak-unknown"


def test_the_stable_keys_of_the_json(data: dict[str, Any]) -> None:
    assert len(data["stages"]) == 9
    for number, stage in enumerate(data["stages"], 1):
        assert stage["day"] == number
        for key in ("distance_m", "ascent_m", "descent_m", "hours"):
            assert isinstance(stage[key], float)
        assert set(stage["need"]) == {"Tansy", "Corrie", "Fell"}
        for need in stage["need"].values():
            assert set(need) == {"low_kcal", "kcal", "high_kcal"}
            assert need["low_kcal"] < need["kcal"] < need["high_kcal"]
    assert data["stages"][4]["camp_m"] == pytest.approx(2_900, abs=15)
    assert data["stages"][8]["camp_m"] is None


#: Plain words whose value has no unit, or is itself a table.
UNITLESS = {
    "title", "start_date", "stages", "walkers", "eating_times", "carries", "camps", "fuel",
    "heatings", "pace_rule", "pace_rules", "dry_sources", "chance_one_dry",
    "chance_one_dry_at_least",
    "chance_none_runs", "chance_untold", "counted", "chance_dry", "from_name", "by_factor", "why",
    "groups", "group", "person_days", "low_share_of_need", "high_share_of_need",
    "low_lb_per_person_day", "high_lb_per_person_day", "energy_models", "rations", "profile",
    "coverage", "settled",
    "findings", "day", "date", "name", "camp", "terrain", "fire", "can_heat", "need", "eaten",
    "stops", "water", "count", "share", "bought", "kind", "water_at_camp", "sources", "reliability",
    "days", "load", "activity_level", "doubts", "number", "from", "to", "from_day", "to_day",
    "times", "frost", "gas", "snow", "stop", "boils", "reserve", "canisters", "kitchen", "eating",
    "eaters", "rule", "model", "beside", "rounds", "hour_rounds", "severity", "text", "source",
    "about", "cooking_factor", "hour", "hours", "set_out_hour", "arrival_hour", "care",
    "health_asked", "water_treatment", "water_agency", "flies", "raw_pulses",
    "last_water", "leaves", "timetable", "what",
}  # fmt: skip
UNITS = ("_m", "_kcal", "_g", "_kg", "_c", "_ml", "_l", "_hours", "_kcal_per_g", "_off_g",
         "_minutes", "_per_person_day", "kcal", "kcal_per_g")  # fmt: skip


def test_every_key_ends_in_its_unit(data: dict[str, Any]) -> None:
    names = {"Tansy", "Corrie", "Fell", *data["eating_times"], *data["camps"][0]["gas"]}
    bad: set[str] = set()

    def look(value: Any) -> None:
        if isinstance(value, dict):
            for key, one in value.items():
                if key not in UNITLESS | names and not key.endswith(UNITS):
                    bad.add(key)
                look(one)
        elif isinstance(value, list):
            for one in value:
                look(one)

    look(data)
    assert bad == set()


def test_json_and_text_tell_the_same(data: dict[str, Any], text: Result) -> None:
    for stage in data["stages"]:
        assert f"{stage['distance_m'] / 1000:.1f}" in text.stdout
    whole = data["walkers"]["Tansy"]["kcal"]
    assert f"{whole:,.0f}".replace(",", " ") in text.stdout
    told = {part.split("]")[0] for part in text.stderr.split("\n    [")[1:]}
    assert {one["rule"] for one in data["findings"]} == told


def test_a_table_of_stages_works_without_a_track(tmp_path: Path) -> None:
    result = CliRunner().invoke(command, [str(table(tmp_path))])
    assert result.exit_code == 0
    assert "rest" in result.stdout
    found = json.loads(CliRunner().invoke(command, [str(table(tmp_path)), "--json"]).stdout)
    assert [stage["distance_m"] for stage in found["stages"]] == [12_000, 0, 9_000]
    assert found["stages"][0]["naive_ascent_m"] is None
    assert found["fuel"] == []


def test_without_heights_nothing_is_drawn(tmp_path: Path) -> None:
    result = CliRunner().invoke(
        command, [str(table(tmp_path, TABLE.replace("start_m = 640\n", "")))]
    )
    assert result.exit_code == 0
    assert "Heights" not in result.stdout


def test_the_rules_of_safety_are_asked_too(tmp_path: Path, text: Result) -> None:
    result = CliRunner().invoke(command, [str(table(tmp_path))])
    assert "[water-treatment]" in result.stderr  # nobody has told
    assert "[kitchen-untold]" in result.stderr
    assert "[water-treatment]" not in text.stderr  # the demo filters and boils
    assert "[water-boil-minutes]" in text.stderr


def test_cooking_inside_is_an_error(demo: Path, tmp_path: Path) -> None:
    (tmp_path / "walk.gpx").write_bytes((demo.parent / "walk.gpx").read_bytes())
    inside = demo.read_text("utf-8").replace(
        'cooking_place = "outside"', 'cooking_place = "inside"'
    )
    result = CliRunner().invoke(command, [str(table(tmp_path, inside))])
    assert result.exit_code == 1
    assert result.stderr.startswith("ERROR: No stove burns in a tent")


def test_what_one_rule_says_of_several_is_read_once(text: Result) -> None:
    # Three walkers eat cold on days of their own; the advice is one.
    assert text.stderr.count("[hold-limit]") == 1
    assert "Fell eats cold on days 1 to 9" in " ".join(text.stderr.split())
    assert "(The Harrowmoor Round" not in text.stderr


def test_an_error_finding_ends_with_status_1(tmp_path: Path) -> None:
    late = TABLE.replace('title = "By the table"', 'title = "x"\nstart_date = 2031-05-01') + (
        '[[stop]]\nname = "box"\nkind = "box"\nday = 2\nat_m = 0\n'
        "posted = 2031-04-30\ntransit_days = [4, 9]\n"
    )
    result = CliRunner().invoke(command, [str(table(tmp_path, late))])
    assert result.exit_code == 1
    assert "ERROR" in result.stderr
    assert "box-late" in result.stderr


@pytest.mark.parametrize(
    ("text_", "code"),
    [
        (
            TABLE.replace("distance_m = 9000", "distance_m = 9000\nascent_m = 8000"),
            "stage-too-steep",
        ),
        (TABLE.replace('fire = "none"', 'fire = "none"\ndays = 7'), "days-and-camps"),
        (TABLE.replace("mass_kg = 75", "mass_kg = 750"), "body-mass-out-of-range"),
        (
            'title = "x"\n[walk]\ngpx = "no.gpx"\n' + TABLE[TABLE.index("[[walker]]") :],
            "file-missing",
        ),
    ],
)
def test_what_cannot_be_used_ends_with_status_2(
    tmp_path: Path,
    text_: str,
    code: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    path = table(tmp_path, text_)
    monkeypatch.setattr("sys.argv", ["fellfare", "walk", str(path)])
    with pytest.raises(SystemExit) as caught:
        main()
    said = capsys.readouterr()
    assert caught.value.code == 2
    assert said.out == ""
    assert f"[{code}]" in said.err
    assert str(path) in said.err


def test_a_missing_file_or_walker_ends_with_status_2(
    demo: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for words in (["walk", "no-such.toml"], ["walk", str(demo), "--walker", "Nobody"]):
        monkeypatch.setattr("sys.argv", ["fellfare", *words])
        with pytest.raises(SystemExit) as caught:
            main()
        assert caught.value.code == 2
        assert "mend:" in capsys.readouterr().err


def test_the_demos_summary_keeps_to_80_columns(tmp_path: Path) -> None:
    result = CliRunner().invoke(demo_command, ["--out", str(tmp_path)])
    assert result.exit_code == 0
    # The path alone may be longer: it is not ours to break.
    wide = [line for line in result.output.splitlines() if shown_width(line) > WIDTH]
    assert [line for line in wide if str(tmp_path) not in line] == []
    paper = (tmp_path / "sheets" / "walk.txt").read_text("utf-8")
    assert [line for line in paper.splitlines() if shown_width(line) > WIDTH] == []
    assert "[water-boil-minutes;" in paper  # what the rules say stands on the paper too
