"""What is done stands in the order in which it is done."""

from __future__ import annotations

from fellfare.paper.words import doing
from fellfare.provision.label import LabelStep
from fellfare.recipe.document import Act


def step(act: Act, said: str) -> LabelStep:
    return LabelStep(
        act=act, said=said, text="", water=None, water_unknown=False,
        minutes=None, most_minutes=None, minutes_trust="unknown",
    )  # fmt: skip


def test_when_to_wet_it_stands_with_the_soaking() -> None:
    steps = [step("soak", "soak in cold water"), step("drain", "drain")]
    assert doing(steps, "Wet it when you get up") == [
        ("Soak in cold water", ""),
        ("Wet it when you get up", ""),
        ("Drain", ""),
    ]


def test_what_is_not_soaked_is_said_as_it_is_done() -> None:
    assert doing([step("heat", "heat")], "") == [("Heat", "")]
