"""Closed forms the second road must meet. Run in this folder: python3 -m unittest test_closed_forms"""

import math
import os
import tempfile
import unittest

import numpy as np
import shapely
import trimesh
from shapely.geometry import box

import beads
import motion
import sections
from second_road import complete, compute

SLOW = {"d": 0.4, "h": 0.24, "w": 0.48, "perimeters": 3}
BEAD = beads.Bead(0.4, 0.24, 0.48)
S, W, H = BEAD.s, BEAD.w, BEAD.h


def computed(mesh, **settings):
    with tempfile.TemporaryDirectory() as folder:
        file = os.path.join(folder, "part.stl")
        mesh.export(file)
        return compute(file, SLOW | settings, workers=1)


def block(x, y, z):
    return trimesh.creation.box(bounds=[[0, 0, 0], [x, y, z]])


def chords_of_square(side, corner, layer):
    """Total length of the raster lines over an upright square whose lower corner is at (corner, corner)."""
    total = 0.0
    middle = corner + side / 2
    centre = 0.0 if layer % 2 == 0 else math.sqrt(2) * middle
    for j in range(-400, 400):
        total += max(0.0, 2 * (side / math.sqrt(2) - abs((j + 0.5) * S - centre)))
    return total


class Bead(unittest.TestCase):
    def test_the_spacing_is_the_beads_area_over_its_height(self):
        self.assertAlmostEqual(S, 0.48 - 0.24 * (1 - math.pi / 4), 12)


class Layers(unittest.TestCase):
    def test_the_count_rounds_to_the_nearest_layer(self):
        self.assertEqual(len(sections.cut_heights(20, 0.24)), 83)
        self.assertEqual(len(sections.cut_heights(2.4, 0.24)), 10)
        self.assertEqual(len(sections.cut_heights(0.05, 0.24)), 1)

    def test_a_part_lower_than_half_a_layer_is_cut_at_half_its_own_height(self):
        self.assertEqual(sections.cut_heights(0.05, 0.24), [0.025])


class Section(unittest.TestCase):
    def test_overlapping_bodies_count_once(self):
        two = trimesh.util.concatenate([block(10, 10, 4), block(10, 10, 4).apply_translation((5, 0, 0))])
        cut, _ = sections.cut_part(two, [2.0])
        self.assertAlmostEqual(cut[0].area, 150, 9)

    def test_a_cavity_stays_a_cavity(self):
        hollow = trimesh.util.concatenate([block(10, 10, 10), block(4, 4, 4).apply_translation((3, 3, 3))])
        hollow.faces[12:] = hollow.faces[12:, ::-1]
        cut, _ = sections.cut_part(hollow, [5.0])
        self.assertAlmostEqual(cut[0].area, 84, 9)

    def test_a_body_inside_out_is_turned_together_with_its_cavity(self):
        hollow = trimesh.util.concatenate([block(10, 10, 10), block(4, 4, 4).apply_translation((3, 3, 3))])
        hollow.faces[:12] = hollow.faces[:12, ::-1]
        self.assertAlmostEqual(sections.turn_bodies_outward(hollow).volume, 1000 - 64, 6)

    def test_a_plane_through_vertices_gives_the_section_just_below(self):
        step = trimesh.util.concatenate([block(10, 10, 5), block(4, 4, 5).apply_translation((0, 0, 5))])
        cut, _ = sections.cut_part(step, [5.0])
        self.assertAlmostEqual(cut[0].area, 100, 9)

    def test_a_missing_facet_leaves_one_open_chain_that_is_closed(self):
        holed = block(10, 10, 10)
        upright = np.flatnonzero(np.abs(holed.face_normals[:, 2]) < 0.5)[:1]
        holed.update_faces(~np.isin(np.arange(12), upright))
        cut, found = sections.cut_part(holed, [4.9])
        self.assertEqual(found["open_chains"], 1)
        self.assertGreater(cut[0].area, 50)


class CubeOf20(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.answer = computed(block(20, 20, 20))

    def test_loop_lengths(self):
        length = self.answer["bead_length_mm"]
        self.assertAlmostEqual(length["outer"], 83 * 4 * (20 - W), 6)
        self.assertAlmostEqual(length["inner"], 83 * 4 * (2 * (20 - W) - 6 * S), 6)

    def test_fill_length_is_the_chords_and_the_joining_steps(self):
        corner = W / 2 + 2.5 * S + 0.35 * S
        side = 20 - 2 * corner
        chords = 42 * chords_of_square(side, corner, 0) + 41 * chords_of_square(side, corner, 1)
        steps = self.answer["bead_length_mm"]["fill"] - chords
        # along a straight edge a step is sqrt(2) s, over a corner at most that much again
        lines = 83 * math.sqrt(2) * side / S
        self.assertGreater(steps, 0.95 * lines * S)
        self.assertLess(steps, 1.02 * lines * math.sqrt(2) * S)

    def test_the_volume_is_the_stacks(self):
        self.assertAlmostEqual(self.answer["deposited_mm3"], 400 * 83 * H, 6)

    def test_outer_seconds(self):
        a, v, side = 500.0, 27.5, 20 - W
        corner = math.sqrt(a * 0.02 * math.sin(math.pi / 4) / (1 - math.sin(math.pi / 4)))

        def seconds(v0, v1, v):
            ramps = (2 * v * v - v0 * v0 - v1 * v1) / (2 * a)
            return (2 * v - v0 - v1) / a + (side - ramps) / v

        def loop(v):
            return seconds(0, corner, v) + 2 * seconds(corner, corner, v) + seconds(corner, 0, v)

        self.assertAlmostEqual(self.answer["seconds_by"]["outer"], loop(20.0) + 82 * loop(v), 6)


class NarrowParts(unittest.TestCase):
    def test_a_wall_of_half_a_millimetre_is_one_sliver_as_long_as_the_wall(self):
        answer = computed(block(20, 0.5, 0.24))
        self.assertAlmostEqual(answer["bead_length_mm"]["sliver"], 20, 9)
        self.assertAlmostEqual(answer["deposited_mm3"], 20 * 0.5 * 0.24, 9)
        self.assertEqual(answer["detail_lost_mm3"], 0)

    def test_a_sliver_carries_its_own_area(self):
        found = beads.sliver(box(0, 0, 20, 0.5), BEAD, "sliver")
        self.assertAlmostEqual(found.bead_area, 0.5 * H, 9)

    def test_a_wall_of_a_fifth_of_a_millimetre_is_lost(self):
        answer = computed(block(20, 0.2, 0.24))
        self.assertAlmostEqual(answer["detail_lost_mm3"], 20 * 0.2 * 0.24, 6)  # the file is single precision
        self.assertEqual(answer["deposited_mm3"], 0)

    def test_a_wall_of_two_thin_beads_shares_its_area(self):
        left, paths = beads.lay_step(box(0, 0, 20, 0.8), 0, BEAD, "outer", "sliver")
        self.assertTrue(left.is_empty)
        self.assertEqual(len(paths), 1)
        self.assertAlmostEqual(paths[0].bead_area, 16 * H / (2 * (20 - W) + 2 * (0.8 - W)), 9)

    def test_a_ring_wall_of_two_millimetres_is_four_loops_and_a_sliver(self):
        answer = computed(trimesh.creation.annulus(r_min=12.8, r_max=15, height=0.24, sections=720))
        paths = answer["paths"]
        self.assertEqual((paths["outer"], paths["inner"], paths["sliver"]), (2, 2, 1))
        self.assertAlmostEqual(answer["bead_length_mm"]["outer"], 2 * math.pi * 27.8, 1)
        middle = 2 * math.pi * 13.9
        width = 2.2 - W - 3 * S
        self.assertAlmostEqual(answer["bead_length_mm"]["sliver"], middle - width, 1)


class Fill(unittest.TestCase):
    def test_a_strip_narrower_than_twelve_spacings_is_laid_lengthwise(self):
        laid = beads.Island()
        settings, _ = complete(SLOW)
        beads.fill(box(0, 0, 60, 4), None, BEAD, settings, 0, laid)
        self.assertTrue(all(p.closed or p.length for p in laid.paths))
        self.assertEqual(sum(p.closed for p in laid.paths), 4)

    def test_open_fill_counts_at_its_fraction(self):
        answer = computed(block(20, 20, 4.8), fill=0.25)
        side = 20 - W - 5 * S
        inside = 20 - 2 * 5
        self.assertAlmostEqual(answer["deposited_mm3"], 400 * 4.8 - 0.75 * side**2 * inside * H, 6)
        self.assertEqual(answer["solid_fill_layers"], 10)

    def test_no_line_leaves_the_region(self):
        region = shapely.difference(box(0, 0, 30, 30), shapely.Point(14, 17).buffer(6))
        for layer in (0, 1):
            allowed = beads.grow(region, 0.0011)
            for path in beads.raster(region, region, S, layer, BEAD, "fill"):
                self.assertTrue(shapely.covers(allowed, shapely.linestrings(path.points)))


class Support(unittest.TestCase):
    def test_a_table_is_held_up_around_its_leg(self):
        leg, top = block(10, 10, 4.8), block(30, 30, 2.4)
        table = trimesh.boolean.union([leg.apply_translation((10, 10, 0)), top.apply_translation((0, 0, 4.8))], engine="manifold")
        answer = computed(table, support=True)
        self.assertAlmostEqual(answer["support_mm3"], (900 - 100) * 4.8 * 0.2, 6)

    def test_a_cone_at_forty_degrees_from_the_vertical_needs_none(self):
        cone = trimesh.creation.cone(radius=10 * math.tan(math.radians(40)), height=10, sections=256)
        cone.apply_transform(trimesh.transformations.rotation_matrix(math.pi, (1, 0, 0)))
        self.assertEqual(computed(cone, support=True)["support_mm3"], 0)


class Motion(unittest.TestCase):
    SETTINGS = {"acceleration": 2.0, "corner_deviation": 0.02}

    def seconds(self, points, v):
        step = np.diff(np.asarray(points, float), axis=0)
        length = np.linalg.norm(step, axis=1)
        n = len(length)
        return motion.time_segments(length, step, np.zeros(n, int), np.full(n, v), self.SETTINGS)

    def test_a_long_move_is_a_trapezoid(self):
        total, cruise = self.seconds([(0, 0), (100, 0)], 10.0)
        self.assertAlmostEqual(total.sum(), 100 / 10 + 10 / 2, 9)
        self.assertAlmostEqual(cruise.sum(), (100 - 50) / 10, 9)

    def test_a_short_move_is_a_triangle(self):
        total, cruise = self.seconds([(0, 0), (9, 0)], 10.0)
        self.assertAlmostEqual(total.sum(), 2 * math.sqrt(9 / 2), 9)
        self.assertEqual(cruise.sum(), 0)

    def test_a_point_on_a_straight_line_changes_nothing(self):
        one = self.seconds([(0, 0), (100, 0)], 10.0)[0].sum()
        self.assertAlmostEqual(self.seconds([(0, 0), (31, 0), (60, 0), (100, 0)], 10.0)[0].sum(), one, 6)

    def test_a_turn_back_is_a_rest(self):
        there = self.seconds([(0, 0), (50, 0)], 10.0)[0].sum()
        self.assertAlmostEqual(self.seconds([(0, 0), (50, 0), (0, 0)], 10.0)[0].sum(), 2 * there, 9)

    def test_runs_do_not_feel_their_neighbours(self):
        step = np.array([[30.0, 0.0], [30.0, 0.0]])
        total, _ = motion.time_segments(np.array([30.0, 30.0]), step, np.array([0, 1]), np.array([10.0, 4.0]), self.SETTINGS)
        self.assertAlmostEqual(total[0], 2 * math.sqrt(30 / 2), 9)
        self.assertAlmostEqual(total[1], 30 / 4 + 4 / 2, 9)

    def test_the_many_pass_form_equals_a_plain_one(self):
        random = np.random.default_rng(1)
        points = np.cumsum(random.normal(size=(60, 2)), axis=0)
        step = np.diff(points, axis=0)
        length = np.linalg.norm(step, axis=1)
        a, deviation, v = 2.0, 0.02, 1.5
        squares = [0.0]
        for k in range(len(step) - 1):
            back, forth = -step[k] / length[k], step[k + 1] / length[k + 1]
            theta = math.acos(max(-1, min(1, back @ forth)))
            s = math.sin(theta / 2)
            squares.append(min(a * deviation * s / (1 - s), a * min(length[k], length[k + 1]) / 2 * math.tan(theta / 2), v * v))
        squares.append(0.0)
        for k in range(len(length)):
            squares[k + 1] = min(squares[k + 1], squares[k] + 2 * a * length[k])
        for k in reversed(range(len(length))):
            squares[k] = min(squares[k], squares[k + 1] + 2 * a * length[k])
        expected = 0.0
        for k, l in enumerate(length):
            peak = min(v * v, (squares[k] + squares[k + 1]) / 2 + a * l)
            ramps = (2 * peak - squares[k] - squares[k + 1]) / (2 * a)
            expected += (2 * math.sqrt(peak) - math.sqrt(squares[k]) - math.sqrt(squares[k + 1])) / a + (l - ramps) / math.sqrt(peak)
        self.assertAlmostEqual(self.seconds(points, v)[0].sum(), expected, 6)


if __name__ == "__main__":
    unittest.main()
