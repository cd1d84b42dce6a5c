#!/usr/bin/env python3
"""Sends each demonstration part through every format and back: the same measures must come out.

round_trip.py [--command FILE]   default: target/release/beadtally, built by the README's commands

trimesh writes STL (both forms), OBJ, PLY (both forms), OFF and 3MF. It writes no AMF: that file is put together here as ISO/ASTM 52915
has it, in inches. Every file is sent zipped as well.
"""

import argparse
import json
import pathlib
import subprocess
import sys
import tempfile
import zipfile

import trimesh

HERE = pathlib.Path(__file__).resolve().parent
REPOSITORY = HERE.parent.parent
TOLERANCE = 1e-6
MM_PER_INCH = 25.4


def amf(mesh):
    corners = "".join(
        f"<vertex><coordinates><x>{x / MM_PER_INCH!r}</x><y>{y / MM_PER_INCH!r}</y><z>{z / MM_PER_INCH!r}</z></coordinates></vertex>"
        for x, y, z in mesh.vertices.tolist()
    )
    facets = "".join(f"<triangle><v1>{a}</v1><v2>{b}</v2><v3>{c}</v3></triangle>" for a, b, c in mesh.faces.tolist())
    return (
        '<?xml version="1.0" encoding="utf-8"?><amf unit="inch"><object id="1"><mesh>'
        f"<vertices>{corners}</vertices><volume>{facets}</volume></mesh></object></amf>"
    ).encode()


def forms(mesh):
    """Name and bytes of the part in every format."""
    yield "binary.stl", mesh.export(file_type="stl")
    yield "text.stl", mesh.export(file_type="stl_ascii")
    yield "part.obj", mesh.export(file_type="obj", digits=9)
    yield "binary.ply", mesh.export(file_type="ply")
    yield "text.ply", mesh.export(file_type="ply", encoding="ascii")
    yield "part.off", mesh.export(file_type="off", digits=9)
    scene = trimesh.Scene(mesh)
    scene.units = "millimeter"
    yield "part.3mf", scene.export(file_type="3mf")
    yield "part.amf", amf(mesh)


def measured(command, path):
    answer = subprocess.run([command, "measure", "--json", "--quick", "--unit", "mm", path], capture_output=True, check=False, text=True)
    if answer.returncode != 0:
        sys.exit(f"{path.name}: {answer.stderr.strip()}")
    return json.loads(answer.stdout)


def same(a, b):
    return abs(a - b) <= TOLERANCE * abs(b)


def main():
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--command", type=pathlib.Path, default=REPOSITORY / "target" / "release" / "beadtally")
    command = options.parse_args().command
    compared = 0
    faults = []
    with tempfile.TemporaryDirectory() as folder:
        for model in sorted((REPOSITORY / "models").glob("*.stl")):
            right = measured(command, model)
            for name, data in forms(trimesh.load(model)):
                path = pathlib.Path(folder) / name
                path.write_bytes(data if isinstance(data, bytes) else data.encode())
                zipped = path.with_suffix(path.suffix + ".zip")
                with zipfile.ZipFile(zipped, "w", zipfile.ZIP_DEFLATED) as archive:
                    archive.write(path, name)
                for sent in (path, zipped):
                    ours = measured(command, sent)
                    compared += 1
                    alike = (
                        same(ours["volume_mm3"], right["volume_mm3"])
                        and same(ours["area_mm2"], right["area_mm2"])
                        and all(same(a, b) for a, b in zip(ours["box_mm"]["size"], right["box_mm"]["size"]))
                        and ours["bodies"] == right["bodies"]
                        and ours["watertight"]
                    )
                    if not alike:
                        faults.append(f"{model.name} as {sent.name}: {ours['volume_mm3']} mm3, {ours['area_mm2']} mm2, {ours['trust']}")
    print(f"{compared} files compared, {len(faults)} differ")
    if faults or compared < 6 * 16:
        sys.exit("\n".join(faults) or "too few demonstration parts")


if __name__ == "__main__":
    main()
