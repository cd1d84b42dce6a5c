"""Smallest circles around point sets by shapely, for the round beds: writes circles.json beside itself.

Point sets are random clouds, near-round ones, and points in line, with three decimals so that the file holds them exactly.
"""

import json
import math
import pathlib
import random

import shapely

random.seed(4)
sets = []
for case in range(60):
    count = 2 + case % 23
    if case % 3 == 0:
        points = [(random.uniform(-60, 60), random.uniform(-30, 30)) for _ in range(count)]
    elif case % 3 == 1:
        turns = [random.uniform(0, math.tau) for _ in range(count)]
        points = [(50 * math.cos(t) + random.uniform(0, 0.5), 50 * math.sin(t)) for t in turns]
    else:
        points = [(x, 0.25 * x) for x in (round(random.uniform(-80, 80)) for _ in range(count))]
    points = [[round(x, 3), round(y, 3)] for x, y in points]
    radius = shapely.minimum_bounding_radius(shapely.MultiPoint(points))
    if radius > 1:
        sets.append({"points_mm": points, "radius_mm": radius})

target = pathlib.Path(__file__).with_name("circles.json")
target.write_text(json.dumps({"by": f"shapely {shapely.__version__}", "sets": sets}, separators=(",", ":")) + "\n")
