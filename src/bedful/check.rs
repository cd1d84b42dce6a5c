//! Distances between outlines, by nothing but corners and sides.

use crate::plane::Region;

/// Coordinates lie on the polygon library's grid, so outlines that should lie exactly at a distance are off by so much, mm.
pub(super) const ROUNDING_MM: f64 = 0.0003;

type Side = [[f64; 2]; 2];

/// The least distance between two outlines, mm: 0 where they overlap or one lies on the other; `None` where one is empty.
pub fn gap_mm(a: &Region, b: &Region) -> Option<f64> {
    gap_below_mm(a, b, f64::INFINITY)
}

/// As [`gap_mm`]; only what is below a bound is measured, anything else is the bound.
pub(super) fn gap_below_mm(a: &Region, b: &Region, bound_mm: f64) -> Option<f64> {
    let (box_a, box_b) = (a.box_mm()?, b.box_mm()?);
    if box_gap(box_a, box_b) >= bound_mm {
        return Some(bound_mm);
    }
    // Whole pieces inside the other set touch none of its sides.
    if a.outer_points_mm().any(|p| b.holds_point(p))
        || b.outer_points_mm().any(|p| a.holds_point(p))
    {
        return Some(0.0);
    }
    let near = |region: &Region, to| -> Vec<Side> {
        sides(region)
            .filter(|side| box_gap(side_box(side), to) < bound_mm)
            .collect()
    };
    let (near_a, near_b) = (near(a, box_b), near(b, box_a));
    let mut least_mm = bound_mm;
    for one in &near_a {
        let of_one = side_box(one);
        for other in &near_b {
            if box_gap(of_one, side_box(other)) < least_mm {
                least_mm = least_mm.min(sides_gap(one, other));
            }
        }
    }
    Some(least_mm)
}

/// Whether a region lies within another, to the rounding of the grid.
pub fn lies_within(region: &Region, area: &Region) -> bool {
    // What sticks out by rounding alone is a film that vanishes when it is inset.
    region.minus(area).offset_unthinned(-ROUNDING_MM).is_empty()
}

fn sides(region: &Region) -> impl Iterator<Item = Side> + '_ {
    region.rings().flat_map(|ring| {
        let count = ring.len();
        (0..count)
            .map(move |i| [ring[i], ring[(i + 1) % count]])
            .collect::<Vec<_>>()
    })
}

fn side_box([a, b]: &Side) -> ([f64; 2], [f64; 2]) {
    (
        [a[0].min(b[0]), a[1].min(b[1])],
        [a[0].max(b[0]), a[1].max(b[1])],
    )
}

fn box_gap(a: ([f64; 2], [f64; 2]), b: ([f64; 2], [f64; 2])) -> f64 {
    let along = |axis: usize| (a.0[axis] - b.1[axis]).max(b.0[axis] - a.1[axis]).max(0.0);
    along(0).hypot(along(1))
}

fn sides_gap(a: &Side, b: &Side) -> f64 {
    if cross_each_other(a, b) {
        return 0.0;
    }
    let of_ends = |ends: &Side, side: &Side| point_gap(ends[0], side).min(point_gap(ends[1], side));
    of_ends(a, b).min(of_ends(b, a))
}

fn cross_each_other(a: &Side, b: &Side) -> bool {
    let turn =
        |[p, q]: &Side, r: [f64; 2]| (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
    turn(a, b[0]) * turn(a, b[1]) < 0.0 && turn(b, a[0]) * turn(b, a[1]) < 0.0
}

fn point_gap(p: [f64; 2], [a, b]: &Side) -> f64 {
    let along = [b[0] - a[0], b[1] - a[1]];
    let length_2 = along[0] * along[0] + along[1] * along[1];
    let from = [p[0] - a[0], p[1] - a[1]];
    let share = if length_2 > 0.0 {
        ((from[0] * along[0] + from[1] * along[1]) / length_2).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (from[0] - share * along[0]).hypot(from[1] - share * along[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_gap_of_squares_corner_to_corner_is_the_diagonal_and_of_nested_ones_nought() {
        let a = Region::rectangle([0.0; 2], [10.0; 2]);
        let gap = |low: [f64; 2], high: [f64; 2]| gap_mm(&a, &Region::rectangle(low, high));
        assert_eq!(gap([13.0, 14.0], [20.0; 2]), Some(5.0));
        assert_eq!(gap([2.0; 2], [4.0; 2]), Some(0.0));
        assert_eq!(gap([5.0; 2], [14.0; 2]), Some(0.0));
        assert_eq!(gap([2.0, 12.5], [4.0, 14.0]), Some(2.5));
        assert_eq!(gap_mm(&a, &Region::default()), None);
    }
}
