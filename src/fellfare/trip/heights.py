"""Heights along the whole walk at even distances, for drawing."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from fellfare.walk.figures import Array
from fellfare.walk.profile import Profile
from fellfare.walk.stages import Stage


class Heights(Struct, frozen=True, kw_only=True, eq=False):
    """Distances from the start and elevations there [m], of one length."""

    at_m: Array
    ele_m: Array


def heights_along(profile: Profile | None, stages: Sequence[Stage], count: int) -> Heights | None:
    """``count`` heights from start to end; None where no elevation is known."""
    if profile is not None:
        at, ele = profile.at_m, profile.ele_m
    else:
        at, ele = _of_table(stages)
    if at.size < 2 or not np.isfinite(ele).all():
        return None
    even = np.linspace(at[0], at[-1], count)
    return Heights(at_m=even, ele_m=np.interp(even, at, ele))


def _of_table(stages: Sequence[Stage]) -> tuple[Array, Array]:
    walked = [stage.slopes for stage in stages if len(stage.slopes)]
    if not walked:
        return np.zeros(0), np.zeros(0)
    ends = np.cumsum(np.concatenate([slopes.distance_m for slopes in walked]))
    tops = np.concatenate([slopes.from_ele_m + slopes.rise_m for slopes in walked])
    return np.concatenate([[0.0], ends]), np.concatenate([walked[0].from_ele_m[:1], tops])
