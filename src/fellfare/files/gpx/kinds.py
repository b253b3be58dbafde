"""What is this named point for?  Words that people and receivers write beside it."""

from __future__ import annotations

from typing import Final

#: Lower-case words as they stand in 'type' and 'sym' → our kind.
_KINDS: Final = {
    word: kind
    for kind, words in {
        "camp": "camp, campsite, campground, camping, tent, tent site, bivouac, pitch",
        "hut": "hut, refuge, shelter, bothy, lodge, lodging, cabin",
        "shop": "shop, store, grocery, supermarket, shopping center, convenience store",
        "box": "box, parcel, posted box, post office",
        "water": "water, drinking water, spring, well, stream, tap, water source",
        "fire-ban-start": "fire ban starts, fire ban start, fire-ban-start",
        "fire-ban-end": "fire ban ends, fire ban end, fire-ban-end",
    }.items()
    for word in words.split(", ")
}


def kind_of(*words: str) -> str:
    """The kind named by the first word that we know, or '' when none is known."""
    found = (_KINDS.get(" ".join(word.lower().split())) for word in words)
    return next((kind for kind in found if kind), "")
