"""Trial piece of a pivot: short forks of rising spacing, and the tongue that turns in them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shadewright.solid.features import TrialPiece
from shadewright.solid.mesh import Mesh
from shadewright.solid.moving_recipe import built_solid
from shadewright.solid.moving_trial import moving_trial
from shadewright.solid.pivot import Fork, fork_build, tongue_build

CHORD = 0.005  # fine enough for the facets of a screw hole to end where its roof begins [mm]
_THIN_CHEEK = 2.4  # of a fork that is tried [mm]
_SMALL_EAR = 8.0  # plain faces beside the screw hole, both sides together [mm]
_SHORT_ARM = 6.0  # of its tongue [mm]


def pivot_trial(
    joint: str,
    fork: Fork,
    spacings: Sequence[float],
    filled: float,
    *,
    nozzle: float = 0.4,
    bed_x: float = 200.0,
    bed_y: float = 200.0,
) -> TrialPiece:
    """Forks with these spacings [mm], and one tongue.

    Args:
        joint: Name of the joint.
        fork: As it is to be drawn; the trial's cheeks are thin and have no seats.
        spacings: What the rungs try, rising [mm].
        filled: What stands between the cheeks, teeth included [mm]; the digits say how much wider the cheeks are.
        nozzle: Bore of the nozzle [mm].
        bed_x: Room on the bed [mm].
        bed_y: The same the other way [mm].

    Raises:
        ValueProblem: Sizes that cannot be, or no room on the bed.
    """
    ear = fork.tongue.ear if fork.tongue.teeth else min(fork.tongue.ear, fork.bore + _SMALL_EAR)
    tongue = replace(fork.tongue, arm=_SHORT_ARM, ear=ear)
    short = replace(
        fork,
        tongue=tongue,
        cheek=min(fork.cheek, _THIN_CHEEK),
        nut_flats=0.0,
        nut_depth=0.0,
        washer=0.0,
        washer_depth=0.0,
    )

    def make(spacing: float) -> Mesh:
        return built_solid(fork_build(replace(short, spacing=spacing)), CHORD)

    how_to = (
        "Put the tongue between the cheeks of each fork with the screw loose, turn it, then tighten; keep the one that "
        "turns easily and is held without bending the cheeks far; strokes count the rungs from the arrow, digits are "
        "the drawn clearance in 1/100 mm."
    )
    return moving_trial(
        joint,
        spacings,
        make,
        marks=[spacing - filled for spacing in spacings],
        gauges=(built_solid(tongue_build(tongue), CHORD),),
        how_to=how_to,
        nozzle=nozzle,
        bed_x=bed_x,
        bed_y=bed_y,
    )
