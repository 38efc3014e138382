"""The few shapes that figures are made of, as SVG text."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from shadewright.paper import palette, wording

SCREEN_FIGURE = "inherit"
"""Font of figures on screen: that of the page around them."""

Shapes = list[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One figure.

    Attributes:
        svg: The drawing.
        says: The same in words, for those who do not see it.
    """

    svg: str
    says: str


def figure(shapes: Shapes, width: float, height: float, says: str, font: str) -> Figure:
    """Put shapes together; ``says`` goes along for those who do not see them."""
    label = escape(wording.clean(says))
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" width="{width:.0f}" '
        f'height="{height:.0f}" role="img" aria-label="{label}" font-family="{font}" font-size="11.5">'
        f"{''.join(shapes)}</svg>"
    )
    return Figure(svg=svg, says=says)


def line(x1: float, y1: float, x2: float, y2: float, colour: str, *, width: float = 1.0) -> str:
    """A straight line."""
    return f'<path d="M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}" stroke="{colour}" stroke-width="{width}" fill="none"/>'


def box(x: float, y: float, width: float, height: float, fill: str) -> str:
    """A rectangle with an ink border."""
    return (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}" fill="{fill}" '
        f'stroke="{palette.INK}" stroke-width="0.8"/>'
    )


def path(d: str, fill: str, stroke: str = "none", width: float = 1.0) -> str:
    """A path as SVG writes it."""
    return f'<path d="{d}" fill="{fill}" stroke="{stroke}" stroke-width="{width}"/>'


def text(x: float, y: float, words: str, anchor: str, *, bold: bool = False, big: bool = False) -> str:
    """A line of words, anchored at its start, middle or end."""
    weight = ' font-weight="bold"' if bold else ""
    size = ' font-size="17"' if big else ""
    place = f'x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"'
    return f'<text {place} fill="{palette.INK}"{weight}{size}>{escape(wording.clean(words))}</text>'
