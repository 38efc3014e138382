"""Run the simulated workshop: ``python benchmarks/workshop/run.py [--printers 500] [--write]``.

The same hidden printers, with the same seeds, make the demo lamp three ways. ``--write`` puts the tables between the
markers of docs/joints.md and the diagram into docs/pictures.
"""

from __future__ import annotations

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")  # the processes are the parallel part
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import tempfile
import time
from argparse import ArgumentParser
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

import numpy as np
from hidden import draw_hidden
from measure import JointMade, LampMade, figure, reliability_table, table
from program import Called, Maker
from rules import by_bisection, by_rule
from shop import Lamp, Shop, read_demo

from shadewright.fit.joint import Feel
from shadewright.fit.next_trial_serves import serves

DOCS = Path(__file__).resolve().parents[2] / "docs"
BEGIN, END = "<!-- measured: benchmarks/workshop/run.py --write -->", "<!-- end of what was measured -->"
PICTURE = "pictures/reliability.svg"
SEED = 20


def by_program(shop: Shop) -> tuple[dict[str, list[Feel]], list[Called]]:
    """Do as the program says."""
    maker = Maker(shop)
    maker.make()
    return maker.felt, maker.called


WAYS = {
    "rule on the real part": lambda shop: (by_rule(shop), []),
    "bisection on trials": lambda shop: (by_bisection(shop), []),
    "Shadewright": by_program,
}


def make_lamps(lamp: Lamp, seed: int, number: int) -> dict[str, LampMade]:
    """One hidden printer makes the lamp every way; each way starts from the same state of chance."""
    hidden = draw_hidden(number, seed, lamp.questions)
    once = sum(lamp.part_min.values())
    made = {}
    for name, way in WAYS.items():
        shop = Shop(lamp, hidden, np.random.default_rng([seed, number, 1]))
        felt, called = way(shop)
        stated = {one.joint: one for one in called}
        joints = []
        for work in lamp.works:
            asked, feels, said = work.question, felt[work.name], stated.get(work.name)
            joints.append(
                JointMade(
                    joint=work.name,
                    trials=shop.trials.get(work.name, 0),
                    part_prints=shop.part_prints[work.part],
                    first_serves=serves(asked.kind, asked.feel, feels[0]),
                    first_wanted=feels[0] is asked.feel,
                    last_serves=serves(asked.kind, asked.feel, feels[-1]),
                    last_wanted=feels[-1] is asked.feel,
                    stated_serves=said.chance_served if said else None,
                    stated_wanted=said.chance_wanted if said else None,
                )
            )
        made[name] = LampMade(
            printer=number,
            odd=hidden.odd,
            trial_min=shop.trial_minutes,
            again_min=shop.minutes - shop.trial_minutes - once,
            joints=tuple(joints),
        )
    return made


def compare(lamp: Lamp, printers: int, seed: int = SEED, workers: int = 2) -> dict[str, list[LampMade]]:
    """All hidden printers, every way."""
    one = partial(make_lamps, lamp, seed)
    if workers > 1:
        with ProcessPoolExecutor(workers) as pool:
            every = list(pool.map(one, range(printers), chunksize=4))
    else:
        every = [one(number) for number in range(printers)]
    return {name: [made[name] for made in every] for name in WAYS}


def demo() -> Lamp:
    """The demo lamp, read and timed on a bench of its own."""
    with tempfile.TemporaryDirectory() as folder:
        return read_demo(Path(folder) / "bench.sqlite")


def report(ways: dict[str, list[LampMade]]) -> str:
    """Both tables, and where the diagram is."""
    lamps = next(iter(ways.values()))
    odd = sum(bool(lamp.odd) for lamp in lamps)
    head = f"{len(lamps)} hidden printers, {odd} of them outside the ranges, {len(lamps[0].joints)} joints each."
    program = ways["Shadewright"]
    picture = f"![Chance stated against what came out]({PICTURE})"
    return "\n\n".join([head, table(ways), reliability_table(program), picture])


def write(ways: dict[str, list[LampMade]]) -> None:
    """Put tables and diagram into the documentation."""
    page = DOCS / "joints.md"
    text = page.read_text(encoding="utf-8")
    before, _, rest = text.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not end:
        raise SystemExit(f"{page.name} lacks its markers")
    page.write_text(f"{before}{BEGIN}\n\n{report(ways)}\n\n{END}{after}", encoding="utf-8")
    (DOCS / PICTURE).write_text(figure(ways["Shadewright"]), encoding="utf-8")


def main() -> None:
    parser = ArgumentParser(description="Compare three ways of fitting joints on hidden printers.")
    parser.add_argument("--printers", type=int, default=500)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--write", action="store_true", help="put the result into docs/joints.md")
    options = parser.parse_args()
    started = time.monotonic()
    ways = compare(demo(), options.printers, options.seed)
    print(report(ways))
    print(f"\n{time.monotonic() - started:.0f} s")
    if options.write:
        write(ways)


if __name__ == "__main__":
    main()
