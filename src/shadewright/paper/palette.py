"""Colours of everything on paper and screen, and the measure that says whether text in them can be read."""

from __future__ import annotations

from shadewright.findings import Verdict

PAPER = "#fbf7ec"
LEAF = "#f3ebd7"  # a shade deeper: bands, boxes
RULE = "#cdbf9f"  # hairlines; never carries text
INK = "#221d16"
FADED = "#5c5243"  # secondary text
BRASS = "#76560f"  # accents and links' counterpart; dark enough for text
BRASS_LIGHT = "#c9a24b"  # fills only
SEA = "#17594f"  # links, the wanted feel
SEA_LIGHT = "#a8cdc2"  # fills only
WHITE = "#ffffff"

VERDICT_INK = {
    Verdict.FAILING: "#98202a",
    Verdict.DOUBTFUL: "#8a4b00",
    Verdict.UNKNOWN: "#44506b",
    Verdict.SOUND: SEA,
}
"""Ink of each verdict's mark and word; shape and word carry the meaning, the ink only helps to find them."""

PART_RAMP = ("#4e3b20", "#a98d5c", "#dcc89f", "#f8efdb")
DOUBTFUL_RAMP = ("#6b3300", "#cf7310", "#ee9d2e", "#f9c468")
FAILING_RAMP = ("#3d070d", "#8f1d27", "#b8323a", "#dc6a62")
BED_RAMP = ("#1f4540", "#5f9488", "#86b8aa", "#b9dacf")
"""Dark to light, lightness rising evenly, for what a picture shows: the part, its troubled areas, where it stands."""


def rgb(colour: str) -> tuple[int, int, int]:
    """Split ``#rrggbb`` into its three channels, 0 to 255."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def luminance(colour: str) -> float:
    """Relative luminance [-], 0 black to 1 white.

    Sources:
        WCAG 2.1, definition of relative luminance (IEC 61966-2-1 transfer curve).
    """
    linear = [c / 12.92 if (c := part / 255) <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for part in rgb(colour)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours [-], 1 to 21; text needs 4.5.

    Sources:
        WCAG 2.1, definition of contrast ratio and success criterion 1.4.3.
    """
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)
