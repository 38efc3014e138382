"""Chains of dimensions in the study: from what the lamp states to one finding each."""

from __future__ import annotations

from shadewright.bench.store import Bench
from shadewright.findings import Finding, Verdict
from shadewright.fit.stack import Centring, Chain, Contribution, Member, StackResult, stack_up
from shadewright.lamp.read import ReadLamp
from shadewright.lamp.stack import StackMember
from shadewright.study.questions import setup_of
from shadewright.wording import percent

SEED = 20_000
"""Draws are the same in every run, so that nothing changes but what was changed."""
SURE, POOR = 0.90, 0.60
"""Chance within the limits from which a chain is sound, and under which it is failing; our rule."""
RULE = (
    "sizes by the bench's habits, those of one plastic together; bought ones anywhere within their tolerance; "
    f"{percent(SURE)} within the limits is sound, under {percent(POOR)} failing (our rule)"
)
WORTH_A_CHANGE = 0.02
"""A better centre is worth drawing when it lifts the chance by as much; our rule."""


def study_stacks(read: ReadLamp, bench: Bench) -> tuple[Finding, ...]:
    """One finding for every chain that the lamp states."""
    return tuple(_judged(chain, stack_up(chain, SEED)) for chain in map(_Chains(read, bench).chain, read.lamp.stack))


class _Chains:
    """Chains of one lamp on one bench."""

    def __init__(self, read: ReadLamp, bench: Bench) -> None:
        self.read, self.bench = read, bench

    def chain(self, name: str) -> Chain:
        stated = self.read.lamp.stack[name]
        low, high = stated.gap
        return Chain(name=name, members=tuple(self._member(one) for one in stated.members), low=low, high=high)

    def _member(self, stated: StackMember) -> Member:
        sign = 1.0 if stated.sign == "+" else -1.0
        if stated.bought:
            tolerance = stated.tolerance or 0.0
            return Member(what=stated.what, size=stated.size, sign=sign, part=stated.bought, tolerance=tolerance)
        setup = setup_of(self.read, self.read.lamp.part[stated.part], self.bench)
        return Member(
            what=stated.what,
            size=stated.size,
            sign=sign,
            part=stated.part,
            habits=setup.habits,
            along=stated.axis,
            layer=setup.layer,
        )


def _judged(chain: Chain, result: StackResult) -> Finding:
    verdict = Verdict.SOUND if result.chance >= SURE else Verdict.DOUBTFUL if result.chance >= POOR else Verdict.FAILING
    return Finding(
        code="stack.gap",
        subject=f"stack {chain.name}",
        verdict=verdict,
        sentence=f"the gap comes out {result.mean:.2f} ± {2 * result.sd:.2f} mm, within {chain.low:g} to "
        f"{chain.high:g} mm in {percent(result.chance)} of lamps",
        why=_why(result),
        cure="" if verdict is Verdict.SOUND else _cure(chain, result),
        value=round(100 * result.chance, 1),
        limit=100 * SURE,
        unit="%",
        source=RULE,
    )


def _why(result: StackResult) -> str:
    first = result.contributions[0]
    return (
        f"{_named(first)} matters most ({percent(first.share)} of the variance, mostly {first.cause}); at worst "
        f"{result.worst_low:.2f} to {result.worst_high:.2f} mm, by root of squares {result.mean - result.rss:.2f} to "
        f"{result.mean + result.rss:.2f} mm"
    )


def _cure(chain: Chain, result: StackResult) -> str:
    centring = _best_centring(result)
    spread = f"bring down the spread of {_named(result.contributions[0])}, or allow {_wide(chain, result)}"
    if centring is None or result.chance_centred < result.chance + WORTH_A_CHANGE:
        return spread
    change = centring.size - centring.drawn
    better = (
        f"draw {centring.what} of {centring.part} {centring.size:.2f}, {abs(change):.2f} "
        f"{'more' if change > 0 else 'less'} than now: {percent(result.chance_centred)}"
    )
    return better if result.chance_centred >= SURE else f"{better}; then {spread}"


def _best_centring(result: StackResult) -> Centring | None:
    """The smallest printed member: the least to print again."""
    able = [centring for centring in result.centrings if centring.size > 0]
    return min(able, key=lambda centring: centring.drawn, default=None)


def _wide(chain: Chain, result: StackResult) -> str:
    """Limits that would hold."""
    middle = (chain.low + chain.high) / 2
    reach = max((chain.high - chain.low) / 2, 2 * result.sd)
    return f"{middle - reach:.2f} to {middle + reach:.2f} mm"


def _named(contribution: Contribution) -> str:
    return f"{contribution.what} of {contribution.part}" if contribution.part else contribution.what
