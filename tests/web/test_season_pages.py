"""A season as pages: parties, one purchase, lots, a recall, papers, what came back.

Two parties walk the trip of ``small_kitchen.py``: 90 g of lentils and 100 g of oats and dates each.
"""

from __future__ import annotations

import io
import re
import runpy
import zipfile
from html import unescape
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from litestar import Litestar
from litestar.testing import TestClient

from fellfare.book import Book, open_book
from fellfare.paper.grid import read_grid
from fellfare.paper.kinds import KINDS
from fellfare.paper.papers_of_trip import LabelSheet, Papers
from fellfare.web import Settings, make_app
from fellfare.web.documents import season_of
from fellfare.web.pages.season.form import with_rows, with_store, with_words, without_row
from fellfare.web.work.worker import at_rest

SMALL: Any = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("small_kitchen.py"))))
Client = TestClient[Litestar]

SEASON = """\
# of the mill
title = "Summer"
currency = "EUR"

[in_store]
date = 15 # a rest

[[case]]
food = "red-lentils"
size_g = 100
price = 1.50

[[party]]
name = "early" # the first
trip = "moor"

[[party]]
name = "late"
trip = "late/trip.toml"
log = "late"

[[lot]]
number = "L1" # sack, torn
food = "red-lentils"
mass_g = 100
best_before = 2031-06-15
supplier = "the mill"
"""


def words(answer: Any) -> str:
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", answer.text)))


def lay_in(book: Book) -> None:
    SMALL.lay_in(book)
    late = SMALL.TRIP.replace("2031-05-01", "2031-07-01").replace("Ada", "Bea")
    book.save("trip", "late", late, None)
    book.save("menu", "late", SMALL.MENU.replace("Ada", "Bea"), None)
    book.save("season", "summer", SEASON, None)


@pytest.fixture
def season(client: Client, book: Book) -> Client:
    lay_in(book)
    return client


def revision(book: Book) -> str:
    return str(book.get("season", "summer").revision)


def test_without_a_season_the_page_teaches(client: Client) -> None:
    said = words(client.get("/season"))
    assert "No season yet" in said
    assert "when one is called back" in said


def test_a_season_is_begun_and_a_party_added(client: Client, book: Book, post: Any) -> None:
    assert "a season has a title" in words(post("/season", title=" ", currency=""))
    assert post("/season", title='Sommer "31"', currency="EUR").headers["location"] == (
        "/season/sommer-31?saved=1"
    )
    assert season_of(book.get("season", "sommer-31").text).title == 'Sommer "31"'
    assert "No party yet" in words(client.get("/season/sommer-31"))
    SMALL.lay_in(book)
    at = "/season/sommer-31/parties"
    assert post(at, trip="moor", based_on="1").headers["location"] == "/season/sommer-31?saved=2"
    said = words(client.get("/season/sommer-31"))
    assert "1 to 2 May 2031" in said
    wrong = post(at, trip="moor", start="soon", party="north", based_on="2")
    assert wrong.status_code == 422
    assert "'soon' is no date" in words(wrong)
    assert 'value="north"' in wrong.text
    late = post(at, trip="moor", start="9999-12-31", party="north", based_on="2")
    assert "the walk would begin in the year 9999" in words(late)
    assert post(at, trip="nowhere", based_on="2").status_code == 422
    assert (
        post(at, trip="moor", party="moor", based_on="2").status_code == 422
    )  # that name is taken


def test_a_second_date_is_a_trip_with_a_menu_of_its_own(
    season: Client, book: Book, post: Any
) -> None:
    post("/season/summer/parties", trip="moor", start="2031-08-10", party="third", based_on="1")
    text = book.get("trip", "third").text
    assert "start_date = 2031-08-10" in text
    assert "# two short days; this word must stay" in text
    assert book.get("menu", "third").text == SMALL.MENU
    assert book.get("trip", "moor").text == SMALL.TRIP
    parties = season_of(book.get("season", "summer").text).parties
    assert [(one.name, one.trip) for one in parties][2:] == [("third", "third")]
    assert "10 to 11 Aug 2031" in words(season.get("/season/summer"))
    out = post("/season/summer/parties/out", party="third", based_on="2")
    assert out.status_code == 303
    assert book.get("season", "summer").text == SEASON
    assert "third" in book.names("trip")


def test_the_state_of_a_menu_is_that_of_its_trip_and_recipes(season: Client, book: Book) -> None:
    def states() -> list[str]:
        page = season.get("/season/summer").text
        rows = re.findall(r"<tr>\s*<th scope=\"row\">.*?</tr>", page, re.DOTALL)
        found = [re.search(r">there<|none<|out of date|cannot be read", row) for row in rows]
        return ["" if one is None else one[0].strip("<>") for one in found]

    assert states() == ["there", "there"]
    book.save(
        "recipe", "oats", SMALL.OATS.replace("80 g", "81 g"), 1
    )  # a rule is kept all the same
    book.delete("menu", "late")
    assert states()[1] == "none"
    book.delete("recipe", "soup")
    assert states()[0] == "out of date"
    assert "not possible any more: day 1, dinner: soup" in words(season.get("/season/summer"))
    assert "The menu of early is out of date : plan it again" in words(
        season.get("/season/summer/papers")
    )
    trip = SMALL.TRIP.replace("base_pack_kg = 6", 'base_pack_kg = 6\navoids = ["oats"]')
    book.save("trip", "moor", trip, 1)
    book.undelete("recipe", "soup")
    said = words(season.get("/season/summer"))
    assert "out of date do not eat by it allergies: day 2, breakfast" in said
    assert "somebody would eat what they must not" in words(season.get("/season/summer/buy"))
    book.delete("trip", "moor")
    assert "the book holds no trip 'moor'" in words(season.get("/season/summer"))


def test_a_menu_of_today_that_somebody_must_not_eat_is_no_menu(client: Client, book: Book) -> None:
    SMALL.lay_in(
        book, SMALL.TRIP.replace("base_pack_kg = 6", 'base_pack_kg = 6\navoids = ["oats"]')
    )
    book.save("season", "s", 'title = "S"\n[[party]]\nname = "a"\ntrip = "moor"\n', None)
    assert book.get("menu", "moor").saved_at >= book.get("trip", "moor").saved_at
    assert "out of date do not eat by it allergies" in words(client.get("/season/s"))


def test_one_purchase_in_whole_cases(season: Client) -> None:
    said = words(season.get("/season/summer/buy?units=metric"))
    # by hand: 2 x 90 g in cases of 100 g; dates 2 x 20 g less 15 g in store
    assert "early 90 g, late 90 g 180 g" in said
    assert "2 × 100 g 20 g 3.00" in said
    assert re.search(r"40 g 15 g 25 g", said)
    assert "at least: 2 prices unknown" in said


def test_cases_and_store_are_kept_and_words_stay(season: Client, book: Book, post: Any) -> None:
    form = {
        "case-0-food": "red-lentils", "case-0-size_g": "100", "case-0-price": "1.50",
        "case-1-food": "Rolled oats", "case-1-size_g": "2500", "case-1-price": "6,90",
        "case-1-name": "sack",
        "store-0-food": "date", "store-0-mass_g": "15", "store-1-food": "salt",
        "store-1-mass_g": "500", "currency": "EUR", "dry": "", "based_on": "1",
    }  # fmt: skip
    assert post.form("/season/summer/buy", form).headers["location"] == (
        "/season/summer/buy?saved=2"
    )
    text = book.get("season", "summer").text
    file = season_of(text)
    assert [(one.size_g, str(one.price), one.name) for one in file.cases["rolled-oats"]] == [
        (2500.0, "6.9", "sack")
    ]
    assert file.in_store == {"date": 15.0, "salt": 500.0}
    for word in (
        "# of the mill",
        "# a rest",
        "# the first",
        "# sack, torn",
        "price = 1.50",
        "price = 6.90",
    ):
        assert word in text
    assert "1 × sack 2.5 kg" in words(season.get("/season/summer/buy?units=metric"))
    wrong = post.form("/season/summer/buy", form | {"case-1-food": "moss", "store-1-mass_g": "-1",
                                                    "based_on": "2"})  # fmt: skip
    assert wrong.status_code == 422
    assert 'id="case-1-food-fault"' in wrong.text
    assert 'id="store-1-mass_g-fault"' in wrong.text
    assert 'value="6,90"' in wrong.text  # what was typed is kept
    lost = post.form("/season/summer/buy", form | {"store-1-mass_g": "600", "based_on": "1"})
    assert lost.status_code == 409  # somebody has saved meanwhile


def test_lots_are_written_down_and_followed(season: Client, book: Book, post: Any) -> None:
    page = season.get("/season/summer/lots?food=rolled-oats")
    assert "Bags that no lot covers" in words(page)
    assert 'name="lot-1-food" value="rolled-oats"' in page.text
    form = {
        "lot-0-number": "L1", "lot-0-food": "red-lentils", "lot-0-mass_g": "100",
        "lot-0-best_before": "2031-06-15", "lot-0-supplier": "the mill",
        "lot-1-number": "L1", "lot-1-food": "rolled-oats", "lot-1-mass_g": "5000",
        "based_on": "1",
    }  # fmt: skip
    twice = post.form("/season/summer/lots", form)
    assert twice.status_code == 422
    assert 'id="lot-1-number-fault"' in twice.text
    kept = post.form("/season/summer/lots", form | {"lot-1-number": "O/7 b"})
    assert kept.status_code == 303
    assert "# sack, torn" in book.get("season", "summer").text
    said = words(season.get("/season/summer/lots?units=metric"))
    assert "4840 g" in said.replace(" ", "") or "4.84 kg" in said  # 5 000 g less 2 x 80 g
    trace = words(season.get("/season/summer/recall?lot=O%2F7+b&on=2031-05-02&units=metric"))
    assert "Recall of lot O/7 b" in trace
    gone = post.form("/season/summer/lots", dict.fromkeys(form, "") | {"based_on": "2"})
    assert gone.status_code == 303
    assert season_of(book.get("season", "summer").text).lots == ()


def test_a_recall_names_those_now_out_first(season: Client) -> None:
    at = "/season/summer/recall?lot=L1&units=metric"
    said = words(season.get(at + "&on=2031-05-02"))
    # by hand: 100 g go to the early party's 90 g, and 10 g to the late one
    assert "of 2 parties, 1 of them out on 2 May 2031" in said
    assert said.index("early out now") < said.index("late still to come")
    assert "90 g in 1 bag, none of them still to be eaten by the plan · eaten by Ada" in said
    assert "1 May 2031 day 1, dinner; by the plan eaten" in said
    assert "10 g in 1 bag · eaten by Bea" in said
    assert "none of it" in said  # of 100 g nothing is left
    # and of the late party's 90 g no lot covers the other 80 g
    assert "It may be of this lot, too" in said
    assert "1 to 2 Jul 2031 : 80 g in bag 1, eaten by Bea" in said
    later = words(season.get(at + "&on=2031-07-02"))
    assert later.index("late out now") < later.index("early back")
    assert "No lot is called “L9”" in words(season.get("/season/summer/recall?lot=L9"))


def test_filled_bags_keep_their_lots(season: Client, book: Book, post: Any) -> None:
    # the late party's bags are filled first: its 90 g of lentils come of L1
    text = SEASON.replace('name = "early" # the first\ntrip = "moor"', 'name = "x"\ntrip = "none"')
    book.save("season", "summer", text, 1)
    kept = post("/season/summer/packed", party="late", on="2031-06-20", based_on="2")
    assert kept.headers["location"] == "/season/summer/lots?saved=3"
    (row,) = season_of(book.get("season", "summer").text).packed
    assert (row.party, row.lots, str(row.on)) == ("late", ("L1",), "2031-06-20")
    text = book.get("season", "summer").text.replace('"x"\ntrip = "none"', '"early"\ntrip = "moor"')
    book.save("season", "summer", text, 3)
    assert "late L1 filled on 20 Jun 2031" in words(season.get("/season/summer/lots"))
    bought = words(season.get("/season/summer/buy?units=metric"))
    assert "nothing more is bought for them: late" in bought
    assert "early 90 g 90 g" in bought
    said = words(season.get("/season/summer/recall?lot=L1&on=2031-05-02&units=metric"))
    assert "90 g in 1 bag · eaten by Bea" in said
    assert "10 g in 1 bag, none of them still to be eaten by the plan · eaten by Ada" in said
    menu = book.get("menu", "late").text.replace("steps = 15, of = 10", "steps = 17, of = 10")
    book.save("menu", "late", menu, 1)
    changed = words(season.get("/season/summer/recall?lot=L1&on=2031-05-02"))
    assert "The bags of late were filled on 2031-06-20" in changed
    assert "Go by the papers that were printed then" in changed
    gone = post.form("/season/summer/lots", {"lot-0-number": "", "lot-0-food": "", "based_on": "4"})
    assert gone.status_code == 422  # what is in bags must be followed
    assert "which is not written down" in words(gone)
    assert post("/season/summer/packed", unpack="late", based_on="4").status_code == 303
    assert season_of(book.get("season", "summer").text).packed == ()
    assert post("/season/summer/packed", party="nobody", based_on="5").status_code == 422


def test_a_lot_that_goes_in_a_box_says_so(client: Client, book: Book) -> None:
    SMALL.lay_in(book, SMALL.TRIP + SMALL.BOX)
    lot = '[[lot]]\nnumber = "O"\nfood = "rolled-oats"\nmass_g = 500\n'
    party = '[[party]]\nname = "a"\ntrip = "moor"\n'
    book.save("season", "s", f'title = "S"\n{party}{lot}', None)
    assert "Ridge box a posted box" in words(client.get("/season/s/recall?lot=O&on=2031-05-01"))


def unzipped(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as held:
        return {one: held.read(one) for one in held.namelist()}


def test_after_a_late_change_only_the_affected_papers_come_again(
    season: Client, book: Book, post: Any
) -> None:
    first = season.get("/season/summer/papers")
    assert "none was printed yet" in words(first)
    stamp = re.search(r'name="stamp" value="(\w+)"', first.text)
    assert stamp is not None
    assert post("/season/summer/papers", stamp="old").status_code == 422
    assert post("/season/summer/papers", stamp=stamp[1]).status_code == 303
    assert "Every paper is printed as it stands" in words(season.get("/season/summer/papers"))
    assert season.get("/season/summer/papers/due").status_code == 404
    # the late party eats 100 g of lentils instead of 90 g
    menu = book.get("menu", "late").text.replace("steps = 15, of = 10", "steps = 17, of = 10")
    book.save("menu", "late", menu, 1)
    said = words(season.get("/season/summer/papers"))
    assert "of 1 party are to be printed again" in said
    held = unzipped(season.get("/season/summer/papers/due").content)
    assert {name.split("/")[0] for name in held} == {"late"}
    assert "late/bag-labels.pdf" in held
    assert "late/allergens.pdf" not in held  # the same dishes for the same eaters
    alone = unzipped(season.get("/season/summer/papers/all?party=early").content)
    assert {name.split("/")[0] for name in alone} == {"early"}
    forgotten = post("/season/summer/papers", forget="1")
    assert forgotten.status_code == 303
    assert "none was printed yet" in words(season.get("/season/summer/papers"))


def test_a_mark_changes_when_the_paper_does(season: Client, book: Book) -> None:
    """Held against the papers themselves, byte by byte: nothing that changed goes unseen."""
    from fellfare.web.pages.season.papers import OF_PARTY, _held, _mark

    def drawn() -> tuple[dict[str, str], dict[str, bytes]]:
        from fellfare.web.pages.kitchen import provided as kitchen

        held = kitchen._kept[next(reversed(kitchen._kept))][0]
        sheet = LabelSheet(grid=read_grid(None, "a4"), skip=0, code="always", outline=False)
        made = Papers(held, "a4", sheet).made([kind for kind, _ in OF_PARTY])
        marks = {kind: _mark(one) for kind, one in _held(held).items()}
        return marks, {kind: made[KINDS[kind]] for kind in marks}

    season.get("/kitchen/late")
    marks, files = drawn()
    menu = book.get("menu", "late").text.replace("steps = 15, of = 10", "steps = 17, of = 10")
    book.save("menu", "late", menu, 1)
    season.get("/kitchen/late")
    again, new = drawn()
    changed = {kind for kind in files if files[kind] != new[kind]}
    assert changed
    assert changed <= {kind for kind in marks if marks[kind] != again[kind]}


def test_what_came_back_stands_by_party(season: Client, book: Book) -> None:
    assert "Nothing written down yet early" in words(
        season.get("/season/summer/back?on=2031-05-01")
    )
    assert "When a party is back" in words(season.get("/season/summer/back?on=2031-04-01"))
    log = '[[left]]\nwalker = "Bea"\nday = 1\neating = "dinner"\ndish = "soup"\nhome_g = 19\n'
    book.save("log", "late", log, None)
    said = words(season.get("/season/summer/back?units=metric"))
    assert "late 190 g 19 g 10 % Lentil soup 19 g" in said  # by hand: 19 of 190 g
    book.save("log", "late", log.replace("soup", "stew"), 1)
    assert "does not fit its menu" in words(season.get("/season/summer/back"))


def test_what_cannot_be_read_is_told_with_its_text(season: Client, book: Book, post: Any) -> None:
    text = SEASON.replace('food = "red-lentils"\nmass_g', 'food = "moss"\nmass_g')
    kept = post("/book/season/summer/text", text=text, based_on="1")
    assert kept.status_code == 303
    assert "moss" in words(season.get("/season/summer/lots"))
    refused = post("/book/season/summer/text", text="title = 3", based_on="2")
    assert refused.status_code == 422
    book.save("season", "summer", "title = 3", 2)
    assert "cannot be read yet" in words(season.get("/season"))
    assert "Mend it as text" in words(season.get("/season/summer"))
    book.undo_of("season", "summer")


def test_a_season_goes_out_and_in_letter_by_letter(book: Book, tmp_path: Path) -> None:
    lay_in(book)
    book.set_tick("season", "summer", "papers", "early · trail · 0a", True)
    book.export_folder(tmp_path / "out")
    assert (tmp_path / "out/seasons/summer.toml").read_text("utf-8") == SEASON
    with open_book(tmp_path / "second") as second:
        second.import_folder(tmp_path / "out")
        assert second.get("season", "summer").text == SEASON
        assert second.ticks("season", "summer", "papers") == {"early · trail · 0a"}


def test_rows_stay_where_they_are() -> None:
    case = {"food": "red-lentils", "size_g": 100, "price": 1.5}
    assert with_rows(SEASON, "case", [case]) == SEASON
    assert with_store(SEASON, [{"food": "date", "mass_g": 15}]) == SEASON
    assert with_words(SEASON, currency="EUR") == SEASON
    inline = 'title = "S"\nparty = [{name = "a", trip = "x"}, {name = "b", trip = "y"}]\n'
    assert [one.name for one in season_of(without_row(inline, "party", 0)).parties] == ["b"]
    grown = with_rows(SEASON, "case", [None, {"food": "salt", "size_g": 500}])
    assert list(season_of(grown).cases) == ["salt"]
    bare = with_words(with_store(with_rows(SEASON, "case", [None]), []), currency="")
    assert (season_of(bare).cases, season_of(bare).in_store) == ({}, {})
    assert season_of(bare).currency == ""
    new = with_store('title = "S"\n[[party]]\nname = "a"\ntrip = "x"\n',
                     [{"food": "salt", "mass_g": 5}])  # fmt: skip
    assert season_of(with_words(new, currency="EUR")).currency == "EUR"
    assert season_of(new).in_store == {"salt": 5.0}


def test_the_data_are_those_of_the_command(season: Client, book: Book) -> None:
    data = season.get("/api/seasons/summer?on=2031-05-02").json()
    assert [(one["name"], one["when"]) for one in data["parties"]] == [
        ("early", "out"), ("late", "to come"),
    ]  # fmt: skip
    rows = {row["food"]: row["need_g"] for row in data["purchase"]["shopping"]}
    assert rows == {"red-lentils": 90, "rolled-oats": 80, "date": 20}  # the late party's alone
    assert data["menus"]["early"] == {"state": "there", "why": []}
    trace = season.get("/api/seasons/summer/recall?lot=L1&on=2031-05-02").json()
    assert [(one["party"], one["mass_g"]) for one in trace["recall"]] == [
        ("early", 90),
        ("late", 10),
    ]
    assert [(one["party"], one["mass_g"]) for one in trace["doubtful"]] == [("late", 80)]
    book.delete("menu", "late")
    missing = season.get("/api/seasons/summer").json()["missing"]
    assert missing == [{"party": "late", "why": "it has no menu yet"}]
    assert season.get("/api/seasons/summer/recall?lot=L9").status_code == 422
    assert season.get("/api/seasons/none").status_code == 404
    assert season.get("/api/documents/season/summer").json()["document"] == SEASON


def test_a_script_in_a_name_stays_words(client: Client, book: Book) -> None:
    lay_in(book)
    bad = SEASON.replace('name = "early"', 'name = "<b>x"').replace('"L1"', '"<i>1"')
    book.save("season", "summer", bad, 1)
    for tab in ("", "/buy", "/lots", "/recall?lot=%3Ci%3E1", "/papers", "/back"):
        page = client.get(f"/season/summer{tab}").text
        assert "<b>x" not in page
        assert "<i>1" not in page


def test_nothing_is_served_under_a_wrong_name(season: Client) -> None:
    for address in ("/season/none", "/season/none/buy", "/season/summer/papers/other"):
        assert season.get(address).status_code == 404


# ---------------------------------------------------------------- menus of all parties


@pytest.fixture
def unplanned(client: Client, book: Book, tiny: Any) -> Client:
    """Two parties on trips whose menus take less than a second, and none is planned."""
    tiny.lay_in(book)
    book.save("trip", "fen", tiny.TRIP.replace('"Ana"', '"Bo"'), None)
    parties = "".join(f'[[party]]\nname = "{n}"\ntrip = "{n}"\n' for n in ("moor", "fen"))
    book.save("season", "s", f'title = "S"\n{parties}', None)
    return client


def test_all_menus_are_planned_outside_of_the_request(
    unplanned: Client, book: Book, post: Any
) -> None:
    assert "2 menus are wanting" in words(unplanned.get("/season/s"))
    assert "Nothing to buy yet" in words(unplanned.get("/season/s/buy"))
    asked = post("/season/s/menus", seconds="short")
    assert asked.headers["location"] == "/season/s"
    assert len(book.jobs.all(kind="menu")) == 2
    assert post("/season/s/menus").status_code == 303  # twice is once
    assert len(book.jobs.all(kind="menu")) == 2
    assert at_rest(book, 30)
    page = unplanned.get("/season/s")
    assert "menus there 2 of 2" in words(page)
    assert set(book.names("menu")) == {"moor", "fen"}
    assert "parties to be packed" in words(unplanned.get("/season/s/buy"))


def test_searches_are_shown_and_stopped(unplanned: Client, book: Book, post: Any) -> None:
    # as a worker elsewhere would have them: one runs, one waits
    for name in ("moor", "fen"):
        book.jobs.add("menu", {"trip": name, "menu": name}, about=f"menus of {name}")
    claimed = book.jobs.claim("elsewhere", ("menu",))
    assert claimed is not None
    book.jobs.report(claimed.id, "elsewhere", {"stage": "portions", "best_g": 812.0})
    second = book.jobs.claim("elsewhere", ("menu",))
    assert second is not None
    said = words(unplanned.get("/season/s"))
    assert "2 menus still to be planned" in said
    assert "fitting the portions; best so far 812 g" in said
    piece = unplanned.get("/season/s/menus", headers={"hx-request": "true"})
    assert piece.text.startswith('<div id="progress"')
    assert unplanned.get("/season/s/menus", follow_redirects=False).status_code == 303
    assert post("/season/s/menus/stop").status_code == 303
    assert all(job.stop_asked for job in book.jobs.all(kind="menu"))
    book.jobs.fail(claimed.id, "elsewhere", "the recipes cannot be used")
    book.jobs.finish(second.id, "elsewhere", "{}", stopped=True)
    done = unplanned.get("/season/s/menus", headers={"hx-request": "true"})
    assert done.headers["hx-redirect"] == "/season/s"
    assert "the last search found none: why" in words(unplanned.get("/season/s"))


def test_a_menu_out_of_date_changes_as_little_as_can_be(
    season: Client, book: Book, post: Any
) -> None:
    book.delete("recipe", "soup")
    post("/season/summer/menus", seconds="short")
    kinds = {job.kind for job in book.jobs.all()}
    assert kinds == {"near"}
    assert at_rest(book, 60)


def test_of_parties_that_are_packed_or_gone_no_menu_is_planned_again(
    season: Client, book: Book, post: Any
) -> None:
    book.delete("recipe", "soup")
    assert "2 menus are wanting" in words(season.get("/season/summer"))
    assert "1 menu is wanting" in words(season.get("/season/summer?on=2031-05-02"))
    text = f'{SEASON}\n[[packed]]\nparty = "late"\nlots = []\n'
    book.save("season", "summer", text, 1)
    assert "wanting" not in words(season.get("/season/summer?on=2031-05-02"))


def test_more_parties_than_may_stand_in_line_are_told(
    unplanned: Client, book: Book, post: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fellfare.book.jobs.MOST_OPEN", 1)
    monkeypatch.setattr("fellfare.web.pages.menus.jobs.wake", lambda book: None)
    assert post("/season/s/menus").headers["location"] == "/season/s?waiting=1"
    monkeypatch.setattr("fellfare.web.pages.season.planning.wake", lambda book: None)
    assert "1 more waits" in words(unplanned.get("/season/s?waiting=1"))


def test_a_reader_changes_nothing(book: Book) -> None:
    lay_in(book)
    reader = Book(book.shelf, book.club_id, role="reader")
    settings = Settings(hosts=("testserver.local",), secret="0" * 64)
    with TestClient(make_app(reader, settings)) as client:
        found = re.search(r'name="_csrf_token" value="([^"]+)"', client.get("/").text)
        stamp = re.search(r'name="stamp" value="(\w+)"', client.get("/season/summer/papers").text)
        assert found is not None
        assert stamp is not None
        form = {"_csrf_token": found[1], "based_on": "1"}

        def send(address: str, **fields: str) -> int:
            return client.post(address, data=form | fields, follow_redirects=False).status_code

        assert send("/season", title="Mine") == 403
        assert send("/season/summer/head", title="Mine") == 403
        assert send("/season/summer/parties", trip="moor", start="2031-09-01") == 403
        assert send("/season/summer/parties/out", party="late") == 403
        assert send("/season/summer/buy", currency="SEK") == 403
        lot = {"lot-0-number": "X", "lot-0-food": "salt", "lot-0-mass_g": "5"}
        assert send("/season/summer/lots", **lot) == 403
        assert send("/season/summer/packed", party="late") == 403
        assert send("/season/summer/papers", stamp=stamp[1]) == 403
        book.delete("menu", "late")
        assert send("/season/summer/menus") == 403
    assert book.names("season") == ("summer",)
    assert book.get("season", "summer").text == SEASON
    assert book.names("trip") == ("late", "moor")
    assert book.ticks("season", "summer", "papers") == set()
    assert book.jobs.all() == ()


# ---------------------------------------------------------------- whatever is typed

ODD = ("", " ", "0", "-1", "1e999", "nan", "١٢", "12,5", "a" * 5000, "\x00", "\u202e", "<b>",
       '"""',
       "\\", "[[x]]", "2031-02-30", "9999-12-31", "0001-01-01", "red-lentils", "L1", "early",
       "moor",
       "😀", "../x", ".x", "a/b", " · ", "x\ny")  # fmt: skip
FIELDS = {
    "": ("title", "currency"),
    "/summer/head": ("title",),
    "/summer/parties": ("trip", "start", "party"),
    "/summer/parties/out": ("party",),
    "/summer/buy": ("case-0-food", "case-0-size_g", "case-0-price", "case-7-name", "store-0-food",
                    "store-0-mass_g", "dry", "currency", "case-99999-food", "case-x-y"),
    "/summer/lots": ("lot-0-number", "lot-0-food", "lot-0-mass_g", "lot-0-best_before",
                     "lot-1-received", "lot-1-number", "lot-1-supplier"),
    "/summer/packed": ("party", "unpack", "on"),
    "/summer/papers": ("stamp", "party"),
}  # fmt: skip


@pytest.mark.parametrize("address", FIELDS)
def test_whatever_is_typed_the_answer_is_a_page(
    season: Client, book: Book, post: Any, address: str
) -> None:
    """Each word in each field, and all together; never a fault of ours."""
    for turn, word in enumerate(ODD[len(address) % 2 :: 2]):
        form = {
            field: word if turn % 3 == 0 or at == turn % len(FIELDS[address]) else "moor"
            for at, field in enumerate(FIELDS[address])
        }
        answer = post.form(
            f"/season{address}",
            form | {"based_on": str(book.get("season", "summer").revision)},
        )
        assert answer.status_code in (303, 403, 409, 422), (form, answer.status_code)
    for page in (
        "",
        "/buy",
        "/lots",
        "/recall",
        "/recall?lot=%00&on=9999-12-31",
        "/papers",
        "/back",
    ):
        assert season.get(f"/season/summer{page}").status_code == 200, page
