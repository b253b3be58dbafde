"""``fellfare provision``: files on disk, what is said, and what is refused."""

from __future__ import annotations

import csv
import json
import sys
from pathlib import Path
from typing import Any

import pytest

from fellfare.cli import main
from fellfare.mistake import Finding
from fellfare.paper.kinds import KINDS
from fellfare.provision.minding import gathered

TRIP = """
title = "Two days"
start_date = 2031-05-01
[walk]
day_c = 15
night_c = 5
fire = "none"
[[stage]]
distance_m = 9000
camp = "Camp"
[[stage]]
distance_m = 9000
[[walker]]
name = "Ada"
sex = "female"
age_y = 30
height_cm = 168
mass_kg = 60
base_pack_kg = 6
[[kitchen]]
walkers = ["Ada"]
stove = "gas-screened"
fuel = "gas"
[[container]]
walker = "Ada"
litres = 9
[[fixed]]
day = 1
eating = "dinner"
dish = "soup"
"""

SOUP = """
title = "Lentil soup"
serves = 2
meals = ["dinner"]
[[line]]
food = "red-lentils"
amount = "120 g"
bag = "pot"
[[step]]
act = "boil"
bags = ["pot"]
water = "600 ml"
minutes = 15
"""

MENU = """
title = "Two days"
[[plate]]
day = 1
time = "dinner"
dish = "soup"
portions = [{walker = "Ada", steps = 15, of = 10, mass_g = 92.0, energy_kcal = 320.0}]
[[plate]]
day = 2
time = "lunch"
dish = "soup"
portions = [{walker = "Ada", steps = 10, of = 10, mass_g = 62.0, energy_kcal = 210.0}]
"""

OWN = """
currency = "EUR"
[[pack]]
food = "red-lentils"
size = "500 g"
price = 2.35
"""


class Asked:
    """Runs the real command line on a folder of its own."""

    def __init__(
        self,
        folder: Path,
        capsys: pytest.CaptureFixture[str],
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        self.folder, self.capsys, self.patch = folder, capsys, monkeypatch
        self.put("trip.toml", TRIP)
        self.put("recipes/soup.toml", SOUP)
        self.put("menu.toml", MENU)

    def put(self, name: str, text: str) -> None:
        path = self.folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, "utf-8")

    def __call__(self, *words: str) -> tuple[int, str, str]:
        trip = str(self.folder / "trip.toml")
        self.patch.setattr(sys, "argv", ["fellfare", "provision", trip, *words])
        with pytest.raises(SystemExit) as ended:
            main()
        out, err = self.capsys.readouterr()
        return int(ended.value.code or 0), out, err


@pytest.fixture
def ask(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Asked:
    return Asked(tmp_path, capsys, monkeypatch)


def test_a_saved_menu_is_provided_for(ask: Asked) -> None:
    code, out, _ = ask("--json")
    data: dict[str, Any] = json.loads(out)
    assert code == 0
    assert data["menu"] == "the menu in menu.toml"
    # 15 and 10 tenths of a serving of 60 g.
    assert [bag["mass_g"] for bag in data["bags"]] == [90, 60]
    assert [bag["water_ml"] for bag in data["bags"]] == [450, 300]
    assert data["mass_g"]["food"] == 150
    assert data["shopping"][0]["price"] is None


def test_own_packs_beside_the_trip_are_found(ask: Asked) -> None:
    ask.put("provision.toml", OWN)
    _, out, _ = ask("--json")
    row = json.loads(out)["shopping"][0]
    assert row["packs"] == [{"size_g": 500, "count": 1, "name": "", "price": 2.35}]
    assert (row["spare_g"], row["price"]) == (350, 2.35)
    ask.put("other.toml", OWN.replace("2.35", "9.99"))
    _, out, _ = ask("--json", "--own", str(ask.folder / "other.toml"))
    assert json.loads(out)["cost"] == 9.99


def test_all_papers_are_written_and_named(ask: Asked) -> None:
    code, out, _ = ask("--out", str(ask.folder / "out"))
    names = {path.name for path in (ask.folder / "out").iterdir()}
    # Recipe cards only when asked; a list of boxes only where there is a box.
    wanted = {file for kind, file in KINDS.items() if kind not in ("cards", "boxes", "csv")}
    assert {name for name in names if not name.endswith(".csv")} == wanted
    assert code == 0
    assert all(name in out for name in names)
    html = (ask.folder / "out" / "trail-card.html").read_bytes()
    assert len(html) < 300_000
    with (ask.folder / "out" / "bags.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["mass_g"] for row in rows] == ["90", "60"]


def test_single_papers_by_name_and_all_of_them(ask: Asked) -> None:
    out = str(ask.folder / "some")
    ask("--out", out, "--kind", "labels", "--kind", "trail", "--size", "letter")
    assert {path.name for path in Path(out).iterdir()} == {"bag-labels.pdf", "trail-card.pdf"}
    ask("--out", out, "--kind", "all")
    assert (Path(out) / "recipe-cards.pdf").exists()


def test_a_paper_that_cannot_be_drawn_leaves_no_file(ask: Asked) -> None:
    ask.put("recipes/soup.toml", SOUP.replace("Lentil soup", "Soup \\U0001F372"))
    code, out, err = ask("--out", str(ask.folder / "out"))
    assert (code, out) == (2, "")
    assert "no-glyph" in err
    assert not (ask.folder / "out").exists()


def test_a_grid_that_cannot_be_is_refused_before_anything_is_done(ask: Asked) -> None:
    code, _, err = ask("--out", str(ask.folder / "out"), "--grid", "12x40")
    assert code == 2
    assert "label-too-small" in err


def test_the_screen_tells_sums_and_findings_apart(ask: Asked) -> None:
    code, out, err = ask()
    assert code == 0
    for words in ("2 dishes from the menu in menu.toml", "0.1 kg of food in 2 bags",
                  "Room at night, in 9 litres", "Fuel and water"):  # fmt: skip
        assert words in out, words
    assert "caution" not in out
    assert all(len(line) <= 80 for line in out.splitlines())
    assert "[" not in err or "caution:" in err or "ERROR:" in err


@pytest.mark.parametrize(
    ("by", "rows"),
    [
        ("day", {"day 1": "90 g", "day 2": "60 g"}),
        ("meal", {"dinner": "90 g", "lunch": "60 g"}),
        ("person", {"Ada": "150 g"}),
        ("box", {"from the start": "150 g"}),
    ],
)
def test_views_hold_the_same_grams(ask: Asked, by: str, rows: dict[str, str]) -> None:
    _, out, _ = ask("--view", by)
    head, *body = out.splitlines()
    assert head == f"By {by}: 150 g of food"
    for key, grams in rows.items():
        assert any(line.startswith(key) and grams in line for line in body)


def test_an_error_finding_is_exit_status_1(ask: Asked) -> None:
    ask.put("trip.toml", TRIP.replace('stove = "gas-screened"\nfuel = "gas"', ""))
    code, _, err = ask()
    assert code == 1
    assert "dish-without-flame" in err


@pytest.mark.parametrize(
    ("name", "text", "code"),
    [
        ("menu.toml", MENU.replace('"soup"', '"stew"'), "unknown-dish"),
        ("menu.toml", MENU.replace('"Ada"', '"Bo"'), "unknown-walker"),
        ("menu.toml", MENU.replace("day = 2", "day = 3"), "day-out-of-range"),
        ("provision.toml", OWN.replace("red-lentils", "red-lentil"), "unknown-food"),
        ("provision.toml", OWN + '[[box]]\nstop = "Nowhere"', "unknown-stop"),
    ],
)
def test_what_cannot_be_used_is_exit_status_2_with_no_figures(
    ask: Asked, name: str, text: str, code: str
) -> None:
    ask.put(name, text)
    status, out, err = ask("--json")
    assert (status, out) == (2, "")
    assert code in err


def test_without_any_menu_the_fixed_dishes_stand_in_with_a_caution(
    ask: Asked, monkeypatch: pytest.MonkeyPatch
) -> None:
    (ask.folder / "menu.toml").unlink()
    # A menu of two days from one dinner cannot be; how that is found is not the matter here.
    monkeypatch.setattr("fellfare.cli.provision.plates._worked_out", lambda *_: None)
    _, out, err = ask("--json")
    data = json.loads(out)
    assert data["menu"] == "the trip's fixed dishes"
    assert [bag["mass_g"] for bag in data["bags"]] == [60]
    assert any(f["rule"] == "only-fixed-dishes" for f in data["findings"])
    ask.put("trip.toml", TRIP.partition("[[fixed]]")[0])
    status, out, err = ask()
    assert (status, out) == (1, "")
    assert "no-menu" in err
    status, out, _ = ask("--json", "--out", str(ask.folder / "out"))
    assert (status, json.loads(out)["menu"]) == (1, None)
    assert not (ask.folder / "out").exists()


def test_a_menu_is_worked_out_where_none_is_saved(ask: Asked) -> None:
    (ask.folder / "menu.toml").unlink()
    ask.put(
        "recipes/soup.toml",
        SOUP.replace('["dinner"]', '["breakfast", "snack", "lunch", "dinner"]'),
    )
    code, out, _ = ask("--json", "--seconds", "10")
    assert code in (0, 1)
    data = json.loads(out)
    assert data["menu"] in ("a menu worked out now", "the trip's fixed dishes")
    assert data["bags"]


def test_one_persons_foods_of_one_kind_are_told_in_one_breath() -> None:
    def finding(text: str, dish: str, severity: str = "caution") -> Finding:
        return Finding(
            severity=severity,  # type: ignore[arg-type]  # a word of ours
            rule="allergen",
            text=text,
            source="a rule",
            about=(dish,),
        )

    tail = "may contain traces of almond; read the label."
    told = gathered(
        (
            finding(f"Ada: sesame {tail}", "Salad"),
            finding(f"Ada: tahini {tail}", "Dip"),
            finding(f"Bo: tahini {tail}", "Dip"),
            finding("Ada: walnuts contains walnut.", "Porridge", "error"),
        )
    )
    assert [(one.text, one.about) for one in told] == [
        (f"Ada: sesame; tahini: {tail}", ("Salad", "Dip")),
        (f"Bo: tahini {tail}", ("Dip",)),
        ("Ada: walnuts contains walnut.", ("Porridge",)),
    ]


def test_a_large_party_keeps_to_the_width_of_a_screen(ask: Asked) -> None:
    more = ("Bo", "Cid", "Dee", "Eli", "Fay", "Gus", "Bartholomew Winterbottom")
    walkers = "".join(
        f'[[walker]]\nname = "{name}"\nsex = "male"\nage_y = 30\nheight_cm = 180\nmass_kg = 75\n'
        "base_pack_kg = 7\n"
        for name in more
    )
    everybody = f"walkers = {json.dumps(['Ada', *more])}"
    ask.put("trip.toml", TRIP.replace('walkers = ["Ada"]', everybody) + walkers)
    _, out, _ = ask()
    lines = out.splitlines()
    assert max(map(len, lines)) <= 80
    assert sum(line.startswith("day 1 ") for line in lines) >= 2  # the days are told in each part
    assert "Bartholome…" in out


def test_a_day_that_is_not_there_is_told_with_the_menu_it_stands_in(ask: Asked) -> None:
    ask.put("menu.toml", MENU.replace("day = 2", "day = 99"))
    code, _, err = ask()
    assert code == 2
    assert "menu.toml" in err
    assert "day 99" in err
