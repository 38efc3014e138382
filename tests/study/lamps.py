"""Small lamps for the study's tests; invented."""

from __future__ import annotations

from pathlib import Path

from shadewright.solid.kernel import box, cylinder, difference
from shadewright.solid.write import write_3mf

HEAD = 'schema = 1\n[lamp]\nname = "Test lamp"\n'


def lamp_folder(folder: Path, text: str) -> Path:
    """Write a lamp with two sound parts, ``post`` and ``socket``, and the tables in ``text``."""
    (folder / "models").mkdir(parents=True)
    post = cylinder(20, 10, fit="mean")
    socket = difference(box((30, 30, 20), (0, 0, 10)), cylinder(22, 10.1, fit="mean").moved(z=-1))
    write_3mf(folder / "models" / "post.3mf", [post], title="post")
    write_3mf(folder / "models" / "socket.3mf", [socket], title="socket")
    parts = '[part.post]\nmodel = "models/post.3mf"\n[part.socket]\nmodel = "models/socket.3mf"\n'
    (folder / "lamp.toml").write_text(HEAD + parts + text, encoding="utf-8")
    return folder


SLIDE = """
[joint.fit]
kind = "slide"
male = "post"
female = "socket"
nominal = 20.0
feel = "snug"
"""
