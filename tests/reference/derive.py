#!/usr/bin/env python3
"""Derives the reference figures of values.json with general-purpose geometry libraries, or checks them again.

derive.py [--meshes DIR]              derives everything anew and writes values.json
derive.py --check [N] [--meshes DIR]  derives the first N parts again (default 3, the demonstration parts first) and
                                      compares; exit 1 where a figure differs or a demonstration part is missing
"""

import argparse
import hashlib
import importlib.metadata
import json
import math
import pathlib
import sys

import numpy as np

import sections
import solids

HERE = pathlib.Path(__file__).resolve().parent
REPOSITORY = HERE.parent.parent
VALUES = HERE / "values.json"
MODELS = REPOSITORY / "models"

# Closed meshes of other people, in millimetres: small and large, flat-sided and curved, binary and text, names with
# spaces, one with eighteen cavities. None of them is part of this repository.
MESHES = (
    "colosseum__colosseum_arm.stl",
    "colosseum__colosseum_base.stl",
    "gello__GELLO Base.stl",
    "gello__baseRollExtender.stl",
    "koch__Follower_Base.STL",
    "lekiwi__cable_holder v0.stl",
    "lekiwi__usb_connector_case v1.stl",
    "numpystl__rear_case.stl",
    "odri__carriage.STL",
    "odri__electronics_box_base.STL",
    "poseidon__Pump Base v51.stl",
    "poseidon__Scope Base v33.stl",
    "soarm__Springy_Trigger.STL",
    "soarm__Upper_arm_SO101.stl",
    "soarm__mount_helper v2.stl",
    "tb3__lds.stl",
    "vtkdata__Vase.stl",
)
FRACTIONS = (0.1, 0.3, 0.5, 0.7, 0.9)
# A section keeps this far from every vertex, and steps up by this much until it does, mm.
CLEARANCE_MM = 0.001
STEP_MM = 0.0013
DIGITS = 9
# --check: a figure differs where it is further off than both of these.
RELATIVE_TOLERANCE = 1e-6
ABSOLUTE_TOLERANCE = 1e-4

NOTES = [
    "Meshes under meshes/ are other people's and not part of this repository; only figures of them are kept here.",
    "STL coordinates are taken in single precision and rounded to 1e-8 mm; corners are merged where they are then "
    "equal, facets that then have two equal corners are dropped.",
    "bodies: facets that share an edge are of one body. Inside-out bodies are kept only where they are cavities.",
    "z_mm is where the section was cut exactly: the fraction of the height, rounded to 0.0001 mm and moved up by "
    f"{STEP_MM} mm as often as needed to be over {CLEARANCE_MM} mm away from every vertex.",
    "A section is the region of non-zero winding number, by shapely's polygonize and signed crossings; manifold3d's "
    "non-zero cross section agrees to 1e-6 or the script stops.",
    "insets: polygon offset inward, mitred corners, limit 2, by shapely; the perimeter counts outer and inner "
    "outlines. perimeter_range_mm is the least and greatest of the insets 0.01 mm less, exact, and 0.01 mm more.",
    "notches: corners of the section where an inset's mitre passes the limit. The tools cut those differently; in "
    "sections without any their inset areas agree to 0.1 %.",
    "opening: inset by by_mm, then grown by as much, both mitred with limit 2. Ill-conditioned where the material is "
    "about 2 mm wide, and with mitred corners it can reach beyond the section.",
    "Keys that begin with other_ are the same figure by manifold3d. Shapely thins its input by up to a hundredth of "
    "the offset, manifold3d does not.",
]


def main():
    """Runs what the command line asks for and gives the exit code."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--check", nargs="?", type=int, const=3, metavar="N", help="derive N parts again and compare")
    parser.add_argument(
        "--meshes",
        type=pathlib.Path,
        default=REPOSITORY.parent / "shared" / "meshes",
        help="folder of the shared meshes (default: ../shared/meshes beside the checkout)",
    )
    arguments = parser.parse_args()
    if arguments.check is None:
        return write_values(arguments.meshes)
    if arguments.check < 1:
        parser.error("--check takes a number of parts, 1 or more")
    return check_values(arguments.check, arguments.meshes)


def write_values(meshes):
    """Derives every part and writes values.json."""
    parts = {}
    for name, path in sources(meshes):
        if not path.is_file():
            print(f"{name}: not found at {path}; values.json is left as it was", file=sys.stderr)
            return 2
        try:
            parts[name] = derive(name, path)
        except ValueError as error:
            print(f"{error}; values.json is left as it was", file=sys.stderr)
            return 2
        print(f"derived  {name}", flush=True)
    values = {"format": 1, "about": {"notes": NOTES, "tools": tools()}, "parts": parts}
    text = json.dumps(rounded(values), indent=1, sort_keys=True, ensure_ascii=False)
    VALUES.write_text(text + "\n", encoding="utf-8")
    return 0


def check_values(count, meshes):
    """Derives the first parts again and prints one line for each."""
    if not VALUES.is_file():
        print(f"{VALUES} is missing; derive.py without --check writes it", file=sys.stderr)
        return 2
    known = json.loads(VALUES.read_text(encoding="utf-8"))["parts"]
    failed = False
    for name, path in sources(meshes)[:count]:
        line, good = check_part(name, path, known.get(name))
        print(line, flush=True)
        failed = failed or not good
    return 1 if failed else 0


def check_part(name, path, known):
    """The line to print for one part, and whether it may pass."""
    if known is None:
        return f"DIFFERS  {name}: values.json does not have it; run derive.py", False
    if not path.is_file():
        if name.startswith("meshes/"):
            return f"absent   {name}: not in this checkout, not checked", True
        return f"DIFFERS  {name}: not found at {path}", False
    if sha256(path) != known["sha256"]:
        return f"DIFFERS  {name}: the file is not the one that was measured; run derive.py", False
    faults, figures = [], 0
    try:
        fresh_values = rounded(derive(name, path))
    except ValueError as error:
        return f"DIFFERS  {name}: {error}", False
    for key, fresh, kept in pairs(fresh_values, known, ""):
        figures += 1
        if not agree(fresh, kept):
            faults.append(f"{key} is {fresh}, values.json says {kept}")
    if faults:
        return f"DIFFERS  {name}: {len(faults)} of {figures} figures, first: {faults[0]}", False
    return f"same     {name}: {figures} figures", True


def sources(meshes):
    """Name and path of every part, the demonstration parts first."""
    own = [(f"models/{path.name}", path) for path in sorted(MODELS.glob("*.stl"))]
    return own + [(f"meshes/{name}", meshes / name) for name in MESHES]


def derive(name, path):
    """Every figure of one part."""
    mesh = solids.read(path)
    solids.refuse_unless_trustworthy(mesh, name)
    values = solids.measure_solid(mesh)
    values["sha256"] = sha256(path)
    values["sections"] = []
    for fraction in FRACTIONS:
        section = sections.measure_section(mesh, clear_height(mesh, fraction))
        values["sections"].append({"fraction": fraction, **section})
    return values


def clear_height(mesh, fraction):
    """A height near the fraction of the part's height that no vertex comes near."""
    heights = mesh.vertices[:, 2]
    z = round(float(heights.min() + fraction * np.ptp(heights)), 4)
    while np.abs(heights - z).min() <= CLEARANCE_MM:
        z = round(z + STEP_MM, 4)
    return z


def pairs(fresh, kept, key):
    """Every leaf of both trees side by side; a leaf that one of them lacks is paired with None."""
    if isinstance(fresh, dict) and isinstance(kept, dict):
        for name in sorted(fresh.keys() | kept.keys()):
            yield from pairs(fresh.get(name), kept.get(name), f"{key}.{name}" if key else name)
    elif isinstance(fresh, list) and isinstance(kept, list) and len(fresh) == len(kept):
        for index, (left, right) in enumerate(zip(fresh, kept)):
            yield from pairs(left, right, f"{key}[{index}]")
    else:
        yield key, fresh, kept


def agree(fresh, kept):
    """Whether two leaves are the same within the tolerances."""
    numbers = all(isinstance(v, (int, float)) and not isinstance(v, bool) for v in (fresh, kept))
    if numbers and not (isinstance(fresh, int) and isinstance(kept, int)):
        return math.isclose(fresh, kept, rel_tol=RELATIVE_TOLERANCE, abs_tol=ABSOLUTE_TOLERANCE)
    return fresh == kept


def rounded(value):
    """The value with every float at nine significant digits."""
    if isinstance(value, dict):
        return {key: rounded(inner) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [rounded(inner) for inner in value]
    if isinstance(value, (float, np.floating)):
        return float(f"{float(value):.{DIGITS}g}") + 0.0
    return value


def tools():
    """Names and versions of the libraries the figures came from."""
    return {name: importlib.metadata.version(name) for name in ("trimesh", "shapely", "manifold3d", "numpy", "scipy")}


def sha256(path):
    """Digest of a file's bytes, in hexadecimal."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


if __name__ == "__main__":
    sys.exit(main())
