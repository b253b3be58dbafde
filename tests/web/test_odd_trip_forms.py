"""Whatever is typed into the form of a trip, the answer is a page, and nothing typed is lost."""

from __future__ import annotations

import os
import re
from html import unescape
from typing import Any

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from litestar import Litestar
from litestar.testing import TestClient

from fellfare.web.pages.trips.fields import PARTS
from fellfare.web.pages.trips.form import name_of

Client = TestClient[Litestar]

#: What people type, mistype and paste; and what tries to break things.
WORDS = st.one_of(
    st.sampled_from([
        "", " ", "1", "0", "-1", "2,5", "1e400", "nan", "inf", "١٢", "5 km", "12 14", "1,2,3",
        "99999999999", "yes", "no", "gas", "gas-screened", "no-flame", "dinner", "Ana", "Ben",
        "Ana, Ben", "2031-05-01", "2031-02-31", "120.50", "12.5.1", "EUR", "path", "box", "female",
        "[[walker]]", '"""', "<b>", "{{ 7*7 }}", "\x00", "\u202e", "😀", "a" * 300, "' or 1=1 --",
    ]),
    st.text(max_size=12),
)  # fmt: skip
NAMES = [
    name + end
    for part in PARTS
    for row in ((0, 1) if part.many else (None,))
    for one in part.fields
    for name in (name_of(part, row, one.key),)
    for end in (("-least", "-most") if one.asks == "pair" else ("",))
]
SOUND = {
    "title": "Moor", "walker-0-name": "Ana", "walker-0-sex": "female", "walker-0-age_y": "35",
    "walker-0-height_cm": "170", "walker-0-mass_kg": "64", "walker-0-base_pack_kg": "5",
    "stage-0-distance_m": "9", "stage-0-camp": "Low Sike", "stage-1-distance_m": "7",
}  # fmt: skip

#: More by hand: FELLFARE_ODD=500.
tried = settings(
    max_examples=int(os.environ.get("FELLFARE_ODD", "25")),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


def sent(client: Client, address: str, data: dict[str, str]) -> Any:
    found = re.search(r'name="_csrf_token" value="([^"]+)"', client.get("/cautions").text)
    assert found is not None
    return client.post(
        address, data={"_csrf_token": found[1]} | data, files={"none": ("", b"")},
        follow_redirects=False,
    )  # fmt: skip


@tried
@given(
    st.dictionaries(st.sampled_from(NAMES), WORDS, max_size=12),
    st.sampled_from(["save", "add-stop", "add-none", "drop-walker-0", "drop-fire-77", "", "x"]),
    st.sampled_from(["", "us"]),
)
@example({"fixed-0-day": "1", "fixed-0-eating": "dinner", "fixed-0-dish": "x"}, "save", "us")
def test_odd_trips_are_kept_or_refused(
    client: Client, odd: dict[str, str], do: str, measures: str
) -> None:
    answer = sent(client, "/trips/new", SOUND | odd | {"do": do, "measures": measures})
    assert answer.status_code in (200, 303, 422)
    if answer.status_code == 303:
        there = answer.headers["location"].partition("?")[0]
        assert client.get(there).status_code == 200
        assert client.get(f"{there}/edit").status_code == 200
    elif answer.status_code == 422:
        title = (SOUND | odd)["title"].strip()
        if title and title.isprintable():
            assert title in unescape(answer.text)


@tried
@given(st.sampled_from([name for name in NAMES if "-0-" in name or name.startswith("rules-")]))
def test_a_word_where_a_figure_belongs_is_told_in_its_part(client: Client, name: str) -> None:
    """'much' is no figure, no date and no choice; where words are asked it may stand."""
    answer = sent(client, "/trips/new", SOUND | {name: "much", "do": "save"})
    assert answer.status_code in (303, 422)
    if answer.status_code == 422:
        faults = re.findall(r'id="([a-z_0-9-]+)-fault"', answer.text)
        assert faults, name
        table = name.partition("-")[0]
        assert any(fault.startswith(table) for fault in faults), (name, faults)
