"""The sheet of a recipe as text for a terminal or a mail; it draws, it does not reckon."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, Literal

from fellfare.cli.layout import (
    WIDTH,
    bar,
    columns,
    fit,
    heading,
    number,
    paragraph,
    shown_width,
    table,
)
from fellfare.measure.printing import print_mass, print_volume
from fellfare.measure.units import KILOCALORIE_KJ
from fellfare.mistake import SEVERITIES, Finding
from fellfare.pantry.allergens import Declared, agent_name, combine
from fellfare.recipe.density import MORE_G, Share, energy_kcal_per_oz, energy_shares, pulls
from fellfare.recipe.household import counted, in_household
from fellfare.recipe.panel.dish import panels
from fellfare.recipe.panel.figure import Row
from fellfare.recipe.sheet import Sheet, SheetLine, Total

Measures = Literal["metric", "us", "both"]
Panel = Literal["us", "eu", "both", "none"]

#: Composition rows: nutrient, plain name, figures after the point.
_ROWS: Final = (
    ("protein_g", "protein", 1), ("fat_g", "fat", 1), ("saturated_g", "  saturated", 1),
    ("carbohydrate_g", "carbohydrate", 1), ("fibre_g", "  fibre", 1), ("sugars_g", "  sugars", 1),
    ("water_g", "water", 1), ("sodium_mg", "sodium", 0), ("potassium_mg", "potassium", 0),
    ("calcium_mg", "calcium", 0), ("iron_mg", "iron", 1), ("magnesium_mg", "magnesium", 0),
    ("vitamin_c_mg", "vitamin C", 0),
)  # fmt: skip
#: Marks of trust beside a figure, told at the foot of the sheet.
_MARKS: Final = {
    "measured": "", "written": "", "tabulated": "", "derived": "≈", "label": "ˡ",
    "common-practice": "~", "memory": "~", "unknown": "?",
}  # fmt: skip


def sheet_text(
    sheet: Sheet, findings: Iterable[Finding], measures: Measures = "both", panel: Panel = "both"
) -> str:
    """The whole sheet; findings are counted here and told by the caller."""
    lines = [
        *_head(sheet, measures),
        *heading("What goes in"),
        *_lines(sheet, measures),
        *heading("Bags"),
        *_bags(sheet, measures),
        *heading("Steps"),
        *_steps(sheet, measures),
        *heading("What is in it"),
        *_composition(sheet),
        *heading("What moves the energy density"),
        *_density(sheet),
    ]
    if panel != "none":
        lines += [*heading("Nutrition panels"), *_panels(sheet, panel)]
    lines += [*heading("Allergens"), *_allergens(sheet), *_count(findings)]
    return "\n".join(lines)


def _at_least(total: Total) -> str:
    return "at least " if total.unknown else ""


def _energy(total: Total) -> str:
    """'733 kcal (3 067 kJ)', with both ends where part of it is unknown."""
    low, most = total.value, total.most
    kj = float(KILOCALORIE_KJ)
    if not total.anything:
        return "energy unknown" + ("" if most is None else f" (at most {number(most)} kcal)")
    if most is None or not total.unknown:
        return f"{_at_least(total)}{number(low)} kcal ({number(low * kj)} kJ)"
    return f"{number(low)} to {number(most)} kcal ({number(low * kj)} to {number(most * kj)} kJ)"


def _percent(share: Share) -> str:
    """'48 %', '44-48 %', or '≥ 44 %' where a part of it has no upper end."""
    if share.known:
        return f"{share.low:.0%}".replace("%", " %")
    if share.high is None:
        return f"≥ {100 * share.low:.0f} %"
    return f"{100 * share.low:.0f}-{100 * share.high:.0f} %"


def _spread(total: Total, places: int, unit: str) -> str:
    """'17.9 g'; '17.9-20.4 g' or '≥ 17.9 g' where part of it is unknown."""
    least = f"{total.value:.{places}f}"
    if not total.anything:
        return "unknown" if total.most is None else f"≤ {total.most:.{places}f} {unit}"
    if not total.unknown:
        return f"{least} {unit}"
    if total.most is None:
        return f"≥ {least} {unit}"
    return f"{least}-{total.most:.{places}f} {unit}"


def _per_oz(value: float | None) -> str:
    return "?" if value is None else f"{value:.0f}"


def _head(sheet: Sheet, measures: Measures) -> list[str]:
    recipe, eaters = sheet.recipe, sheet.eaters
    side = f"serves {eaters}"
    if recipe.meals:
        side = f"{fit(', '.join(recipe.meals), 30).rstrip()} · {side}"
    lines = [f"{fit(recipe.title, WIDTH - shown_width(side) - 2)}  {side}", "═" * WIDTH]
    if recipe.about:
        lines += paragraph(recipe.about)
    rows = [("one serving", eaters)]
    if eaters > 1:
        rows.append((f"all {eaters}", 1))
    for name, shared_by in rows:
        mass = _mass(sheet.mass.value / shared_by, measures)
        mass = f"{_at_least(sheet.mass)}{mass}" if sheet.mass.anything else "not measured"
        lines.append(f"  {name:<12}{mass}, {_energy(sheet.energy.over(shared_by))}")
    least = "at least " if set(sheet.energy.unknown) - set(sheet.mass.unknown) else ""
    of_what = " of what is measured" if sheet.mass.unknown else ""
    density = "unknown"
    if sheet.energy_kcal_per_100g is not None:
        density = (
            f"{least}{_per_oz(sheet.energy_kcal_per_oz)} kcal/oz, "
            f"{_per_oz(sheet.energy_kcal_per_100g)} kcal/100 g{of_what}"
        )
    lines.append(f"  {'density':<12}{density}")
    water = sheet.water_add_ml
    if water.value or water.unknown:
        lines.append(f"  {'water':<12}{_at_least(water)}{_volume(water.value, measures)} to add")
    camp = [step for step in sheet.steps if step.where == "camp" and step.minutes]
    if camp:
        least_min = sum(step.minutes or 0.0 for step in camp)
        most_min = sum(step.most_minutes or step.minutes or 0.0 for step in camp)
        span = f"{least_min:.0f}" + (f" to {most_min:.0f}" if most_min > least_min else "")
        lines.append(f"  {'in camp':<12}{span} min in all")
    return lines


def _mass(mass_g: float, measures: Measures) -> str:
    metric, us = print_mass(mass_g, "metric").text, print_mass(mass_g, "us").text
    return {"metric": metric, "us": us, "both": f"{metric} ({us})"}[measures]


def _volume(volume_ml: float, measures: Measures) -> str:
    """Millilitres and cups; where the cups miss by more than 1½ %, they say so."""
    metric, us = print_volume(volume_ml, "metric"), print_volume(volume_ml, "us")
    error = f" {us.error:+.0%}" if abs(us.error) >= 0.015 else ""
    cups = us.text + error
    return {"metric": metric.text, "us": cups, "both": f"{metric.text} ({cups})"}[measures]


def _lines(sheet: Sheet, measures: Measures) -> list[str]:
    wants_metric, wants_us = measures != "us", measures != "metric"
    head = ["", "grams" if wants_metric else "", "ounces" if wants_us else "",
            "measure", "kcal", "/oz", "bag"]  # fmt: skip
    widths = [24, -7 if wants_metric else 0, -9 if wants_us else 0, 20, -5, -4, 8]
    rows = [head, *(_line_row(line, wants_metric, wants_us) for line in sheet.lines)]
    keep = [place for place, width in enumerate(widths) if width]
    drawn = table(
        ([row[place] for place in keep] for row in rows), [widths[place] for place in keep]
    )
    notes = [f"{line.food.id}: {line.line.note}" for line in sheet.lines if line.line.note]
    spare = [line.food.id for line in sheet.lines if line.line.optional]
    if spare:
        notes.append("may be left out: " + ", ".join(spare))
    notes += [_doubt(line) for line in sheet.lines if _doubt(line)]
    return drawn + [text for note in notes for text in paragraph(note, "    ", "  · ")]


def _line_row(line: SheetLine, wants_metric: bool, wants_us: bool) -> list[str]:
    energy = line.energy_kcal
    density = energy_kcal_per_oz(line)
    mark = _MARKS[line.food.source.kind]
    measured = line.mass_g is not None
    return [
        " " + line.food.id.replace("-", " ") + mark,
        print_mass(line.mass_g, "metric").text if wants_metric and line.mass_g is not None else "",
        print_mass(line.mass_g, "us").text if wants_us and line.mass_g is not None else "",
        _measure(line) if measured else line.line.amount,
        "?" if energy is None else f"{energy:.0f}",
        _per_oz(density),
        line.line.bag or "-",
    ]


def _measure(line: SheetLine) -> str:
    """Spoons and cups with their rounding error, or the counted things."""
    if (pieces := counted(line)) is not None:
        return pieces
    printed = in_household(line, line.amount.system)
    if printed is None:
        return ""
    error = f" {printed.error:+.0%}" if abs(printed.error) >= 0.015 else ""
    return printed.text + error


def _doubt(line: SheetLine) -> str:
    weighed = line.weighed
    if weighed.mass_g is None or weighed.measure == "by mass":
        return ""
    doubt = f"{line.food.id}: '{line.line.amount}' weighed by {weighed.measure}"
    if weighed.fill != "level":
        doubt += f"; a {weighed.fill} spoon differs from cook to cook"
    if weighed.low_g is not None and weighed.high_g is not None and weighed.low_g < weighed.high_g:
        doubt += f"; the middle of {weighed.low_g:.3g} to {weighed.high_g:.3g} g"
    return doubt


def _bags(sheet: Sheet, measures: Measures) -> list[str]:
    lines: list[str] = []
    for bag in sheet.bags:
        name = bag.name or "(unbagged)"
        mass = ("at least " if bag.mass_unknown else "") + _mass(bag.mass_g, measures)
        if set(bag.foods) <= set(bag.mass_unknown):
            mass = "not measured"
        volume = "volume unknown"
        if bag.volume_told_ml is not None:
            volume = ("at least " if bag.volume_unknown else "") + f"{bag.volume_ml:.0f} ml"
        size = ""
        if bag.name:
            size = f"; {bag.size} ({bag.tare_g:g} g empty)" if bag.size and bag.tare_g else ""
            unsized = set(bag.volume_unknown) - set(bag.mass_unknown)
            size = size or ("; size not known" if unsized else "; larger than any usual bag")
        lines += paragraph(f"{mass}, {volume}{size}", " " * 14, f"  {fit(name, 11)} ")
        lines += paragraph(", ".join(bag.foods), " " * 14)
        undense = [food for food in bag.volume_unknown if food not in bag.mass_unknown]
        for words, foods in (
            ("no bulk density known", undense),
            ("not measured", bag.mass_unknown),
        ):
            if foods:
                lines += paragraph(f"{words}: {', '.join(foods)}", " " * 14)
        lines += [
            text for word in bag.advice for text in paragraph(word, " " * 16, " " * 14 + "! ")
        ]
    return lines


def _steps(sheet: Sheet, measures: Measures) -> list[str]:
    lines: list[str] = []
    for place in ("home", "camp"):
        steps = [(order, step) for order, step in enumerate(sheet.steps, 1) if step.where == place]
        if steps:
            lines.append(f"  at {place}" if place == "home" else "  in camp")
        for order, step in steps:
            parts: list[str] = [step.act]
            if step.bags:
                parts.append(" + ".join(step.bags))
            if step.water_ml is not None:
                parts.append(f"{_volume(step.water_ml, measures)} water{_MARKS[step.water_trust]}")
            elif step.water_unknown:
                parts.append("water: not known, see the packs")
            if step.minutes is not None:
                more = f"-{step.most_minutes:.0f}" if step.most_minutes else ""
                parts.append(f"{step.minutes:g}{more} min{_MARKS[step.minutes_trust]}")
            elif step.act in ("soak", "steep", "boil", "simmer"):
                parts.append("time: not known, see the packs")
            lines += paragraph(" · ".join(parts), " " * 7, f"  {order:>3}. ")
            if step.text:
                lines += paragraph(step.text, " " * 7)
    return lines or ["  none written"]


def _composition(sheet: Sheet) -> list[str]:
    shares = energy_shares(sheet)
    lines: list[str] = []
    if shares is not None:
        for name, share in (
            ("fat", shares.fat), ("carbohydrate", shares.carbohydrate), ("protein", shares.protein),
        ):  # fmt: skip
            lines.append(f"  {name:<14}{_percent(share):>9} of the energy  {bar(share.low, 30)}")
        lines.append("")
    eaters = sheet.eaters
    head = ["", "per serving", f"in all ({eaters})" if eaters > 1 else "", "of which unknown"]
    rows = [head]
    for nutrient, name, places in _ROWS:
        total = sheet.total(nutrient)
        unit = nutrient.rsplit("_", 1)[1]
        rows.append(
            [f"  {name}", _spread(total.over(eaters), places, unit),
             _spread(total, places, unit) if eaters > 1 else "", ", ".join(total.unknown)]
        )  # fmt: skip
    return lines + table(rows, [16, -13, -13 if eaters > 1 else -1, 34 if eaters > 1 else 46])


def _density(sheet: Sheet) -> list[str]:
    found = pulls(sheet)
    if not found:
        return ["  no line has both a known mass and a known energy"]
    rows = [["  kcal/100 g", "its own", "without it", f"+{MORE_G:g} g", ""]]
    for pull in found:
        without = "-" if pull.without is None else f"{pull.without:.0f}"
        gain = pull.with_more - pull.as_is
        word = "holds it down" if gain < -0.5 else "lifts it" if gain > 0.5 else "hardly moves it"
        rows.append(
            [f"  {pull.food.replace('-', ' ')}", f"{pull.own:.0f}", without,
             f"{pull.with_more:.0f}", f"  {word}"]
        )  # fmt: skip
    whose = "The dish has" if len(found) == len(sheet.lines) else "What is known of the dish has"
    first = f"  {whose} {found[0].as_is:.0f} kcal/100 g."
    return [first, *table(rows, [30, -8, -10, -6, 18])]


def _panels(sheet: Sheet, panel: Panel) -> list[str]:
    us, eu = panels(sheet)
    half = (WIDTH - 2) // 2
    us_lines = [f"US, one serving ({us.serving_text})", *_panel(us.rows, half)]
    eu_lines = ["EU, per 100 g", *_panel(eu.per_100g, half)]
    notes: list[str] = []
    if panel in ("us", "both"):
        notes += us.notes
    if panel in ("eu", "both"):
        notes += [f"EU: {eu.basis}.", *eu.notes]
    body = {"both": columns(us_lines, eu_lines), "us": us_lines, "eu": eu_lines}[panel]
    return ["  " + line if panel != "both" else line for line in body] + [
        text for note in dict.fromkeys(notes) for text in paragraph(note, "    ", "  · ")
    ]


def _panel(rows: tuple[Row, ...], width: int) -> list[str]:
    lines = []
    for row in rows:
        name = "  " * row.level + row.name
        if row.kind == "not-known" and not row.unknown:
            continue  # in none of the tables used: the notes name it
        value = row.text if row.kind == "not-known" else f"{row.text} {row.percent_text}".strip()
        lines.append(fit(name, max(8, width - len(value) - 1)) + " " + value)
    return lines


def _allergens(sheet: Sheet) -> list[str]:
    found = combine(line.food for line in sheet.lines)

    def told(group: tuple[Declared, ...]) -> str:
        """By the foods that bring them: 'walnut: peanuts, almond; paprika: celery'."""
        by_foods: dict[str, list[str]] = {}
        for one in group:
            by_foods.setdefault(", ".join(one.foods), []).append(agent_name(one.agent))
        return "; ".join(f"{', '.join(names)} ({foods})" for foods, names in by_foods.items())

    lines = paragraph("contains: " + (told(found.contains) or "none declared"), "    ", "  ")
    if found.may_contain:
        lines += paragraph("may contain: " + told(found.may_contain), "    ", "  ")
    if found.unknown:
        lines += paragraph("unknown, read the label: " + told(found.unknown), "    ", "  ")
    return lines


def _count(findings: Iterable[Finding]) -> list[str]:
    said = [finding.severity for finding in findings]
    words = [f"{said.count(one)} {one}{'s' * (said.count(one) != 1)}" for one in SEVERITIES]
    marks = "≈ derived  ˡ label  ~ common practice or from memory  ? unknown  ≥ at least"
    return ["", "─" * WIDTH, f"  {marks}", "  Findings: " + ", ".join(words) + "."]
