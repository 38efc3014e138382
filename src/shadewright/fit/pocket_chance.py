"""Joints that stay: the gap that is wanted of them, the size that reaches it best, and the verdict on it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from shadewright.catalog.threads import Limits
from shadewright.errors import require_positive
from shadewright.findings import Finding, Verdict
from shadewright.fit.feel import chance_between
from shadewright.fit.gap import Gap, true_gap
from shadewright.fit.joint import Feel, JointKind, JointQuestion, Side
from shadewright.fit.size import TRIAL_BELOW, TRIAL_GAIN
from shadewright.printing import AsPrinted
from shadewright.wording import percent

SURE = TRIAL_BELOW
"""Chance from which a joint that stays is called sound; as for all joints."""

GOOD_SHARE, POOR_SHARE = 0.85, 0.50
"""Today's drawing passes from the first share of the best chance, and fails below the second; our rule."""

SAME = 0.01
"""A chance this little below the best is as good, and lets the gap stay where it is liked best; our rule."""

NEVER_CERTAIN = 1 - 1e-9
"""No print is certain, even where its chance rounds to 1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """Gaps between which a joint does what it should.

    Attributes:
        low, high: Least and greatest gap, female minus male on the diameter or width [mm].
        softness: Standard deviation of both limits [mm].
        words: What the joint then does, to follow "it": ``goes in by hand and stays``.
        likes: The gap to stay near where the chance allows it [mm]; None for the middle.
        source: Where the limits come from.
    """

    low: float
    high: float
    words: str
    likes: float | None = None
    softness: float = 0.0
    source: str = "common practice, no source"

    @property
    def middle(self) -> float:
        """The gap to aim at [mm]."""
        return (self.low + self.high) / 2

    def chance(self, gap: Gap) -> float:
        """Chance that ``gap`` lies within [-]."""
        return chance_between(self.low, self.high, gap.mean, math.hypot(gap.normal_sd, self.softness), gap.flat)

    def chance_settled(self, gap: Gap) -> float:
        """The same once a trial has shown how this bench prints, aimed at the middle [-]."""
        return chance_between(self.low, self.high, self.middle, math.hypot(gap.settled_sd, self.softness))


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """One size, drawn for its window.

    Attributes:
        draw: What to draw [mm].
        gap: True gap there.
        window: What was aimed at.
        chance: Chance that the gap lies in the window [-].
        settled: About what it becomes after a trial [-].
        today: Chance for the size in today's model; None when nothing is drawn.
        gap_today: Mean gap of that size [mm].
        drawn: That size [mm].
    """

    draw: float
    gap: Gap
    window: Window
    chance: float
    settled: float
    today: float | None
    gap_today: float | None
    drawn: float | None

    @property
    def trial_worth(self) -> bool:
        """True when a trial would tell more than the calculation."""
        return self.chance < SURE and self.settled - self.chance >= TRIAL_GAIN


def pocket_gap(size: Limits, name: str, habits: AsPrinted, *, round_hole: bool, on_bed: bool) -> Callable[[float], Gap]:
    """The true gap around a bought thing, as a function of the drawn pocket [mm].

    Args:
        size: Limits of the bought thing [mm].
        name: What it is called.
        habits: How the pocket's bench prints.
        round_hole: True for a hole; False for flat walls.
        on_bed: True when the pocket's mouth is printed on the bed and has no chamfer.
    """
    require_positive(f"the least size of the {name}", size.low)
    kind = JointKind.PUSH if round_hole else JointKind.SLIDE
    question = JointQuestion(
        name=name,
        kind=kind,
        feel=Feel.SNUG,
        nominal=size.middle,
        length=1.0,
        male=Side(name=name, bought=size),
        female=Side(name="pocket", habits=habits, mouth_on_bed=on_bed),
        round=round_hole,
    )
    return lambda drawn: true_gap(question, size.middle, drawn)


def fitted(gap_at: Callable[[float], Gap], window: Window, start: float, drawn: float | None = None) -> Fitted:
    """Draw the size whose true gap lies in the window most likely.

    The gap is symmetric about its mean (normal, plus a bought thing's uniform tolerance), so the chance is greatest
    where the mean meets the middle of the window. Where another gap is liked better, the size is drawn for the gap
    nearest to that one whose chance is as good.

    Args:
        gap_at: True gap for a drawn size, which it grows with.
        window: What is wanted.
        start: A size near it [mm].
        drawn: What the model has today [mm].
    """
    size = _best(gap_at, window, start)
    gap = gap_at(size)
    chance = window.chance(gap)
    return Fitted(
        draw=size,
        gap=gap,
        window=window,
        chance=chance,
        settled=max(chance, window.chance_settled(gap)),
        today=None if drawn is None else window.chance(gap_at(drawn)),
        gap_today=None if drawn is None else gap_at(drawn).mean,
        drawn=drawn,
    )


def _best(gap_at: Callable[[float], Gap], window: Window, start: float) -> float:
    """Size with the best chance, or with one as good and a gap that is liked better.

    From the gap that is liked to the middle of the window the chance only rises, so halving finds the place.
    """
    likes = window.middle if window.likes is None else window.likes

    def drawn(share: float) -> float:
        return drawn_for(gap_at, likes + share * (window.middle - likes), start)

    def good(size: float) -> bool:
        return window.chance(gap_at(size)) >= enough

    enough = window.chance(gap_at(drawn(1.0))) - SAME
    if good(drawn(0.0)):
        return drawn(0.0)
    low, high = 0.0, 1.0
    for _ in range(12):
        middle = (low + high) / 2
        low, high = (low, middle) if good(drawn(middle)) else (middle, high)
    return drawn(high)


def drawn_for(gap_at: Callable[[float], Gap], wanted: float, start: float) -> float:
    """Female size whose mean gap is ``wanted``, to 0.01 mm; the gap grows nearly as fast as the size."""
    size = start
    for _ in range(12):
        size = max(size + wanted - gap_at(size).mean, 0.05)
    return round(size, 2)


def judged(
    code: str, subject: str, what: str, fit: Fitted, *, chance: float | None = None, today: float | None = None
) -> Finding:
    """The verdict on one size: today's drawing against the best, and then the best itself.

    Args:
        code: Code of the finding.
        subject: ``joint NAME``.
        what: What is drawn, to follow "the": ``pocket across flats``.
        fit: The size.
        chance: Chance of everything that must come true, where that is more than this one gap.
        today: The same for today's drawing.
    """
    best = fit.chance if chance is None else chance
    now = fit.today if today is None else today
    if now is not None and now < GOOD_SHARE * best and fit.drawn is not None:
        return _redraw(code, subject, what, fit, today=now, best=best)
    said = min(best if now is None else now, NEVER_CERTAIN)
    sound = said >= SURE
    trial = not sound and fit.settled - fit.chance >= TRIAL_GAIN
    size = fit.draw if now is None or fit.drawn is None else fit.drawn
    head = "drawn" if now is None else "as drawn,"
    return Finding(
        code=code,
        subject=subject,
        verdict=Verdict.SOUND if sound else Verdict.UNKNOWN if trial else Verdict.DOUBTFUL,
        sentence=f"{head} {size:.2f} mm, it {fit.window.words} in {percent(said)} of prints",
        why="" if sound else f"the gap after printing is known to ±{2 * fit.gap.sd:.2f} mm only",
        cure="" if sound else _settle(fit, trial),
        value=round(100 * said),
        limit=100 * SURE,
        unit="%",
        source=f"as-printed model; {fit.window.source}",
    )


def _settle(fit: Fitted, trial: bool) -> str:
    if not trial:
        return "more calculation or trials would not help; print it, and rework it by hand if it must be"
    return f"print one short piece of it and try the real thing: that could lift it to {percent(fit.settled)}"


def _redraw(code: str, subject: str, what: str, fit: Fitted, *, today: float, best: float) -> Finding:
    drawn = fit.drawn or 0.0
    change = fit.draw - drawn
    return Finding(
        code=code,
        subject=subject,
        verdict=Verdict.FAILING if today < POOR_SHARE * best else Verdict.DOUBTFUL,
        sentence=f"as drawn, {drawn:.2f} mm, it {fit.window.words} in {percent(today)} of prints",
        why=f"that leaves {fit.gap_today or 0.0:.2f} mm after printing, and {fit.window.low:.2f} to "
        f"{fit.window.high:.2f} mm is wanted",
        cure=f"draw the {what} {fit.draw:.2f} mm, {abs(change):.2f} mm {'larger' if change > 0 else 'smaller'} than "
        f"now: {percent(best)}",
        value=round(100 * today),
        limit=round(100 * GOOD_SHARE * best),
        unit="%",
        source=f"as-printed model; {fit.window.source}",
    )


def whole_layers(need: float, layer: float) -> float:
    """Least height of whole layers that is at least ``need`` [mm].

    Raises:
        ValueProblem: ``need`` or ``layer`` is not a number above 0.
    """
    require_positive("height", need)
    require_positive("layer", layer)
    return round(math.ceil(need / layer - 1e-6) * layer, 4)
