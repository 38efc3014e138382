"""Reading STL, binary and text, without trusting a word of it."""

from __future__ import annotations

import re
import warnings
from pathlib import Path

import numpy as np

from shadewright.solid.census import weld
from shadewright.solid.gate import MOST_TRIANGLES, Loaded, refuse
from shadewright.solid.mesh import Floats

_FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])
_VERTEX = re.compile(rb"\bvertex\s+(\S+\s+\S+\s+\S+)", re.IGNORECASE)
_LOOP = re.compile(rb"\bouter\s+loop\b(.*?)\bendloop\b", re.IGNORECASE | re.DOTALL)
_WORDS = {word: re.compile(rb"\b" + word + rb"\b", re.IGNORECASE) for word in (b"facet", b"endfacet", b"vertex")}
_NAME_LINE = re.compile(rb"^[ \t]*(?:end)?solid\b[^\r\n]*", re.IGNORECASE | re.MULTILINE)
_END = re.compile(rb"\bendsolid\b[^\r\n]*\s*\Z", re.IGNORECASE)


def read_stl(path: Path, size: int) -> Loaded:
    """Read an STL file.

    Args:
        path: The file.
        size: Its size [bytes].

    Returns:
        One mesh with exactly equal corners joined; STL declares no unit.

    Raises:
        ModelProblem: It is truncated, damaged, has no triangles, too many, or numbers that are none.
    """
    with path.open("rb") as file:
        head = file.read(84)
    count = int.from_bytes(head[80:84], "little")
    if len(head) == 84 and size == 84 + 50 * count:
        corners = _binary(path, count)
    else:
        text = head.lstrip(b"\xef\xbb\xbf \t\r\n").lower()
        if not text.startswith(b"solid") or b"\0" in head:
            _refuse_binary(head, size, count)
        corners = _text(path.read_bytes())
    if not len(corners):
        refuse("it holds no triangles", "export a solid body")
    if not np.isfinite(corners).all():
        bad = int((~np.isfinite(corners)).any(axis=(1, 2)).sum())
        have = "triangle has" if bad == 1 else "triangles have"
        refuse(f"{bad} {have} coordinates that are not numbers (NaN or infinite)", "export it again")
    return Loaded(pieces=(weld(corners),))


def _refuse_binary(head: bytes, size: int, count: int) -> None:
    if len(head) < 84:
        refuse(f"it is no STL file: {size} bytes are fewer than a header takes", "export it again")
    needed = 84 + 50 * count
    if size < needed < 1e10:
        refuse(
            f"it is cut short: its header promises {count} triangles ({needed} bytes), the file holds {size} bytes",
            "copy or export it again",
        )
    refuse(
        f"it is damaged or no STL file: {size} bytes do not fit the {count} triangles in its header",
        "copy or export it again",
    )


def _binary(path: Path, count: int) -> Floats:
    _require_bearable(count)
    facets = np.fromfile(path, dtype=_FACET, count=count, offset=84)
    return facets["corners"].astype(np.float64)


def _require_bearable(count: int) -> None:
    if count > MOST_TRIANGLES:
        refuse(
            f"it holds {count} triangles, more than the {MOST_TRIANGLES} that are taken",
            "export it with a coarser tolerance",
        )


def _text(raw: bytes) -> Floats:
    body = _NAME_LINE.sub(b"", raw) if raw.count(b"\n") + raw.count(b"\r") > 1 else raw
    counts = {word: sum(1 for _ in pattern.finditer(body)) for word, pattern in _WORDS.items()}
    facets = counts[b"facet"]
    _require_bearable(facets)
    if facets != counts[b"endfacet"] or not _END.search(raw[-4096:]):
        refuse(f"it is cut short after {counts[b'endfacet']} triangles", "copy or export it again")
    numbers = _VERTEX.findall(body)
    if counts[b"vertex"] != 3 * facets or len(numbers) != 3 * facets or not _all_triangles(body, facets):
        refuse("it has facets with more or fewer than three corners", "export it again as triangles")
    with warnings.catch_warnings():
        warnings.simplefilter("error", DeprecationWarning)
        try:
            values = np.fromstring(b" ".join(numbers).decode("ascii", "replace"), sep=" ")
        except (DeprecationWarning, ValueError):
            values = np.zeros(0)
    if len(values) != 9 * facets:
        refuse("it has coordinates that cannot be read as numbers", "export it again")
    return values.reshape(-1, 3, 3)


def _all_triangles(body: bytes, facets: int) -> bool:
    loops = 0
    for loop in _LOOP.finditer(body):
        loops += 1
        if len(_VERTEX.findall(loop.group(1))) != 3:
            return False
    return loops == facets
