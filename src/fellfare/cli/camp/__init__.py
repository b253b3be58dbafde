"""``fellfare camp``: one question, one command; nothing but the answer is loaded."""

from __future__ import annotations

from importlib import import_module
from typing import Final

import click

#: Question → (file, one line of help).
QUESTIONS: Final = {
    "boil": ("boil", "How hot does water get up there, and how much longer must it cook?"),
    "fuel": ("fuel", "How much fuel and how many canisters for so much hot water?"),
    "soak": ("soak", "How long must these foods soak in this water, and how much do they take?"),
    "soak-test": ("soak_test", "Your own soak time of one food from one test at home."),
    "gas": ("gas", "Does the canister still give gas in that cold?"),
    "wet": ("wet", "When to wet the jar so that dinner is ready on arrival."),
    "stove-or-none": ("stove_or_none", "Stove or no stove: which is lighter, from which day on?"),
    "calibrate": ("calibrate", "The efficiency of your own stove from one weighed boil."),
}

ABOUT: Final = """\
\b
Measures: altitude 4200, 4200m or '13800 ft'; temperature 8, '8 °C' or 46F;
water 500ml, 2L or '2 cups'; mass 120g or '4 oz'; share 15% or 0.15;
time 17:30 or 5:30pm, from-to as 17:30-18:30.
"""


class _Questions(click.Group):
    """Loads a question only when it is asked."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(QUESTIONS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in QUESTIONS:
            return None
        module = import_module(f"fellfare.cli.camp.{QUESTIONS[cmd_name][0]}")
        question = module.command
        assert isinstance(question, click.Command)
        return question

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in QUESTIONS.items()])


@click.group(
    name="camp",
    cls=_Questions,
    epilog=ABOUT,
    context_settings={"help_option_names": ["-h", "--help"]},
)
def command() -> None:
    """Single questions about camp: boiling, fuel, soaking, gas in the cold, stove or none."""
