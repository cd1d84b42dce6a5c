#!/usr/bin/env python3
"""Runs the check set and appends one JSON object per line: file, settings_name, settings, result.

    run_set.py OUT.json STL_DIR MESH_DIR
"""

import io
import json
import os
import sys
import time

import trimesh

from second_road import complete, compute

SLOW = {
    "d": 0.4, "h": 0.24, "w": 0.48, "perimeters": 3,
    "speed": dict.fromkeys(("outer", "inner", "fill", "open", "sliver", "support"), 27.5) | {"travel": 150.0},
    "first_layer_speed": 20.0, "acceleration": 500.0, "corner_deviation": 0.02,
    "melt_limit_mm3_s": None, "least_layer_s": 0.0, "retraction_s": 0.5, "layer_change_s": 1.0, "start_s": 300.0,
}
FAST = SLOW | {
    "d": 0.6, "h": 0.36, "w": 0.72, "perimeters": 2,
    "speed": {"outer": 120.0, "inner": 180.0, "fill": 200.0, "open": 200.0, "sliver": 120.0, "support": 200.0, "travel": 300.0},
    "first_layer_speed": 40.0, "acceleration": 8000.0, "melt_limit_mm3_s": 19.0, "melt_margin": 0.2, "least_layer_s": 8.0,
}
SETTINGS = {"A": SLOW, "B": FAST, "C": SLOW | {"fill": 0.3}}

MADE = ("cube20.stl", "plate_two_holes.stl", "ring_2.2.stl", "sphere_r15.stl", "camera_bracket_mended.stl")
MESHES = (
    "odri__ti_stack_spacer.STL", "koch__LeRobot_Block.STL",
    "soarm__Raised_Base_Extension.stl", "poseidon__Pump Syringe Brace v51.stl", "colosseum__colosseum_arm.stl",
)
SUPPORTED = ("sphere_r15.stl", "camera_bracket_mended.stl")


def make_parts(folder, sphere_subdivisions=5):
    """Writes the made parts as binary STL where they are not there yet."""
    os.makedirs(folder, exist_ok=True)
    plate = trimesh.creation.box(extents=(60, 40, 10))
    holes = [trimesh.creation.cylinder(radius=r, height=20, sections=64, transform=trimesh.transformations.translation_matrix((x, y, 0)))
             for r, x, y in ((4, -15, 5), (2.5, 18, -8))]
    parts = {
        "cube20.stl": trimesh.creation.box(extents=(20, 20, 20)),
        "plate_two_holes.stl": trimesh.boolean.difference([plate, *holes], engine="manifold"),
        "ring_2.2.stl": trimesh.creation.annulus(r_min=12.8, r_max=15, height=8, sections=96),
        "sphere_r15.stl": trimesh.creation.icosphere(subdivisions=sphere_subdivisions, radius=15),
    }
    for name, mesh in parts.items():
        file = os.path.join(folder, name)
        if not os.path.exists(file):
            mesh.export(file)


def mend_bracket(source, target):
    """Writes the bracket so that it can be read: its header has lost two bytes."""
    with open(source, "rb") as file:
        data = file.read()
    count = int.from_bytes(data[78:82], "little")
    if len(data) != 82 + 50 * count:
        raise ValueError(f"{source}: {len(data)} bytes; expected a header of 78 bytes, a count and {count} triangles of 50 bytes")
    mesh = trimesh.load(io.BytesIO(data[:78] + bytes(2) + data[78:]), file_type="stl")
    mesh.export(target)


def runs(stl_dir, mesh_dir):
    for folder, files in ((stl_dir, MADE), (mesh_dir, MESHES)):
        for file in files:
            for name, settings in SETTINGS.items():
                yield os.path.join(folder, file), name, settings
                if file in SUPPORTED:
                    yield os.path.join(folder, file), name + "+support", settings | {"support": True}
                    yield os.path.join(folder, file), name + "+support(whole piece)", settings | {"support": True, "step_reading": "piece"}


def main():
    out, stl_dir, mesh_dir = sys.argv[1:4]
    make_parts(stl_dir)
    mend_bracket(os.path.join(mesh_dir, "clearpath__camera_bracket.stl"), os.path.join(stl_dir, "camera_bracket_mended.stl"))
    done = set()
    if os.path.exists(out):
        with open(out) as file:
            done = {(row["file"], row["settings_name"]) for row in map(json.loads, file)}
    for path, name, settings in runs(stl_dir, mesh_dir):
        if (os.path.basename(path), name) in done:
            continue
        begun = time.time()
        result = compute(path, settings)
        full, _ = complete(settings)
        with open(out, "a") as file:
            row = {"file": os.path.basename(path), "settings_name": name, "settings": full, "result": result}
            file.write(json.dumps(row) + "\n")
        print(f"{time.time() - begun:6.1f} s  {os.path.basename(path)} {name}: {result['layers']} layers, {result['seconds']:.0f} s", file=sys.stderr)


if __name__ == "__main__":
    main()
