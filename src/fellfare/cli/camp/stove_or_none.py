"""``fellfare camp stove-or-none``."""

from __future__ import annotations

import re
from collections.abc import Callable
from math import floor
from typing import Any, Final

import click
from click.core import ParameterSource

from fellfare.camp import (
    SIZES,
    CanisterSize,
    NoStoveKit,
    StoveKit,
    StoveOrStoveless,
    extra_food_g_per_day,
    stove_or_stoveless,
)
from fellfare.camp.canister_steps import CanisterStove, Stair, canister_stair
from fellfare.camp.stoveless import no_stove_mean_g, stove_mean_g
from fellfare.cli.camp import options
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
    "kit_g": "stove, pot, lighter, screen, empty container",
    "burner_g": "burner",
    "pot_g": "pot with lid",
    "rest_g": "lighter, windscreen",
    "fuel_g": "fuel a day",
    "fuel_morning": "of it burnt before walking",
    "reserve": "gas in reserve, in the canisters",
    "jar_g": "soak jar with lid",
    "soak_water_ml": "water that soaks in it while walking",
    "soak_share": "of the walking day",
    "extra_g": "more food a day without a stove",
    "extra_morning": "of it eaten before walking",
}
_PARTS: Final = ("burner_g", "pot_g", "rest_g")
#: The common fills, but for the one of 100 g: it has the empty mass of that of 110 g.
_CANISTERS: Final = SIZES[1:]


def read_canister(text: str) -> CanisterSize:
    """'230g 148g' → net fill and empty mass."""
    parts = re.findall(r"\d+(?:\.\d+)?\s*(?:g|oz)?", text[:60])
    if len(parts) != 2 or re.sub(r"[\s,/+]", "", text) != re.sub(r"\s", "", "".join(parts)):
        raise Mistake(
            "canister-unclear",
            what=f"cannot read the canister {text[:60]!r}",
            mend="write the net fill of the label and the weighed empty mass: '230g 148g'",
        )
    net_g, tare_g = (read_mass_g(part.strip()) for part in parts)
    return CanisterSize(
        net_g=net_g, tare_low_g=tare_g, tare_high_g=tare_g, trust="measured", source="as given"
    )


@click.command()
@click.option("--days", default=5, show_default=True, type=click.IntRange(1, 365),
              help="Walking days between two shops.")  # fmt: skip
@click.option("--burner", "burner_g", default="75 g", show_default=True, metavar="MASS",
              callback=given(read_mass_g), help="Stove without its canister.")  # fmt: skip
@click.option("--pot", "pot_g", default="110 g", show_default=True, metavar="MASS",
              callback=given(read_mass_g), help="Pot with lid.")  # fmt: skip
@click.option("--rest", "rest_g", default="25 g", show_default=True, metavar="MASS",
              callback=given(read_mass_g), help="Lighter and windscreen.")  # fmt: skip
@click.option("--canister", "canisters", multiple=True, metavar="'NET EMPTY'",
              callback=given(read_canister),
              help="A size that can be had: '230g 148g'; 110, 230 and 450 g if left out.",
              )  # fmt: skip
@click.option("--reserve", default="15%", show_default=True, metavar="SHARE",
              callback=given(read_share), help="Gas on top, in the canisters.")  # fmt: skip
@click.option("--kit", "kit_g", metavar="MASS", callback=given(read_mass_g),
              help="Instead of the four above: all of it with a bottle that is filled to the "
              "gram.")  # fmt: skip
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
@options.as_json
@click.pass_context
def command(ctx: click.Context, /, days: int, as_json: bool, **asked: Any) -> None:
    """Stove or no stove: which is the lighter to carry, and from which day on?

    Carried mass is the mean over the walking days, beyond food of the same energy.  Gas
    comes in whole canisters, the lightest set for the stretch: their empty mass, the reserve
    and what is left over are carried too.  Give your own masses; what you leave out is taken
    from common practice.

    \b
    fellfare camp stove-or-none --days 6 --burner 83g --canister '110g 98g' \\
        --fuel-a-day 14g --energy 3000 --cooked 4.4 --cold 4.2
    fellfare camp stove-or-none --days 6 --kit 180g --fuel-a-day 30g     # spirit
    """
    yours = _yours(ctx, asked)
    steps = asked["kit_g"] is None
    sizes = asked["canisters"] or _CANISTERS
    parts_g = sum(asked[name] for name in _PARTS)
    smallest_g = min((size.tare_low_g + size.tare_high_g) / 2 for size in sizes)
    stove = StoveKit(
        kit_g=parts_g + smallest_g if steps else asked["kit_g"],
        fuel_g_per_day=asked["fuel_g"],
        morning_share=asked["fuel_morning"],
    )
    none = NoStoveKit(
        jar_g=asked["jar_g"],
        soaking_water_g=asked["soak_water_ml"],
        soaking_share=asked["soak_share"],
        extra_food_g_per_day=asked["extra_g"],
        morning_share=asked["extra_morning"],
    )
    both = stove_or_stoveless(stove, none, days)
    stair = None
    if steps:
        canned = CanisterStove(
            kit_g=parts_g,
            fuel_g_per_day=asked["fuel_g"],
            sizes=sizes,
            morning_share=asked["fuel_morning"],
            reserve=asked["reserve"],
        )
        stair = canister_stair(canned, none, days)
    plot_days = _plot_days(both, stair)
    means = [(n, stove_mean_g(stove, n), no_stove_mean_g(none, n)) for n in range(1, plot_days + 1)]
    shown = means
    if stair is not None:
        shown = [(s.days, s.stove_mean_g, s.no_stove_mean_g) for s in stair.curve[:plot_days]]
    lines = titled(f"Stove or none, {days} day{'s' if days > 1 else ''}")
    if stair is None:
        lines += paragraph(_verdict(both, means[0]))
        lines += _days_text(both, both.stove_days_g, both.stove_mean_g)
    else:
        lines += paragraph(_stair_verdict(stair))
        lines += paragraph(_set_text(stair))
        lines += _days_text(both, stair.stove_days_g, stair.stove_mean_g)
    lines += heading(f"Mean carried mass for a stretch of 1 to {plot_days} days")
    lines += _plot(shown)
    if stair is not None:
        lines += heading("Were the fuel filled to the gram")
        lines += paragraph(
            "Without canister steps, reserve and left-over, with one empty canister: "
            + _verdict(both, means[0]).replace("  ", " ")
        )
    lines += heading("Taken")
    lines += _taken(asked, yours, sizes if steps else ())
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
            "canister_steps": None if stair is None else _stair_data(stair, plot_days),
            "stove_kit_g": stove.kit_g,
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


def _yours(ctx: click.Context, asked: dict[str, Any]) -> set[str]:
    """What was given; the extra food is reckoned here when it was given as densities."""
    yours = {
        name for name in _TAKEN if ctx.get_parameter_source(name) is not ParameterSource.DEFAULT
    }
    if asked["kit_g"] is not None and (yours & {*_PARTS, "reserve"} or asked["canisters"]):
        raise Mistake(
            "stove-kit-twice",
            what="--kit is all of the stove's kit, with a bottle; its parts are given as well",
            mend="give --kit alone, or --burner, --pot, --rest, --canister and --reserve",
        )
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
    return yours - ({"kit_g"} if asked["kit_g"] is None else set())


def _stair_data(stair: Stair, plot_days: int) -> dict[str, Any]:
    taken = stair.canisters
    return {
        "lighter": stair.lighter,
        "stove_mean_g": stair.stove_mean_g,
        "none_mean_g": stair.no_stove_mean_g,
        "canisters": [{"net_g": net_g, "count": count} for net_g, count in taken.counts],
        "net_g": taken.net_g,
        "tare_g": taken.tare_g,
        "left_g": taken.left_g,
        "stove_first_days": stair.first_days,
        "stove_for_good_days": stair.for_good_days,
        "stove_lighter": [{"from_days": low, "to_days": high} for low, high in stair.stove_lighter],
        "by_day": [{"day": day, "stove_g": one} for day, one in enumerate(stair.stove_days_g, 1)],
        "by_length": [
            {"days": s.days, "stove_mean_g": s.stove_mean_g, "none_mean_g": s.no_stove_mean_g}
            for s in stair.curve[:plot_days]
        ],
    }


def _stair_verdict(stair: Stair) -> str:
    gap = abs(stair.stove_mean_g - stair.no_stove_mean_g)
    here = {
        "stove": f"With the stove you carry {grams(gap)} less on the mean day.",
        "stoveless": f"Without a stove you carry {grams(gap)} less on the mean day.",
        "equal": "Both weigh the same on the mean day.",
    }[stair.lighter]
    spans, longest = stair.stove_lighter, len(stair.curve)
    if not spans:
        return f"{here}  No stove is the lighter for every length up to {longest} days."
    if spans == ((1, longest),):
        return f"{here}  The stove is the lighter for every length up to {longest} days."
    if spans[0][0] > _MOST_DAYS:
        return f"{here}  No stove is the lighter for every length up to {spans[0][0] - 1} days."
    told = [f"{low}" if low == high else f"{low} to {high}" for low, high in spans[:4]]
    if stair.for_good_days is not None and len(spans) <= 4:
        told[-1] = f"{stair.for_good_days} and more"
    more = ""
    if len(spans) > 4:
        more = f", and on and off up to {spans[-1][1]} days"
        if stair.for_good_days is not None:
            more = f", on and off, and always from {stair.for_good_days} on"
    return f"{here}  The stove is the lighter for stretches of {', '.join(told)} days{more}."


def _set_text(stair: Stair) -> str:
    taken = stair.canisters
    if not taken.counts:
        return "No canister is needed for no fuel."
    each = " + ".join(f"{count} x {net_g:.0f} g" for net_g, count in taken.counts)
    return (
        f"Canisters: {each}, empty {grams(taken.tare_g)}; {grams(taken.left_g)} of gas come back "
        "if all goes as reckoned."
    )


def _plot_days(both: StoveOrStoveless, stair: Stair | None) -> int:
    """Far enough to see the crossing, when it fits."""
    wanted = max(both.days, 7)
    if stair is not None:
        turns = [day for span in stair.stove_lighter for day in span]
        return min(max([wanted, *(t + 3 for t in turns if t <= _MOST_DAYS - 3)]), _MOST_DAYS)
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


def _days_text(
    both: StoveOrStoveless, stove_days_g: tuple[float, ...], stove_mean: float
) -> list[str]:
    lines = heading("Carried while walking, day by day")
    rows = [["day", "stove", "none", "lighter"]]
    pairs = list(zip(stove_days_g, both.no_stove_days_g, strict=True))
    for day, (one, other) in enumerate(pairs, 1):
        lighter = "same" if abs(one - other) < 0.5 else "  stove" if one < other else "  none"
        rows.append([str(day), f"{one:.0f} g", f"{other:.0f} g", lighter])
    if len(rows) > 16:  # a long stretch: its ends are enough
        rows = [*rows[:8], ["...", "", "", ""], *rows[-7:]]
    rows.append(["mean", f"{stove_mean:.0f} g", f"{both.no_stove_mean_g:.0f} g", ""])
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


def _taken(asked: dict[str, Any], yours: set[str], sizes: tuple[CanisterSize, ...]) -> list[str]:
    said: dict[str, Callable[[float], str]] = {
        "fuel_morning": _per_cent,
        "reserve": _per_cent,
        "soak_share": _per_cent,
        "extra_morning": _per_cent,
        "soak_water_ml": lambda ml: f"{ml:.0f} ml",
    }
    rows = [
        [text, said.get(name, grams)(asked[name]), "yours" if name in yours else "usual"]
        for name, text in _TAKEN.items()
        if name not in (("kit_g",) if sizes else (*_PARTS, "reserve"))
    ]
    for size in sizes:
        tare_g = (size.tare_low_g + size.tare_high_g) / 2
        whose = "yours" if size.trust == "measured" else "usual"
        rows.append([f"canister of {size.net_g:.0f} g, empty", grams(tare_g), whose])
    return [f"  {line}" for line in table(rows, [46, -8, 7])]


def _per_cent(share: float) -> str:
    return f"{100 * share:.3g} %"
