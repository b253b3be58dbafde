"""What does the scale show, so that the bags of a plan still add up to it?

A kitchen scale shows grams, a spice scale tenths.  Bags are rounded once, here, and what one
bag gets too much the next gets less: however many bags there are, all of them together stay
within half a gram of the plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from msgspec.structs import replace

from fellfare.provision.bags.plan import Content, PlannedBag

#: Bags from here on are weighed in whole grams, smaller ones in tenths [g]: half a gram in
#: ten is what a level spoon misses by; a pinch of nutmeg must not become a gram.
WHOLE_FROM_G: Final = 10.0

#: Tenths of a gram, in which the contents of a bag are counted.
_PER_G: Final = 10


def apportion(parts: Sequence[float], total: int, least: int = 0) -> tuple[int, ...]:
    """Whole numbers in proportion to ``parts`` that add up to ``total`` exactly.

    Largest remainder (Hamilton's method of dividing seats): each gets the whole part of
    its quota, and what is left goes one by one to the largest remainders, the first on a
    tie.  No part is off by one or more, but for those that ``least`` lifts.

    Parameters
    ----------
    parts
        Zero or more each.
    total
        What they shall add up to.
    least
        What every part above zero gets at least, as far as the total reaches.
    """
    if any(not part >= 0.0 for part in parts):
        raise ValueError("a part below zero cannot be shared out")
    whole = sum(parts)
    if not whole > 0.0 or total <= 0:
        return tuple(0 for _ in parts)
    given = [min(least, int(total // len(parts))) if part > 0.0 else 0 for part in parts]
    quotas = [part * total / whole for part in parts]
    shares = [max(int(quota), base) for quota, base in zip(quotas, given, strict=True)]
    while (rest := total - sum(shares)) != 0:
        if rest > 0:
            place = max(range(len(parts)), key=lambda n: (quotas[n] - shares[n], -n))
            shares[place] += 1
        else:  # lifted ones took too much: the most favoured gives back
            able = [n for n in range(len(parts)) if shares[n] > given[n]]
            place = max(able, key=lambda n: (shares[n] - quotas[n], -n))
            shares[place] -= 1
    return tuple(shares)


def on_the_scale(bags: Iterable[PlannedBag]) -> tuple[PlannedBag, ...]:
    """The bags as they are weighed: whole grams from 10 g on, tenths below.

    Contents and portions are shared out in tenths so that they add up to their bag.  What
    nobody measured stays unmeasured.  The bags together differ from what they were by at
    most half a gram, as long as one of them has 10 g or more.
    """
    bags = tuple(bags)
    tenths: dict[int, int] = {}
    carry = 0.0
    small_first = sorted(range(len(bags)), key=lambda n: (bags[n].mass_g >= WHOLE_FROM_G, n))
    for place in small_first:
        bag = bags[place]
        unit = _PER_G if bag.mass_g >= WHOLE_FROM_G else 1
        foods = sum(1 for content in bag.contents if content.mass_g)
        want = bag.mass_g * _PER_G + (carry if unit == _PER_G else 0.0)
        tenths[place] = max(unit * round(want / unit), foods)
        carry += bag.mass_g * _PER_G - tenths[place]
    return tuple(_weighed(bag, tenths[place]) for place, bag in enumerate(bags))


def _weighed(bag: PlannedBag, tenths: int) -> PlannedBag:
    masses = [content.mass_g or 0.0 for content in bag.contents]
    shares = apportion(masses, tenths, least=1)
    return replace(
        bag,
        mass_g=tenths / _PER_G,
        contents=tuple(
            _content(content, share) for content, share in zip(bag.contents, shares, strict=True)
        ),
    )


def _content(content: Content, tenths: int) -> Content:
    if content.mass_g is None:
        return content
    known = [grams or 0.0 for _, grams in content.portions]
    parts = apportion(known if sum(known) > 0.0 else [1.0 for _ in known], tenths)
    return replace(
        content,
        mass_g=tenths / _PER_G,
        portions=tuple(
            (name, part / _PER_G) for (name, _), part in zip(content.portions, parts, strict=True)
        ),
    )
