"""The HTML trail card: one file, nothing fetched, readable without scripts, nothing let through."""

from __future__ import annotations

import hashlib
import re
from base64 import b64encode
from html.parser import HTMLParser
from typing import Any

import pytest

from fellfare.mistake import Mistake
from fellfare.paper.page import MOST_BYTES, trail_html

#: Attributes by which a page fetches something (HTML Living Standard, from memory).
FETCHING = {"src", "srcset", "data", "poster", "action", "formaction", "background", "ping"}

VOID = {"meta", "input", "br", "link", "img", "hr"}


class Reader(HTMLParser):
    """Collects tags, attributes and words, and minds that tags are closed in order."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if not {"script", "style"} & set(self.open):
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join("".join(self.words).split())


def read(page: str) -> Reader:
    reader = Reader()
    reader.feed(page)
    reader.close()
    assert reader.open == []
    return reader


def test_nothing_is_fetched(our: Any) -> None:
    page = trail_html(our.card(our.plan(our.recipe(), days=(1, 2, 3))))
    for tag, attributes in read(page).found:
        assert tag not in {"link", "img", "iframe", "object", "embed", "base", "form"}
        assert not FETCHING & set(attributes), tag
        if "href" in attributes:
            assert re.fullmatch(r"#day-\d+", attributes["href"] or "")
    assert "//" not in re.sub(r"/\*.*?\*/", "", page)
    assert "url(" not in page
    assert "@import" not in page


def test_the_page_forbids_all_but_its_own_style_and_script(our: Any) -> None:
    page = trail_html(our.card(our.plan(our.recipe())))
    policy = next(a["content"] for t, a in read(page).found if a.get("http-equiv"))
    assert policy is not None
    assert policy.startswith("default-src 'none'")
    # CSP Level 3: a hash is over the exact text between the tags.
    for tag, rule in (("style", "style-src"), ("script", "script-src")):
        (inside,) = re.findall(rf"<{tag}>(.*?)</{tag}>", page, re.DOTALL)
        digest = b64encode(hashlib.sha256(inside.encode()).digest()).decode()
        assert f"{rule} 'sha256-{digest}'" in policy
    assert not re.search(r"\son\w+=", page)
    assert " style=" not in page


@pytest.mark.parametrize(
    "odd",
    [
        "<script>alert(1)</script>", "</style><img src=x onerror=alert(1)>", '"><b>', "a&b &lt; c",
        "' onmouseover='x", "<!-- x", "]]>", "#panic(1) $x$ \\u{41}",
    ],
)  # fmt: skip
def test_every_text_is_shown_as_text(our: Any, odd: str) -> None:
    plain = read(trail_html(our.card(our.plan(our.recipe()), title="Round")))
    recipe = our.recipe(title=odd)
    odd_page = read(trail_html(our.card(our.plan(recipe), title=odd)))
    assert [tag for tag, _ in odd_page.found] == [tag for tag, _ in plain.found]
    assert odd_page.text.count(" ".join(odd.split())) >= 2


def test_everything_can_be_read_without_the_script(our: Any) -> None:
    page = trail_html(our.card(our.plan(our.recipe(), days=(1, 2))))
    text = read(re.sub(r"<script>.*?</script>", "", page, flags=re.DOTALL)).text
    for word in (
        "Day 1 Thu 1 May 2031", "Fire ban: no flame today.", "Dinner · for all Lentil soup",
        "Boil: 600 ml (2½ cups) · 15 min", "Later add nuts 40 g", "NOT FOR Ada", "ERROR: Ada",
        "Emergency: 112 / 911",
    ):  # fmt: skip
        assert word in text, word


def test_every_meal_has_its_own_box_to_tick(our: Any) -> None:
    found = read(trail_html(our.card(our.plan(our.recipe(), days=(1, 2, 3))))).found
    boxes = [a["id"] for tag, a in found if tag == "input" and a.get("type") == "checkbox"]
    assert len(boxes) == len(set(boxes)) == 3


def test_ticks_of_two_trips_are_kept_apart(our: Any) -> None:
    keys = set()
    for title in ("North", "South"):
        tag = read(trail_html(our.card(our.plan(our.recipe()), title=title))).found[0]
        keys.add(tag[1]["data-card"])
    assert len(keys) == 2


def test_dark_print_and_small_screens_are_thought_of(our: Any) -> None:
    page = trail_html(our.card(our.plan(our.recipe())))
    assert "@media (prefers-color-scheme: dark)" in page
    assert "@media print" in page
    assert 'content="width=device-width, initial-scale=1"' in page
    assert '<html lang="en"' in page


def contrast(one: str, two: str) -> float:
    """Contrast of two colours by WCAG 2.2, 'relative luminance' and 'contrast ratio'."""

    def luminance(colour: str) -> float:
        shares = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
        r, g, b = (s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares)
        return 0.2126 * r + 0.7152 * g + 0.0722 * b

    light, dark = sorted((luminance(one), luminance(two)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_words_stand_out_in_the_light_and_in_the_dark(our: Any) -> None:
    page = trail_html(our.card(our.plan(our.recipe())))
    schemes = re.findall(r":root \{[^}]*?(--paper[^}]*)\}", page)
    assert len(schemes) == 3  # light, dark, print
    for scheme in schemes:
        colours = dict(re.findall(r"--(\w+): (#[0-9a-f]{3,6})", scheme))
        full = {n: c if len(c) == 7 else "#" + "".join(2 * x for x in c[1:])
                for n, c in colours.items()}  # fmt: skip
        # WCAG 2.2, 1.4.6 (AAA): 7 to 1 for text; 1.4.11: 3 to 1 for the edge of a control.
        for name in ("ink", "quiet", "link"):
            assert contrast(full[name], full["paper"]) >= 7, (name, scheme)
        if full["rule"] != "#999999":
            assert contrast(full["rule"], full["paper"]) >= 3, scheme


def test_a_long_walk_stays_small_and_the_same(our: Any) -> None:
    card = our.card(
        our.plan(our.recipe(), our.recipe(title="Broth", meals=("lunch",)), days=range(1, 31))
    )
    page = trail_html(card)
    assert len(page.encode()) < MOST_BYTES == 300_000
    assert page == trail_html(card)


def test_a_card_that_would_be_too_large_is_refused(our: Any) -> None:
    with pytest.raises(Mistake) as caught:
        trail_html(our.card(our.plan(our.recipe(title="Soup " * 2000), days=range(1, 41))))
    assert caught.value.code == "page-too-large"


def test_odd_letters_need_no_font_of_ours(our: Any) -> None:
    names = "Stew 🌶 味噌汁 שקשוקה شوربة"
    assert names in read(trail_html(our.card(our.plan(our.recipe(title=names))))).text
    assert "\ufffd" in trail_html(our.card(our.plan(our.recipe(title="a\ud800b"))))


def test_no_day_is_refused(our: Any) -> None:
    empty = type(our.card(our.plan(our.recipe())))(title="x", days=(), standing=())
    with pytest.raises(Mistake) as caught:
        trail_html(empty)
    assert caught.value.code == "nothing-planned"
