"""The trail card as one file for a telephone: no network, and no script needed to read it."""

from __future__ import annotations

import hashlib
from base64 import b64encode
from html import escape
from pathlib import Path
from typing import Final

from fellfare.mistake import Mistake
from fellfare.paper.glyphs import isolated, plain
from fellfare.paper.trail import day_foot, day_head, meal_lines
from fellfare.paper.words import capital
from fellfare.provision.cards.trail import CardDay, CardMeal, TrailCard

_HERE: Final = Path(__file__).parent / "sheets"

#: A card larger than this is slow to open on an old telephone, and no card [bytes].
MOST_BYTES: Final = 300_000

#: Classes of the lines, so that the style sheet knows them.
_CLASSES: Final = {"bags": "bags", "do": "do", "add": "add", "not-for": "not-for", "mind": "mind"}


def trail_html(card: TrailCard) -> str:
    """One HTML document with its style and its small script inside.

    Nothing is fetched (the page's own policy forbids it) and everything can be
    read with scripts off; the script only remembers the ticks in the browser,
    where the browser allows that.  The same card gives the same text.

    Raises
    ------
    Mistake
        ``nothing-planned``; ``page-too-large``.
    """
    if not card.days:
        raise Mistake("nothing-planned", "no day is planned", "plan at least one dish")
    style = (_HERE / "trail.css").read_text(encoding="utf-8").strip()
    script = (_HERE / "trail.js").read_text(encoding="utf-8").strip()
    jumps = " ".join(
        f'<a href="#day-{place}">{day.day}</a>' for place, day in enumerate(card.days, 1)
    )
    days = "\n".join(_day(day, place) for place, day in enumerate(card.days, 1))
    foot = "".join(f"<p>{_text(words)}</p>" for words in card.standing)
    title = _text(card.title or "Trail card")
    key = hashlib.sha256(f"{title}\n{days}".encode()).hexdigest()[:16]
    policy = (
        f"default-src 'none'; style-src '{_hash(style)}'; script-src '{_hash(script)}'; "
        "base-uri 'none'; form-action 'none'"
    )
    page = f"""<!doctype html>
<html lang="en" data-card="{key}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta http-equiv="Content-Security-Policy" content="{policy}">
<title>{title}</title>
<style>{style}</style>
</head>
<body>
<header>
<h1>{title}</h1>
<nav aria-label="Days">Day {jumps}</nav>
</header>
<main>
{days}
</main>
<footer>
{foot}
<p class="keep" hidden>Ticks are kept in this browser.
<button type="button">Clear all ticks</button></p>
</footer>
<script>{script}</script>
</body>
</html>
"""
    if len(page.encode("utf-8")) > MOST_BYTES:
        raise Mistake(
            "page-too-large",
            f"the card has {len(page.encode('utf-8')) // 1000} kB",
            f"at most {MOST_BYTES // 1000} kB: print fewer days on one card",
        )
    return page


def _day(day: CardDay, place: int) -> str:
    head, sub = day_head(day)
    notes = "".join(f'<p class="note">{_text(note)}</p>' for note in day.notes)
    meals = "\n".join(_meal(meal, f"{place}-{at}") for at, meal in enumerate(day.meals, 1))
    return (
        f'<section id="day-{place}"><h2>{_text(head)} <small>{_text(sub)}</small></h2>{notes}\n'
        f'{meals}\n<p class="foot">{_text(day_foot(day))}</p></section>'
    )


def _meal(meal: CardMeal, name: str) -> str:
    lines = "\n".join(_line(one) for one in meal_lines(meal))
    return (
        f'<article><h3><label><input type="checkbox" id="eaten-{name}"> '
        f'<span class="time">{_text(capital(meal.time))} · for {_text(meal.who)}</span> '
        f"<span>{_text(meal.dish)}</span></label></h3>\n{lines}</article>"
    )


def _line(line: dict[str, str]) -> str:
    figures = f": <b>{_text(line['figures'])}</b>" if line["figures"] else ""
    said = _text(isolated(line["text"]))  # a name must not move the figures beside it
    text = f"<bdi>{said}</bdi>" if line["kind"] == "not-for" else said
    return f'<p class="{_CLASSES[line["kind"]]}">{text}{figures}</p>'


def _text(words: str) -> str:
    return escape(plain(words), quote=True)


def _hash(inline: str) -> str:
    return f"sha256-{b64encode(hashlib.sha256(inline.encode()).digest()).decode()}"
