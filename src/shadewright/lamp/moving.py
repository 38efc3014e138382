"""Details of joints that move or let go: snap, twist, pivot."""

from __future__ import annotations

from shadewright.lamp.stated import Stated


class SnapDetails(Stated):
    """The ``snap`` table of a snap joint."""


class TwistDetails(Stated):
    """The ``twist`` table of a twist joint."""


class PivotDetails(Stated):
    """The ``pivot`` table of a pivot joint."""
