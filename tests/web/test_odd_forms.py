"""Whatever is typed into a form, the answer is a page: never a fault of ours."""

from __future__ import annotations

import os
import re
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from litestar import Litestar
from litestar.testing import TestClient

Client = TestClient[Litestar]

#: What people type, mistype and paste; and what tries to break things.
WORDS = st.one_of(
    st.sampled_from([
        "", " ", "90 g", "1/2 cup", "1/0 cup", "½ tsp", "-5 g", "1e400 g", "nan", "inf", "١٢ g",
        "bulgur", "walnut", "rolled oats", "no such food", "to taste", "2 cloves", "yes", "no",
        "soak", "pot, lid", "' or 1=1 --", "<b>", "{{ 7*7 }}", "%00", "\x00", "\u202e", "😀",
        "12,5", "a" * 300,
        "[[line]]", '"""', "true", "0", "99999999999", "1e-9 g", "10 kg", "dinner", "us", "metric",
    ]),
    st.text(max_size=20),
)  # fmt: skip

RECIPE_FIELDS = (
    ["title", "serves", "tags", "about", "origin", "system", "hold_minutes", "air_c", "meals", "do",
     "new-line", "based_on"]
    + [f"line-{n}-{field}" for n in (0, 1, 7) for field in
       ("food", "amount", "bag", "note", "optional", "swap", "scale_exponent", "home_made")]
    + [f"step-{n}-{field}" for n in (0, 2) for field in
       ("act", "bags", "water", "minutes", "where", "text", "at_c", "discard_water")]
    + [f"bag-0-{field}" for field in ("name", "packing", "kept", "tare_g")]
)  # fmt: skip
LABEL_FIELDS = (
    ["name", "group", "form", "words", "style", "per_g", "energy_kcal", "energy_kj", "fat_g",
     "salt_g", "carbohydrate_g", "fibre_g", "protein_g", "read", "contains", "may_contain", "ways",
     "traits", "keeps_least", "keeps_most", "activity_least", "bulk_density_g_per_ml"]
    + [f"measure-{n}-{field}" for n in (0, 2) for field in ("unit", "mass_g")]
    + [f"soak-0-{field}" for field in ("way", "minutes", "most_minutes", "at_c")]
)  # fmt: skip

#: More by hand: FELLFARE_ODD=500.
tried = settings(
    max_examples=int(os.environ.get("FELLFARE_ODD", "25")),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


def sent(client: Client, address: str, data: dict[str, str]) -> Any:
    found = re.search(r'name="_csrf_token" value="([^"]+)"', client.get("/cautions").text)
    assert found is not None
    return client.post(address, data={"_csrf_token": found[1]} | data, follow_redirects=False)


@tried
@given(st.dictionaries(st.sampled_from(RECIPE_FIELDS), WORDS, max_size=25))
def test_odd_recipes_are_answered(demo_client: Client, data: dict[str, str]) -> None:
    assert sent(demo_client, "/recipes/figures", data).status_code == 200
    unsaved = data | {"do": data.get("do", "") if data.get("do") != "save" else "look"}
    assert sent(demo_client, "/recipes/new", unsaved).status_code == 200


@tried
@given(st.dictionaries(st.sampled_from(RECIPE_FIELDS), WORDS, max_size=25))
def test_odd_recipes_are_kept_or_refused(client: Client, data: dict[str, str]) -> None:
    answer = sent(client, "/recipes/new", data | {"do": "save"})
    assert answer.status_code in (303, 422)
    if answer.status_code == 303:
        assert client.get(answer.headers["location"]).status_code == 200
        assert client.get("/recipes").status_code == 200


@tried
@given(st.dictionaries(st.sampled_from(LABEL_FIELDS), WORDS, max_size=20))
def test_odd_labels_are_kept_or_refused(client: Client, data: dict[str, str]) -> None:
    answer = sent(client, "/foods/new", data)
    assert answer.status_code in (303, 422)
    if answer.status_code == 303:
        page = client.get(answer.headers["location"], follow_redirects=True)
        assert page.status_code == 200


@tried
@given(st.lists(WORDS, max_size=12))
def test_odd_texts_are_looked_over(demo_client: Client, rows: list[str]) -> None:
    answer = sent(demo_client, "/recipes/paste", {"text": "\n".join(rows), "system": "us"})
    assert answer.status_code in (200, 422)
    again = {f"row-{number}": row for number, row in enumerate(rows)} | {"do": "look"}
    assert sent(demo_client, "/recipes/paste", again).status_code in (200, 422)
