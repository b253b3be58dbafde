"""Who carries what, on paper: loads, room at night, swaps, fuel, water."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from fellfare.measure.printing import print_mass, print_volume
from fellfare.pantry.allergens import AGENTS, agent_name
from fellfare.paper.days import day_said
from fellfare.paper.lists import Part, Row, Sheet
from fellfare.paper.words import capital
from fellfare.provision.bags.plan import PlannedBag
from fellfare.provision.stated import in_short
from fellfare.provision.store.denser import SaveSwap
from fellfare.provision.store.nights import Fit
from fellfare.provision.trip.burdens import morning_g
from fellfare.provision.trip.provision import Provision
from fellfare.trip.fuelling import FuelLeg

#: From so many unknown allergens on, they are not named one by one.
_MANY_UNKNOWN: Final = 8


def carrying_sheet(one: Provision, title: str = "Who carries what") -> Sheet:
    """Loads by morning, bags by person, room by night, swaps, fuel and water."""
    parts = [_mornings(one), *_by_person(one)]
    if one.room.party is not None:
        parts += [_nights(one, one.room.party), _first_night(one, one.room.party)]
        parts.append(_swaps(one.room.party))
    parts += [_fuel(one), _water(one), _water_days(one)]
    foot = ["Food with its bags.  The pack itself, kit, fuel and water come on top."]
    foot += [
        f"{finding.severity.upper()}: {finding.text}"
        for finding in one.findings
        if finding.rule in ("pack-too-heavy", "own-bag-too-full", "store-too-small",
                            "volume-unknown", "carried-past-a-shop")
    ]  # fmt: skip
    return Sheet(title=title, parts=tuple(part for part in parts if part.rows), foot=tuple(foot))


def _mornings(one: Provision) -> Part:
    names = [walker.name for walker in one.plan.trip.walkers]
    days = len(one.plan.days)
    each = {name: morning_g(one.carrying, one.bags, name, days) for name in names}
    unfair = max((leg.unfair_g for leg in one.carrying), default=0.0)
    shares = one.carrying[0].carriers if one.carrying else ()
    fair = ", ".join(f"{c.name} {c.share:.0%}" for c in shares)
    return Part(
        heading="Food on each back, in the morning",
        lead=(
            f"Fair parts: {fair}.  Nobody is ever more than {print_mass(unfair).text} above "
            "theirs.",
            "All bags of a dish lie on one back; what one eats alone, on one's own where that is "
            "fair.",
        ),
        head=("Day", *names, "All"),
        widths=(1.6, *(1.0 for _ in names), 1.0),
        rows=tuple(
            Row(
                cells=(
                    _day(one, day + 1),
                    *(_kg(each[name][day]) for name in names),
                    _kg(sum(each[name][day] for name in names)),
                )
            )
            for day in range(days)
        ),
        ticks=False,
    )


def _by_person(one: Provision) -> list[Part]:
    bags = {bag.number: bag for bag in one.bags}
    parts = []
    for walker in one.plan.trip.walkers:
        numbers = sorted(
            n for leg in one.carrying for c in leg.carriers if c.name == walker.name for n in c.bags
        )
        mine = [bags[number] for number in numbers]
        parts.append(
            Part(
                heading=f"{walker.name} carries",
                head=("Day", "Bags", "Weigh"),
                widths=(1.6, 5.0, 1.0),
                rows=tuple(
                    Row(
                        cells=(
                            _day(one, day)
                            + "".join(f" ({stop})" for stop in _stops(mine, day) if stop),
                            ", ".join(str(bag.number) for bag in mine if bag.day == day),
                            print_mass(sum(b.gross_g for b in mine if b.day == day)).text,
                        )
                    )
                    for day in sorted({bag.day for bag in mine})
                ),
            )
        )
    return parts


def _stops(mine: Sequence[PlannedBag], day: int) -> dict[str, None]:
    return dict.fromkeys(bag.stop for bag in mine if bag.day == day)


def _nights(one: Provision, fit: Fit) -> Part:
    each = dict(one.room.walkers)
    return Part(
        heading=f"Room at night, {fit.litres:g} litres in all",
        lead=(
            "Food, rubbish so far and all that smells; from least to most rubbish.  "
            "Everything that smells goes in, every night.  Local rules come first.",
        ),
        head=("After day", "All together", *each),
        widths=(1.7, 1.7, *(1.5 for _ in each)),
        rows=tuple(
            Row(
                cells=(
                    _day(one, night.day),
                    f"{_litres(night.total_l)}" + ("" if night.fits else "  TOO FULL"),
                    *(
                        next(
                            (
                                f"{_litres(own.total_l)} of {of.litres:g}"
                                + ("" if own.fits else "  TOO FULL")
                                for own in of.nights
                                if own.day == night.day
                            ),
                            "",
                        )
                        for of in each.values()
                    ),
                )
            )
            for night in fit.nights
        ),
        ticks=False,
    )


def _first_night(one: Provision, fit: Fit) -> Part:
    firsts = {min((b.day for b in one.bags if b.leg == leg), default=0)
              for leg in {bag.leg for bag in one.bags}}  # fmt: skip
    return Part(
        heading="Never has to fit: eaten before the first night",
        head=("Day", "Bags"),
        widths=(1.2, 5.0),
        rows=tuple(
            Row(
                cells=(
                    _day(one, day),
                    ", ".join(
                        str(bag.number)
                        for bag in one.bags
                        if bag.day == day and bag.number in fit.outside_first_day
                    ),
                )
            )
            for day in sorted(firsts)
            if any(b.day == day and b.number in fit.outside_first_day for b in one.bags)
        ),
        ticks=False,
    )


def _swaps(fit: Fit) -> Part:
    return Part(
        heading="Swaps that save most room on the fullest night",
        head=("Instead of", "Take", "Saves", "Weight"),
        widths=(2.0, 2.2, 1.0, 1.0),
        rows=tuple(_swap(one) for one in fit.swaps),
        ticks=False,
    )


def _swap(one: SaveSwap) -> Row:
    word = "more" if one.adds_g > 0 else "less"
    return Row(
        cells=(
            f"{capital(one.food.name)}, {print_mass(one.mass_g).text}",
            f"{one.stand_in.name}, {print_mass(one.stand_in_g).text} (equal {one.basis})",
            f"{one.saves_ml / 1000:.1f} l",
            f"{print_mass(abs(one.adds_g)).text} {word}",
        ),
        notes=minds_said(one.minds),
    )


def minds_said(minds: Sequence[str]) -> tuple[str, ...]:
    """'contains wheat', 'contains oats' in one breath; very many unknown ones in a word."""
    said: dict[str, list[str]] = {}
    for mind in minds:
        lead = next((word for word in ("contains", "may contain", "not known:") if
                     mind.startswith(f"{word} ")), "")  # fmt: skip
        said.setdefault(lead, []).append(_named(mind.removeprefix(lead).strip()))
    if len(said.get("not known:", ())) >= _MANY_UNKNOWN:
        said["not known:"] = ["most other allergens: read the pack"]
    return ("; ".join(f"{lead} {', '.join(in_short(words))}".strip()
                      for lead, words in said.items()),) if said else ()  # fmt: skip


def _named(agent: str) -> str:
    """'brazil-nut' as lists print it; a hazard's word without its hyphens."""
    known = next((one for one in AGENTS if one == agent), None)
    return agent.replace("-", " ") if known is None else agent_name(known)


def _fuel(one: Provision) -> Part:
    return Part(
        heading="Fuel",
        head=("Taken up", "For", "Needed", "Take"),
        widths=(1.8, 2.2, 1.6, 2.0),
        rows=tuple(_fuel_row(one, leg) for leg in one.fuel),
    )


def _fuel_row(one: Provision, leg: FuelLeg) -> Row:
    walkers = ", ".join(one.plan.trip.kitchens[leg.kitchen].walkers)
    where = "At the start" if leg.from_name == "start" else leg.from_name
    gas = leg.canisters
    take = f"{print_mass(leg.filled_g).text} with the reserve"
    if gas is not None:
        take = f"{gas.count} × {gas.size.net_g:.0f} g canister" + ("s" if gas.count > 1 else "")
    if leg.fuel_g <= 0:
        take = "nothing: no hot water is planned"
    return Row(
        cells=(
            where,
            f"{walkers}: {leg.boils} times hot water, {print_volume(leg.water_ml).text}",
            f"{leg.fuel_g:.0f} g ({leg.low_g:.0f} to {leg.high_g:.0f} g)",
            take,
        )
    )


def _water(one: Provision) -> Part:
    return Part(
        heading="Water for the food, from one place of taking up to the next",
        head=("Food from", "Days", "Water", "Most on one day"),
        widths=(1.8, 1.2, 1.6, 2.0),
        rows=tuple(
            Row(
                cells=(
                    leg.stop or "The start",
                    f"{leg.days[0]} to {leg.days[-1]}",
                    ("at least " if leg.water_unknown else "") + print_volume(leg.water_ml).text,
                    f"{print_volume(leg.most_ml).text} on day {leg.most_day}",
                )
            )
            for leg in one.water
        ),
        ticks=False,
    )


def _water_days(one: Provision) -> Part:
    return Part(
        heading="Water to carry, for one walker",
        head=("Day", "Drunk on the way", "In camp", "Most on the back", "Mind"),
        widths=(1.5, 1.5, 1.5, 1.2, 2.0),
        rows=tuple(
            Row(
                cells=(
                    _day(one, day.day),
                    _band(day.water.walking_low_ml, day.water.walking_high_ml),
                    _band(day.water.camp_low_ml, day.water.camp_high_ml),
                    "not known"
                    if day.water.most_carried_ml is None
                    else print_volume(day.water.most_carried_ml).text,
                    ""
                    if day.water.last_water is None
                    else f"no water at camp; last: {day.water.last_water or 'none'}",
                )
            )
            for day in one.plan.days
        ),
        ticks=False,
    )


def _band(low_ml: float, high_ml: float) -> str:
    if high_ml <= 0:
        return "none"
    return f"{low_ml / 1000:.1f} to {high_ml / 1000:.1f} l"


def _litres(total: tuple[float, float]) -> str:
    return f"{total[0]:.1f} to {total[1]:.1f} l"


def _kg(mass_g: float) -> str:
    return f"{mass_g / 1000:.2f} kg" if mass_g > 0 else "-"


def _day(one: Provision, day: int) -> str:
    when = one.plan.trip.date_of(day)
    return f"Day {day}" + ("" if when is None else f", {day_said(when).rsplit(' ', 1)[0]}")
