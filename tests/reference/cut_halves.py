"""Volumes below planes through the demonstration parts, by trimesh, for tests/cut_room/halves.rs.

Run in the repository's root: python tests/reference/cut_halves.py > tests/reference/cut_halves.json
Needs requirements.txt (trimesh, numpy, scipy). The half is left open: summed about a point of the plane, the cap that is missing
would add nothing (divergence theorem).
"""

import json

import numpy as np
import trimesh

PARTS = ["cleat_block", "pump_mount", "rudder_cheek", "cowl_vent"]
# Shares of the part's length, off any face.
SHARES = [0.2137, 0.4871, 0.7913]


def main():
    said = {}
    for part in PARTS:
        mesh = trimesh.load(f"models/{part}.stl")
        low, high = mesh.bounds
        rows = []
        for axis in range(3):
            for share in SHARES:
                at = float(low[axis] + share * (high[axis] - low[axis]))
                origin, normal = np.zeros(3), np.zeros(3)
                origin[axis], normal[axis] = at, -1.0
                below = mesh.slice_plane(origin, normal, cap=False)
                apex = low.copy()
                apex[axis] = at
                volume = np.linalg.det(below.triangles - apex).sum() / 6.0
                rows.append({"axis": axis, "at_mm": at, "below_mm3": float(volume)})
        said[f"{part}.stl"] = rows
    print(json.dumps(said, indent=1))


main()
