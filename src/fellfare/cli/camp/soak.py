"""``fellfare camp soak FOOD ...``."""

from __future__ import annotations

from pathlib import Path

import click

from fellfare.camp import boil_at
from fellfare.cli.camp import options
from fellfare.cli.camp.answer import answer, degrees, known, litres, standing, titled
from fellfare.cli.camp.jar import InJar, jar_findings, read_jar, slowest, unknown_soaks
from fellfare.cli.camp.reading import given, read_altitude_m, read_temperature_c
from fellfare.cli.layout import heading, paragraph, table
from fellfare.mistake import Mistake
from fellfare.pantry.food import Way


@click.command()
@click.argument("foods", metavar="FOOD...", nargs=-1, required=True)
@click.option(
    "--water-temp",
    "water_c",
    metavar="TEMP",
    callback=given(read_temperature_c),
    help="Of the water while it soaks; a hot pour is at the boil if left out.",
)
@options.way
@options.tested
@click.option(
    "--altitude",
    "altitude_m",
    default="0",
    metavar="HEIGHT",
    callback=given(read_altitude_m),
    help="Height of camp (for a hot pour).",
)
@options.air
@options.own_folders
@options.as_json
def command(
    foods: tuple[str, ...],
    water_c: float | None,
    way: Way,
    tested: tuple[str, ...],
    altitude_m: float,
    air_c: float | None,
    own_folders: tuple[Path, ...],
    as_json: bool,
) -> None:
    """How long must these foods soak, and how much water do they take?

    Each FOOD is a name or an amount with a name; the slowest one decides.

    \b
    fellfare camp soak '90 g bulgur' '20 g freeze-dried peas' --water-temp 8
    """
    boils_c = boil_at(altitude_m).boils_c
    if water_c is None and way == "cold-soak":
        raise Mistake(
            "water-temperature-missing",
            what="a cold soak depends on the water, and its temperature is not said",
            mend="add --water-temp 8 (a spring has about the mean air of the year)",
        )
    water_c = boils_c if water_c is None else water_c
    jar, said = read_jar(foods, own_folders, water_c, way, boils_c, tested)
    longest = slowest(jar)
    findings = (*said, *unknown_soaks(jar), *jar_findings(jar, way, air_c))
    told = [one for one in jar if one.water_ml is not None]
    water_ml = sum(one.water_ml or 0.0 for one in told) if told else None
    answer(
        _text(jar, longest, water_c, way, water_ml, [one for one in jar if one not in told]),
        {
            "way": way,
            "water_c": water_c,
            "boils_c": boils_c,
            "slowest": longest.food.id if longest else None,
            "minutes": longest.soak.minutes if longest else None,
            "plan_min": longest.soak.high_minutes if longest else None,
            "water_ml": water_ml,
            "water_unknown": [one.food.id for one in jar if one.water_ml is None],
            "foods": [_food_data(one) for one in jar],
        },
        findings,
        standing("water", "how-well-known"),
        as_json=as_json,
    )


def _food_data(one: InJar) -> dict[str, object]:
    soak = one.soak
    return {
        "food": one.food.id,
        "mass_g": one.mass_g,
        "minutes": soak.minutes,
        "low_min": soak.low_minutes,
        "high_min": soak.high_minutes,
        "factor": soak.factor if soak.minutes is not None else None,
        "water_ml_per_g": soak.water_ml_per_g,
        "water_ml": one.water_ml,
        "own_test": None
        if one.own is None
        else {
            "done_min": one.own.tried.done_minutes,
            "water_c": one.own.tried.water_c,
            "factor": one.own.factor,
        },
        "trust": soak.trust,
        "minutes_trust": soak.minutes_trust,
        "minutes_source": soak.minutes_source,
        "temperature_trust": soak.temperature_trust,
        "temperature_source": soak.temperature_source,
        "spread_assumed": soak.spread_assumed,
        "extrapolated": soak.extrapolated,
    }


def _text(
    jar: tuple[InJar, ...],
    longest: InJar | None,
    water_c: float,
    way: Way,
    water_ml: float | None,
    dry: list[InJar],
) -> list[str]:
    how = "Cold soak" if way == "cold-soak" else "Hot pour"
    lines = titled(f"{how} in water of {degrees(water_c)}")
    rows = [["food", "usual", "from - to", "water", "for it", "trust"]]
    for one in jar:
        soak = one.soak
        known_time = soak.minutes is not None
        rows.append(
            [
                one.food.name,
                f"{soak.minutes:.0f} min" if known_time else "unknown",
                f"{soak.low_minutes:.0f} - {soak.high_minutes:.0f} min" if known_time else "?",
                f"{soak.water_ml_per_g:g} ml/g" if soak.water_ml_per_g is not None else "?",
                litres(one.water_ml) if one.water_ml is not None else "",
                soak.trust.replace("-", " "),
            ]
        )
    lines += [f"  {line}" for line in table(rows, [18, -8, -16, -9, -7, 15])]
    lines.append("")
    if longest is None:
        names = "; ".join(one.food.name for one in jar if one.soak.minutes is None)
        lines += paragraph(f"The jar as a whole: unknown, because of {names}.")
    else:
        lines += paragraph(
            f"Plan {longest.soak.high_minutes:.0f} min"
            + (f": {longest.food.name} decides." if len(jar) > 1 else ".")
        )
    raw = [one.food.name for one in jar if one.food.form == "raw-dry" and one.soak.minutes]
    if raw and way == "cold-soak":
        lines += paragraph(f"Soaked through, and still raw: {'; '.join(raw)}.  Boil it after that.")
    if water_ml is not None:
        least = "at least " if dry else ""
        more = f" (not counting {'; '.join(one.food.name for one in dry)})" if dry else ""
        lines += paragraph(f"Water: {least}{litres(water_ml)}{more}; more for a soupy dish.")
    unknown = _unknown(jar)
    if unknown:
        lines += heading("What is not known")
        for text in unknown:
            lines += paragraph(text, "    ", "  - ")
    timed = [one.soak for one in jar if one.soak.minutes is not None]
    said = [
        *((soak.minutes_trust, f"minutes: {soak.minutes_source}") for soak in timed),
        *(
            (soak.temperature_trust, f"the step to {water_c:.0f} °C: {soak.temperature_source}")
            for soak in timed
        ),
    ]
    return lines + known(*said)


def _unknown(jar: tuple[InJar, ...]) -> list[str]:
    """What the figures do not rest on, food by food."""
    texts = []
    groups = (
        (
            "no time is known for",
            [one for one in jar if one.soak.minutes is None],
        ),
        (
            "the upper end is assumed (half as long again) for",
            [one for one in jar if one.soak.minutes is not None and one.soak.spread_assumed],
        ),
        (
            "this water is outside what was measured, or far from the known one, for",
            [one for one in jar if one.soak.extrapolated],
        ),
        ("how much water it takes up:", [one for one in jar if one.soak.water_ml_per_g is None]),
    )
    for text, foods in groups:
        if foods:
            texts.append(f"{text} {'; '.join(one.food.name for one in foods)}")
    if any(one.soak.temperature_trust == "common-practice" for one in jar):
        texts.append(
            "no published soak times of such foods were found; the step from one temperature to "
            "another is taken from lentils, mushrooms, teff and pulses"
        )
    return texts
