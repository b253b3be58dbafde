"""A provision on one screen, and the views of its bags."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from fellfare.cli.layout import heading, number, paragraph, shown_width, table
from fellfare.measure.printing import print_mass
from fellfare.provision.bags.fewer import MANY_BAGS
from fellfare.provision.bags.tree import View, view
from fellfare.provision.trip.burdens import morning_g
from fellfare.provision.trip.provision import Provision

#: Walkers side by side in eighty columns, and the longest name that is told whole there.
_ABREAST: Final = 5
_NAME: Final = 11


def _to_buy(one: Provision) -> str:
    """'107 foods to buy, 3 at Hut shop': as the prep list and the shopping list count them."""
    home = sum(len(place.to_buy) for place in one.shopping.places if not place.name)
    shops = [
        f", {len(place.to_buy)} at {place.name}"
        for place in one.shopping.places
        if place.name and place.to_buy
    ]
    return f"{home} foods to buy{''.join(shops)}"


def provision_text(one: Provision, told: str) -> str:
    """Sums, loads, nights, boxes, fuel and water; the papers tell the rest."""
    lines = [f"{one.plan.trip.title}: {len(one.dishes)} dishes from {told}"]
    lines += paragraph(
        f"{one.food_g / 1000:.1f} kg of food in {len(one.bags)} bags, packaging "
        f"{one.packaging_g / 1000:.2f} kg; {_to_buy(one)}"
        + _cost(one)
        + f"; {len(one.prep.tasks)} tasks at home"
        + (f", the last of them by {one.packed_on.isoformat()}." if one.packed_on else ".")
    )
    for finding in one.findings:
        if finding.rule == MANY_BAGS:
            lines += paragraph(finding.text)
    lines += heading("Food with its bags on each back, in the morning (kg)")
    names = [walker.name for walker in one.plan.trip.walkers]
    days = len(one.plan.days)
    each = [morning_g(one.carrying, one.bags, name, days) for name in names]
    for begin in range(0, len(names), _ABREAST):
        some = each[begin : begin + _ABREAST]
        rows = [
            [f"day {day + 1}", *(f"{mine[day] / 1000:.2f}" for mine in some),
             f"{sum(mine[day] for mine in each) / 1000:.2f}"]
            for day in range(days)
        ]  # fmt: skip
        shown = [_cut(name) for name in names[begin : begin + _ABREAST]]
        lines += table([["", *shown, "all"], *rows], [8, *(-10 for _ in shown), -10])
    party = one.room.party
    if party is not None:
        lines += heading(f"Room at night, in {party.litres:g} litres (least to most rubbish)")
        lines += table(
            [
                [f"day {night.day}", f"{night.total_l[0]:.1f} to {night.total_l[1]:.1f} L",
                 "" if night.fits else "TOO FULL"]
                for night in party.nights
            ],
            [8, 20, 10],
        )  # fmt: skip
    for box in one.boxes:
        lines += heading(f"Box: {box.name}")
        window = box.window
        dates = "no dates are told"
        if window is not None:
            begins = "" if window.earliest is None else f"from {window.earliest.isoformat()} "
            dates = f"post it {begins}by {window.latest.isoformat()}"
        meant = "" if box.posted is None else f" (you mean {box.posted.isoformat()})"
        waits = "not known" if box.waits_days is None else f"{box.waits_days:.0f} days"
        lines += paragraph(
            f"{len(box.bags)} bags, {box.gross_g / 1000:.2f} kg; {dates}{meant}; under way and "
            f"waiting {waits} at {box.box_c:.0f} °C; {_worn(len(box.swaps))}."
        )
    lines += heading("Fuel and water")
    for leg in one.fuel:
        gas = leg.canisters
        take = "" if gas is None else f": {gas.count} × {gas.size.net_g:.0f} g"
        where = "at the start" if leg.from_name == "start" else f"at {leg.from_name}"
        lines += paragraph(f"{leg.fuel_id} {where}, {leg.fuel_g:.0f} g needed{take}")
    for supply in one.water:
        least = "at least " if supply.water_unknown else ""
        lines += paragraph(
            f"water for the food {'from the start' if not supply.stop else f'from {supply.stop}'}: "
            f"{least}{number(supply.water_ml)} ml, most on day {supply.most_day} "
            f"({number(supply.most_ml)} ml)"
        )
    lines += ["", *paragraph("Papers: --out FOLDER writes all of them.  That no rule fired is no "
                             "verdict on the food.")]  # fmt: skip
    return "\n".join(lines)


def _worn(foods: int) -> str:
    """Foods of a box of which the findings say that little of their life is left."""
    if not foods:
        return "every food keeps well, as far as that is known"
    if foods == 1:
        return "1 food is near or past the end of its life"
    return f"{foods} foods are near or past the end of their life"


def _cut(name: str) -> str:
    """A name that fits into its column."""
    return name if shown_width(name) <= _NAME else name[: _NAME - 1] + "…"


def _cost(one: Provision) -> str:
    if not any(row.cost for row in one.shopping.rows):
        return ""
    least = "at least " if one.shopping.cost_unknown else ""
    return f" for {least}{one.shopping.cost:.2f} {one.shopping.currency}".rstrip()


def view_text(one: Provision, by: View) -> str:
    """The same grams under the headings of one view."""
    rows = [
        [row.key, ("≥ " if row.mass_unknown else "") + print_mass(row.mass_g).text,
         ", ".join(map(str, row.bags))]
        for row in view(one.bags, by)
    ]  # fmt: skip
    total = sum(row.mass_g for row in view(one.bags, by))
    return "\n".join(
        [f"By {by}: {print_mass(total).text} of food", *table([["", "food", "bags"], *rows],
                                                               [28, -10, 40])]
    )  # fmt: skip


def papers_text(written: Mapping[Path, bytes], told: str) -> str:
    """Which files were written, and how large they are."""
    lines = [f"{path}  {len(data) / 1000:.0f} kB" for path, data in written.items()]
    return "\n".join([*lines, f"{len(written)} files, made of {told}."])
