"""Takes sections, gives the paths that would be laid (design, section 4: *Perimeters*, *Fill*, *Support*)."""

import math
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from sections import as_multi, polygons, thin

NOTHING = MultiPolygon()
# A piece narrower than this is rounding noise of an offset or a difference, not a piece of the part.
HAIR_MM = 0.01


@dataclass(frozen=True)
class Bead:
    """Nozzle diameter, layer height, bead width in mm, and what follows from them."""

    d: float
    h: float
    w: float

    @property
    def area(self):
        return self.h * (self.w - self.h) + math.pi * self.h**2 / 4

    @property
    def s(self):
        return self.area / self.h


@dataclass
class Path:
    """One path from rest to rest. `points` of a closed path do not repeat the first."""

    role: str
    points: np.ndarray
    closed: bool
    bead_area: float
    length: float = 0.0  # of a sliver; 0: the length of the points


@dataclass
class Island:
    """What is laid in one connected piece of a section."""

    paths: list = field(default_factory=list)
    lost_area: float = 0.0
    fill_area: float = 0.0
    open_area: float = 0.0


def inset(shape, r):
    return shapely.buffer(shape, -r, join_style="mitre", mitre_limit=2.0)


def grow(shape, r):
    return shapely.buffer(shape, r, join_style="mitre", mitre_limit=2.0)


def opened(shape, r):
    """What is at least 2 r wide."""
    return grow(inset(shape, r), r)


def pieces(shape):
    """The connected pieces of a shape that are more than hairs."""
    return [p for p in polygons(shape) if not inset(p, HAIR_MM / 2).is_empty]


def lay_island(island, cover, bead, settings, layer):
    """Everything laid in one connected piece of a section.

    `cover` is what all the sections within a floor's or roof's thickness below and above have in common,
    or None where all is solid.
    """
    laid = Island()
    laid.lost_area = shapely.difference(island, opened(island, smallest_width(bead, 0) / 2)).area
    rest = island
    for i in range(settings["perimeters"]):
        role = "outer" if i == 0 else "inner"
        rest, paths = lay_step(rest, i, bead, role, "sliver", settings.get("sharing", "empty"))
        laid.paths += paths
        if rest.is_empty:
            return laid
    fill(rest, cover, bead, settings, layer, laid)
    return laid


def smallest_width(bead, i):
    return min(0.85 * bead.d, 0.7 * bead.w) if i == 0 else 0.5 * bead.s


def lay_step(rest, i, bead, role, sliver_role, sharing="empty"):
    """Step i of the loop rule on R_i: (R_(i+1), paths). `sharing`: see README, choice 7."""
    s, w = bead.s, bead.w
    low, high = smallest_width(bead, i), (w + s / 2 if i == 0 else 1.5 * s)
    width, step = (w, w / 2 + s / 2) if i == 0 else (s, s)
    wide = opened(rest, high / 2)
    paths, left, too_narrow = [], [], []
    for piece in polygons(wide):
        loops = [ring for loop in polygons(inset(piece, width / 2)) for ring in rings(loop)]
        if not loops:
            too_narrow.append(piece)
            continue
        inner = polygons(inset(piece, step))
        if sharing == "unlayable" and opened(MultiPolygon(inner), smallest_width(bead, i + 1) / 2).is_empty:
            inner = []
        left += inner
        area = bead.area
        if not inner:
            area = piece.area * bead.h / sum(ring_length(r) for r in loops)
        paths += [Path(role, r, True, area) for r in loops]
    too_narrow += pieces(shapely.difference(opened(rest, low / 2), wide))
    paths += [p for p in (sliver(piece, bead, sliver_role) for piece in too_narrow) if p]
    return MultiPolygon(left), paths


def rings(polygon):
    """The thinned rings of a polygon as point arrays, the first point not repeated."""
    found = []
    for ring in [polygon.exterior, *polygon.interiors]:
        thinned = thin(Polygon(ring))
        if not thinned.is_empty and thinned.geom_type == "Polygon":
            found.append(np.asarray(thinned.exterior.coords)[:-1])
    return found


def ring_length(ring):
    return float(np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1).sum())


def sliver(piece, bead, role):
    """One bead along the length of a piece, or None where the piece is shorter than a bead is wide."""
    outline, area = piece.length, piece.area
    root = outline**2 / 4 - 4 * area
    length = (outline / 2 + math.sqrt(root)) / 2 if root >= 0 else area / bead.s
    if length < bead.w:
        return None
    box = shapely.oriented_envelope(piece)
    if box.geom_type != "Polygon":
        return None
    c = np.asarray(box.exterior.coords)[:4]
    if np.linalg.norm(c[1] - c[0]) < np.linalg.norm(c[2] - c[1]):
        ends = np.array([(c[0] + c[1]) / 2, (c[2] + c[3]) / 2])
    else:
        ends = np.array([(c[1] + c[2]) / 2, (c[3] + c[0]) / 2])
    return Path(role, ends, False, area * bead.h / length, length)


def fill(region, cover, bead, settings, layer, laid):
    """The narrow parts lengthwise, the rest as raster; adds to `laid`."""
    s = bead.s
    wide = shapely.intersection(region, opened(region, 6 * s))
    narrow = as_multi(shapely.difference(region, wide))
    laid.fill_area = region.area
    sliver_role = settings.get("narrow_sliver_role", "fill")
    while not narrow.is_empty:
        narrow, paths = lay_step(narrow, 1, bead, "fill", sliver_role, settings.get("sharing", "empty"))
        laid.paths += paths
    solid, airy = wide, NOTHING
    if cover is not None and settings["fill"] < 1:
        uncovered = opened(shapely.difference(region, cover), s / 2)
        solid = as_multi(shapely.intersection(wide, uncovered))
        airy = as_multi(shapely.difference(wide, solid))
        laid.open_area = airy.area
    laid.paths += raster(solid, region, s, layer, bead, "fill")
    laid.paths += raster(airy, region, s / settings["fill"], layer, bead, "open")


def raster(region, allowed, spacing, layer, bead, role):
    """Back-and-forth lines over a region, joined where the step is short and inside `allowed`."""
    ends = inset(region, 0.35 * bead.s)
    if ends.is_empty:
        return []
    r = math.sqrt(0.5)
    along = np.array([r, r]) if layer % 2 == 0 else np.array([r, -r])
    across = np.array([-r, r]) if layer % 2 == 0 else np.array([r, r])
    line, low, high = scan(ends, along, across, spacing)
    if len(line) == 0:
        return []
    offset = (line + 0.5) * spacing
    start = low[:, None] * along + offset[:, None] * across
    end = high[:, None] * along + offset[:, None] * across
    back = line % 2 == 1
    start[back], end[back] = end[back].copy(), start[back].copy()
    follower = join_lines(line, start, end, 2.5 * spacing, grow(allowed, 0.001))
    paths, used = [], np.zeros(len(line), bool)
    for first in range(len(line)):
        if used[first]:
            continue
        points, k = [], first
        while k >= 0:
            used[k] = True
            points += [start[k], end[k]]
            k = follower[k]
        paths.append(Path(role, np.array(points), False, bead.area))
    return paths


def scan(region, along, across, spacing):
    """Where lines at (j + 1/2) spacing lie inside a region: arrays of j, lower end, upper end, sorted."""
    numbers, places = [], []
    for polygon in polygons(region):
        for ring in [polygon.exterior, *polygon.interiors]:
            points = np.asarray(ring.coords)
            u, v = points @ along, points @ across / spacing - 0.5
            first = np.ceil(np.minimum(v[:-1], v[1:])).astype(int)
            last = np.ceil(np.maximum(v[:-1], v[1:])).astype(int)
            count = last - first
            edge = np.repeat(np.arange(len(count)), count)
            j = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count) + first[edge]
            t = (j - v[edge]) / (v[edge + 1] - v[edge])
            numbers.append(j)
            places.append(u[edge] + t * (u[edge + 1] - u[edge]))
    j, u = np.concatenate(numbers), np.concatenate(places)
    order = np.lexsort((u, j))
    j, u = j[order], u[order]
    keep = u[1::2] - u[0::2] > 1e-6
    return j[0::2][keep], u[0::2][keep], u[1::2][keep]


def join_lines(line, start, end, reach, allowed):
    """For each piece of line the piece of the next line it runs on into, or -1."""
    first = np.searchsorted(line, line + 1, "left")
    last = np.searchsorted(line, line + 1, "right")
    count = last - first
    here = np.repeat(np.arange(len(line)), count)
    there = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count) + first[here]
    step = np.linalg.norm(end[here] - start[there], axis=1)
    near = step <= reach
    here, there, step = here[near], there[near], step[near]
    if len(here):
        shapely.prepare(allowed)
        bridges = shapely.linestrings(np.stack([end[here], start[there]], axis=1))
        inside = shapely.covers(allowed, bridges)
        here, there, step = here[inside], there[inside], step[inside]
    follower = np.full(len(line), -1)
    taken = np.zeros(len(line), bool)
    for k in np.lexsort((there, step, here)):
        if follower[here[k]] < 0 and not taken[there[k]]:
            follower[here[k]] = there[k]
            taken[there[k]] = True
    return follower


def cover_of(sections, layer, bead, settings):
    """What all sections within the floor's and roof's thickness have in common; None where all is solid anyway."""
    if settings["fill"] >= 1:
        return None
    reach = math.ceil(settings["floor_roof_mm"] / bead.h - 1e-9)
    if layer - reach < 0 or layer + reach >= len(sections):
        return NOTHING
    cover = sections[layer + 1]
    for k in [*range(layer - reach, layer), *range(layer + 2, layer + reach + 1)]:
        cover = shapely.intersection(cover, sections[k])
    return as_multi(cover)


def support_regions(sections, bead, settings):
    """Per layer the region of support columns."""
    if not settings["support"]:
        return [NOTHING] * len(sections)
    ledge = bead.h * math.tan(math.radians(settings["overhang_deg"]))
    columns, region = [NOTHING] * len(sections), NOTHING
    for k in range(len(sections) - 1, 0, -1):
        region = shapely.union(region, held_up(sections[k], sections[k - 1], ledge, settings))
        region = as_multi(shapely.difference(region, sections[k - 1]))
        region = MultiPolygon(pieces(region))
        columns[k - 1] = region
    return columns


def held_up(section, below, ledge, settings):
    """What a layer has beyond the one below grown by the ledge, with the whole step around it."""
    beyond = MultiPolygon(pieces(shapely.difference(section, grow(below, ledge))))
    if beyond.is_empty:
        return NOTHING
    step = as_multi(shapely.difference(section, below))
    if settings.get("step_reading", "near") == "piece":
        return MultiPolygon([p for p in polygons(step) if p.intersects(beyond)])
    return as_multi(shapely.intersection(step, grow(beyond, ledge)))
