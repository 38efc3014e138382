"""Threaded studs and rings as boundary representations: exact helical faces for models that go on to be edited.

An endless thread is sewn from spline strips and cut to length by the chamfered envelope. Nothing here meshes, and
nothing is taken from the mesh: both come from one section. The work is done in a process of its own, for a boolean of
helical faces can run away.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

import numpy as np

from shadewright.errors import GeometryFailure, ValueProblem
from shadewright.files import write_whole
from shadewright.solid import brep
from shadewright.solid.features import ThreadShape
from shadewright.solid.profile import Profile
from shadewright.solid.step import check_shape, quiet, read_step_shape, require_step, shape_volume, write_step
from shadewright.solid.thread_section import Section, expected_volume, section
from shadewright.solid.thread_strips import threaded_rod

OVERRUN = 0.05  # how far tools reach past the end faces [mm]
CURVE_CHORD = 1e-4  # for the points that curves are laid through [mm]
SHIFTS = (0.37, 0.61, 0.83)  # where strips end below the foot of the thread [turns]
VOLUME_TOLERANCE = 0.005
SECONDS = 30


def write_thread_step(path: Path, shape: ThreadShape, seconds: float = SECONDS) -> Path:
    """Write a threaded solid as STEP, made and re-read in a process of its own.

    Args:
        path: Where the file shall stand.
        shape: What to make; its ``chord`` has no meaning here.
        seconds: Time allowed.

    Raises:
        ValueProblem: Sizes that cannot be, or so long a thread that ``seconds`` do not suffice.
        MissingLibrary: STEP is not installed.
        GeometryFailure: No attempt gave a sound solid.
        FileProblem: The file cannot be written.
    """
    made = section(replace(shape, chord=CURVE_CHORD))
    require_step()
    name = f"{shape.thread.name} {shape.sex.value}"

    def fill(draft: Path) -> None:
        with tempfile.TemporaryDirectory(prefix="thread-") as folder:
            job = Path(folder) / "job.json"
            job.write_text(json.dumps({"name": name, "target": str(draft.resolve()), **_plain(made)}), encoding="utf-8")
            command = [sys.executable, "-P", "-m", "shadewright.solid.thread_brep", str(job)]
            try:
                run = subprocess.run(command, capture_output=True, text=True, timeout=seconds, check=False)
            except subprocess.TimeoutExpired:
                raise ValueProblem.of(
                    f"{name} of {made.length:g} mm takes longer than {seconds:g} s as STEP",
                    "make it shorter, or write 3MF or STL",
                ) from None
            if run.returncode:
                reason = (run.stderr.strip().splitlines() or [f"code {run.returncode}"])[-1]
                raise GeometryFailure(f"{name} could not be made as STEP: {reason}")

    return write_whole(path, fill)


def threaded_shape(shape: ThreadShape) -> Any:
    """The same solid as a shape of the modelling kernel, made in this process and checked.

    Raises:
        ValueProblem: Sizes that cannot be.
        MissingLibrary: STEP is not installed.
        GeometryFailure: No attempt gave a sound solid.
    """
    require_step()
    return _checked(section(replace(shape, chord=CURVE_CHORD)), f"{shape.thread.name} {shape.sex.value}")


def _checked(made: Section, name: str) -> Any:
    """Try the strips' ends at one place and another along the thread; the first sound solid of the right volume wins.

    A boolean may stumble over an edge that happens to coincide with another; moving the strips' ends moves their edges.
    """
    quiet()
    faults = []
    for shift in SHIFTS:
        try:
            shape = _build(made, shift)
        except (RuntimeError, GeometryFailure) as error:  # the kernel's own errors are RuntimeErrors
            faults.append(str(error))
            continue
        wrong = check_shape(shape)
        if not wrong and abs(shape_volume(shape) / expected_volume(made) - 1) <= VOLUME_TOLERANCE:
            return shape
        faults += wrong or ["its volume is off"]
    raise GeometryFailure(f"{name} came out wrong: {'; '.join(dict.fromkeys(faults))}")


def _build(made: Section, shift: float) -> Any:
    pitch = made.profile.pitch
    turns = int(np.ceil(made.length / pitch + shift + 0.1))
    rod = threaded_rod(made.profile, -shift * pitch, turns)
    return _ring(made, rod) if made.outside else _stud(made, rod)


def _stud(made: Section, rod: Any) -> Any:
    wide = made.profile.greatest + 1.0
    heights = np.array([0.0, made.length])
    corners = [[made.bore, 0.0], [min(wide, float(made.chamfer(heights)[0])), 0.0]]
    if made.low_slope:
        corners.append([wide, (wide - made.lead_radius) / made.low_slope])
    if made.high_slope:
        corners.append([wide, made.length - (wide - made.lead_radius) / made.high_slope])
    corners += [[min(wide, float(made.chamfer(heights)[1])), made.length], [made.bore, made.length]]
    return brep.common(rod, brep.turned(np.array(corners)))


def _ring(made: Section, rod: Any) -> Any:
    solid = brep.turned(np.array([[0, 0], [made.outside, 0], [made.outside, made.length], [0, made.length]]))
    solid = brep.cut(solid, rod)
    inner = made.profile.least - OVERRUN
    for at_top, slope in ((False, made.low_slope), (True, made.high_slope)):
        if not slope:
            continue
        mouth = made.lead_radius + slope * OVERRUN
        cone = np.array([[0, -OVERRUN], [mouth, -OVERRUN], [inner, (made.lead_radius - inner) / slope]])
        cone = np.vstack([cone, [[0, cone[2, 1]]]])
        if at_top:
            cone[:, 1] = made.length - cone[:, 1]
        solid = brep.cut(solid, brep.turned(cone))
    return solid


def _plain(made: Section) -> dict[str, Any]:
    """A section as plain data."""
    plain: dict[str, Any] = {key: value for key, value in asdict(made).items() if key != "profile"}
    form = {"pitch": made.profile.pitch, "z": made.profile.z.tolist(), "r": made.profile.r.tolist()}
    return {"section": plain, "profile": form}


def _main(job_file: Path) -> None:
    job = json.loads(job_file.read_text(encoding="utf-8"))
    form = job["profile"]
    made = Section(profile=Profile(pitch=form["pitch"], z=np.array(form["z"]), r=np.array(form["r"])), **job["section"])
    target = Path(job["target"])
    write_step(target, _checked(made, job["name"]), job["name"])
    wrong = check_shape(read_step_shape(target))
    if wrong:
        raise GeometryFailure(f"read again from STEP, {'; '.join(wrong)}")


if __name__ == "__main__":
    try:
        _main(Path(sys.argv[1]))
    except Exception as error:  # told to the parent process in one line
        sys.exit(str(error))
