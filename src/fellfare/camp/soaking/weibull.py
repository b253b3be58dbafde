"""The soak curve after Weibull's distribution."""

from __future__ import annotations

from math import exp, log


def weibull_fraction(t: float, a: float, b: float) -> float:
    """Fraction [-] of the whole uptake after time ``t``: 1 - exp(-(t/a)^b).

    (M - M0)/(Me - M0) as used for rehydration, Garcia-Pascual et al. 2005, J Sci
    Food Agric 85:1397 [GARCIA-PASCUAL-2005] (abstract seen).  ``a`` scale, the
    time to 63.2 %, in the unit of t; ``b`` shape.  Valid for the food and water that
    a and b were fitted to, t from zero on (not checked here).
    """
    return 1.0 - exp(-((t / a) ** b))


def weibull_time(F: float, a: float, b: float) -> float:
    """Time to the fraction ``F`` (0 <= F < 1): a (-ln(1 - F))^(1/b)."""
    return float(a * (-log(1.0 - F)) ** (1.0 / b))
