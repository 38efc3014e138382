"""Joints of several dimensions: which function sizes which kind."""

from __future__ import annotations

from collections.abc import Callable

from shadewright.bench.store import Bench
from shadewright.fit.joint import JointKind, KindSizing
from shadewright.lamp.read import ReadLamp
from shadewright.study.kinds_fixed import size_channel_joint, size_pocket_joint, size_seat_joint
from shadewright.study.kinds_moving import size_pivot_joint, size_snap_joint, size_twist_joint

Sizer = Callable[[ReadLamp, str, Bench], KindSizing]
"""Sizes the joint of that name; raises ``UserError`` with the line in ``lamp.toml`` for what the maker can mend."""

SIZERS: dict[JointKind, Sizer] = {
    JointKind.SNAP: size_snap_joint,
    JointKind.TWIST: size_twist_joint,
    JointKind.PIVOT: size_pivot_joint,
    JointKind.POCKET: size_pocket_joint,
    JointKind.SEAT: size_seat_joint,
    JointKind.CHANNEL: size_channel_joint,
}
