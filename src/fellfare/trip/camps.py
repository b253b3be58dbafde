"""What is it like at each camp: boiling, cooking, gas, frost?"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from fellfare.camp.camp_water import SnowVolume, snow_for
from fellfare.camp.cooking import cooking_time_factor
from fellfare.camp.fuel.fuels import find_fuel
from fellfare.camp.fuel.vapour import GasInCold, gas_in_cold
from fellfare.camp.water import Boiling, boil_at
from fellfare.mistake import Finding
from fellfare.trip.drinking import DayWater
from fellfare.trip.laying import Laid
from fellfare.trip.trip import Trip

#: At or below this at night standing water may be frozen in the morning [°C].
FROST_C: Final = 0.0


class CampFacts(Struct, frozen=True, kw_only=True):
    """One night."""

    day: int
    name: str
    #: None = not known; then there is no boiling point either.
    height_m: float | None
    night_c: float | None
    boiling: Boiling | None
    #: Times the sea-level minutes of a food cooked in the water.
    cooking_factor: float | None
    #: By fuel id: the gas in the cold of the night.
    gas: tuple[tuple[str, GasInCold], ...]
    #: None = no night temperature is known.
    frost: bool | None
    #: Snow to melt for the whole party where the document asks for it.
    snow: SnowVolume | None


def camps_of(trip: Trip, laid: Laid, water: tuple[DayWater, ...]) -> tuple[CampFacts, ...]:
    """Facts of every night but the one after the last day."""
    gases = sorted({k.fuel for k in trip.kitchens if k.fuel and find_fuel(k.fuel).kind == "gas"})
    out = []
    for stage, drunk in zip(laid.stages[:-1], water[:-1], strict=True):
        height = stage.end_m if stage.camp_m is None else stage.camp_m
        boiling = None if height is None else boil_at(height)
        share = trip.day_word(stage.day).snow_share
        party_ml = 0.5 * (drunk.camp_low_ml + drunk.camp_high_ml) * len(trip.walkers)
        out.append(
            CampFacts(
                day=stage.day,
                name=stage.camp or "camp",
                height_m=height,
                night_c=stage.night_c,
                boiling=boiling,
                cooking_factor=None if boiling is None else cooking_time_factor(boiling.boils_c),
                gas=()
                if height is None
                else tuple(
                    (gas, gas_in_cold(find_fuel(gas), height, stage.night_c)) for gas in gases
                ),
                frost=None if stage.night_c is None else stage.night_c <= FROST_C,
                snow=snow_for(party_ml * share) if share else None,
            )
        )
    return tuple(out)


def camp_findings(camps: tuple[CampFacts, ...]) -> tuple[Finding, ...]:
    """Gas in the cold, frost at night, heights and temperatures that nobody knows."""
    found = [
        Finding(
            severity=finding.severity,
            rule=finding.rule,
            text=f"Night {camp.day}, {camp.name}: {finding.text}",
            source=finding.source,
            about=finding.about,
        )
        for camp in camps
        for _, gas in camp.gas
        for finding in gas.findings
    ]
    frost = [f"night {camp.day}" for camp in camps if camp.frost and camp.snow is None]
    if frost:
        found.append(
            Finding(
                severity="note",
                rule="frost-at-camp",
                text="Frost: fill pot and bottles in the evening and keep them from freezing; a "
                "soak in a jar nearly stands still.  If water must come from snow, write "
                "snow_share under [[day]].",
                source="common practice, no source",
                about=tuple(frost),
            )
        )
    blind = [f"night {camp.day}" for camp in camps if camp.night_c is None]
    if blind:
        found.append(
            Finding(
                severity="note",
                rule="night-unknown",
                text="No night temperature is given: nothing is added for cold.",
                source="the document is silent",
                about=tuple(blind),
            )
        )
    return tuple(found)
