"""What can be generated: the plain inputs of mating solids and trial pieces."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from shadewright.catalog.threads import Sex, Thread
from shadewright.solid.mesh import Mesh


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadShape:
    """A threaded stud or ring to generate, axis along z, standing on z = 0.

    Attributes:
        thread: Which thread.
        sex: Male stud or female ring.
        length: Threaded length [mm].
        allowance: Change of all diameters against the basic profile [mm]: negative slims a male, positive
            opens a female.
        lead_in: Chamfers so that it starts by hand.
        lead_in_ends: Which ends get them: ``both``, ``low`` (z = 0) or ``high``.
        upright_limit: Greatest overhang in degrees from the vertical when printed axis up; None keeps the true
            profile.
        bore: Plain hole through a male stud [mm]; 0 for solid.
        outside: Outer diameter of a female ring [mm]; None picks one from the thread.
        chord: Greatest distance between the true curve and the mesh [mm].
    """

    thread: Thread
    sex: Sex
    length: float
    allowance: float = 0.0
    lead_in: bool = True
    lead_in_ends: Literal["both", "low", "high"] = "both"
    upright_limit: float | None = 45.0
    bore: float = 0.0
    outside: float | None = None
    chord: float = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialShape:
    """The plain inputs of a trial piece: one joint, tried at several clearances.

    Attributes:
        joint: Name of the joint.
        kind: ``thread``, ``slide`` or ``push``.
        sex: The side that is printed once for every clearance.
        drawn: Its size where the clearance is ``clearance`` [mm]: bore, shaft or width; a thread's major.
        clearance: Female minus male as drawn [mm on the diameter].
        clearances: What the rungs try, rising [mm on the diameter]; 3 to 7 of them.
        mate: Drawn size of the other side [mm] when that is printed too; None when it is bought.
        length: Engagement of the real joint [mm].
        thread: For thread joints.
        round: False for flat faces.
        liner_wall: Wall of a thin male sleeve that must bend [mm]; None for stiff parts.
        nozzle: Bore of the nozzle [mm]; sets the strokes of the marks.
        bed_x, bed_y: Room that the piece may take [mm].
    """

    joint: str
    kind: str
    sex: Sex
    drawn: float
    clearance: float
    clearances: tuple[float, ...]
    mate: float | None
    length: float
    thread: Thread | None = None
    round: bool = True
    liner_wall: float | None = None
    nozzle: float = 0.4
    bed_x: float = 200.0
    bed_y: float = 200.0

    def drawn_at(self, clearance: float) -> float:
        """Size of the printed side that gives ``clearance`` [mm]."""
        change = clearance - self.clearance
        return self.drawn + (change if self.sex is Sex.FEMALE else -change)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rung:
    """One clearance on a trial piece.

    Attributes:
        number: 1-based; as many raised tally marks stand beside it.
        drawn: Diameter as drawn [mm].
        clearance: Drawn clearance on the diameter against the mating side [mm].
        x, y: Where its axis stands on the piece [mm].
    """

    number: int
    drawn: float
    clearance: float
    x: float
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialPiece:
    """The smallest print that settles one joint.

    Attributes:
        joint: Name of the joint.
        pieces: What to print: the rung piece, and the mating gauge where the other side is printed too.
        rungs: What each rung tries, in the order of their marks.
        how_to: How to try it and what to note, in one or two sentences.
    """

    joint: str
    pieces: tuple[Mesh, ...]
    rungs: tuple[Rung, ...]
    how_to: str
