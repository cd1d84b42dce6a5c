"""Level sections of closed meshes, and what is left of them after insets.

Takes vertices, faces and a height; gives a shapely geometry under the non-zero rule, its inset areas and outlines.
Every area is had in two unrelated ways: shapely (GEOS) gives the value, manifold3d's cross sections a second one.
"""

import math

import manifold3d
import numpy as np
import shapely

INSETS_MM = (0.24, 0.6, 1.5)
OPENING_MM = 1.0
MITRE_LIMIT = 2.0
# The tolerance to which the project thins contours; perimeters of almost vanished pieces hang on it.
THINNING_MM = 0.01
# How far both ways of taking the non-zero union may be apart, relative.
UNION_TOLERANCE = 1e-6


def measure_section(mesh, z):
    """Area, outline and insets of the section at height z, as the dictionary that goes into values.json."""
    rings = section_rings(mesh, z)
    region = nonzero_union(rings)
    other = manifold3d.CrossSection(rings, manifold3d.FillRule.NonZero)
    if not math.isclose(region.area, other.area(), rel_tol=UNION_TOLERANCE, abs_tol=1e-6):
        raise ValueError(f"section at {z} mm: {region.area} mm2 by shapely, {other.area()} by manifold3d")
    pieces = [part for part in shapely.get_parts(region) if part.area > 0.0]
    return {
        "z_mm": z,
        "area_mm2": region.area,
        "perimeter_mm": region.length,
        "pieces": len(pieces),
        "holes": sum(len(piece.interiors) for piece in pieces),
        "notches": sum(notches(piece) for piece in pieces),
        "insets": [measure_inset(region, other, by) for by in INSETS_MM],
        "opening": {
            "by_mm": OPENING_MM,
            "area_mm2": mitred(mitred(region, -OPENING_MM), OPENING_MM).area,
            "other_area_mm2": other_mitred(other_mitred(other, -OPENING_MM), OPENING_MM).area(),
        },
    }


def measure_inset(region, other, by):
    """Area and outline of a region moved in by `by` mm."""
    inset = mitred(region, -by)
    near = [mitred(region, -(by + step)).length for step in (-THINNING_MM, THINNING_MM)] + [inset.length]
    other_inset = other_mitred(other, -by)
    return {
        "by_mm": by,
        "area_mm2": inset.area,
        "perimeter_mm": inset.length,
        "perimeter_range_mm": [min(near), max(near)],
        "other_area_mm2": other_inset.area(),
        "other_perimeter_mm": float(sum(ring_length(ring) for ring in other_inset.to_polygons())),
    }


def section_rings(mesh, z):
    """Closed rings of the section, material on the left, joined through the mesh's own edges.

    No vertex may lie at z. Every edge of a closed mesh that crosses z is entered by one facet and left by the other, so
    following facets from edge to edge gives closed rings.
    """
    vertices, faces = mesh.vertices, mesh.faces
    above = vertices[:, 2] > z
    count = above[faces].sum(axis=1)
    leads_to = {}
    for face in faces[(count > 0) & (count < 3)]:
        for i in range(3):
            a, b = int(face[i]), int(face[(i + 1) % 3])
            if above[a] and not above[b]:
                start = (min(a, b), max(a, b))
            elif above[b] and not above[a]:
                end = (min(a, b), max(a, b))
        if start in leads_to:
            raise ValueError(f"section at {z} mm: an edge is shared by more than two facets")
        leads_to[start] = end
    rings = []
    while leads_to:
        first, following = leads_to.popitem()
        ring = [first]
        while following != first:
            ring.append(following)
            following = leads_to.pop(following)
        rings.append(np.array([crossing(vertices, edge, z) for edge in ring]))
    return rings


def crossing(vertices, edge, z):
    """Where an edge crosses height z; reckoned from its lower-numbered vertex, so both facets get the same point."""
    a, b = vertices[edge[0]], vertices[edge[1]]
    return a[:2] + (b[:2] - a[:2]) * (z - a[2]) / (b[2] - a[2])


def nonzero_union(rings):
    """The region whose winding number is not zero: the rings are split where they cross, the faces between them are
    built, and each face is kept by the winding number of a point inside it."""
    lines = shapely.union_all([shapely.LinearRing(ring) for ring in rings])
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(lines)))
    kept = [face for face in faces if winding_number(face.representative_point(), rings) != 0]
    return shapely.union_all(kept)


def winding_number(point, rings):
    """How often the rings turn about a point, by signed crossings of the ray to +x."""
    number = 0
    for ring in rings:
        following = np.roll(ring, -1, axis=0)
        up = (ring[:, 1] <= point.y) & (following[:, 1] > point.y)
        down = (ring[:, 1] > point.y) & (following[:, 1] <= point.y)
        side = (following[:, 0] - ring[:, 0]) * (point.y - ring[:, 1]) - (point.x - ring[:, 0]) * (
            following[:, 1] - ring[:, 1]
        )
        number += int(np.count_nonzero(up & (side > 0))) - int(np.count_nonzero(down & (side < 0)))
    return number


def notches(piece):
    """How many corners point so sharply into the material that an inset's mitre would pass the limit there.

    A mitre reaches 1 / cos(half the turn) offsets far, so limit 2 is passed where the outline turns by over 120 degrees
    away from the material.
    """
    count = 0
    oriented = shapely.geometry.polygon.orient(piece)
    for ring in (oriented.exterior, *oriented.interiors):
        points = np.array(ring.coords)[:-1]
        steps = np.roll(points, -1, axis=0) - points
        before = steps / np.linalg.norm(steps, axis=1)[:, None]
        after = np.roll(before, -1, axis=0)
        turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
        along = (before * after).sum(axis=1)
        count += int(np.count_nonzero((turn < 0.0) & (along < 2.0 / MITRE_LIMIT**2 - 1.0)))
    return count


def mitred(region, by):
    """Polygon offset with mitred corners by shapely."""
    return region.buffer(by, join_style="mitre", mitre_limit=MITRE_LIMIT)


def other_mitred(cross_section, by):
    """Polygon offset with mitred corners by manifold3d."""
    return cross_section.offset(by, manifold3d.JoinType.Miter, MITRE_LIMIT)


def ring_length(ring):
    """Length of a closed ring, mm."""
    return float(np.hypot(*(np.roll(ring, -1, axis=0) - ring).T).sum())
