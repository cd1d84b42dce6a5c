"""Takes the paths of each layer, gives their order, travels and seconds (design, section 4: *Order*, *Motion*, *Limit*)."""

import numpy as np

GROUPS = (("inner",), ("outer",), ("sliver",), ("fill", "open"))
NO_TRAVEL_MM = 1e-9
RETRACTION_OVER_MM = 2.0
ROLES = ("outer", "inner", "fill", "open", "sliver", "support")


def corners(path):
    """Where a path may be begun: any corner of a closed one, either end of an open one."""
    return path.points if path.closed else path.points[[0, -1]]


class Nozzle:
    """Where the nozzle is, and the moves made so far: (role, points, bead area, length or 0)."""

    def __init__(self):
        self.at = np.zeros(2)
        self.moves = []

    def lay_nearest_next(self, paths):
        """Lays all the paths, the nearest next each time."""
        if not paths:
            return
        starts = [corners(p) for p in paths]
        owner = np.repeat(np.arange(len(paths)), [len(c) for c in starts])
        place = np.concatenate([np.arange(len(c)) for c in starts])
        starts = np.vstack(starts)
        free = np.ones(len(owner), bool)
        for _ in paths:
            distance = np.where(free, ((starts - self.at) ** 2).sum(axis=1), np.inf)
            best = int(np.argmin(distance))
            free[owner == owner[best]] = False
            self.lay(paths[owner[best]], int(place[best]))

    def lay(self, path, place):
        if path.closed:
            points = np.vstack([path.points[place:], path.points[: place + 1]])
        else:
            points = path.points if place == 0 else path.points[::-1]
        if np.linalg.norm(points[0] - self.at) > NO_TRAVEL_MM:
            self.moves.append(("travel", np.array([self.at, points[0]]), 0.0, 0.0))
        self.moves.append((path.role, points, path.bead_area, path.length))
        self.at = points[-1]

    def lay_layer(self, support, islands):
        """Support, then the islands, nearest next."""
        self.lay_nearest_next(support)
        waiting = [i for i in islands if i.paths]
        points = [np.vstack([p.points for p in i.paths]) for i in waiting]
        while waiting:
            gaps = [((c - self.at) ** 2).sum(axis=1).min() for c in points]
            best = int(np.argmin(gaps))
            island = waiting.pop(best)
            points.pop(best)
            for group in GROUPS:
                self.lay_nearest_next([p for p in island.paths if p.role in group])


def time_layer(moves, first, settings):
    """Seconds, lengths and what held the speed, of one layer's moves."""
    result = {
        "seconds": dict.fromkeys((*ROLES, "travel"), 0.0),
        "length": dict.fromkeys((*ROLES, "travel"), 0.0),
        "melt": 0.0,
    }
    if not moves:
        return result
    limits = [target_speed(role, area, first, settings) for role, _, area, _ in moves]
    points = np.vstack([m[1] for m in moves])
    sizes = np.array([len(m[1]) for m in moves])
    owner = np.repeat(np.arange(len(moves)), sizes)
    step = np.diff(points, axis=0)
    same = owner[1:] == owner[:-1]  # false: the jump from one move's end to the next one's start
    length = np.linalg.norm(step, axis=1)
    length[~same] = 0.0
    for k, move in enumerate(moves):
        if move[3]:
            length[sizes[:k].sum()] = move[3]
    keep = same & (length > 1e-9)
    length, step, owner = length[keep], step[keep], owner[:-1][keep]
    speed = np.array([l[0] for l in limits])[owner]
    seconds, cruise = time_segments(length, step, owner, speed, settings)
    melt_held = np.array([l[1] for l in limits])[owner]
    result["melt"] = float(cruise[melt_held].sum())
    time_of_move = np.bincount(owner, seconds, len(moves))
    length_of_move = np.bincount(owner, length, len(moves))
    for k, move in enumerate(moves):
        result["length"][move[0]] += length_of_move[k]
        result["seconds"][move[0]] += time_of_move[k]
        if move[0] == "travel" and length_of_move[k] > RETRACTION_OVER_MM:
            result["seconds"]["travel"] += settings["retraction_s"]
    return result


def target_speed(role, bead_area, first, settings):
    """(speed, whether the melt cap is what sets it)."""
    speed = settings["speed"][role]
    if role == "travel":
        return speed, False
    if first:
        speed = min(speed, settings["first_layer_speed"])
    if settings["melt_limit_mm3_s"] is None:
        return speed, False
    cap = settings["melt_limit_mm3_s"] * (1 - settings["melt_margin"]) / bead_area
    return (cap, True) if cap < speed else (speed, False)


def time_segments(length, step, owner, speed, settings):
    """(seconds, seconds at full speed) per segment; each owner's run starts and ends at rest."""
    a, deviation = settings["acceleration"], settings["corner_deviation"]
    count = len(length)
    # squared speed at the start of each segment and, last, at the end of all
    square = np.zeros(count + 1)
    one, two = step[:-1], step[1:]
    size = np.linalg.norm(one, axis=1) * np.linalg.norm(two, axis=1)
    # the interior angle lies between the backward first and the forward second segment
    cosine = np.clip(-(one * two).sum(axis=1) / size, -1.0, 1.0)
    half = np.arccos(cosine) / 2
    sine = np.sin(half)
    with np.errstate(divide="ignore"):
        by_deviation = a * deviation * sine / (1 - sine)
        by_circle = a * np.minimum(length[:-1], length[1:]) / 2 * np.tan(half)
    corner = np.minimum(np.minimum(by_deviation, by_circle), np.minimum(speed[:-1], speed[1:]) ** 2)
    corner[owner[1:] != owner[:-1]] = 0.0
    square[1:-1] = corner
    # forward: v2[i] = min over j <= i of v2[j] + 2 a (x[i] - x[j]); backward likewise. The rests between
    # runs are zeros, so no run feels its neighbour.
    gain = np.concatenate([[0.0], np.cumsum(2 * a * length)])
    square = gain + np.minimum.accumulate(square - gain)
    square = np.minimum.accumulate((square + gain)[::-1])[::-1] - gain
    square = np.maximum(square, 0.0)
    v0, v1 = np.sqrt(square[:-1]), np.sqrt(square[1:])
    peak2 = np.minimum(speed**2, (square[:-1] + square[1:]) / 2 + a * length)
    peak = np.sqrt(peak2)
    flat = np.maximum(length - (2 * peak2 - square[:-1] - square[1:]) / (2 * a), 0.0)
    flat[peak2 < speed**2] = 0.0
    cruise = flat / speed
    return (2 * peak - v0 - v1) / a + cruise, cruise
