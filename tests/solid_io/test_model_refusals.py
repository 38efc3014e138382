"""Every bad file: one sentence, exit code 2 material, within 5 s and 1 GB.

All files are read in one fresh process, so that its own and its children's peak memory can be told.
"""

import io
import json
import re
import struct
import subprocess
import sys
import zipfile
from pathlib import Path

import numpy as np
import pytest

from shadewright.solid import kernel
from shadewright.solid.mesh import Mesh
from shadewright.solid.write import write_3mf, write_stl

MOST_SECONDS = 5.0
MOST_MEMORY_MB = 1000

READ_ALL = """
import json, resource, sys, time
from pathlib import Path
from shadewright.errors import UserError
from shadewright.solid.read import read_model
answers = {}
for name in sys.argv[1:]:
    began = time.monotonic()
    try:
        read_model(Path(name))
        said = None
    except UserError as error:
        said = [[p.where, p.what, p.cure] for p in error.problems]
    answers[Path(name).name] = [said, time.monotonic() - began]
# What getrusage says of this process counts the tests' own memory too, from before it was started.
own = next(line for line in open("/proc/self/status") if line.startswith("VmHWM"))
peak = max(int(own.split()[1]), resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
print(json.dumps({"answers": answers, "peak_mb": peak / 1024}))
"""

BOX = kernel.box((20, 20, 20))
STEP_HEAD = "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('','',(''),(''),'','','');\n"


def repacked(source: Path, target: Path, change) -> None:
    """Copy a package, changing its model part."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in old.infolist():
            data = old.read(entry)
            new.writestr(entry.filename, change(data) if entry.filename.endswith(".model") else data)


def inflated(source: Path, target: Path, megabytes: int) -> None:
    """Copy a package with blanks blown into its model part, without holding them in memory here."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in old.infolist():
            head, mark, tail = old.read(entry).partition(b"<resources>")
            with new.open(entry.filename, "w") as stream:
                stream.write(head + mark)
                for _ in range(megabytes if mark else 0):
                    stream.write(b" " * 1_000_000)
                stream.write(tail)


def with_components(data: bytes, wide: int, deep: int, last: int) -> bytes:
    """Nest components ``wide`` by ``deep``; ``last`` is what the innermost names."""
    objects = []
    for level in range(deep):
        inner = f'<component objectid="{level + 1 if level else last}"/>' * wide
        objects.append(f'<object id="{level + 2}" type="model"><components>{inner}</components></object>')
    text = data.decode().replace("</resources>", "".join(objects) + "</resources>")
    return text.replace('<item objectid="1"/>', f'<item objectid="{deep + 1}"/>').encode()


def stl_files(folder: Path) -> dict[str, str]:
    good = write_stl(folder / "good.stl", BOX).read_bytes()
    flipped = Mesh(BOX.vertices, np.ascontiguousarray(BOX.faces[:, ::-1]))
    text = (
        "solid x\n"
        + "facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\n" * 4
    )
    files = {
        "empty.stl": (b"", "the file is empty"),
        "short.stl": (good[:-30], "cut short: its header promises 12 triangles"),
        "header.stl": (good[:40], "fewer than a header"),
        "random.stl": (np.random.default_rng(3).bytes(5000), "damaged or no STL"),
        "lying.stl": (good[:80] + struct.pack("<I", 4_000_000_000) + good[84:], "damaged or no STL"),
        "long.stl": (good + b"\0" * 7, "damaged or no STL"),
        "none.stl": (good[:80] + struct.pack("<I", 0), "no triangles"),
        "text-none.stl": (b"solid x\nendsolid x\n", "no triangles"),
        "solid-header.stl": (b"solid".ljust(80) + good[80:-100], "cut short"),
        "text-short.stl": (text.encode(), "cut short after 4 triangles"),
        "text-torn.stl": (text[:-40].encode(), "cut short after 3 triangles"),
        "text-quad.stl": (
            (text.replace("endloop", "vertex 1 1 1\nendloop", 1) + "endsolid").encode(),
            "more or fewer than three corners",
        ),
        "text-words.stl": (
            (text.replace("vertex 1 0 0", "vertex one 0 0", 1) + "endsolid").encode(),
            "read as numbers",
        ),
        "text-nan.stl": ((text.replace("vertex 1 0 0", "vertex nan 0 0", 1) + "endsolid").encode(), "not numbers"),
        "page.stl": (b"<!DOCTYPE html>\n<html><body>404</body></html>", "a web page"),
        "inside-out.stl": (write_stl(folder / "f.stl", flipped).read_bytes(), "inside out"),
        "open.stl": (write_stl(folder / "o.stl", Mesh(BOX.vertices, BOX.faces[2:])).read_bytes(), "4 open edges"),
        "far.stl": (write_stl(folder / "r.stl", BOX.moved(x=1e7)).read_bytes(), "beyond anything a printer makes"),
        "tiny.stl": (write_stl(folder / "y.stl", Mesh(BOX.vertices / 1e3, BOX.faces)).read_bytes(), "not say its unit"),
    }
    for name, value in (("nan.stl", np.nan), ("inf.stl", np.inf), ("huge.stl", 1e38)):
        raw = bytearray(good)
        raw[84 + 12 : 84 + 16] = struct.pack("<f", value)
        files[name] = (bytes(raw), "beyond anything" if name == "huge.stl" else "1 triangle has coordinates")
    turned = BOX.faces.copy()
    turned[0] = turned[0, ::-1]
    files["one-turned.stl"] = (write_stl(folder / "1.stl", Mesh(BOX.vertices, turned)).read_bytes(), "opposite ways")
    for name, (raw, _) in files.items():
        (folder / name).write_bytes(raw)
    return {name: said for name, (_, said) in files.items()}


def package_files(folder: Path) -> dict[str, str]:
    good = write_3mf(folder / "good.3mf", [BOX])
    doctype = b'<!DOCTYPE model [<!ENTITY a "%s">%s]>' % (
        b"x" * 50,
        b"".join(b'<!ENTITY %c "%s">' % (98 + i, (b"&%c;" % (97 + i)) * 10) for i in range(9)),
    )
    outside = b'<!DOCTYPE model [<!ENTITY x SYSTEM "file:///etc/hostname">]>'
    head, nan = b"?>\n", b'x="nan"'
    changes = {
        "entities.3mf": (lambda d: d.replace(head, head + doctype, 1), "declares a document type"),
        "outside-entity.3mf": (lambda d: d.replace(head, head + outside, 1), "declares a document type"),
        "cycle.3mf": (lambda d: with_components(d, 1, 2, 3), "breaks the 3MF standard"),
        "component-bomb.3mf": (lambda d: with_components(d, 10, 8, 1), "100000000 objects"),
        "nan.3mf": (lambda d: d.replace(b'x="-10"', nan, 1), "breaks the 3MF standard"),
        "no-point.3mf": (lambda d: re.sub(rb'v1="\d+"', b'v1="99"', d, count=1), "breaks the 3MF standard"),
        "no-build.3mf": (lambda d: d.replace(b'<item objectid="1"/>', b""), "places no solid"),
        "no-prefix.3mf": (lambda d: d.replace(b"<build>", b"<q:build>").replace(b"</build>", b"</q:build>"), "unbound"),
        "torn.3mf": (lambda d: d[:-60], "not valid XML"),
        "open.3mf": (lambda d: re.sub(rb"<triangle [^>]*/>", b"", d, count=1), "3 open edges"),
    }
    said = {name: text for name, (_, text) in changes.items()}
    for name, (change, _) in changes.items():
        repacked(good, folder / name, change)
    inflated(good, folder / "bomb.3mf", 400)
    said["bomb.3mf"] = "would unpack from"
    raw = (folder / "bomb.3mf").read_bytes()
    with zipfile.ZipFile(folder / "bomb.3mf") as package:
        true_size = struct.pack("<I", package.getinfo("3D/3dmodel.model").file_size)
    (folder / "lying-bomb.3mf").write_bytes(raw.replace(true_size, struct.pack("<I", 3000)))
    said["lying-bomb.3mf"] = "damaged or cut short"
    (folder / "short.3mf").write_bytes(good.read_bytes()[:-40])
    said["short.3mf"] = "damaged or cut short"
    (folder / "junk.3mf").write_bytes(b"PK\x03\x04" + np.random.default_rng(4).bytes(3000))
    said["junk.3mf"] = "damaged or cut short"
    for name, entries, text in (
        ("photos.3mf", ["a.jpg", "b.jpg"], "without a 3MF model"),
        ("climbing.3mf", ["[Content_Types].xml", "_rels/.rels", "../../x.model"], "outside itself"),
        ("many.3mf", [f"{i}.model" for i in range(2500)], "2500 files"),
    ):
        buffer = io.BytesIO()
        with zipfile.ZipFile(buffer, "w") as package:
            for entry in entries:
                package.writestr(entry, "x")
        (folder / name).write_bytes(buffer.getvalue())
        said[name] = text
    return said


def other_files(folder: Path) -> dict[str, str]:
    binary_ply = (
        "ply\nformat binary_little_endian 1.0\nelement vertex {}\nproperty float x\nelement face {}\nend_header\n"
    )
    glb = b'{"asset":{"version":"2.0"},"buffers":[{"uri":"../secret.bin","byteLength":9}],"meshes":[],"nodes":[]}'
    files = {
        "empty.obj": (b"", "the file is empty"),
        "points.obj": (b"v 0 0 0\nv 1 0 0\n", "no faces"),
        "beyond.obj": (b"v 0 0 0\nv 9 0 0\nv 0 9 0\nf 1 2 99\n", "damaged or not valid OBJ"),
        "nan.obj": (b"v nan 0 0\nv 9 0 0\nv 0 9 0\nf 1 2 3\n", "not numbers"),
        "open.obj": (b"v 0 0 0\nv 90 0 0\nv 0 90 0\nf 1 2 3\n", "3 open edges"),
        "lying.ply": (binary_ply.format(3_000_000, 2_000_000).encode(), "cannot hold"),
        "many.ply": (binary_ply.format(3, 2_000_000_000).encode(), "more than the 5000000"),
        "torn.ply": (b"ply\nformat ascii 1.0\nelement ver", "header is damaged"),
        "short.glb": (b"glTF" + struct.pack("<II", 2, 5000) + b"\0" * 40, "cut short or damaged"),
        "outside.glb": (
            b"glTF" + struct.pack("<IIII", 2, 20 + len(glb), len(glb), 0x4E4F534A) + glb,
            "in other files",
        ),
        "nested.glb": (
            b"glTF" + struct.pack("<IIII", 2, 20 + 200_000, 200_000, 0x4E4F534A) + b"[" * 200_000,
            "description is damaged",
        ),
        "torn.step": ((STEP_HEAD + "ENDSEC;\nDATA;\n#1=CARTESIAN_POINT('',(0.,0").encode(), "closing line is missing"),
        "notes.txt": (b"forty millimetres, I think", "in no format that can be read"),
        "noise.xyz": (np.random.default_rng(5).bytes(900), "in no format that can be read"),
    }
    for name, (raw, _) in files.items():
        (folder / name).write_bytes(raw)
    (folder / "folder.stl").mkdir()
    return {name: said for name, (_, said) in files.items()} | {
        "folder.stl": "this is a folder",
        "missing.stl": "no such file",
    }


@pytest.fixture(scope="module")
def reading(tmp_path_factory):
    folder = tmp_path_factory.mktemp("bad")
    expected = stl_files(folder) | package_files(folder) | other_files(folder)
    names = [str(folder / name) for name in expected]
    run = subprocess.run([sys.executable, "-c", READ_ALL, *names], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
    assert run.stderr == ""
    return expected, json.loads(run.stdout)


def test_each_is_refused_in_one_sentence_that_says_why(reading):
    expected, answer = reading
    for name, why in expected.items():
        said, _ = answer["answers"][name]
        assert said is not None, f"{name} was read"
        assert len(said) == 1
        where, what, cure = said[0]
        assert where.endswith(name)
        assert why in what, f"{name}: {what}"
        assert cure
        assert not what.endswith(".")
        assert "\n" not in what + cure


def test_each_is_refused_in_time_and_memory(reading):
    _, answer = reading
    slowest = max(answer["answers"], key=lambda name: answer["answers"][name][1])
    assert answer["answers"][slowest][1] < MOST_SECONDS, slowest
    assert answer["peak_mb"] < MOST_MEMORY_MB


def test_broken_step_is_refused(tmp_path):
    pytest.importorskip("OCP.STEPControl", exc_type=ImportError)
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox

    from shadewright.errors import UserError
    from shadewright.solid.read import read_model
    from shadewright.solid.step import write_step

    good = write_step(tmp_path / "good.step", BRepPrimAPI_MakeBox(10, 20, 30).Shape()).read_text()
    absurd = good.replace("CARTESIAN_POINT('',(10.,0.,0.))", "CARTESIAN_POINT('',(1.E400,0.,0.))")
    assert absurd != good
    cases = {
        "words.step": STEP_HEAD + "ENDSEC;\nDATA;\n#1=ha ha(;;\nENDSEC;\nEND-ISO-10303-21;\n",
        "faceless.step": "\n".join(line for line in good.splitlines() if "ADVANCED_FACE" not in line),
        "absurd.step": absurd,
    }
    for name, text in cases.items():
        (tmp_path / name).write_text(text)
        with pytest.raises(UserError) as caught:
            read_model(tmp_path / name)
        assert len(caught.value.problems) == 1
