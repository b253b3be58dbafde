"""Which fuel, which stove and which pot does the walker mean?"""

from __future__ import annotations

import re
from difflib import get_close_matches
from typing import Final

from fellfare.camp import (
    FUELS,
    STOVES,
    Fuel,
    Pot,
    PotMaterial,
    Stove,
    check_efficiency,
    ethanol,
    find_fuel,
    gas_mix,
    spirit,
    wood,
)
from fellfare.cli.camp.reading import read_mass_g, read_share
from fellfare.mistake import Mistake

#: Everyday words for the fuels of the table; a spirit of unknown make-up is the honest reading
#: of 'alcohol'.
WORDS: Final = {
    "canister": "gas",
    "canister-gas": "gas",
    "n-butane": "butane",
    "alcohol": "denatured-spirit",
    "spirit": "denatured-spirit",
    "methylated-spirit": "denatured-spirit",
    "meths": "denatured-spirit",
    "naphtha": "white-gas",
    "isopropanol": "2-propanol",
    "isopropyl-alcohol": "2-propanol",
    "tablets": "hexamine",
    "wood": "wood-20",
}

_GASES: Final = ("propane", "isobutane", "butane")
_MATERIALS: Final[dict[str, PotMaterial]] = {
    "aluminium": "aluminium",
    "aluminum": "aluminium",
    "titanium": "titanium",
    "steel": "steel",
    "stainless": "steel",
    "stainless steel": "steel",
}


def read_fuel(text: str) -> Fuel:
    """'gas', 'white gas', 'spirit 90%', 'wood 15%', 'isobutane 80, propane 20'."""
    plain = " ".join(text[:100].lower().split())
    name = plain.replace(" ", "-")
    name = WORDS.get(name, name)
    if name in FUELS:
        return find_fuel(name)
    strength = re.fullmatch(r"(spirit|ethanol|wood) (\d{1,3}(?:\.\d+)?) ?%?(?: vol\.?)?", plain)
    if strength:
        share = read_share(f"{strength[2]}%")
        if strength[1] == "wood":
            return wood(share)
        return (spirit if strength[1] == "spirit" else ethanol)(100.0 * share)
    if any(char.isdigit() for char in plain) and any(gas in plain for gas in _GASES):
        return gas_mix(_mix(plain))
    near = get_close_matches(name, [*FUELS, *WORDS], n=3, cutoff=0.5)
    raise Mistake(
        "unknown-fuel",
        what=f"no fuel is called {text[:60]!r}",
        mend=f"did you mean {' or '.join(near)}?"
        if near
        else f"one of: {', '.join(FUELS)}; or 'spirit 90%', 'wood 15%', 'isobutane 80, propane 20'",
    )


def _mix(plain: str) -> dict[str, float]:
    shares: dict[str, float] = {}
    for part in re.split(r"[,;+/]", plain.replace("n-butane", "butane")):
        found = re.fullmatch(
            r"(?:([a-z]+) ?(\d{1,3}(?:\.\d+)?) ?%?|(\d{1,3}(?:\.\d+)?) ?%? ?([a-z]+))", part.strip()
        )
        gas, share = (found[1] or found[4], found[2] or found[3]) if found else ("", "")
        if gas not in _GASES or gas in shares:
            raise Mistake(
                "gas-mix-unclear",
                what=f"cannot read {part.strip()[:60]!r} in the gas mix",
                mend="write each gas once with its share by mass: 'isobutane 80, propane 20'; "
                f"gases: {', '.join(_GASES)}",
            )
        shares[gas] = float(share)
    return shares


def read_stove(text: str) -> Stove:
    """One class of stove by its name."""
    name = "-".join(text[:60].lower().split())
    if name in STOVES:
        return STOVES[name]
    near = get_close_matches(name, STOVES, n=2, cutoff=0.5)
    suggest = f"did you mean {' or '.join(near)}? " if near else ""
    raise Mistake(
        "unknown-stove",
        what=f"no class of stove is called {text[:60]!r}",
        mend=f"{suggest}one of: {', '.join(STOVES)}",
    )


def stove_for(fuel: Fuel, stove: Stove | None) -> Stove:
    """The stove that was named, if it burns that fuel; else the usual one for it."""
    fitting = [one for one in STOVES.values() if fuel.kind in one.burns]
    if stove is None:
        return fitting[0]
    if fuel.kind not in stove.burns:
        raise Mistake(
            "stove-burns-other-fuel",
            what=f"{stove.name} ({stove.id}) does not burn {fuel.name}",
            mend=f"stoves for it: {', '.join(one.id for one in fitting)}",
            where="--stove",
        )
    return stove


def refuse_impossible(eta: float | None, where: str) -> None:
    """No figures beside an efficiency that physics forbids.

    Raises
    ------
    Mistake
        ``efficiency-impossible``, with what :func:`~fellfare.camp.check_efficiency` says.
    """
    if eta is None:
        return
    for told in check_efficiency(eta):
        if told.severity == "error":
            raise Mistake(
                "efficiency-impossible",
                what=f"an efficiency of {100 * eta:.0f} % takes more heat from the fuel than it "
                "holds",
                mend="check the weighed fuel, the water and the temperatures; camp stoves reach "
                "30 to 70 %",
                where=where,
            )


def read_pot(text: str) -> Pot:
    """'aluminium 120g', '120 g titanium' → pot with lid."""
    plain = " ".join(text[:60].lower().split())
    found = re.fullmatch(r"(?:([a-z ]+?) (\d.*)|(\d.*?) ([a-z ]+))", plain)
    if found:
        forwards = found[1] is not None
        word, mass = (found[1], found[2]) if forwards else (found[4], found[3])
        if not forwards and (unit := re.match(r"(g|kg|oz|lb) (.*)", word)):
            mass, word = f"{mass} {unit[1]}", unit[2]
        if word in _MATERIALS:
            return Pot(material=_MATERIALS[word], mass_g=read_mass_g(mass))
    raise Mistake(
        "pot-unclear",
        what=f"cannot read the pot {text[:60]!r}",
        mend="write material and mass with lid: 'aluminium 120g', 'titanium 95g', 'steel 300g'",
    )
