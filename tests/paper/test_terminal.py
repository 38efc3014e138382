"""The summary for a terminal."""

import dataclasses

from sample_study import FINDINGS, sample_study

from shadewright.paper.terminal import MOST_SHOWN, WIDTH, summary


def test_the_summary_keeps_to_its_width_and_puts_the_worst_first() -> None:
    text = summary(sample_study(), ("out/study.html", "out/sheet.pdf"))
    assert max(len(line) for line in text.splitlines()) <= WIDTH
    order = [
        text.index(word) for word in ("■ failing\n", "▲ doubtful\n", "◇ unknown\n", "\njoints", "\ntrials", "\nwritten")
    ]
    assert order == sorted(order)
    assert text.startswith("Tide table lamp, 4 lamps: ■ failing (2 failing, 2 doubtful, 2 unknown, 2 sound)")


def test_the_summary_says_what_to_draw_and_print_and_where_it_is() -> None:
    text = summary(sample_study(), ("out/study.html",))
    assert "pivot: draw the bore of arm 16.32 (+0.32), 61 % snug" in text
    assert "pivot: 4 rungs, 21 min, 9.4 g, trials/pivot.3mf" in text
    assert "out/study.html" in text
    assert "Mains voltage kills" in text


def test_every_finding_that_is_not_sound_is_shown_with_its_cure() -> None:
    text = " ".join(summary(sample_study()).split())
    for finding in FINDINGS:
        shown = finding.sentence in text
        assert shown == (finding.verdict.value != "sound")
        assert not shown or finding.cure in text


def test_long_lists_say_how_many_are_left() -> None:
    study = dataclasses.replace(sample_study(), findings=(FINDINGS[0],) * (MOST_SHOWN + 5))
    assert "and 5 more on the page" in summary(study)


def test_line_breaks_in_names_do_not_break_the_summary() -> None:
    text = summary(dataclasses.replace(sample_study(), lamp="a\nb\x1b\tc", findings=()))
    assert text.startswith("a b c, 4 lamps:")
    assert "\x1b" not in text


def test_an_empty_study_has_no_empty_headings() -> None:
    study = dataclasses.replace(sample_study(), findings=(), joints=(), parts=(), cautions=())
    text = summary(study)
    assert "joints" not in text
    assert "trials" not in text
