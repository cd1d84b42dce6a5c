"""Writes footprints.json: what shapely says of the shadows of parts along their three axes.

    python3 tests/reference/footprints.py [--meshes DIR]

The demonstration parts in models/ and the STL meshes of the shared folder with at most 20 000 facets are read by trimesh. Every
facet is projected and all are united by GEOS (grid 1e-6 of the part's size): area and outline of the union, area of its convex
hull, and the radius of the smallest circle around it. The axes that lie in the plane are y and z, x and z, x and y.
"""
import argparse
import json
from pathlib import Path

import numpy as np
import shapely
import trimesh

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
MOST_FACETS = 20_000


def shadow(mesh, axis, size):
    plan = np.delete(mesh.triangles - mesh.bounds[0], axis, axis=2)
    cross = np.cross(plan[:, 1] - plan[:, 0], plan[:, 2] - plan[:, 0])
    plan = plan[np.abs(cross) > 1e-12 * size * size]
    return shapely.union_all(shapely.polygons(plan), grid_size=1e-6 * size)


def derive(path):
    mesh = trimesh.load(path, force="mesh")
    if len(mesh.faces) > MOST_FACETS:
        return None
    size = float(np.linalg.norm(mesh.extents))
    said = []
    for axis in range(3):
        union = shadow(mesh, axis, size)
        said.append({
            "area_mm2": union.area,
            "hull_mm2": union.convex_hull.area,
            "around_mm": shapely.minimum_bounding_radius(union),
        })
    return said


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--meshes", type=Path, default=ROOT.parent / "shared" / "meshes")
    meshes = parser.parse_args().meshes
    files = [*sorted((ROOT / "models").glob("*.stl")), *sorted(meshes.glob("*.[sS][tT][lL]"))]
    said = {}
    for path in files:
        try:
            answer = derive(path)
        except Exception as why:
            print(f"{path.name}: not derived: {why}")
            continue
        if answer:
            said[path.name] = answer
    text = json.dumps({"about": __doc__, "parts": said}, indent=1)
    (HERE / "footprints.json").write_text(text + "\n")


main()
