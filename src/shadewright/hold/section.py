"""Section properties of any plane figure, from its contours alone, and the stress that bending puts into it.

Integrals over a polygon become sums over its edges (Green's theorem, textbook geometry): material lies to the left of
its contours, so outer ones turn left and holes turn right, and every sum takes holes off by itself. Lengths are mm,
so areas are mm², section moduli mm³ and second moments mm⁴.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, degrees

import numpy as np

from shadewright.errors import ValueProblem
from shadewright.solid.mesh import Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Section:
    """What a plane figure opposes to pull and bending; ``x`` and ``y`` are the axes it was drawn in.

    Attributes:
        area: Area [mm²].
        centroid: (2,) its centre [mm].
        ixx: Second moment about the axis through the centroid along x [mm⁴]: what counts for bending up and down y.
        iyy: The same about the axis along y [mm⁴].
        ixy: Product moment about the centroid [mm⁴]; 0 about axes of symmetry.
        fibres: (k, 2) points of its outline that can be farthest out in some direction, from the centroid [mm].
    """

    area: float
    centroid: Floats
    ixx: float
    iyy: float
    ixy: float
    fibres: Floats

    @property
    def principal(self) -> tuple[float, float, float]:
        """Greatest and least second moment [mm⁴], and how far the axis of the greatest is turned from x [degrees].

        Source: Mohr's circle of second moments (textbook).
        """
        middle, half = (self.ixx + self.iyy) / 2, (self.ixx - self.iyy) / 2
        radius = float(np.hypot(half, self.ixy))
        turned = degrees(atan2(-self.ixy, half)) / 2 if radius > 1e-12 * middle else 0.0
        return middle + radius, middle - radius, turned

    @property
    def moduli(self) -> tuple[float, float]:
        """Least section moduli about x and y [mm³], for a figure bent about an axis of symmetry."""
        reach = np.abs(self.fibres).max(axis=0)
        return self.ixx / float(reach[1]), self.iyy / float(reach[0])

    def curvature(self, moment: Floats) -> Floats:
        """Strain gradient (2,) along x and y times Young's modulus [N/mm³] under a bending ``moment`` (2,) [N mm].

        ``moment`` is given as the pull it makes: stress is greater towards +x for a positive first entry, towards +y
        for a positive second one (that is, minus and plus the vector entries about y and x).
        """
        tensor = np.array([[self.iyy, self.ixy], [self.ixy, self.ixx]])
        return np.asarray(np.linalg.solve(tensor, moment), dtype=np.float64)

    def stresses(self, moment: Floats) -> Floats:
        """(k,) bending stress at ``fibres`` [MPa], tension positive; any axis, symmetrical or not.

        Source: unsymmetrical bending of a straight bar (textbook), sigma = r . I^-1 M.
        """
        return np.asarray(self.fibres @ self.curvature(moment), dtype=np.float64)


def section_of(contours: Sequence[Floats]) -> Section:
    """Section properties of a figure.

    Args:
        contours: (k, 2) each [mm], first point not repeated; outer ones turn left, holes turn right.

    Raises:
        ValueProblem: The figure encloses nothing.
    """
    if not contours:
        raise ValueProblem.of("there is no section here", "put the plane where it cuts the part")
    origin = np.vstack(contours).mean(axis=0)
    area, first, second = 0.0, np.zeros(2), np.zeros(3)
    for contour in contours:
        x, y = (contour - origin).T
        u, v = np.roll(x, -1), np.roll(y, -1)
        cross = x * v - u * y
        area += float(cross.sum()) / 2
        first += [((x + u) * cross).sum() / 6, ((y + v) * cross).sum() / 6]
        second += [
            ((y * y + y * v + v * v) * cross).sum() / 12,
            ((x * x + x * u + u * u) * cross).sum() / 12,
            ((x * v + 2 * x * y + 2 * u * v + u * y) * cross).sum() / 24,
        ]
    if not area > 0:
        raise ValueProblem.of("the section encloses nothing", "put the plane where it cuts the part")
    centre = first / area
    return Section(
        area=area,
        centroid=origin + centre,
        ixx=float(second[0] - area * centre[1] ** 2),
        iyy=float(second[1] - area * centre[0] ** 2),
        ixy=float(second[2] - area * centre[0] * centre[1]),
        fibres=_outermost(np.vstack(contours)) - (origin + centre),
    )


def lessened(whole: Section, core: Section | None, fill: float) -> Section:
    """A section whose ``core`` carries only the fraction ``fill`` of what its shell carries per area.

    The properties are those of the transformed section (textbook: areas weighted by their stiffness). Its fibres are
    the shell's.
    """
    if core is None or fill >= 1:
        return whole
    lost = 1 - fill
    area = whole.area - lost * core.area
    centre = (whole.area * whole.centroid - lost * core.area * core.centroid) / area

    def about(section: Section) -> Floats:
        x, y = section.centroid - centre
        return np.array([section.ixx, section.iyy, section.ixy]) + section.area * np.array([y * y, x * x, x * y])

    ixx, iyy, ixy = about(whole) - lost * about(core)
    return Section(
        area=float(area),
        centroid=centre,
        ixx=float(ixx),
        iyy=float(iyy),
        ixy=float(ixy),
        fibres=whole.fibres + whole.centroid - centre,
    )


def _outermost(points: Floats) -> Floats:
    """Corners of the convex hull of (n, 2) ``points``, counter-clockwise; Andrew's monotone chain."""
    order = sorted(map(tuple, points.tolist()))

    def chain(row: list[tuple[float, ...]]) -> list[tuple[float, ...]]:
        kept: list[tuple[float, ...]] = []
        for c in row:
            while len(kept) > 1 and _turn(kept[-2], kept[-1], c) <= 0:
                kept.pop()
            kept.append(c)
        return kept[:-1]

    return np.array(chain(order) + chain(order[::-1]))


def _turn(a: tuple[float, ...], b: tuple[float, ...], c: tuple[float, ...]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def convex_hull(points: Floats) -> Floats:
    """(k, 2) corners of the convex hull of (n, 2) ``points`` [mm], counter-clockwise.

    Raises:
        ValueProblem: All points lie on one line.
    """
    corners = _outermost(points)
    if len(corners) < 3:
        raise ValueProblem.of("it touches the ground along one line only", "give the foot some width")
    return corners
