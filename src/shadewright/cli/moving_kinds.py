"""Joints that move, from options to what is drawn: sized, and sized again as drawn to say what to expect."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from shadewright.cli.options import open_bench, stated_settings
from shadewright.cli.stated_joint import millimetres

if TYPE_CHECKING:
    from shadewright.fit.joint import KindSizing, Side
    from shadewright.printing import PrintSetup, Spread
    from shadewright.solid.features import TrialPiece
    from shadewright.solid.moving_recipe import Build


@dataclass(frozen=True, slots=True, kw_only=True)
class Moving:
    """A joint ready to be written.

    Attributes:
        proposed: What is drawn, against what was asked for.
        sizing: What to expect of it as drawn.
        male, female: How both sides are built; None for a clip's rod.
        trial: Makes its trial.
    """

    proposed: KindSizing
    sizing: KindSizing
    male: Build | None
    female: Build
    trial: Callable[[], TrialPiece]


@dataclass(frozen=True, slots=True)
class _Asked:
    options: Namespace
    setup: PrintSetup
    allowed: Spread | None

    def side(self, name: str) -> Side:
        from shadewright.fit.joint import Side

        return Side(name=name, habits=self.setup.habits)

    def given(self, **names: str) -> dict[str, float]:
        """Options that were given, by the names questions use."""
        return {
            field: getattr(self.options, option)
            for field, option in names.items()
            if getattr(self.options, option) is not None
        }

    @property
    def strain(self) -> Spread:
        assert self.allowed is not None
        return self.allowed

    def trial(self, make: Callable[..., TrialPiece], *sized: object) -> Callable[[], TrialPiece]:
        """A trial on the printer's bed, made when it is asked for."""
        setup = self.setup
        return lambda: make(*sized, nozzle=setup.nozzle, bed_x=setup.bed_x, bed_y=setup.bed_y)


def moving_joint(options: Namespace) -> Moving:
    """Size the joint the options state.

    Raises:
        UnknownName: No such screw, nut, printer or plastic.
        ValueProblem: Sizes that cannot be.
    """
    from shadewright.study.kinds_moving import borne_strain

    with open_bench(options) as bench:
        setup = bench.setup(**stated_settings(options))
        bends = options.what != "pivot"
        allowed = borne_strain(bench, setup.plastic.name, across=options.standing) if bends else None
    makers = {"hook": _hook, "bead": _bead, "clip": _clip, "bayonet": _bayonet, "pivot": _pivot}
    return makers[options.what](_Asked(options, setup, allowed))


def _hook(asked: _Asked) -> Moving:
    from shadewright.fit.snap import HookQuestion, fit_hook, size_hook
    from shadewright.fit.snap_shapes import hook_solids, trial_of_hook
    from shadewright.solid.snap import catch_build, hook_build

    question = HookQuestion(
        name="snap hook",
        male=asked.side("hook"),
        female=asked.side("catch"),
        arm=millimetres(asked.options.size),
        allowed=asked.strain,
        across_layers=asked.options.standing,
        plastic=asked.setup.plastic.name,
        line_width=asked.setup.line_width,
        **{"thickness": 1.6, "width": 6.0, "undercut": 0.8}
        | asked.given(
            thickness="thickness", width="width", undercut="undercut", taper="taper", return_deg="return_angle"
        ),
    )
    fit = fit_hook(question)
    hook, catch = hook_solids(fit)
    return Moving(
        proposed=size_hook(question),
        sizing=size_hook(fit.drawn),
        male=hook_build(hook),
        female=catch_build(catch),
        trial=asked.trial(trial_of_hook, question, fit),
    )


def _bead(asked: _Asked) -> Moving:
    from shadewright.fit.snap_round import BeadQuestion, fit_bead, size_bead
    from shadewright.fit.snap_shapes import bead_solids, trial_of_bead
    from shadewright.solid.snap import bead_build, groove_build

    question = BeadQuestion(
        name="ring snap",
        male=asked.side("sleeve"),
        female=asked.side("ring"),
        diameter=millimetres(asked.options.size),
        allowed=asked.strain,
        softer=asked.options.softer or "male",
        plastic=asked.setup.plastic.name,
        **{"undercut": 0.4} | asked.given(undercut="undercut", wall="thickness", return_deg="return_angle"),
    )
    fit = fit_bead(question)
    bead, ring = bead_solids(question, fit)
    return Moving(
        proposed=size_bead(question),
        sizing=size_bead(replace(question, undercut=fit.undercut)),
        male=bead_build(bead),
        female=groove_build(ring),
        trial=asked.trial(trial_of_bead, question, fit),
    )


def _clip(asked: _Asked) -> Moving:
    from shadewright.catalog.threads import Limits
    from shadewright.fit.joint import Feel, Side
    from shadewright.fit.snap_round import ClipQuestion, fit_clip, size_clip
    from shadewright.fit.snap_shapes import clip_solid, trial_of_clip
    from shadewright.solid.snap import clip_build

    limits = asked.options.limits
    question = ClipQuestion(
        name="clip",
        male=Side(name="rod", bought=Limits(*limits)) if limits else asked.side("rod"),
        female=asked.side("clip"),
        rod=millimetres(asked.options.size),
        allowed=asked.strain,
        feel=Feel(asked.options.feel or "easy"),
        plastic=asked.setup.plastic.name,
        **asked.given(wall="thickness", opening="opening", width="width"),
    )
    fit = fit_clip(question)
    return Moving(
        proposed=size_clip(question),
        sizing=size_clip(replace(question, opening=fit.opening, wall=fit.wall)),
        male=None,
        female=clip_build(clip_solid(question, fit)),
        trial=asked.trial(trial_of_clip, question, fit),
    )


def _bayonet(asked: _Asked) -> Moving:
    from shadewright.fit.twist import TwistQuestion, fit_twist, plug_of, size_twist, socket_of, trial_of_twist
    from shadewright.solid.twist import neck, plug_build, socket_build

    options = asked.options
    names = ("lug_height", "lug_width", "lug_thickness", "detent", "bore", "wall")
    question = TwistQuestion(
        name="bayonet",
        male=asked.side("plug"),
        female=asked.side("socket"),
        diameter=millimetres(options.size),
        allowed=asked.strain,
        lugs=options.lugs or 3,
        path=options.path or "L",
        plastic=asked.setup.plastic.name,
        layer=asked.setup.layer,
        **asked.given(turn_deg="turn", **{name: name for name in names}),
    )
    fit = fit_twist(question)
    socket = socket_of(question, fit)
    return Moving(
        proposed=size_twist(question),
        sizing=size_twist(replace(question, detent=fit.detent)),
        male=plug_build(plug_of(question), neck(socket)),
        female=socket_build(socket),
        trial=asked.trial(trial_of_twist, question, fit),
    )


def _pivot(asked: _Asked) -> Moving:
    from shadewright.catalog import hardware, lookup
    from shadewright.fit.pivot import PivotQuestion, fit_pivot, fork_of, size_pivot, tongue_of, trial_of_pivot
    from shadewright.solid.pivot import fork_build, tongue_build

    options = asked.options
    question = PivotQuestion(
        name="pivot",
        male=asked.side("tongue"),
        female=asked.side("fork"),
        screw=lookup.thread(options.size, "SIZE"),
        nut=None if options.no_nut else hardware.nut(options.size, "SIZE"),
        washer=not options.no_washer,
        teeth=options.teeth or 0,
        **asked.given(tongue="tongue", ear="ear", cheek="cheek"),
    )
    fit = fit_pivot(question)
    return Moving(
        proposed=size_pivot(question),
        sizing=size_pivot(replace(question, teeth=fit.teeth, spacing=fit.cheeks.draw)),
        male=tongue_build(tongue_of(question, fit)),
        female=fork_build(fork_of(question, fit)),
        trial=asked.trial(trial_of_pivot, question, fit),
    )
