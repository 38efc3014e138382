"""Details of joints that stay as they are: pocket, seat, channel."""

from __future__ import annotations

from shadewright.lamp.stated import Stated


class PocketDetails(Stated):
    """The ``pocket`` table of a pocket joint."""


class SeatDetails(Stated):
    """The ``seat`` table of a seat joint."""


class ChannelDetails(Stated):
    """The ``channel`` table of a channel joint."""
