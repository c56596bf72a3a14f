"""What a round pipe carries: Manning's formula full and part full, and the water that stands in a sag.

V = (1.486 / n) R^(2/3) S^(1/2) ft/s with R in feet; 1.486 is the cube root of 3.2808, the feet in a metre,
and is 1 in metres. Q = A V.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

# n by material key. Clay, cast iron, concrete: FHWA values quoted in Winchester, Indiana, code, Table 4;
# plastic: Caltrans Highway Design Manual, Table 851.2 (0.010 to 0.013); asbestos cement: a web table, weak.
# The rest from memory.
ROUGHNESS = {
    "abs": 0.012,
    "asbestos-cement": 0.011,
    "bituminous-fiber": 0.013,
    "brick": 0.015,
    "cast-iron": 0.013,
    "concrete": 0.013,
    "ductile-iron": 0.013,
    "hdpe": 0.012,
    "lead": 0.012,
    "pvc": 0.012,
    "steel": 0.013,
    "vitrified-clay": 0.013,
}
# Of a material that nobody named: the usual figure of design, and of the Ten States Standards.
USUAL_ROUGHNESS = 0.013
# Slower water leaves solids behind: National Standard Plumbing Code 2009, Appendix K.
SELF_CLEANSING_FT_S = 2.0
GPM_PER_CFS = 448.83
MANNING_FEET = 1.486


@dataclass(frozen=True, slots=True)
class Flow:
    """Velocity and discharge of a pipe at some depth of water."""

    velocity_ft_s: float
    discharge_cfs: float

    @property
    def discharge_gpm(self) -> float:
        """US gallons a minute."""
        return self.discharge_cfs * GPM_PER_CFS


def wetted(depth: float) -> tuple[float, float]:
    """Area and wetted perimeter of a circle of diameter 1 filled to `depth` (share of the diameter, 0 to 1).

    With the angle a = 2 arccos(1 - 2 depth): area (a - sin a) / 8, perimeter a / 2.
    """
    angle = 2 * math.acos(1 - 2 * min(max(depth, 0.0), 1.0))
    return (angle - math.sin(angle)) / 8, angle / 2


def manning(size_in: float, grade_pct: float, roughness: float, depth: float = 1.0) -> Flow:
    """The flow of a pipe of this inside diameter, fall in percent and n, filled to a share of its diameter.

    A pipe that does not fall, or is empty, carries nothing by its fall.
    """
    area, perimeter = wetted(depth)
    if grade_pct <= 0 or area <= 0:
        return Flow(0.0, 0.0)
    diameter = size_in / 12
    radius = area / perimeter * diameter
    velocity = MANNING_FEET / roughness * radius ** (2 / 3) * math.sqrt(grade_pct / 100)
    return Flow(velocity, velocity * area * diameter**2)


def self_cleansing_pct(size_in: float, roughness: float, depth: float = 1.0) -> float:
    """The fall in percent at which the water reaches 2 ft/s."""
    return 100 * (SELF_CLEANSING_FT_S / manning(size_in, 100, roughness, depth).velocity_ft_s) ** 2


def standing_depth_in(percent: float, size_in: float) -> float:
    """Inches of water in a sag of which a percent of the bore was told: 40 % of 4 in is 1.6 in."""
    return percent / 100 * size_in
