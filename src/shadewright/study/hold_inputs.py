"""What all checks of strength of one lamp share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from shadewright.bench.store import Bench
from shadewright.catalog.lookup import plastic as look_up_plastic
from shadewright.errors import UnknownName
from shadewright.hold.card import MaterialCard, material_card, treatment_of
from shadewright.lamp.read import ReadLamp
from shadewright.study.result import JointStudy, PartStudy


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldInputs:
    """What the checks of one lamp share.

    Attributes:
        read, bench: The lamp, and whose plastics.
        parts, joints: What the study found of them, by name.
        temps_c: Temperature of parts in service [°C], where the heat calculation says; the room's elsewhere.
    """

    read: ReadLamp
    bench: Bench
    parts: Mapping[str, PartStudy]
    joints: Mapping[str, JointStudy]
    temps_c: Mapping[str, float] = field(default_factory=dict)

    def card(self, part: str) -> MaterialCard:
        """Material card of a printed part at its temperature; of unknown family it counts as PLA, the weakest."""
        setup = self.parts[part].setup
        name = setup.plastic.name
        temp_c = self.temps_c.get(part, self.read.lamp.surroundings.room_temp_c)
        try:
            family = look_up_plastic(self.bench.plastic(name).family)
        except UnknownName:
            family = look_up_plastic("PLA")
        return material_card(family, temp_c=temp_c, treatment=treatment_of(name))

    def masses_g(self) -> dict[str, float]:
        """Mass of one of each printed part [g]."""
        return {name: study.report.mass_g for name, study in self.parts.items()}
