"""The plain facts of a joint, and what sizing it yields."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from shadewright.catalog.threads import Limits, Thread
from shadewright.findings import Finding
from shadewright.printing import AsPrinted, Spread


class Feel(StrEnum):
    """How a joint behaves in the hand, from most play to none."""

    LOOSE = "loose"  # rattles
    FREE = "free"  # moves by itself, no rattle
    EASY = "easy"  # moves with a light touch
    SNUG = "snug"  # stays where it is put, moves by hand
    TIGHT = "tight"  # goes together with force
    FIXED = "fixed"  # never comes apart by hand


class JointKind(StrEnum):
    """Where two things meet."""

    THREAD = "thread"
    SLIDE = "slide"
    PUSH = "push"
    SNAP = "snap"
    PIVOT = "pivot"
    SEAT = "seat"
    TWIST = "twist"
    POCKET = "pocket"  # for a captive nut, a heat-set insert or a magnet
    CHANNEL = "channel"  # for a cord: open groove with cover, or passage with a place for a bought cord grip


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One side of a joint.

    Exactly one of ``habits`` (a printed side) and ``bought`` (limits of a bought side) is given.

    Attributes:
        name: Part or bought thing.
        drawn: Diameter or width in today's model [mm], the major diameter for threads; None when nothing was
            drawn yet.
        habits: How its bench prints, for a printed side.
        bought: Limits of the mating diameter [mm], from the catalogue or from caliper readings. For threads: of
            the diameter a caliper touches (male major, female minor), as ``Thread.felt_diameter`` gives it.
        sagitta: Chord error of the model's facets [mm], 0 for exact or compensated ones.
        mouth_on_bed: True when the joint's mouth is printed on the bed, so that first-layer flare narrows it.
    """

    name: str
    drawn: float | None = None
    habits: AsPrinted | None = None
    bought: Limits | None = None
    sagitta: float = 0.0
    mouth_on_bed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """What a bench's readings and trials tell of one joint beyond the habits of its printed sides.

    Attributes:
        shift: By how much the gap is larger than habits, limits and tables say [mm on the diameter].
        sd: Standard deviation of the gap without scatter, facets and ``flat`` [mm]; what is known of both sides, of
            the bought thing at hand and of the boundaries of feel is taken in together.
        flat: Half width of the part that is still uniform: a bought side nobody has tried yet [mm].
        gaps: Boundaries of feel, as ``FeelBounds.gaps`` [mm].
        softness: Their common standard deviation [mm].
        tried: Rungs of this joint's own trials: drawn clearance [mm] and how it felt.
        source: How much evidence there was.
    """

    shift: float
    sd: float
    flat: float
    gaps: tuple[float, ...]
    softness: float
    tried: tuple[tuple[float, Feel], ...]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JointQuestion:
    """One joint to be sized.

    Attributes:
        name: As in lamp.toml.
        kind: thread, slide or push.
        feel: The feel that is wanted.
        nominal: Common diameter or width of both sides [mm]; the thread's major for threads.
        length: Engagement along the axis [mm]; for trial pieces, sizing does not depend on it.
        male, female: Both sides.
        draw: Which printed side takes the allowance: ``male`` or ``female``.
        round: False for a slide of flat faces (a hole's shrink then does not apply).
        thread: For thread joints.
        liner_wall: Wall thickness [mm] of a thin sleeve that must bend inside a shell; None for stiff parts.
        nozzle: Bore of the nozzle [mm].
        layer: Layer height [mm]; printed thread flanks are stairs of that height.
        bumps: What bumps at the rims of openings take of the gap of a slide [mm on the diameter]; None where no
            sliding wall has openings.
        settled: What the bench has learned of this joint; None when nothing was.
    """

    name: str
    kind: JointKind
    feel: Feel
    nominal: float
    length: float
    male: Side
    female: Side
    draw: str = "female"
    round: bool = True
    thread: Thread | None = None
    liner_wall: float | None = None
    nozzle: float = 0.4
    layer: float = 0.2
    bumps: Spread | None = None
    settled: Settled | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """One contribution to the drawn clearance, counted from nominal on both sides.

    Attributes:
        name: In words that follow "for": ``outer walls growing``.
        mm: Room on the diameter it asks for [mm]; negative where it gives room.
        sd: How well that is known [mm].
    """

    name: str
    mm: float
    sd: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizing:
    """What to draw, and how sure that is.

    Attributes:
        joint: Name of the joint.
        draw_side: ``male`` or ``female``.
        draw_part: Whose model takes the number.
        draw: The dimension to draw [mm] (bore, shaft, or the thread's major as drawn).
        nominal: What it would be with no allowance [mm].
        allowance: ``draw`` minus ``nominal``: positive opens a female side,
            negative slims a male one.
        clearance_drawn: Female minus male as drawn [mm on the diameter].
        gap: Mean of the true gap after printing [mm on the diameter].
        gap_sd: Its standard deviation [mm].
        chances: Chance of each feel at ``draw``, in the order of ``Feel``, summing to 1.
        chances_today: The same for what is drawn today; None when nothing is drawn.
        clearance_today: Drawn clearance today [mm]; None when nothing is drawn.
        chance_wanted: Chance of the wanted feel at ``draw``.
        chance_settled: About what it becomes once a trial has shown how this bench prints.
        shares: What makes up the difference, largest first.
        sentence: What to draw and why, e.g. "draw the bore of neck 40.42 mm: ...".
        trial_worth: True when the chance is low enough for a trial print to pay.
        source: Rules and habits used.
    """

    joint: str
    draw_side: str
    draw_part: str
    draw: float
    nominal: float
    allowance: float
    clearance_drawn: float
    gap: float
    gap_sd: float
    chances: tuple[tuple[Feel, float], ...]
    chances_today: tuple[tuple[Feel, float], ...] | None
    clearance_today: float | None
    chance_wanted: float
    chance_settled: float
    shares: tuple[Share, ...]
    sentence: str
    trial_worth: bool
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """One dimension to draw, for joints that have several.

    Attributes:
        what: The feature: ``arm thickness``, ``pocket across flats``.
        part: Whose model takes it.
        size: What to draw [mm, or ``unit``].
        why: Reason in a few words, with its number.
        unit: ``mm`` unless said otherwise.
    """

    what: str
    part: str
    size: float
    why: str
    unit: str = "mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class KindSizing:
    """What sizing a joint of several dimensions yields.

    Attributes:
        joint: Name of the joint.
        kind: Which kind.
        draws: Everything to draw, most important first.
        findings: What is to be said of it, at least one.
        trial_worth: True when a trial print would tell more than the calculation.
    """

    joint: str
    kind: JointKind
    draws: tuple[Draw, ...]
    findings: tuple[Finding, ...]
    trial_worth: bool
