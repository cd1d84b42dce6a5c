"""Writes resting.json: what scipy and trimesh say of the convex hulls of parts and of the poses in which they stand.

    python3 tests/reference/resting.py [--meshes DIR]

The demonstration parts in models/ and the closed STL meshes of the shared folder are read by trimesh; Qhull (scipy) gives the
hull, its volume, area and the planes of its faces; the centroid is trimesh's. A face is a group of Qhull's triangles with
normals within 1e-6 and offsets within 1e-6 of the part's size. For each face that holds the point under the centroid:
the direction down, the area of the convex hull of all vertices within 1e-6 of the size of its plane (shapely), and the
distance from that point to the nearest edge. Faces with less than a thousandth of the part's size to that edge are marked
"close": which side they fall on is rounding. `trimesh_rests` counts trimesh.poses.compute_stable_poses without noise.
"""
import argparse
import json
from pathlib import Path

import numpy as np
import trimesh
from scipy.spatial import ConvexHull
from shapely.geometry import MultiPoint, Point

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent


def level_axes(down):
    helper = np.eye(3)[np.argmin(np.abs(down))]
    first = np.cross(down, helper)
    first /= np.linalg.norm(first)
    return np.array([first, np.cross(down, first)])


def faces(hull, size):
    """The planes of the hull, each once, those of larger triangles first."""
    corners = hull.points[hull.simplices]
    areas = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    found = []
    for i in np.argsort(-areas, kind="stable"):
        normal, offset = hull.equations[i, :3], -hull.equations[i, 3]
        reach = corners[i] @ normal
        on_known = any(np.all(corners[i] @ n >= o - 1e-6 * size) for n, o in found)
        if not on_known and areas[i] > 0:
            found.append((normal, max(offset, reach.max())))
    return found


def rests(vertices, hull, centroid, size):
    answer = []
    for normal, _ in faces(hull, size):
        reach = vertices @ normal
        touching = vertices[reach >= reach.max() - 1e-6 * size]
        axes = level_axes(normal)
        ring = MultiPoint(touching @ axes.T).convex_hull
        under = Point(axes @ centroid)
        if ring.geom_type != "Polygon":
            continue
        edge = ring.exterior.distance(under)
        inside = ring.contains(under)
        if inside or edge < 1e-3 * size:
            answer.append({
                "down": normal.tolist(),
                "contact_mm2": ring.area,
                "to_edge_mm": edge if inside else -edge,
                "centroid_height_mm": float(reach.max() - normal @ centroid),
                "close": bool(edge < 1e-3 * size),
            })
    return answer


def derive(path):
    mesh = trimesh.load(path, force="mesh")
    if not mesh.is_volume or len(mesh.faces) > 100_000:
        return None
    low = mesh.bounds[0]
    vertices = np.asarray(mesh.vertices) - low
    size = float(np.linalg.norm(mesh.extents))
    hull = ConvexHull(vertices[np.unique(mesh.faces)])
    said = {
        "hull_volume_mm3": hull.volume,
        "hull_area_mm2": hull.area,
        "centroid_mm": mesh.center_mass.tolist(),
        "size_mm": size,
        "hull_corners": len(hull.vertices),
        "rests": rests(vertices, hull, mesh.center_mass - low, size),
    }
    if len(hull.vertices) <= 500:
        poses, _ = trimesh.poses.compute_stable_poses(mesh, sigma=0.0, n_samples=1, threshold=0.0)
        said["trimesh_rests"] = len(poses)
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
        if answer and len(answer["rests"]) <= 200:
            said[path.name] = answer
            print(path.name, len(answer["rests"]), answer.get("trimesh_rests"))
    text = json.dumps({"about": __doc__, "parts": said}, indent=1)
    (HERE / "resting.json").write_text(text + "\n")


main()
