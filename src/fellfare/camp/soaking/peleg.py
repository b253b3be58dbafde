"""The soak curve of Peleg, and how to read it off a few weighings."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from fellfare.mistake import Mistake
from fellfare.pantry.food import Trust


def peleg_moisture(t: float, M0: float, k1: float, k2: float) -> float:
    """Moisture M(t) = M0 + t/(k1 + k2 t) [g/g dry, or as M0].

    Peleg 1988, J Food Sci 53:1216 [PELEG-1988] (its eq. 1, number from memory); units
    are the user's, the same for t and k1, and for M, M0 and 1/k2.  Valid for the food,
    water and temperature that k1 and k2 were read off, t from zero on (not checked here).
    """
    return M0 + t / (k1 + k2 * t)


def peleg_time(F: float, k1: float, k2: float) -> float:
    """Time until the fraction ``F`` (0 <= F < 1) of the whole uptake 1/k2 is in.

    From the same equation: t = (k1/k2) F/(1 - F); t50 = k1/k2, t90 = 9 k1/k2.
    """
    return k1 / k2 * F / (1.0 - F)


class SoakTest(Struct, frozen=True, kw_only=True):
    """What a few weighings say about one food in one water."""

    #: Peleg's constants [min/g] and [1/g], for the mass that was weighed.
    k1_min_per_g: float
    k2_per_g: float
    #: Water that it would take up in the end [g].
    uptake_g: float
    #: Time to the asked share of that [min].
    minutes: float
    share: float
    #: Worst miss of the curve at a weighing [g].
    worst_miss_g: float
    trust: Trust = "measured"
    source: str = "own weighings through [PELEG-1988] eq. (1)"


def read_soak_test(
    dry_g: float, weighings: Sequence[tuple[float, float]], share: float = 0.9
) -> SoakTest:
    """Soak time from weighing the drained food now and then.

    Least squares on Peleg's straight line, t/(m - m0) = k1 + k2 t.

    Parameters
    ----------
    dry_g
        Dry food at the start. [g]
    weighings
        (minutes, drained mass) pairs, two or more at different times. [min], [g]
    share
        Share of the final uptake that counts as done; 0 to below 1.

    Raises
    ------
    Mistake
        ``soak-test-unusable``: too few weighings, no gain, or no levelling off.

    Examples
    --------
    >>> round(read_soak_test(100, [(10, 150), (30, 175)]).minutes)
    90
    """
    points = [(t, m - dry_g) for t, m in weighings]
    usable = (
        dry_g > 0.0
        and 0.0 <= share < 1.0
        and len({t for t, _ in points}) >= 2
        and all(0.0 < t <= 1e5 and 0.0 < gain <= 1e6 for t, gain in points)
    )
    k1 = k2 = 0.0
    if usable:
        n = len(points)
        mean_t = sum(t for t, _ in points) / n
        mean_y = sum(t / gain for t, gain in points) / n
        spread = sum((t - mean_t) ** 2 for t, _ in points)
        k2 = sum((t - mean_t) * (t / gain - mean_y) for t, gain in points) / spread
        k1 = mean_y - k2 * mean_t
    if not (k1 > 0.0 and k2 > 0.0):
        raise Mistake(
            "soak-test-unusable",
            what="these weighings do not make a soak curve",
            mend="weigh drained at two or more different times, the later ones heavier "
            "but gaining more slowly",
        )
    return SoakTest(
        k1_min_per_g=k1,
        k2_per_g=k2,
        uptake_g=1.0 / k2,
        minutes=peleg_time(share, k1, k2),
        share=share,
        worst_miss_g=max(abs(peleg_moisture(t, 0.0, k1, k2) - gain) for t, gain in points),
    )
