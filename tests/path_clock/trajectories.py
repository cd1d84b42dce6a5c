"""Times the paths that `cargo test --test path_clock` wrote by a general-purpose trajectory library, and holds the program's
seconds of each layer against them.

    python trajectories.py FOLDER    # target/tmp/path_clock

The library (ruckig, one axis, no limit on jerk) finds the quickest move over a length between two speeds; which speed a
corner allows and which can be reached is worked out here, from the points and the model's text. Nothing of the program's
own timing is read but the seconds to compare.
"""

import cmath
import json
import math
import sys
from pathlib import Path

from ruckig import InputParameter, Result, Ruckig, Trajectory

BOUND = 1e-9
RETRACTION_OVER_MM = 2.0

mover = Ruckig(1)


def move_s(length, start, end, top, acceleration):
    """Seconds of the quickest move over a length between two speeds, by the library."""
    wanted = InputParameter(1)
    wanted.current_position, wanted.target_position = [0.0], [length]
    wanted.current_velocity, wanted.target_velocity = [start], [end]
    wanted.current_acceleration = wanted.target_acceleration = [0.0]
    wanted.max_velocity, wanted.max_acceleration = [top], [acceleration]
    wanted.max_jerk = [math.inf]
    found = Trajectory(1)
    result = mover.calculate(wanted, found)
    if result not in (Result.Working, Result.Finished):
        raise SystemExit(f"no move over {length} mm from {start} to {end} mm/s: {result}")
    return found.duration


def corner_speed(before, at, after, acceleration, deviation):
    """The model's text, Motion: the circle that passes the corner at the deviation, and the one through both middles."""
    back, on = before - at, after - at
    theta = abs(cmath.phase(on / back))  # the interior angle
    sine = math.sin(theta / 2)
    passing = math.inf if sine >= 1 else deviation * sine / (1 - sine)
    through = math.inf if theta >= math.pi else min(abs(back), abs(on)) / 2 * math.tan(theta / 2)
    return math.sqrt(acceleration * min(passing, through))


def reachable(lengths, holds, top, acceleration):
    """Speeds at every corner that can be reached from rest at the start and braked from to rest at the end."""
    speeds = [0.0] + [min(hold, top) for hold in holds] + [0.0]
    for order in (range(len(lengths)), reversed(range(len(lengths)))):
        forward = isinstance(order, range)
        for i in order:
            known, other = (i, i + 1) if forward else (i + 1, i)
            # A hair less than what is just reachable: the library would else come back from beyond the end.
            most = math.sqrt(speeds[known] ** 2 + 2 * acceleration * lengths[i]) * (1 - 1e-12)
            speeds[other] = min(speeds[other], most)
    return speeds


def stroke_s(stroke, machine, first):
    top = machine["speed_mm_s"][stroke["role"]]
    if first:
        top = min(top, machine["first_layer_mm_s"])
    if machine["melt_cap_mm3_s"] is not None:
        top = min(top, machine["melt_cap_mm3_s"] / stroke["bead_mm2"])
    acceleration = machine["acceleration_mm_s2"]
    if stroke["straight_mm"] is not None:
        return move_s(stroke["straight_mm"], 0.0, 0.0, top, acceleration)
    points = [complex(*p) for p in stroke["points_mm"]]
    points = points[:1] + [q for p, q in zip(points, points[1:]) if p != q]
    lengths = [abs(q - p) for p, q in zip(points, points[1:])]
    deviation = machine["corner_deviation_mm"]
    holds = [corner_speed(*three, acceleration, deviation) for three in zip(points, points[1:], points[2:])]
    speeds = reachable(lengths, holds, top, acceleration)
    moves = zip(lengths, speeds, speeds[1:])
    return math.fsum(move_s(length, start, end, top, acceleration) for length, start, end in moves)


def layer_s(layer, machine):
    seconds = []
    nozzle = complex(*layer["start_mm"])
    for stroke in layer["strokes"]:
        start = complex(*stroke["points_mm"][0])
        travel = abs(start - nozzle)
        nozzle = complex(*stroke["points_mm"][-1])
        if travel > 0:
            seconds.append(move_s(travel, 0.0, 0.0, machine["travel_mm_s"], machine["acceleration_mm_s2"]))
        if travel > RETRACTION_OVER_MM:
            seconds.append(machine["retraction_s"])
        seconds.append(stroke_s(stroke, machine, layer["layer"] == 0))
    return max(math.fsum(seconds), machine["least_layer_s"])


def main():
    files = sorted(Path(sys.argv[1]).glob("*.json"))
    if len(files) < 4:
        raise SystemExit(f"{len(files)} files in {sys.argv[1]}; run `cargo test --test path_clock` first")
    failed = False
    for file in files:
        for machine in json.loads(file.read_text())["machines"]:
            offs = []
            for layer in machine["layers"]:
                seconds = layer_s(layer, machine)
                if seconds > 0 or layer["seconds"] > 0:
                    offs.append(abs(layer["seconds"] / seconds - 1))
            offs.sort()
            strokes = sum(len(layer["strokes"]) for layer in machine["layers"])
            print(
                f"{file.stem:12} {machine['name']:8} {len(offs)} layers, {strokes} paths: "
                f"median off by {offs[len(offs) // 2]:.1e}, worst {offs[-1]:.1e}"
            )
            failed |= offs[-1] > BOUND
    if failed:
        raise SystemExit(f"a layer is off by more than {BOUND:.0e} of its time")


main()
