"""Takes an STL file, gives one polygon set per layer (design, section 4: *Layers*, *Section*).

All lengths in mm. The part is moved so that the lower corner of its box is at 0, 0, 0; it is not turned.
"""

import math
from collections import defaultdict

import numpy as np
import shapely
import trimesh
from shapely.geometry import LineString, MultiPolygon, Polygon

THINNING_MM = 0.01
THINNING_AREA_SHARE = 0.001


def load_part(path):
    """The mesh of an STL file: vertices shared, neighbours agreeing, bodies turned outward, corner at 0, 0, 0."""
    raw = trimesh.load(path, process=False, force="mesh")
    corners = np.asarray(raw.vertices, dtype=float)[np.asarray(raw.faces)].reshape(-1, 3)
    vertices, index = np.unique(corners, axis=0, return_inverse=True)
    faces = index.reshape(-1, 3)
    distinct = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])
    mesh = trimesh.Trimesh(vertices - vertices.min(axis=0), faces[distinct], process=False)
    if not mesh.is_winding_consistent:
        trimesh.repair.fix_winding(mesh)
    return turn_bodies_outward(mesh)


def turn_bodies_outward(mesh):
    """Turns each outermost body of negative volume, together with what lies inside it."""
    labels = trimesh.graph.connected_component_labels(mesh.face_adjacency, node_count=len(mesh.faces))
    count = labels.max() + 1
    triangles = mesh.triangles
    signed = np.einsum("ij,ij->i", triangles[:, 0], np.cross(triangles[:, 1], triangles[:, 2])) / 6.0
    volumes = np.bincount(labels, signed, count)
    if (volumes >= 0).all():
        return mesh
    boxes = [(t.min(axis=0), t.max(axis=0)) for t in (triangles[labels == b].reshape(-1, 3) for b in range(count))]

    def inside(inner, outer):
        if (boxes[inner][0] < boxes[outer][0]).any() or (boxes[inner][1] > boxes[outer][1]).any():
            return False
        point = triangles[labels == inner][0].mean(axis=0)
        return abs(winding_number_3d(point, triangles[labels == outer])) > 0.5

    holders = [[o for o in range(count) if o != b and inside(b, o)] for b in range(count)]
    outermost = [b for b in range(count) if not holders[b]]
    turned = {b for b in outermost if volumes[b] < 0}
    turned |= {b for b in range(count) if any(o in turned for o in holders[b])}
    faces = mesh.faces.copy()
    flip = np.isin(labels, list(turned))
    faces[flip] = faces[flip][:, ::-1]
    return trimesh.Trimesh(mesh.vertices, faces, process=False)


def winding_number_3d(point, triangles):
    """How often the surface goes round the point: sum of solid angles (Van Oosterom & Strackee) over 4 pi."""
    a, b, c = (triangles[:, i] - point for i in range(3))
    la, lb, lc = (np.linalg.norm(x, axis=1) for x in (a, b, c))
    top = np.einsum("ij,ij->i", a, np.cross(b, c))
    low = la * lb * lc + np.einsum("ij,ij->i", a, b) * lc + np.einsum("ij,ij->i", b, c) * la
    low += np.einsum("ij,ij->i", c, a) * lb
    return np.arctan2(top, low).sum() / (2 * math.pi)


def cut_heights(height_mm, layer_mm):
    """Mid-heights of the layers. The first layer is as high as the others."""
    count = max(1, 1 + math.floor((height_mm - layer_mm) / layer_mm + 0.5 - 1e-6))
    if height_mm < layer_mm / 2:
        return [height_mm / 2]
    return [(k + 0.5) * layer_mm for k in range(count)]


def cut_part(mesh, heights):
    """(thinned sections, findings): one shapely MultiPolygon per height."""
    vertices, faces = np.asarray(mesh.vertices), np.asarray(mesh.faces)
    lowest, highest = vertices[faces][:, :, 2].min(axis=1), vertices[faces][:, :, 2].max(axis=1)
    sections, open_chains = [], 0
    for z in heights:
        touched = faces[(lowest < z) & (highest >= z)]
        loops, loose = close_loops(vertices, touched, z)
        open_chains += loose
        sections.append(thin_section(union_non_zero(loops)))
    return sections, {"open_chains": open_chains}


def close_loops(vertices, faces, z):
    """Closed loops with the solid on their left, and how many chains had to be closed over a gap."""
    above = vertices[:, 2] >= z
    following, points = defaultdict(list), {}

    def crossing(u, v):
        key = (u, v) if u < v else (v, u)
        if key not in points:
            p, q = vertices[key[0]], vertices[key[1]]
            t = (z - p[2]) / (q[2] - p[2])
            points[key] = (p[:2] + t * (q[:2] - p[:2])).tolist()
        return key

    for face in faces.tolist():
        rising = falling = None
        for u, v in ((face[0], face[1]), (face[1], face[2]), (face[2], face[0])):
            if above[u] != above[v]:
                if above[v]:
                    rising = crossing(u, v)
                else:
                    falling = crossing(u, v)
        if rising is not None:
            following[falling].append(rising)

    chains = []
    arriving = defaultdict(int)
    for ends in following.values():
        for end in ends:
            arriving[end] += 1
    heads = [k for k in following for _ in range(max(0, len(following[k]) - arriving[k]))]
    for head in heads + list(following):
        while following[head]:
            chain = [head]
            while following[chain[-1]]:
                chain.append(following[chain[-1]].pop())
                if chain[-1] == head and head not in heads:
                    break
            chains.append(chain)
    closed = [[points[k] for k in c[:-1]] for c in chains if c[0] == c[-1]]
    loose = [[points[k] for k in c] for c in chains if c[0] != c[-1]]
    return closed + close_over_gaps(loose), len(loose)


def close_over_gaps(chains):
    """Joins each open chain's end to the nearest loose start, its own included."""
    loops = []
    chains = list(chains)
    while chains:
        chain = chains.pop()
        while True:
            starts = [chain[0]] + [c[0] for c in chains]
            gaps = [math.dist(chain[-1], s) for s in starts]
            best = int(np.argmin(gaps))
            if best == 0:
                break
            chain = chain + chains.pop(best - 1)
        loops.append(chain)
    return loops


def union_non_zero(loops):
    """The union of oriented loops under the non-zero rule."""
    loops = [np.asarray(l) for l in loops if len(l) >= 3]
    if not loops:
        return MultiPolygon()
    lines = shapely.union_all([LineString(np.vstack([l, l[:1]])) for l in loops])
    cells = list(shapely.get_parts(shapely.polygonize([lines])))
    start = np.vstack(loops)
    end = np.vstack([np.roll(l, -1, axis=0) for l in loops])
    kept = []
    for cell in cells:
        x, y = cell.representative_point().coords[0]
        side = (end[:, 0] - start[:, 0]) * (y - start[:, 1]) - (x - start[:, 0]) * (end[:, 1] - start[:, 1])
        up = (start[:, 1] <= y) & (end[:, 1] > y) & (side > 0)
        down = (start[:, 1] > y) & (end[:, 1] <= y) & (side < 0)
        if up.sum() != down.sum():
            kept.append(cell)
    return as_multi(shapely.union_all(kept)) if kept else MultiPolygon()


def thin_section(section):
    """Thinned to 0.01 mm, halved until the area changes by less than 0.1 %."""
    return as_multi(thin(section))


def thin(shape):
    """The polygon thinned to 0.01 mm, the tolerance halved until its area changes by less than 0.1 %."""
    if shape.is_empty:
        return shape
    tolerance = THINNING_MM
    while tolerance > 1e-6:
        thinned = shapely.simplify(shape, tolerance, preserve_topology=True)
        if abs(thinned.area - shape.area) < THINNING_AREA_SHARE * shape.area:
            return thinned
        tolerance /= 2
    return shape


def as_multi(shape):
    """Only the areas of a shape, as a MultiPolygon."""
    return MultiPolygon(polygons(shape))


def polygons(shape):
    """The non-empty polygons a shape consists of."""
    if shape.is_empty:
        return []
    if isinstance(shape, Polygon):
        return [shape]
    return [p for g in shapely.get_parts(shape) for p in polygons(g)] if hasattr(shape, "geoms") else []
