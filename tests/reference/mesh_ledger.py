#!/usr/bin/env python3
"""Writes what trimesh and manifold3d say of every shared mesh into ledger.json.

mesh_ledger.py [--meshes DIR]   needs the libraries of requirements.txt, and lxml for 3MF

Numbers are in the files' own units. Corners are merged where their places are equal to 1e-8; parts of scenes are put together
with their transforms. Nothing here uses the project's code.
"""

import argparse
import hashlib
import json
import pathlib

import manifold3d
import numpy as np
import trimesh

HERE = pathlib.Path(__file__).resolve().parent
FORMATS = {".stl", ".obj", ".ply", ".off", ".amf", ".3mf"}


def by_place(mesh):
    """The mesh with corners merged by place alone, whatever colours or normals they carry."""
    places, where = np.unique(np.round(mesh.vertices, 8) + 0.0, axis=0, return_inverse=True)
    merged = trimesh.Trimesh(places, where.reshape(-1)[mesh.faces], process=False)
    merged.update_faces([len(set(face)) == 3 for face in merged.faces.tolist()])
    return merged


def manifold_volume(mesh):
    """Volume by manifold3d in double precision; None where it does not take the mesh."""
    solid = manifold3d.Manifold(manifold3d.Mesh64(vert_properties=np.asarray(mesh.vertices, dtype=np.float64), tri_verts=np.asarray(mesh.faces, dtype=np.uint64)))
    return solid.volume() if solid.status() == manifold3d.Error.NoError and not solid.is_empty() else None


def said_of(path):
    try:
        loaded = trimesh.load(path)
        mesh = loaded.to_mesh() if isinstance(loaded, trimesh.Scene) else loaded
        if not isinstance(mesh, trimesh.Trimesh) or len(mesh.faces) == 0:
            return {"read": False}
        mesh = by_place(mesh)
        if len(mesh.faces) == 0:
            return {"read": False}
    except BaseException:  # a reader that gives up in whatever way has not read
        return {"read": False}
    try:
        manifold = manifold_volume(mesh)
    except BaseException:
        manifold = None
    return {
        "read": True,
        "triangles": len(mesh.faces),
        "closed": bool(mesh.is_watertight),
        "consistent": bool(mesh.is_winding_consistent),
        "volume": float(mesh.volume),
        "area": float(mesh.area),
        "bodies": len(trimesh.graph.connected_components(mesh.face_adjacency, nodes=np.arange(len(mesh.faces)))),
        "manifold3d_volume": manifold,
    }


def main():
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--meshes", type=pathlib.Path, default=HERE.parent.parent.parent / "shared" / "meshes")
    folder = options.parse_args().meshes
    ledger = {}
    for path in sorted(folder.iterdir()):
        if path.suffix.lower() in FORMATS:
            digest = hashlib.sha256(path.read_bytes()).hexdigest()
            ledger[path.name] = {"sha256": digest, **said_of(path)}
    (HERE / "ledger.json").write_text(json.dumps(ledger, indent=1, sort_keys=True) + "\n")
    print(f"{len(ledger)} meshes")


if __name__ == "__main__":
    main()
