"""The command ``fellfare`` and its sub-commands; each is imported when called.

Exit status: 0 done; 1 done, with an error finding or a plan that cannot be;
2 what was given could not be used.  Figures go to standard output, findings
and mistakes to standard error; with ``--json`` everything is in the JSON.
"""

from __future__ import annotations

import sys
from importlib import import_module
from typing import Final

import click

from fellfare.mistake import Mistake

#: Command → (module, one line of help).
COMMANDS: Final = {
    "recipe": ("recipe", "The sheet of a recipe: mass, energy, water, bags, panels, cautions."),
    "read": ("read", "Turn pasted text into a recipe document, line by line."),
    "scale": ("scale", "Write a recipe for another number of eaters."),
    "food": ("food", "Search the pantry, or show one food with its sources."),
    "camp": ("camp", "Single questions: boiling, fuel, soaking, gas in the cold, stove or none."),
    "menu": ("menu", "The dishes of a walk at the least mass carried, with the proof."),
    "walk": ("walk", "Stages, arrival times and what each walker needs on each day."),
    "publish": (
        "publish",
        "A recipe as text, Markdown or schema.org JSON-LD, ready to send out.",
    ),
    "paper": ("paper", "Recipe cards, bag labels, lists and the trail card, as PDF or HTML."),
    "provision": (
        "provision",
        "Shopping, prep, bags, loads, boxes, fuel and water of a trip, and all its papers.",
    ),
    "basket": ("basket", "What to buy in a thin shop when the box is lost, proven."),
    "bulk": ("bulk", "A party's food by ration factors: groups, packs and bags, without a menu."),
    "robust": ("robust", "A lost bag, a storm, a dry source, a lost box: does the plan stand?"),
    "season": ("season", "Many parties: one purchase, lots and recalls, changed papers."),
    "batch": ("batch", "Many trips or recipes at once, on one machine or a cluster."),
    "learn": ("learn", "What came home, and how it corrects the next trip."),
    "compose": ("compose", "Every combination of a few parts, scored; those that differ most."),
    "book": ("book", "What you keep: list, history, undo, import, export, backup."),
    "serve": ("serve", "Your book in the browser: foods, recipes, trips, menus."),
    "demo": ("demo", "Write the invented demo documents and show what comes of them."),
}


class _Commands(click.Group):
    """Loads a sub-command only when it is asked for: start-up stays short."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = import_module(f"fellfare.cli.{COMMANDS[cmd_name][0]}")
        command = module.command
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in COMMANDS.items()])


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="fellfare", message="%(prog)s %(version)s")
def fellfare() -> None:
    """Food for multi-day lightweight walks: from ingredient lines to a recipe sheet."""


def main() -> None:
    """Entry point: runs the command and turns a Mistake into exit status 2."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:  # a terminal that cannot show ½ shows '?', and goes on
            reconfigure(errors="replace")
    try:
        fellfare(standalone_mode=True)
    except Mistake as mistake:
        from fellfare.cli.told import tell_mistake

        tell_mistake(mistake)
        raise SystemExit(2) from None
    except BrokenPipeError:
        sys.stderr.close()
        raise SystemExit(0) from None
