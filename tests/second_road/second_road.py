#!/usr/bin/env python3
"""A second, independent computation of the base model (design, section 4) for cross-checks. Prints JSON.

    second_road.py PART.stl [--settings FILE.json] [--set KEY=VALUE]...
"""

import argparse
import json
import math
import multiprocessing
import sys

import numpy as np
from shapely.geometry import MultiPolygon

import beads
import motion
import sections as cutting

DEFAULTS = {
    "d": 0.4, "h": None, "w": None,  # mm; None: 0.6 d and 1.2 d
    "perimeters": None, "wall_mm": 1.4,  # perimeters None: from the wall
    "fill": 1.0, "floor_roof_mm": 1.2,
    "support": False, "overhang_deg": 45.0, "support_fraction": 0.2,
    "speed": dict.fromkeys((*motion.ROLES,), 27.5) | {"travel": 150.0},
    "first_layer_speed": 20.0, "acceleration": 500.0, "corner_deviation": 0.02,
    "melt_limit_mm3_s": None, "melt_margin": 0.2, "least_layer_s": 0.0,
    "retraction_s": 0.5, "layer_change_s": 1.0, "start_s": 300.0,
    "step_reading": "near",  # or "piece": see README
    "narrow_sliver_role": "fill",  # or "sliver"
    "sharing": "empty",  # or "unlayable"
}


def complete(settings):
    """The settings with every default filled in."""
    full = DEFAULTS | settings
    full["speed"] = DEFAULTS["speed"] | settings.get("speed", {})
    full["h"] = full["h"] or 0.6 * full["d"]
    full["w"] = full["w"] or 1.2 * full["d"]
    if full["w"] < full["h"]:
        raise ValueError(f"bead width {full['w']} mm is less than the layer height {full['h']} mm; it must be at least as much")
    bead = beads.Bead(full["d"], full["h"], full["w"])
    if full["perimeters"] is None:
        first = (bead.w + bead.s) / 2
        full["perimeters"] = max(1, 1 + round((full["wall_mm"] - first) / bead.s))
    return full, bead


_shared = {}


def lay_layer(layer):
    """(islands, support paths) of one layer; reads what `compute` shared before it started the workers."""
    sections, columns, bead, settings = (_shared[k] for k in ("sections", "columns", "bead", "settings"))
    cover = beads.cover_of(sections, layer, bead, settings)
    islands = [beads.lay_island(p, cover, bead, settings, layer) for p in sections[layer].geoms]
    support = beads.raster(columns[layer], columns[layer], bead.s / settings["support_fraction"], layer, bead, "support")
    return islands, support


def compute(path, settings, workers=2):
    """The whole base model for one part; see README for the keys of the answer."""
    settings, bead = complete(settings)
    mesh = cutting.load_part(path)
    heights = cutting.cut_heights(float(mesh.extents[2]), bead.h)
    sections, findings = cutting.cut_part(mesh, heights)
    columns = beads.support_regions(sections, bead, settings)
    _shared.update(sections=sections, columns=columns, bead=bead, settings=settings)
    layers = range(len(heights))
    if workers > 1:
        with multiprocessing.get_context("fork").Pool(workers) as pool:
            laid = pool.map(lay_layer, layers, chunksize=4)
    else:
        laid = [lay_layer(k) for k in layers]
    return add_up(mesh, sections, columns, laid, findings, bead, settings)


def add_up(mesh, sections, columns, laid, findings, bead, settings):
    nozzle = motion.Nozzle()
    seconds = dict.fromkeys((*motion.ROLES, "travel", "layer_change", "cooling", "start"), 0.0)
    lengths = dict.fromkeys((*motion.ROLES, "travel"), 0.0)
    share = {"motion": 0.0, "melt": 0.0, "cooling": 0.0}
    travels = retractions = stretched = solid_fill_layers = 0
    paths = dict.fromkeys(motion.ROLES, 0)
    part_area = lost_area = 0.0
    for layer, (islands, support) in enumerate(laid):
        nozzle.moves = []
        nozzle.lay_layer(support, islands)
        timed = motion.time_layer(nozzle.moves, layer == 0, settings)
        for role, value in timed["seconds"].items():
            seconds[role] += value
            lengths[role] += timed["length"][role]
        for role, points, _, _ in nozzle.moves:
            if role == "travel":
                travels += 1
                retractions += math.dist(points[0], points[1]) > motion.RETRACTION_OVER_MM
            else:
                paths[role] += 1
        own = sum(timed["seconds"].values())
        stretch = max(0.0, settings["least_layer_s"] - own)
        seconds["cooling"] += stretch
        seconds["layer_change"] += settings["layer_change_s"]
        if stretch > 0:
            stretched += 1
            share["cooling"] += own + stretch
        else:
            share["melt"] += timed["melt"]
            share["motion"] += own - timed["melt"]
        open_area, fill_area = (sum(getattr(i, k) for i in islands) for k in ("open_area", "fill_area"))
        solid_fill_layers += fill_area > 0 and open_area <= 0.01 * fill_area
        lost = sum(i.lost_area for i in islands)
        lost_area += lost
        part_area += sections[layer].area - lost - open_area * (1 - settings["fill"])
    seconds["start"] = settings["start_s"]
    deposited = part_area * bead.h
    support_mm3 = sum(c.area for c in columns) * settings["support_fraction"] * bead.h
    extruding = sum(seconds[r] for r in motion.ROLES)
    total = sum(share.values())
    mean, greatest = cusps(mesh, bead.h)
    return {
        "layers": len(sections),
        "perimeters": settings["perimeters"],
        "spacing_mm": bead.s,
        "bead_area_mm2": bead.area,
        "mesh_volume_mm3": float(mesh.volume),
        "deposited_mm3": deposited,
        "support_mm3": support_mm3,
        "support_mm3_by_length": lengths["support"] * bead.area,
        "detail_lost_mm3": lost_area * bead.h,
        "solid_fill_layers": int(solid_fill_layers),
        "bead_length_mm": {r: lengths[r] for r in motion.ROLES},
        "paths": paths,
        "travel_mm": lengths["travel"],
        "travels": travels,
        "retractions": int(retractions),
        "seconds_by": seconds,
        "seconds": sum(seconds.values()),
        "limit_share": {k: v / total if total else 0.0 for k, v in share.items()},
        "layers_stretched": stretched,
        "mean_flow_mm3_s": (deposited + support_mm3) / extruding if extruding else 0.0,
        "cusp_um": mean,
        "cusp_greatest_um": greatest,
        "findings": findings,
        "section_area_mm2": [s.area for s in sections],
    }


def cusps(mesh, h):
    """Area-weighted mean and greatest cusp in micrometres, flat faces left out; None where all are flat."""
    cross = np.cross(mesh.triangles[:, 1] - mesh.triangles[:, 0], mesh.triangles[:, 2] - mesh.triangles[:, 0])
    twice = np.linalg.norm(cross, axis=1)
    cross, twice = cross[twice > 0], twice[twice > 0]
    lean = np.abs(cross[:, 2]) / twice
    inclined = lean <= 1 - 1e-6
    if not inclined.any():
        return None, None
    cusp = 1000 * h * lean[inclined]
    return float(np.average(cusp, weights=twice[inclined])), float(cusp.max())


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("part")
    parser.add_argument("--settings", help="a JSON file of settings")
    parser.add_argument("--set", action="append", default=[], metavar="KEY=VALUE", help="one setting, VALUE as JSON; speed.outer=30 for a role")
    parser.add_argument("--workers", type=int, default=2)
    args = parser.parse_args()
    settings = {}
    if args.settings:
        with open(args.settings) as file:
            settings = json.load(file)
    for pair in args.set:
        key, _, value = pair.partition("=")
        try:
            value = json.loads(value)
        except ValueError:
            pass
        if key.startswith("speed."):
            settings.setdefault("speed", {})[key[6:]] = value
        else:
            settings[key] = value
    unknown = set(settings) - set(DEFAULTS)
    if unknown:
        sys.exit(f"unknown setting {sorted(unknown)[0]}; known are {', '.join(DEFAULTS)}")
    json.dump(compute(args.part, settings, args.workers), sys.stdout, indent=1)
    print()


if __name__ == "__main__":
    main()
