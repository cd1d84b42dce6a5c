#!/usr/bin/env python3
"""Writes results.json, which the test tests/second_road.rs holds the program against.

    python3 write_results.py            # all of it, some minutes
    python3 write_results.py cube20     # only runs whose name ("FILE x SCALE") holds this; the others stay as they are

The made parts are written to parts/ where they are missing; the demonstration parts are scaled by a power of two, which
single precision holds exactly, so both roads read the same numbers.
"""

import json
import os
import sys
import tempfile
import time

import trimesh

from run_set import SETTINGS, make_parts
from second_road import complete, compute

HERE = os.path.dirname(os.path.abspath(__file__))
PARTS = os.path.join(HERE, "parts")
RESULTS = os.path.join(HERE, "results.json")
# The program's own reading of the one sentence where roles hang on a choice (README, choice 14).
READING = {"narrow_sliver_role": "sliver"}
# File, scale, settings.
RUNS = (
    ("parts/cube20.stl", 1.0, ("A", "B", "C")),
    ("parts/plate_two_holes.stl", 1.0, ("A", "B", "C")),
    ("parts/ring_2.2.stl", 1.0, ("A", "B")),
    ("parts/sphere_r15.stl", 1.0, ("A", "B", "A+support")),
    ("models/cleat_block.stl", 0.5, ("A", "B")),
    ("models/pump_mount.stl", 0.5, ("A", "B", "C")),
    ("models/binnacle.stl", 0.5, ("A", "B")),
    ("models/binnacle.stl", 1.0, ("A", "B")),
)
KEPT = ("layers", "deposited_mm3", "support_mm3_by_length", "detail_lost_mm3", "bead_length_mm", "travel_mm", "seconds_by", "seconds")


def run(file, scale, name, folder):
    settings = SETTINGS[name.split("+")[0]] | READING | ({"support": True} if name.endswith("+support") else {})
    path = os.path.join(HERE, file) if file.startswith("parts/") else os.path.join(HERE, "..", "..", file)
    if scale != 1.0:
        mesh = trimesh.load(path, process=False)
        mesh.apply_scale(scale)
        path = os.path.join(folder, os.path.basename(file))
        mesh.export(path)
    result = compute(path, settings)
    full, _ = complete(settings)
    kept = {key: result[key] for key in KEPT}
    kept["section_area_mm2"] = [round(area, 4) for area in result["section_area_mm2"]]
    return {"file": file, "scale": scale, "settings_name": name, "settings": full, "result": rounded(kept)}


def rounded(value):
    if isinstance(value, float):
        return float(f"{value:.9g}")
    if isinstance(value, dict):
        return {key: rounded(each) for key, each in value.items()}
    return value


def main():
    only = sys.argv[1] if len(sys.argv) > 1 else ""
    make_parts(PARTS, sphere_subdivisions=3)
    rows = {}
    if os.path.exists(RESULTS):
        with open(RESULTS) as file:
            rows = {(row["file"], row["scale"], row["settings_name"]): row for row in json.load(file)["runs"]}
    for file, scale, names in RUNS:
        for name in names:
            if only not in f"{file} x {scale}":
                continue
            begun = time.time()
            with tempfile.TemporaryDirectory() as folder:
                rows[file, scale, name] = run(file, scale, name, folder)
            print(f"{time.time() - begun:6.1f} s  {file} {name}", file=sys.stderr)
            order = [(*part, name) for *part, names in RUNS for name in names]
            lines = ",\n".join("  " + json.dumps(rows[key]) for key in order if key in rows)
            head = '{"format": 1, "made_by": "python3 tests/second_road/write_results.py", "runs": [\n'
            with open(RESULTS, "w") as out:
                out.write(head + lines + "\n]}\n")


if __name__ == "__main__":
    main()
