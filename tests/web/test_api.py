"""The API: the same answers as the command line, and a description that holds.

schemathesis throws odd requests at every described operation and looks whether the answers are
as described.
"""

from __future__ import annotations

import json
import os
import re
from pathlib import Path
from typing import Any

import schemathesis
from click.testing import CliRunner
from hypothesis import HealthCheck, Phase, given, settings
from litestar import Litestar
from litestar.testing import TestClient

from fellfare.book import Book
from fellfare.cli.main import fellfare
from fellfare.files.demo_documents import demo_documents
from fellfare.web import Settings, make_app

Client = TestClient[Litestar]
NAME = "bulgur-pepper-walnut-sumac"


def test_a_sheet_is_what_the_command_prints(demo_client: Client, tmp_path: Path) -> None:
    text = dict(demo_documents())[f"recipes/{NAME}.toml"]
    path = tmp_path / f"{NAME}.toml"
    path.write_text(text, "utf-8")
    printed = json.loads(CliRunner().invoke(fellfare, ["recipe", str(path), "--json"]).stdout)
    assert demo_client.get(f"/api/recipes/{NAME}").json() == printed
    sent = demo_client.post("/api/sheet", json={"document": text})
    assert sent.status_code == 200
    assert sent.json() == printed


def test_unknown_figures_are_null_and_never_zero(demo_client: Client) -> None:
    food = demo_client.get("/api/foods/sumac").json()
    assert food["per_100g"]["energy_kcal"] is None
    assert set(food["per_100g"]) >= {"protein_g", "sodium_mg", "water_g"}


def test_foods_are_found_by_words(demo_client: Client) -> None:
    found = demo_client.get("/api/foods", params={"q": "rolled oats", "most": 3}).json()["foods"]
    assert found[0]["id"] == "rolled-oats"
    assert len(found) <= 3
    assert demo_client.get("/api/foods", params={"q": "x", "most": 0}).status_code == 400


def test_refusals_have_one_shape(demo_client: Client) -> None:
    for answer, status in (
        (demo_client.get("/api/recipes/none"), 404),
        (demo_client.get("/api/foods/none"), 404),
        (demo_client.post("/api/sheet", json={"document": "title ="}), 422),
        (demo_client.post("/api/sheet", json={}), 400),
        (demo_client.get("/api/nothing"), 404),
    ):
        assert answer.status_code == status
        assert set(answer.json()) == {"code", "what", "mend", "where", "each"}


def test_pasted_text_is_read_line_by_line(demo_client: Client) -> None:
    text = "Oats\nServes 1\n\nIngredients\n80 g rolled oats\n1 cup fog\n"
    answer = demo_client.post("/api/read", json={"text": text}).json()
    assert answer["document"] is None
    assert [line["mistake"] is None for line in answer["lines"]] == [True, True, True, True, False]


def test_a_document_is_kept_with_the_token_and_on_top_of_the_right_revision(
    client: Client, book: Book, post: Any
) -> None:
    text = 'title = "Oats"\n[[line]]\nfood = "rolled-oats"\namount = "80 g"\n'
    at = "/api/documents/recipe/oats"
    body = {"document": text, "based_on": None}
    assert client.put(at, json=body).status_code == 403
    head = {"x-csrftoken": post.token}
    assert client.put(at, json=body, headers=head).json()["revision"] == 1
    assert client.get(at).json()["document"] == text
    newer = body | {"document": text.replace("80", "90")}
    stale = client.put(at, json=newer, headers=head)
    assert stale.status_code == 409
    assert stale.json()["code"] == "book-changed-meanwhile"
    bad = client.put(at, json=newer | {"document": "x"}, headers=head)
    assert bad.status_code == 422
    assert book.get("recipe", "oats").revision == 1
    assert client.delete(at).status_code == 403
    assert client.delete(at, headers=head).json()["deleted"]
    listed = client.get("/api/documents/recipe").json()
    assert [one["name"] for one in listed["deleted"]] == ["oats"]
    assert client.post(f"{at}/undo", headers=head).json()["deleted"] is False
    assert book.get("recipe", "oats").text == text


def test_an_own_food_is_kept_and_found(client: Client, post: Any) -> None:
    food = 'id = "bar"\nname = "bar"\n[label]\nstyle = "eu"\nenergy_kcal = 400\n'
    head = {"x-csrftoken": post.token}
    kept = client.put("/api/documents/food/bar", json={"document": food}, headers=head)
    assert kept.status_code == 200
    assert client.get("/api/foods/bar").json()["per_100g"]["energy_kcal"] == 400
    odd = client.put(
        "/api/documents/food/bar", json={"document": food + "x = 1", "based_on": 1}, headers=head
    )
    assert odd.status_code == 422
    assert client.get("/api/documents/spell").status_code == 400


def test_the_description_is_served_and_names_no_other_host(demo_client: Client) -> None:
    text = demo_client.get("/api/openapi.json").text
    described = json.loads(text)
    assert described["openapi"].startswith("3.1")
    assert set(described["paths"]) >= {"/api/foods", "/api/recipes", "/api/sheet", "/api/read"}
    assert all(path.startswith("/api/") for path in described["paths"])
    assert re.findall(r"https?://[^\"]*", text) == []


def test_odd_requests_get_described_answers(demo_book: Book) -> None:
    """A few odd requests for every operation; more by hand: FELLFARE_ODD=200."""
    app = make_app(demo_book, Settings(hosts=("testserver.local", "localhost"), secret="0" * 64))
    with TestClient(app) as client:
        schema = schemathesis.openapi.from_dict(client.get("/api/openapi.json").json())
        most = int(os.environ.get("FELLFARE_ODD", "6"))
        for result in schema.get_all_operations():
            _ask_oddly(client, result.ok(), most)


def _ask_oddly(client: Client, operation: Any, most: int) -> None:
    seen: list[int] = []

    @settings(
        max_examples=most, deadline=None, database=None, phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(case=operation.as_strategy())
    def odd(case: Any) -> None:
        seen.append(_status(client, case))

    odd()
    assert seen, operation.label


def _status(client: Client, case: Any) -> int:
    """The status of one odd request, looked over; 0 when the client cannot send it."""
    made = case.as_transport_kwargs(base_url="http://testserver.local")
    if not all(str(value).isascii() for value in (made.get("headers") or {}).values()):
        return 0
    answer = client.request(
        made["method"], made["url"], params=made.get("params"), json=made.get("json"),
        headers=made.get("headers"),
    )  # fmt: skip
    described = {int(code) for code in case.operation.definition.raw["responses"]}
    assert answer.status_code in described | {400, 404, 405, 422}, (made, answer.status_code)
    if answer.status_code >= 400:  # told once for all operations: every refusal has one shape
        assert set(answer.json()) == {"code", "what", "mend", "where", "each"}, made
    return answer.status_code
