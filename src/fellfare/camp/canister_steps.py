"""Gas comes in whole canisters: what do their steps do to 'stove or no stove'?

Fuel to the gram makes two straight lines that cross once.  Whole canisters, their empty mass,
the reserve and what is left over make a stair, which can cross the other line more than once.
"""

from __future__ import annotations

from math import ceil
from typing import Final

from msgspec import Struct

from fellfare.camp.fuel.canister import RESERVE, CanisterSize, check_fuel_wanted
from fellfare.camp.stoveless import NoStoveKit, no_stove_mean_g
from fellfare.mistake import Mistake

#: Stretches are looked at up to so many days [d].
LONGEST_DAYS: Final = 365
#: A canister more of the cheapest size may make room for a smaller set: so many are tried less.
_TRIED: Final = 12


class CanisterStove(Struct, frozen=True, kw_only=True):
    """What cooking on a canister stove makes one carry."""

    #: Burner, pot, lighter, windscreen: everything but the canisters [g].
    kit_g: float
    fuel_g_per_day: float
    #: Sizes that can be had, with their empty mass [g].
    sizes: tuple[CanisterSize, ...]
    #: Share of the day's fuel burnt before the walking starts.
    morning_share: float = 0.5
    #: Share of gas on top of what is reckoned.
    reserve: float = RESERVE


class CanisterSet(Struct, frozen=True, kw_only=True):
    """Full canisters for one stretch."""

    #: (net fill [g], count), small to large; sizes that are not taken are left out.
    counts: tuple[tuple[float, int], ...]
    net_g: float
    #: All of them empty [g].
    tare_g: float
    #: What comes back unburnt when all goes as reckoned [g].
    left_g: float


def lightest_set(fuel_g: float, sizes: tuple[CanisterSize, ...], reserve: float) -> CanisterSet:
    """The set of full canisters, sizes mixed, that holds fuel and reserve at least mass.

    Raises
    ------
    Mistake
        ``canister-size-out-of-range`` (no size, fill or empty mass of no canister),
        ``fuel-mass-out-of-range``, ``reserve-out-of-range``.

    Examples
    --------
    >>> from fellfare.camp.fuel.canister import SIZES
    >>> lightest_set(110, SIZES[1:], 0.15).counts
    ((230.0, 1),)
    """
    good = all(1.0 <= s.net_g <= 20_000.0 and 0.0 <= _tare_g(s) <= 20_000.0 for s in sizes)
    if not (good and 1 <= len(sizes) <= 8):
        raise Mistake(
            "canister-size-out-of-range",
            what="a canister's fill or empty mass is no canister's",
            mend="give the net fill of the label (1 to 20,000 g) and the weighed empty mass",
        )
    check_fuel_wanted(fuel_g, reserve)
    wanted = fuel_g * (1.0 + reserve)
    # The leanest size carries most; only near the end can the others do better.
    lean = sorted(sizes, key=lambda s: ((s.net_g + _tare_g(s)) / s.net_g, -s.net_g))
    best = min(_sets(wanted, tuple(lean)), key=lambda one: (_mass_g(one, lean), sum(one)))
    chosen = [(size, count) for size, count in zip(lean, best, strict=True) if count]
    net = sum(size.net_g * count for size, count in chosen)
    return CanisterSet(
        counts=tuple(sorted((size.net_g, count) for size, count in chosen)),
        net_g=net,
        tare_g=sum(_tare_g(size) * count for size, count in chosen),
        left_g=net - fuel_g,
    )


def _tare_g(size: CanisterSize) -> float:
    return (size.tare_low_g + size.tare_high_g) / 2.0


def _mass_g(counts: tuple[int, ...], sizes: list[CanisterSize]) -> float:
    pairs = zip(sizes, counts, strict=True)
    return sum(count * (size.net_g + _tare_g(size)) for size, count in pairs)


def _sets(wanted_g: float, sizes: tuple[CanisterSize, ...]) -> list[tuple[int, ...]]:
    """Counts, size by size, that hold ``wanted_g``; not all, but the lightest is among them."""
    enough = ceil(max(wanted_g - 1e-6, 0.0) / sizes[0].net_g)
    if len(sizes) == 1:
        return [(enough,)]
    out = []
    for count in range(max(0, enough - _TRIED), enough + 1):
        rest = _sets(wanted_g - count * sizes[0].net_g, sizes[1:])
        out += [(count, *others) for others in rest]
    return out


class Stretch(Struct, frozen=True, kw_only=True):
    """Both ways for one length of the stretch."""

    days: int
    #: Mean carried mass while walking [g].
    stove_mean_g: float
    no_stove_mean_g: float


class Stair(Struct, frozen=True, kw_only=True):
    """Stove in whole canisters or no stove, over the length of the stretch."""

    canisters: CanisterSet
    days: int
    stove_mean_g: float
    no_stove_mean_g: float
    #: Carried while walking, day by day, with the stove [g].
    stove_days_g: tuple[float, ...]
    #: 'stove', 'stoveless' or 'equal' by the mean of these days (within 0.05 g).
    lighter: str
    #: First length for which the stove is the lighter, and from which on it stays so up to
    #: 365 days; None = never.
    first_days: int | None
    for_good_days: int | None
    #: Lengths of 1 to 365 days for which the stove is the lighter, as (from, to).
    stove_lighter: tuple[tuple[int, int], ...]
    #: Every length from 1 day on.
    curve: tuple[Stretch, ...]


def stepped_mean_g(stove: CanisterStove, taken: CanisterSet, days: int) -> float:
    """Mean carried mass: kit, empty canisters, what is left over, and f ((n + 1)/2 - m)."""
    burning = stove.fuel_g_per_day * ((days + 1) / 2 - stove.morning_share)
    return stove.kit_g + taken.tare_g + taken.left_g + burning


def canister_stair(
    stove: CanisterStove, cold: NoStoveKit, days: int, longest_days: int = LONGEST_DAYS
) -> Stair:
    """Answer 'stove or stoveless?' with whole canisters.

    Parameters
    ----------
    stove, cold
        What each way makes one carry beyond the same food energy.
    days
        Walking days of the stretch, 1 to ``longest_days``.
    longest_days
        Longest stretch that is looked at, 1 to 1000.

    Raises
    ------
    Mistake
        ``stove-or-stoveless-unclear`` and those of :func:`lightest_set`.
    """
    masses = (stove.kit_g, stove.fuel_g_per_day)
    if not (
        all(0.0 <= mass <= 1e6 for mass in masses)
        and 0.0 <= stove.morning_share <= 1.0
        and 1 <= days <= longest_days <= 1000
        and 0.0 <= stove.fuel_g_per_day * longest_days <= 1e6
    ):
        raise Mistake(
            "stove-or-stoveless-unclear",
            what="a mass, share or number of days is out of range",
            mend="masses in grams of 0 or more, shares from 0 to 1, 1 to 365 days",
        )
    sets = [
        lightest_set(stove.fuel_g_per_day * n, stove.sizes, stove.reserve)
        for n in range(1, longest_days + 1)
    ]
    curve = tuple(
        Stretch(
            days=n,
            stove_mean_g=stepped_mean_g(stove, taken, n),
            no_stove_mean_g=no_stove_mean_g(cold, n),
        )
        for n, taken in enumerate(sets, 1)
    )
    spans: list[tuple[int, int]] = []
    for one in curve:
        if one.stove_mean_g >= one.no_stove_mean_g:
            continue
        if spans and spans[-1][1] == one.days - 1:
            spans[-1] = (spans[-1][0], one.days)
        else:
            spans.append((one.days, one.days))
    here, taken = curve[days - 1], sets[days - 1]
    gap = here.stove_mean_g - here.no_stove_mean_g
    rest_g = stove.kit_g + taken.tare_g + taken.left_g
    return Stair(
        canisters=taken,
        days=days,
        stove_mean_g=here.stove_mean_g,
        no_stove_mean_g=here.no_stove_mean_g,
        stove_days_g=tuple(
            rest_g + stove.fuel_g_per_day * (days - k - stove.morning_share) for k in range(days)
        ),
        lighter="equal" if abs(gap) < 0.05 else "stove" if gap < 0 else "stoveless",
        first_days=spans[0][0] if spans else None,
        for_good_days=spans[-1][0] if spans and spans[-1][1] == longest_days else None,
        stove_lighter=tuple(spans),
        curve=curve,
    )
