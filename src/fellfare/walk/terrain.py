"""What is underfoot, and how much does it add?  Terrain factors eta, with their sources.

A factor multiplies the speed term of the energy models and slows the pace by
its square root.  The published lists disagree (swamp: 1.6, 1.8 and 3.5), so
every factor carries its spread, and a caller may bring a table of their own.
"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from fellfare.mistake import Finding, Mistake
from fellfare.walk.legs import LEAST_ETA, MOST_ETA

#: Soule & Goldman 1972, J Appl Physiol 32:706-708, as reproduced in public
#: texts (not checked against the paper).
_SOULE: Final = "Soule & Goldman 1972, seen in public reproductions"
_JUDGED: Final = "judgement between the classes of Soule & Goldman 1972"


class Terrain(Struct, frozen=True, kw_only=True):
    """One class of ground."""

    #: Lower case with hyphens.
    name: str
    #: Terrain factor eta, 1 = hard and smooth.
    eta: float
    #: Lowest and highest published figure.
    low: float
    high: float
    source: str

    def __post_init__(self) -> None:
        if not LEAST_ETA <= self.low <= self.eta <= self.high <= MOST_ETA:
            raise Mistake(
                "terrain-factor-out-of-range",
                what=f"terrain {self.name!r}: {self.low:g} / {self.eta:g} / {self.high:g}"
                " is no factor with its spread",
                mend="give low <= eta <= high between 1 and 6",
            )


#: The shipped table.
TERRAINS: Final = (
    Terrain(name="road", eta=1.0, low=1.0, high=1.0, source=_SOULE),
    Terrain(name="dirt-road", eta=1.1, low=1.0, high=1.1, source=_SOULE),
    Terrain(name="path", eta=1.1, low=1.0, high=1.2, source=_JUDGED),
    Terrain(name="grass", eta=1.1, low=1.1, high=1.2, source=_SOULE),
    Terrain(
        name="gravel", eta=1.2, low=1.1, high=1.2, source="one public list; no primary source seen"
    ),
    Terrain(name="rough-path", eta=1.2, low=1.1, high=1.3, source=_JUDGED),
    Terrain(name="light-brush", eta=1.2, low=1.2, high=1.3, source=_SOULE),
    Terrain(
        name="ploughed-field",
        eta=1.3,
        low=1.3,
        high=1.5,
        source="one of two public reproductions of Soule & Goldman 1972",
    ),
    Terrain(
        name="hard-snow",
        eta=1.3,
        low=1.3,
        high=1.6,
        source="1.3 and 1.6 in public reproductions of Soule & Goldman 1972",
    ),
    Terrain(name="heavy-brush", eta=1.5, low=1.5, high=1.7, source=_SOULE),
    Terrain(
        name="talus",
        eta=1.8,
        low=1.5,
        high=2.1,
        source=_JUDGED,
    ),
    Terrain(
        name="swamp",
        eta=1.8,
        low=1.6,
        high=3.5,
        source="Soule & Goldman 1972 has 1.8; other public lists 1.6 and 3.5",
    ),
    Terrain(name="loose-sand", eta=2.1, low=2.0, high=2.1, source=_SOULE),
    Terrain(name="soft-snow-15cm", eta=2.5, low=2.0, high=2.6, source=_SOULE),
    Terrain(name="soft-snow-25cm", eta=3.3, low=2.9, high=3.6, source=_SOULE),
    Terrain(name="soft-snow-35cm", eta=4.1, low=3.7, high=4.5, source=_SOULE),
)

#: The deepest snow of the 1972 list (35 cm); no formula here goes beyond it.
MOST_SNOW_ETA: Final = 4.1


def terrain_named(name: str, table: tuple[Terrain, ...] = TERRAINS) -> Terrain:
    """The terrain with this name, from the shipped table or one's own.

    Raises
    ------
    Mistake
        ``unknown-terrain``.
    """
    for terrain in table:
        if terrain.name == name:
            return terrain
    raise Mistake(
        "unknown-terrain",
        what=f"no terrain is called {name!r}",
        mend="choose one of " + ", ".join(terrain.name for terrain in table),
    )


class SnowFactor(Struct, frozen=True, kw_only=True):
    """A terrain factor for snow, and what to say of it."""

    eta: float
    notes: tuple[Finding, ...] = ()


def footprint_snow_eta(D: float) -> float:
    """Terrain factor eta [-] = 1.30 + 0.082 D, D depth of the footprint [cm].

    Pandolf, Haisman & Goldman 1976 [PANDOLF-1976] (from memory; a public list has 1.3 + 0.08
    per cm).  Valid to about 35 cm (not checked here).
    """
    return 1.30 + 0.082 * D


def density_snow_eta(z: float) -> float:
    """Terrain factor eta [-] by sinkage z [cm]: 0.0005 z^3 + 0.0001 z^2 + 0.1072 z + 1.2604.

    Richmond et al. 2019 (ERDC) [RICHMOND-2019], seen in a library abstract.  Valid to
    about z = 15 cm (own reading; not checked here): above, the cubic leaves all measured
    factors behind (11.75 at 25 cm).
    """
    return 0.0005 * z**3 + 0.0001 * z**2 + 0.1072 * z + 1.2604


def sinkage_cm(h: float, rho0: float) -> float:
    """z = h (1 - rho0 / 1.186): sinkage [cm] in h cm of snow of density rho0 [g/cm3].

    Richmond et al. 2019 [RICHMOND-2019]; the abstract names no units, cm and g/cm3 are our
    reading of it.
    """
    return h * (1.0 - rho0 / 1.186)


def snow_factor(*, depth_cm: float, density_g_per_cm3: float | None = None) -> SnowFactor:
    """Terrain factor of snow, never above :data:`MOST_SNOW_ETA`.

    Parameters
    ----------
    depth_cm
        Without a density the depth of one's footprint, with one the depth of
        the snow [cm], 0 to 300.
    density_g_per_cm3
        Density of the snow [g/cm3], 0.03 to 0.9; None = not known.

    Raises
    ------
    Mistake
        ``snow-out-of-range``.
    """
    density_good = density_g_per_cm3 is None or 0.03 <= density_g_per_cm3 <= 0.9
    if not (0 <= depth_cm <= 300 and density_good):
        raise Mistake(
            "snow-out-of-range",
            what=f"no snow is {depth_cm:g} cm deep with a density of {density_g_per_cm3} g/cm3",
            mend="give 0 to 300 cm and, if known, 0.03 (fresh) to 0.9 g/cm3 (ice)",
        )
    if density_g_per_cm3 is None:
        eta, source = footprint_snow_eta(depth_cm), "Pandolf, Haisman & Goldman 1976, from memory"
    else:
        eta = density_snow_eta(sinkage_cm(depth_cm, density_g_per_cm3))
        source = "Richmond et al. 2019 (ERDC), abstract"
    if eta <= MOST_SNOW_ETA:
        return SnowFactor(eta=eta)
    note = Finding(
        severity="caution",
        rule="snow-factor-capped",
        text=f"The snow formula gives {eta:.1f}, beyond all measured factors;"
        f" {MOST_SNOW_ETA:g} is used. Such snow has no planning value: go by skis, snowshoes"
        " or another day.",
        source=source,
    )
    return SnowFactor(eta=MOST_SNOW_ETA, notes=(note,))
