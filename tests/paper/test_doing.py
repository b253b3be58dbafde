"""What is done stands in the order in which it is done."""

from __future__ import annotations

from fellfare.paper.words import doing
from fellfare.provision.acts import Deed


def test_when_to_wet_it_stands_with_the_soaking() -> None:
    told = [
        Deed("soak in cold water with vegetables 9 g", ("330 ml (1⅓ cups)", "59 min"), "soak"),
        Deed("drain", (), "drain"),
    ]
    assert doing(told, "Wet it when you get up") == [
        ("Soak in cold water with vegetables 9 g", "330 ml (1⅓ cups) · 59 min"),
        ("Wet it when you get up", ""),
        ("Drain", ""),
    ]


def test_what_is_not_soaked_is_said_as_it_is_done() -> None:
    assert doing([Deed("heat")], "") == [("Heat", "")]
