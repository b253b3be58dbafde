"""``fellfare camp stove-or-none``."""

from __future__ import annotations

from collections.abc import Callable
from math import floor
from typing import Any, Final

import click
from click.core import ParameterSource

from fellfare.camp import (
    NoStoveKit,
    StoveKit,
    StoveOrStoveless,
    extra_food_g_per_day,
    stove_or_stoveless,
)
from fellfare.camp.stoveless import no_stove_mean_g, stove_mean_g
from fellfare.cli.camp.answer import answer, grams, known, standing, titled
from fellfare.cli.camp.reading import (
    given,
    read_mass_difference_g,
    read_mass_g,
    read_share,
    read_water_or_none_ml,
)
from fellfare.cli.layout import heading, paragraph, table
from fellfare.mistake import Mistake

#: The plot: rows of mass, and the most days that fit across.
_ROWS: Final = 9
_MOST_DAYS: Final = 31
#: 2 h of 8: the wet food then keeps the advice of 2 h [USDA-FSIS-OUTDOORS].
_SOAK_SHARE: Final = "25%"
#: Option → what it is called in the list of what was taken.
_TAKEN: Final = {
    "kit_g": "stove, pot, lighter, screen, empty canister",
    "fuel_g": "fuel a day",
    "fuel_morning": "of it burnt before walking",
    "jar_g": "soak jar with lid",
    "soak_water_ml": "water that soaks in it while walking",
    "soak_share": "of the walking day",
    "extra_g": "more food a day without a stove",
    "extra_morning": "of it eaten before walking",
}


@click.command()
@click.option("--days", default=5, show_default=True, type=click.IntRange(1, 365),
              help="Walking days between two shops.")  # fmt: skip
@click.option("--kit", "kit_g", default="310 g", show_default=True, metavar="MASS",
              callback=given(read_mass_g),
              help="Stove, pot, lighter, screen and the empty canister.")  # fmt: skip
@click.option("--fuel-a-day", "fuel_g", default="16 g", show_default=True, metavar="MASS",
              callback=given(read_mass_g), help="'fellfare camp fuel' reckons it.")  # fmt: skip
@click.option("--fuel-morning", default="50%", show_default=True, metavar="SHARE",
              callback=given(read_share), help="Share of it burnt before walking.")  # fmt: skip
@click.option("--jar", "jar_g", default="60 g", show_default=True, metavar="MASS",
              callback=given(read_mass_g), help="Soak jar with lid.")  # fmt: skip
@click.option("--soak-water", "soak_water_ml", default="300 ml", show_default=True,
              metavar="AMOUNT", callback=given(read_water_or_none_ml),
              help="Water that soaks in the jar while you walk.")  # fmt: skip
@click.option("--soak-share", default=_SOAK_SHARE, show_default=True, metavar="SHARE",
              callback=given(read_share), help="Share of the walking day it soaks.")  # fmt: skip
@click.option("--extra-food", "extra_g", default="40 g", show_default=True, metavar="MASS",
              callback=given(read_mass_difference_g),
              help="More food a day for the same energy; may be -40g.")  # fmt: skip
@click.option("--extra-morning", default="0%", show_default=True, metavar="SHARE",
              callback=given(read_share), help="Share of it eaten before walking.")  # fmt: skip
@click.option("--energy", "energy_kcal", type=float, metavar="KCAL",
              help="Instead of --extra-food: energy of a day's food ...")  # fmt: skip
@click.option("--cooked", "cooked_kcal_per_g", type=float, metavar="KCAL_PER_G",
              help="... the cooked menu's density ...")  # fmt: skip
@click.option("--cold", "cold_kcal_per_g", type=float, metavar="KCAL_PER_G",
              help="... and the cold one's.")  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def command(ctx: click.Context, /, days: int, as_json: bool, **asked: Any) -> None:
    """Stove or no stove: which is the lighter to carry, and from which day on?

    Carried mass is the mean over the walking days, beyond food of the same energy.
    Give your own masses; what you leave out is taken from common practice.

    \b
    fellfare camp stove-or-none --days 6 --kit 295g --fuel-a-day 14g \\
        --energy 3000 --cooked 4.4 --cold 4.2
    """
    yours = {
        name for name in _TAKEN if ctx.get_parameter_source(name) is not ParameterSource.DEFAULT
    }
    densities = (asked["energy_kcal"], asked["cooked_kcal_per_g"], asked["cold_kcal_per_g"])
    if any(one is not None for one in densities):
        if "extra_g" in yours or None in densities:
            raise Mistake(
                "extra-food-unclear",
                what="the extra food is said twice, or only in part",
                mend="give --extra-food, or all of --energy, --cooked and --cold",
            )
        asked["extra_g"] = extra_food_g_per_day(*densities)
        yours.add("extra_g")
    stove = StoveKit(
        kit_g=asked["kit_g"], fuel_g_per_day=asked["fuel_g"], morning_share=asked["fuel_morning"]
    )
    none = NoStoveKit(
        jar_g=asked["jar_g"],
        soaking_water_g=asked["soak_water_ml"],
        soaking_share=asked["soak_share"],
        extra_food_g_per_day=asked["extra_g"],
        morning_share=asked["extra_morning"],
    )
    both = stove_or_stoveless(stove, none, days)
    plot_days = _plot_days(both)
    means = [(n, stove_mean_g(stove, n), no_stove_mean_g(none, n)) for n in range(1, plot_days + 1)]
    lines = titled(f"Stove or none, {days} day{'s' if days > 1 else ''}")
    lines += paragraph(_verdict(both, means[0]))
    lines += _days_text(both)
    lines += heading(f"Mean carried mass for a stretch of 1 to {plot_days} days")
    lines += _plot(means)
    lines += heading("Taken")
    lines += _taken(asked, yours)
    lines += known((both.trust, both.source))
    lines += paragraph(
        "common practice, no source: every mass marked 'usual'; weigh your own.", "    ", "  "
    )
    answer(
        lines,
        {
            "days": days,
            "lighter": both.lighter,
            "stove_mean_g": both.stove_mean_g,
            "none_mean_g": both.no_stove_mean_g,
            "even_days": both.even_days,
            "stove_from_days": both.stove_from_days,
            "even_extra_g_per_day": both.even_extra_g_per_day,
            "by_day": [
                {"day": day, "stove_g": one, "none_g": other}
                for day, (one, other) in enumerate(
                    zip(both.stove_days_g, both.no_stove_days_g, strict=True), 1
                )
            ],
            "by_length": [
                {"days": n, "stove_mean_g": one, "none_mean_g": other} for n, one, other in means
            ],
            "stove_kit_g": asked["kit_g"],
            "fuel_g_per_day": asked["fuel_g"],
            "fuel_morning_share": asked["fuel_morning"],
            "jar_g": asked["jar_g"],
            "soak_water_ml": asked["soak_water_ml"],
            "soak_share": asked["soak_share"],
            "extra_food_g_per_day": asked["extra_g"],
            "extra_morning_share": asked["extra_morning"],
            "given": sorted(yours),
            "trust": both.trust,
            "source": both.source,
        },
        (),
        standing("stove", "water"),
        as_json=as_json,
    )


def _plot_days(both: StoveOrStoveless) -> int:
    """Far enough to see the crossing, when it fits."""
    wanted = max(both.days, 7)
    if both.even_days is not None and both.even_days <= _MOST_DAYS - 3:
        wanted = max(wanted, floor(both.even_days) + 3)
    return min(wanted, _MOST_DAYS)


def _verdict(both: StoveOrStoveless, one_day: tuple[int, float, float]) -> str:
    gap = abs(both.stove_mean_g - both.no_stove_mean_g)
    here = {
        "stove": f"With the stove you carry {grams(gap)} less on the mean day.",
        "stoveless": f"Without a stove you carry {grams(gap)} less on the mean day.",
        "equal": "Both weigh the same on the mean day.",
    }[both.lighter]
    even, (_, stove_1, none_1) = both.even_days, one_day
    if stove_1 == none_1:
        turn = "They start even on a single day."
    elif even is None or even < 1.0:
        turn = f"{'The stove' if stove_1 < none_1 else 'No stove'} is the lighter for any length."
    elif stove_1 < none_1:
        turn = (
            f"They are even at {even:.1f} days: the stove is the lighter on shorter stretches, no "
            "stove on longer ones."
        )
    else:
        turn = (
            f"They are even at {even:.1f} days: no stove is the lighter on shorter stretches, the "
            f"stove from {both.stove_from_days} days on."
        )
    return f"{here}  {turn}"


def _days_text(both: StoveOrStoveless) -> list[str]:
    lines = heading("Carried while walking, day by day")
    rows = [["day", "stove", "none", "lighter"]]
    pairs = list(zip(both.stove_days_g, both.no_stove_days_g, strict=True))
    for day, (one, other) in enumerate(pairs, 1):
        lighter = "same" if abs(one - other) < 0.5 else "  stove" if one < other else "  none"
        rows.append([str(day), f"{one:.0f} g", f"{other:.0f} g", lighter])
    if len(rows) > 16:  # a long stretch: its ends are enough
        rows = [*rows[:8], ["...", "", "", ""], *rows[-7:]]
    rows.append(["mean", f"{both.stove_mean_g:.0f} g", f"{both.no_stove_mean_g:.0f} g", ""])
    return lines + [f"  {line}" for line in table(rows, [-4, -9, -9, 10])]


def _plot(means: list[tuple[int, float, float]]) -> list[str]:
    """Mean mass over the length of the stretch: s stove, n none, * both."""
    values = [value for _, *two in means for value in two]
    low, high = min(values), max(values)
    step = (high - low) / (_ROWS - 1) or 1.0

    def row_of(value: float) -> int:
        return round((value - low) / step)

    lines = []
    for row in range(_ROWS - 1, -1, -1):
        marks = "".join(_mark(row_of(one) == row, row_of(other) == row) for _, one, other in means)
        lines.append(f"  {low + row * step:>7.0f} g │{marks}".rstrip())
    lines.append(f"  {'':>9} └{'──' * len(means)}")
    numbers = "".join(f"{n:>2}" if n == 1 or n % 5 == 0 else "  " for n, _, _ in means)
    lines.append(f"  {'days':>9}  {numbers}".rstrip())
    return [*lines, "  s stove   n none   * both"]


def _mark(stove: bool, none: bool) -> str:
    return " *" if stove and none else " s" if stove else " n" if none else "  "


def _taken(asked: dict[str, Any], yours: set[str]) -> list[str]:
    said: dict[str, Callable[[float], str]] = {
        "fuel_morning": _per_cent,
        "soak_share": _per_cent,
        "extra_morning": _per_cent,
        "soak_water_ml": lambda ml: f"{ml:.0f} ml",
    }
    rows = [
        [text, said.get(name, grams)(asked[name]), "yours" if name in yours else "usual"]
        for name, text in _TAKEN.items()
    ]
    return [f"  {line}" for line in table(rows, [46, -8, 7])]


def _per_cent(share: float) -> str:
    return f"{100 * share:.3g} %"
