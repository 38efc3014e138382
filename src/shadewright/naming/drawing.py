"""How to measure a thread: a drawing (SVG) and the same in words."""

from __future__ import annotations

import math
from html import escape

from shadewright.catalog.threads import Sex

PAPER, INK, BRASS, SEA, PALE = "#f8f4ea", "#2d2a26", "#a8772a", "#2b7a72", "#ddd3bd"
WIDTH, HEIGHT = 960, 600
CRESTS = 6
PITCH, DEPTH = 42.0, 16.0
"""Of the drawn thread, in drawing units."""

Point = tuple[float, float]


def how_to_measure_text(sex: Sex) -> tuple[str, ...]:
    """The drawing in words: one line for each step."""
    if sex is Sex.MALE:
        size = "Size: flat jaws over the crests, square to the axis, at three places turned by a third."
        rubbing = "paper laid along the thread and rubbed with a pencil shows a line for every crest"
        root = "Root: the jaws' thin edges in grooves opposite each other, smallest reading."
    else:
        size = "Size: inside jaws on the crests, square to the axis, largest reading at three places."
        rubbing = "a paper strip pressed into the hole and rubbed shows a line for every crest"
        root = "Root: hooked jaws in grooves opposite each other, largest reading."
    return (
        size,
        "Pitch: count crests along a line parallel to the axis, call the first one 1, and take the length from "
        "crest 1 to crest N: N - 1 pitches. About 10 mm, or as many as there are.",
        f"No pitch gauge: {rubbing}; a known screw laid into it (or turned in) shows no light and does not bind "
        "after three turns if its pitch is the same; or count the crests along 10 mm of a ruler.",
        root,
    )


def how_to_measure_svg(sex: Sex) -> str:
    """Draw where the jaws go, which crests to count, and what to do without a pitch gauge.

    Args:
        sex: Male or female thread.

    Returns:
        A complete SVG document, 960 by 600 units.
    """
    male = sex is Sex.MALE
    title = "Measuring a male thread" if male else "Measuring a female thread (cut open)"
    body = [
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="{PAPER}"/>',
        _text(30, 44, title, size=24, weight="bold"),
        *(_male_view() if male else _female_view()),
        *_tiles(male=male),
    ]
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" font-family="sans-serif">'
    )
    return "\n".join([head, f"<title>{escape(title)}</title>", *body, "</svg>", ""])


def ridge(start: float, level: float, turns: float, height: float, pitch: float = PITCH) -> list[Point]:
    """Points along a rounded ridge line: crests at ``start``, ``start + pitch``, ... and ``height`` tall.

    Args:
        start: x of the first crest.
        level: y of the crests.
        turns: Length in pitches, from half a pitch before the first crest.
        height: From crest to root; negative where roots lie above.
        pitch: Distance of crests.
    """
    steps = round(turns * 24)
    xs = [start - pitch / 2 + pitch * i / 24 for i in range(steps + 1)]
    return [(x, level + height / 2 * (1 - math.cos(2 * math.pi * (x - start) / pitch))) for x in xs]


def _male_view() -> list[str]:
    """A stud lying on its side; crests above and below, half a pitch apart."""
    left, top, bottom = 110.0, 210.0, 380.0
    turns = CRESTS + 2.5
    upper = ridge(left, top, turns, DEPTH)
    start, end = upper[0][0], upper[-1][0]
    lower = [(x, y) for x, y in ridge(left - PITCH / 2, bottom, turns + 0.5, -DEPTH) if start <= x <= end]
    outline = [*upper, *reversed(lower)]
    slants = [_line(left + PITCH * i, top + 3, left + PITCH * (i + 0.5), bottom - 3, PALE) for i in range(CRESTS + 2)]
    jaw_left = left + PITCH * (CRESTS - 0.4)
    return [
        _shape(outline, fill="#efe6d2", stroke=INK),
        *slants,
        *_count_marks(left, top - 14, above=True),
        _jaw(jaw_left, top - 22, 22),
        _jaw(jaw_left, bottom, 22),
        *_arrow(jaw_left + 30, top, jaw_left + 30, bottom, SEA),
        _text(jaw_left + 40, 300, "outside", colour=SEA, weight="bold"),
        _text(jaw_left - 6, bottom + 44, "flat jaws over", colour=BRASS),
        _text(jaw_left - 6, bottom + 62, "the crests", colour=BRASS),
        *_arrow(left + PITCH / 2, top + DEPTH, left + PITCH, bottom - DEPTH, INK, dashed=True),
        _text(left + PITCH + 2, 320, "root: thin edges in the grooves"),
        _text(30, 470, "Read three times, turned by a third each; give all three."),
    ]


def _female_view() -> list[str]:
    """A ring cut open: two walls whose ridges point at each other across the hole."""
    left, top, bottom = 110.0, 210.0, 380.0
    turns = CRESTS + 2.5
    upper = ridge(left, top, turns, -DEPTH)
    lower = ridge(left - PITCH / 2, bottom, turns + 0.5, DEPTH)
    start, end = upper[0][0], upper[-1][0]
    lower = [(x, y) for x, y in lower if start <= x <= end]
    roof = [(start, top - 60), *upper, (end, top - 60)]
    floor = [(start, bottom + 60), *lower, (end, bottom + 60)]
    prong_left = left + PITCH * (CRESTS - 0.4)
    return [
        _shape(roof, fill=PALE, stroke=INK),
        _shape(floor, fill=PALE, stroke=INK),
        *_count_marks(left, top + 22, above=False),
        _jaw(prong_left, top, 14),
        _jaw(prong_left, bottom - 14, 14),
        *_arrow(end + 16, top, end + 16, bottom, SEA),
        _text(end + 26, 310, "inside", colour=SEA, weight="bold"),
        _text(end - 70, bottom + 84, "inside jaws on the crests", colour=BRASS),
        *_arrow(left + PITCH / 2, top - DEPTH, left + PITCH, bottom + DEPTH, INK, dashed=True),
        _text(left + PITCH + 6, 350, "root: hooked jaws in the grooves"),
        _text(30, 500, "Read three times, turned by a third each; give all three."),
    ]


def _count_marks(left: float, level: float, *, above: bool) -> list[str]:
    """Numbers on the crests and the length from the first to the last."""
    numbers = [
        _text(left + PITCH * i, level, str(i + 1), anchor="middle", colour=SEA, weight="bold") for i in range(CRESTS)
    ]
    last = left + PITCH * (CRESTS - 1)
    line = level - 32 if above else level + 26
    caption = f"crest 1 to crest {CRESTS}: {CRESTS} crests, {CRESTS - 1} pitches"
    place = line - 12 if above else line + 22
    ticks = [_line(x, level - 14 if above else level + 6, x, line, SEA, width=1) for x in (left, last)]
    return [
        *numbers,
        *ticks,
        *_arrow(left, line, last, line, SEA),
        _text(left + (0 if above else PITCH), place, caption, colour=SEA),
    ]


def _tiles(*, male: bool) -> list[str]:
    """Three ways without a pitch gauge, one under the other at the right."""
    x = 590.0
    rub = (
        ("Lay paper along the thread,", "rub with a pencil: one line a crest.")
        if male
        else ("Press a paper strip into the hole,", "rub with a pencil: one line a crest.")
    )
    known = (
        ("Lay a known screw against it:", "no light between means same pitch.")
        if male
        else ("Turn a known screw in by hand:", "three turns free means same pitch.")
    )
    count = ("Count crests along 10 mm of a ruler;", "halves count: 9.5 is an answer.")
    return [
        _text(x, 84, "No pitch gauge?", size=19, weight="bold"),
        *_tile(x, 104, rub, _rubbing(x + 16, 122)),
        *_tile(x, 264, known, _known_screw(x + 16, 300)),
        *_tile(x, 424, count, _ruler(x + 16, 446)),
    ]


def _tile(x: float, y: float, words: tuple[str, str], picture: list[str]) -> list[str]:
    frame = f'<rect x="{x}" y="{y}" width="340" height="146" rx="6" fill="#ffffff" stroke="{PALE}"/>'
    return [frame, *picture, _text(x + 16, y + 112, words[0]), _text(x + 16, y + 132, words[1])]


def _rubbing(x: float, y: float) -> list[str]:
    paper = (
        f'<rect x="{x}" y="{y}" width="230" height="56" fill="{PAPER}" stroke="{INK}" transform="rotate(-2 {x} {y})"/>'
    )
    lines = [_line(x + 26 + 34 * i, y + 4, x + 20 + 34 * i, y + 48, INK, width=5) for i in range(CRESTS)]
    return [paper, *lines, *_arrow(x + 22, y + 66, x + 22 + 34 * (CRESTS - 1), y + 66, SEA)]


def _known_screw(x: float, y: float) -> list[str]:
    """Two ridge lines lying in each other."""
    pitch = 30.0
    own = ridge(x + 15, y + 10, 8, 20, pitch)
    other = [(px, py - 4) for px, py in own]
    below = [*own, (own[-1][0], y + 52), (own[0][0], y + 52)]
    above = [*other, (other[-1][0], y - 24), (other[0][0], y - 24)]
    return [_shape(below, fill="#efe6d2", stroke=INK), _shape(above, fill="#cfe3df", stroke=SEA)]


def _ruler(x: float, y: float) -> list[str]:
    ticks = [_line(x + 24 * i, y + 66, x + 24 * i, y + (48 if i % 5 else 42), INK) for i in range(11)]
    edge = ridge(x + 12, y + 8, 9, 14, 26)
    body = [*edge, (edge[-1][0], y + 36), (edge[0][0], y + 36)]
    frame = f'<rect x="{x - 4}" y="{y + 42}" width="254" height="24" fill="none" stroke="{INK}"/>'
    return [_shape(body, fill="#efe6d2", stroke=INK), frame, *ticks, _text(x + 258, y + 60, "10 mm", colour=SEA)]


def _jaw(x: float, y: float, height: float, length: float = 150) -> str:
    return (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{length}" height="{height}" rx="3" fill="{BRASS}" fill-opacity="0.85"/>'
    )


def _arrow(x1: float, y1: float, x2: float, y2: float, colour: str, *, dashed: bool = False) -> list[str]:
    """A line with a head at both ends."""
    long = math.hypot(x2 - x1, y2 - y1)
    ux, uy = (x2 - x1) / long, (y2 - y1) / long
    heads = []
    for x, y, sign in ((x1, y1, 1), (x2, y2, -1)):
        back = (x + sign * 9 * ux, y + sign * 9 * uy)
        sides = [(back[0] + s * 4 * uy, back[1] - s * 4 * ux) for s in (1, -1)]
        heads.append(_shape([(x, y), *sides], fill=colour, stroke=colour))
    return [_line(x1, y1, x2, y2, colour, dashed=dashed), *heads]


def _line(x1: float, y1: float, x2: float, y2: float, colour: str, *, width: float = 1.5, dashed: bool = False) -> str:
    dash = ' stroke-dasharray="5 4"' if dashed else ""
    ends = f'x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}"'
    return f'<line {ends} stroke="{colour}" stroke-width="{width}"{dash}/>'


def _shape(points: list[Point], *, fill: str, stroke: str) -> str:
    drawn = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    return f'<polygon points="{drawn}" fill="{fill}" stroke="{stroke}" stroke-width="1.5" stroke-linejoin="round"/>'


def _text(
    x: float, y: float, words: str, *, size: int = 15, colour: str = INK, weight: str = "normal", anchor: str = "start"
) -> str:
    style = f'font-size="{size}" fill="{colour}" font-weight="{weight}" text-anchor="{anchor}"'
    return f'<text x="{x:.1f}" y="{y:.1f}" {style}>{escape(words)}</text>'
