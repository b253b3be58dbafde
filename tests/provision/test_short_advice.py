"""Short words on lists: each is explained by the key, and no advice is lost."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from fellfare.provision.bags.plan import HOT_POUR, bags_of
from fellfare.provision.bags.short import key_said, short_advice


@pytest.mark.parametrize("name", ["pot", "porridge"])
def test_every_advice_has_its_word_and_every_word_its_meaning(
    dish: Callable[..., Any], name: str
) -> None:
    for bag in bags_of((dish(name),)):
        said = [text for text in bag.advice if text != HOT_POUR]
        words = short_advice(bag)
        assert len(words) == len(set(said)) + bool(bag.second_bag)
        assert all(f"‘{word}’" in key_said({word}) for word in words)


def test_an_advice_without_a_short_word_is_said_whole(dish: Callable[..., Any]) -> None:
    from msgspec.structs import replace

    (bag, *_) = bags_of((dish("pot"),))
    assert "hums at night" in short_advice(replace(bag, advice=("hums at night",)))
    assert key_said({"hums at night"}) == ""
