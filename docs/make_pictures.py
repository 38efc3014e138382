"""Take the README's picture from the study of the demo lamp; needs Chromium.

Run ``shadewright study examples/chart_table_lamp`` first, then ``python docs/make_pictures.py``.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from io import BytesIO
from pathlib import Path

from PIL import Image

from shadewright.files import write_whole

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "examples" / "chart_table_lamp" / "out" / "study.html"
WIDTH, HEIGHT = 1280, 1190


def main() -> int:
    """Write ``docs/pictures/study.png``."""
    browser = shutil.which("chromium")
    if browser is None or not PAGE.is_file():
        print("needs chromium, and the demo's study.html", file=sys.stderr)
        return 2
    with tempfile.TemporaryDirectory() as folder:
        shot = Path(folder) / "shot.png"
        flags = [
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--hide-scrollbars",
            f"--user-data-dir={folder}/profile",
        ]
        size = f"--window-size={WIDTH},{HEIGHT}"
        subprocess.run([browser, *flags, size, f"--screenshot={shot}", PAGE.as_uri()], check=True, capture_output=True)
        out = BytesIO()
        Image.open(shot).convert("P", palette=Image.Palette.ADAPTIVE, colors=64).save(out, "PNG", optimize=True)
    print(write_whole(ROOT / "docs" / "pictures" / "study.png", out.getvalue()))
    return 0


if __name__ == "__main__":
    sys.exit(main())
