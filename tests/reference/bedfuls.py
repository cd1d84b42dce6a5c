"""Checks bedfuls by a general-purpose geometry library.

    beadtally bedful PART... --json | bedfuls.py

Every outline must lie in the bed's usable area, and no two be nearer than the clearance, to 0.0005 mm: coordinates lie on
a grid of 0.0001 mm. Ends with 1 where one does not.
"""
import json
import sys

from shapely.geometry import Polygon
from shapely.ops import unary_union

ROUNDING_MM = 0.0005


def region(rings):
    """Outer rings run counter-clockwise, holes clockwise."""
    polygons = [(Polygon(ring), Polygon(ring).exterior.is_ccw) for ring in rings]
    solid = unary_union([p for p, outer in polygons if outer])
    return solid.difference(unary_union([p for p, outer in polygons if not outer]))


def check(answer):
    worst, pairs, copies = float("inf"), 0, 0
    for machine in answer["machines"]:
        usable = region(machine["usable_mm"])
        for bed in machine["beds"]:
            outlines = [region(placed["outline_mm"]) for placed in bed["placements"]]
            copies += len(outlines)
            for i, one in enumerate(outlines):
                if not usable.buffer(ROUNDING_MM).contains(one):
                    sys.exit(f"copy {i} on {machine['machine']} sticks out")
                for other in outlines[:i]:
                    pairs += 1
                    worst = min(worst, one.distance(other) - answer["clearance_mm"])
    if worst < -ROUNDING_MM:
        sys.exit(f"two outlines are {-worst} mm nearer than the clearance")
    print(f"{copies} copies, {pairs} pairs, the nearest {worst:+.6f} mm beyond the clearance")


for row in sys.stdin:
    check(json.loads(row))
