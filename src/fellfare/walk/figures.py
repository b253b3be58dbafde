"""What may stand where a formula wants a number?

One float, or an array of floats of any shape that numpy can broadcast: the
same formula then answers for all legs, walkers and loads at once.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

#: An array of 64-bit floats.
Array: TypeAlias = NDArray[np.float64]

#: One number, or many that broadcast together.
Figure: TypeAlias = float | NDArray[np.float64]
