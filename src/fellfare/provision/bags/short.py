"""How is the advice on a bag said in one or two words, with a key above the list?"""

from __future__ import annotations

from typing import Final

from fellfare.provision.bags.plan import HOT_POUR, PlannedBag

#: Opening of an advice → its short word, and what that means.
_WORDS: Final = {
    "screw cap": ("upright", "screw cap, a little headspace, upright and away from clothes"),
    "holds something that leaks": ("leaks", "a screw bottle would be better than bags"),
    "crushes": ("on top", "crushes: on top, or in a box"),
    "melts": ("shade", "melts: deep in the pack, out of the sun"),
    "goes solid": ("warm", "goes solid in the cold: near the body"),
    "at or under 5 °C": ("COLD", "at or under 5 °C until it is used"),
}
_TWO: Final = "2 bags"


def short_advice(bag: PlannedBag) -> tuple[str, ...]:
    """'2 bags', 'upright', 'on top'; advice that has no short word is said whole."""
    said = [_TWO] if bag.second_bag else []
    said += [_short(text) for text in bag.advice if text != HOT_POUR]
    return tuple(dict.fromkeys(said))


def _short(text: str) -> str:
    return next((word for lead, (word, _) in _WORDS.items() if text.startswith(lead)), text)


def key_said(words: set[str]) -> str:
    """'2 bags: a second bag around it; on top: crushes …', of those words that are used."""
    key = {_TWO: "a second bag around it, against oil, powder or smell"}
    key |= dict(_WORDS.values())
    return "; ".join(f"‘{word}’: {means}" for word, means in key.items() if word in words)
