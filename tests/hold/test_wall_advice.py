"""The cures that are named for walls do hold."""

from __future__ import annotations

import re
from dataclasses import replace

from shadewright.findings import Verdict
from shadewright.hold.ranges import Ranged
from shadewright.hold.wall import Keyhole, Screws, WallKind, WallQuestion
from shadewright.hold.wall_advice import WallCase, judge_wall

BASE = WallQuestion(
    wall=WallKind.SOFTWOOD,
    screws=Screws(heights=(15.0, 60.0), diameter=3.5, length=12.0, head=7.0),
    weight_n=Ranged.exactly(60.0),
    reach=Ranged.exactly(200.0),
    tear_mpa=Ranged(3, 5, 8),
    bearing_mpa=Ranged(8, 12, 18),
)


def judged(question: WallQuestion) -> tuple[Verdict, str]:
    found = judge_wall(WallCase(question=question, above_people=False))[0]
    return found.verdict, found.cure


def number(words: str, pattern: str) -> float:
    found = re.search(pattern, words)
    assert found is not None, words
    return float(found[1])


def test_longer_screws_as_named() -> None:
    short = replace(BASE, screws=replace(BASE.screws, length=5.0))
    verdict, cure = judged(short)
    longer = number(cure, r"with (\d+) mm of thread")

    assert verdict is not Verdict.SOUND
    assert judged(replace(short, screws=replace(short.screws, length=longer + 1)))[0] is Verdict.SOUND


def test_better_plugs_as_named() -> None:
    board = replace(BASE, wall=WallKind.PLASTERBOARD)
    verdict, cure = judged(board)
    pull = number(cure, r"for (\d+) N of pull")

    assert verdict is Verdict.FAILING
    assert judged(replace(board, plug_n=Ranged.exactly(pull)))[0] is Verdict.SOUND


def test_more_plastic_behind_a_keyhole_as_named() -> None:
    thin = replace(BASE, screws=replace(BASE.screws, length=60.0, head=12.0), keyhole=Keyhole(behind=0.6, slot=4.0))
    verdict, cure = judged(thin)
    behind = number(cure, r"leave ([\d.]+) mm")

    assert verdict is not Verdict.SOUND
    assert judged(replace(thin, keyhole=Keyhole(behind=behind + 0.1, slot=4.0)))[0] is Verdict.SOUND


def test_a_wider_head_where_the_lip_is_crushed() -> None:
    lip = replace(
        BASE,
        screws=replace(BASE.screws, length=60.0, head=5.0),
        keyhole=Keyhole(behind=8.0, slot=4.4),
        tear_mpa=Ranged.exactly(20.0),
    )
    verdict, cure = judged(lip)
    head = number(cure, r"head is (\d+) mm wide")

    assert verdict is not Verdict.SOUND
    assert judged(replace(lip, screws=replace(lip.screws, head=head + 0.5)))[0] is Verdict.SOUND


def test_wood_says_what_timber_design_would_use() -> None:
    """G 0.42, 3.5 x 12: 2850 lb per inch and inch, 145 N; the plug's maker is not mentioned."""
    why = judge_wall(WallCase(question=BASE, above_people=False))[0].why
    per_inch = 2850 * 0.42**2 * 3.5 / 25.4

    assert number(why, r"would use (\d+) N") == round(per_inch * 4.448 * 12 / 25.4 / 10) * 10
    assert "plug" not in why


def test_over_people_a_second_means_is_asked_for() -> None:
    found = judge_wall(WallCase(question=replace(BASE, wanted=3.0), above_people=True))

    assert [finding.code for finding in found] == ["hold.wall", "hold.retention"]
    assert "second means of retention" in found[1].cure


def test_ceilings_are_called_ceilings_and_warm_plates_fail() -> None:
    overhead = judge_wall(WallCase(question=replace(BASE, overhead=True), above_people=False))[0]
    warm = judge_wall(WallCase(question=BASE, above_people=False, too_warm="its plate bears nothing"))[0]

    assert "on the ceiling" in overhead.sentence
    assert "sheared" not in overhead.why
    assert (warm.verdict, warm.sentence) == (Verdict.FAILING, "its plate bears nothing")
