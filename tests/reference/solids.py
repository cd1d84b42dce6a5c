"""Reads a closed STL file and measures it as a solid.

Takes a path; gives a trimesh mesh with merged vertices, and the figures that need no section.
"""

import manifold3d
import numpy as np
import scipy.sparse
import trimesh

# Corners are the same where they agree to this many decimals of a millimetre.
MERGE_DECIMALS = 8


def read(path):
    """The mesh of an STL file, binary or text.

    Coordinates are taken in single precision, as the binary format holds them, then rounded to 1e-8 mm: some writers
    leave 4e-15 at one corner where they leave 0 at its neighbour. Corners are merged where all three rounded
    coordinates are equal, nothing else is moved; facets that then have two equal corners are dropped.
    """
    with open(path, "rb") as file:
        loaded = trimesh.load_mesh(file, file_type="stl", process=False)
    corners = np.asarray(loaded.vertices, dtype=np.float32)[loaded.faces].reshape(-1, 3).astype(np.float64)
    vertices, index = np.unique(corners.round(MERGE_DECIMALS) + 0.0, axis=0, return_inverse=True)
    faces = index.reshape(-1, 3)
    distinct = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])
    return trimesh.Trimesh(vertices, faces[distinct], process=False)


def refuse_unless_trustworthy(mesh, name):
    """Only closed, consistently turned meshes whose inside-out bodies are cavities have figures worth keeping."""
    if not (mesh.is_watertight and mesh.is_winding_consistent):
        raise ValueError(f"{name} is not a closed, consistently turned mesh; choose another")
    bodies = [mesh.submesh([np.flatnonzero(label)], append=True) for label in body_masks(mesh)]
    outward = [body for body in bodies if body.volume > 0.0]
    for body in bodies:
        if body.volume <= 0.0 and not any(encloses(outer, body.vertices[0]) for outer in outward):
            raise ValueError(f"{name} has an inside-out body that is not a cavity; choose another")


def measure_solid(mesh):
    """Volume, area, box, centroid and bodies, as the dictionary that goes into values.json."""
    low, high = mesh.bounds
    return {
        "triangles": len(mesh.faces),
        "vertices": len(mesh.vertices),
        "volume_mm3": mesh.volume,
        "other_volume_mm3": manifold_volume(mesh),
        "area_mm2": mesh.area,
        "box_mm": {"min": low.tolist(), "max": high.tolist(), "size": (high - low).tolist()},
        "centroid_mm": mesh.center_mass.tolist(),
        "bodies": len(body_masks(mesh)),
        "watertight": bool(mesh.is_watertight),
    }


def manifold_volume(mesh):
    """The volume by manifold3d, or None where it does not take the mesh."""
    solid = manifold3d.Manifold(
        manifold3d.Mesh64(np.asarray(mesh.vertices), np.asarray(mesh.faces, dtype=np.uint64))
    )
    return solid.volume() if solid.status() == manifold3d.Error.NoError else None


def body_masks(mesh):
    """One mask of facets per body; facets that share an edge are of one body."""
    edges = np.sort(mesh.edges, axis=1)
    _, edge = np.unique(edges, axis=0, return_inverse=True)
    facet = np.repeat(np.arange(len(mesh.faces)), 3)
    size = len(mesh.faces) + edge.max() + 1
    links = scipy.sparse.coo_matrix((np.ones(len(edge)), (facet, len(mesh.faces) + edge)), shape=(size, size))
    _, label = scipy.sparse.csgraph.connected_components(links, directed=False)
    label = label[: len(mesh.faces)]
    return [label == value for value in np.unique(label)]


def encloses(body, point):
    """Whether a point lies inside a body: the solid angles of its facets add up to a full sphere (Van Oosterom and
    Strackee 1983, from memory)."""
    a, b, c = (body.triangles - point).transpose(1, 0, 2)
    la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
    above = np.einsum("ij,ij->i", a, np.cross(b, c))
    below = (
        la * lb * lc
        + np.einsum("ij,ij->i", a, b) * lc
        + np.einsum("ij,ij->i", b, c) * la
        + np.einsum("ij,ij->i", c, a) * lb
    )
    return abs(2.0 * np.arctan2(above, below).sum()) > 2.0 * np.pi
