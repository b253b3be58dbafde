"""What does a line of a method say?  Act, time and water of each clause.

Nothing is guessed: a clause without an act, or with two times, is refused.
"""

from __future__ import annotations

import re
from typing import Final

from fellfare.measure.reading import read_amount
from fellfare.measure.units import System
from fellfare.mistake import Mistake
from fellfare.recipe.document import Act

#: The verb that opens a clause says what is done; longer phrases first.
_ACTS: Final[tuple[tuple[str, Act], ...]] = (
    ("cold soak", "soak"), ("leave to soak", "soak"), ("let soak", "soak"),
    ("bring to the boil", "boil"), ("bring to a boil", "boil"),
    ("leave to stand", "rest"), ("let stand", "rest"), ("let sit", "rest"),
    ("stir in", "mix"), ("soak", "soak"), ("rehydrate", "soak"), ("steep", "steep"),
    ("boil", "boil"), ("simmer", "simmer"), ("cook", "simmer"), ("fry", "fry"), ("sauté", "fry"),
    ("saute", "fry"), ("toast", "toast"), ("roast", "bake"), ("bake", "bake"), ("dry", "dry"),
    ("dehydrate", "dry"), ("mix", "mix"), ("combine", "mix"), ("stir", "mix"), ("shake", "mix"),
    ("whisk", "mix"), ("blend", "mix"), ("fold", "mix"), ("add", "mix"), ("rest", "rest"),
    ("wait", "rest"), ("leave", "rest"), ("let", "rest"), ("stand", "rest"), ("cover", "rest"),
    ("heat", "heat"), ("warm", "heat"), ("drain", "drain"), ("pack", "pack"), ("bag", "pack"),
    ("weigh", "pack"), ("seal", "pack"), ("serve", "serve"), ("eat", "serve"), ("top", "serve"),
    ("scatter", "serve"), ("sprinkle", "serve"), ("drizzle", "serve"), ("finish", "serve"),
    ("season", "serve"), ("enjoy", "serve"),
)  # fmt: skip
#: Boiling water that meets food off the fire.
_POURED: Final = re.compile(
    r"\b(?:pour|add|cover|top up)\b.*\b(?:boiling|just[ -]boiled|freshly boiled)\s+(?:hot\s+)?water"
)
#: The water alone is brought to the boil: nothing else is boiled in it.
_WATER_ALONE: Final = re.compile(
    r"\bboil\s+(?:(?!(?:in|with|and)\b)\S+\s+){0,4}water\b"
    r"|\b(?:bring|heat)\s+(?:(?!(?:in|with|and)\b)\S+\s+){0,4}water\s+to\s+(?:the|a)\s+boil\b"
)
_BROUGHT: Final = re.compile(r"\bbring\s+(?:\S+\s+){0,6}?to\s+(?:the|a)\s+boil\b")
_POUR: Final = re.compile(r"\b(?:pour|add|cover)\b")
_FIRE: Final = frozenset({"boil", "simmer", "fry", "bake", "toast", "heat"})

_WORDS: Final = "half|an?|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve"
_NUMBER: Final = (
    r"(?:\d+/\d+|\d+(?:[.,]\d+)?(?:\s+\d+/\d+|\s*[¼½¾⅓⅔])?|[¼½¾⅓⅔]"
    rf"|(?:{_WORDS})(?:\s+an?)?(?:\s+and\s+a\s+half)?)"
)
_TIME: Final = re.compile(
    rf"(?<![\w/.,])(?P<every>every\s+)?(?P<first>{_NUMBER})(?:\s*(?:-|–|—|to|or)\s*(?P<last>{_NUMBER}))?"
    r"[\s-]*(?P<unit>minutes?|mins?|hours?|hrs?|h|days?|seconds?|secs?)\b"
    r"(?P<half>\s+and\s+a\s+half)?",
    re.I,
)
_UNIT_MINUTES: Final = {"d": 1440.0, "h": 60.0, "m": 1.0, "s": 1 / 60}
#: '1 hour and 30 minutes' is one time.
_ONE_TIME: Final = re.compile(r"\s*(?:,|and|&)?\s*", re.I)
_WATER: Final = re.compile(
    r"((?:about\s+)?[\d¼½¾⅓⅔⅛/.,]+(?:\s[\d¼½¾⅓⅔⅛/.,]+)*\s?"
    r"(?:ml|millilit(?:re|er)s?|dl|l|lit(?:re|er)s?|cups?|fl\.? ?oz|tbsp|pints?))"
    r"\s(?:of\s)?(?:(?:cold|hot|boiling|warm|just-boiled|treated|fresh)\s)*water",
    re.I,
)
_JOINED: Final = re.compile(
    r",?\s(?:and|&)\s(?=(?:boil|simmer|soak|steep|fry|bake|drain|cook)\b)", re.I
)


def clauses(text: str) -> list[str]:
    """One act each: split at full stops, semicolons, 'then', and 'and simmer'."""
    text = " ".join(text.split())
    parts = re.split(r"(?<=[.!;])\s(?!(?:or|until)\b)|;\s*|,?\s(?:and then|then)\s", text)
    return [
        part.strip().rstrip(".;")
        for whole in parts
        for part in _JOINED.split(whole)
        if part.strip(" .;")
    ]


def act_of(clause: str) -> Act:
    """What is done.

    Raises
    ------
    Mistake
        ``no-act``.
    """
    lowered = " ".join(re.sub(r"[^\w\s-]", " ", clause.casefold()).split())
    if _WATER_ALONE.search(lowered):
        return "steep" if _POUR.search(lowered) else "heat"
    if _POURED.search(lowered):
        return "steep"
    if _BROUGHT.search(lowered):
        return "boil"
    best: tuple[int, int, Act] | None = None
    for phrase, act in _ACTS:
        match = re.search(rf"\b{re.escape(phrase)}\b", lowered)
        if match and (best is None or (match.start(), -len(phrase)) < best[:2]):
            best = (match.start(), -len(phrase), act)
    if best is None:
        raise Mistake(
            "no-act",
            f"no act is recognised in {clause[:60]!r}",
            "open with what is done: soak, boil, simmer, steep, fry, toast, mix, rest, serve …",
        )
    return best[2]


def minutes_of(clause: str, act: Act) -> float | None:
    """The time named [min], or None.

    A boil counts with the shorter end of a range (it may have to kill
    something), a soak or rest with the longer one (it may become too long).
    'Stirring every 5 minutes' names no time of the act.

    Raises
    ------
    Mistake
        ``two-times``: more than one time, and they do not agree.
    """
    times: list[float] = []
    end, unit_before = -1, ""
    for match in _TIME.finditer(clause):
        if match["every"] or re.search(r"\bevery\s*$", clause[: match.start()], re.I):
            continue
        unit = match["unit"][0].lower()
        written = match["first"] if act in _FIRE else match["last"] or match["first"]
        number = float(read_amount(f"{written} pieces").value) + (0.5 if match["half"] else 0.0)
        minutes = number * _UNIT_MINUTES[unit]
        joined = end >= 0 and _ONE_TIME.fullmatch(clause[end : match.start()])
        if joined and _UNIT_MINUTES[unit] < _UNIT_MINUTES[unit_before]:
            times[-1] += minutes
        else:
            times.append(minutes)
        end, unit_before = match.end(), unit
    if len(set(times)) > 1:
        raise Mistake(
            "two-times",
            f"more than one time is named in {clause[:60]!r}",
            "write one act with its time in a sentence of its own",
        )
    return times[0] if times else None


def water_of(clause: str, system: System) -> str | None:
    """The water that the clause adds, as written: '110 ml'; None = none is named.

    Raises
    ------
    Mistake
        ``amount-…`` when it cannot be read.
    """
    found = _WATER.search(" ".join(clause.split()))
    if found is None:
        return None
    text = found.group(1).strip(" ,.")
    read_amount(text, system)
    return text


def only_water(text: str) -> str | None:
    """'500 ml' of '500 ml cold water, treated'; None when more than water is named."""
    found = _WATER.fullmatch(" ".join(text.split(",")[0].split()))
    return found.group(1).strip() if found else None
