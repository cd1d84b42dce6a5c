//! What a part covers on the bed, seen from above.

use nalgebra::Point3;
use rustc_hash::FxHashMap;

use super::{Pose, place};
use crate::mesh::Mesh;
use crate::plane::{Region, to_grid};

/// The shadow of a part in a pose, straight down: with its bays and its holes, in the coordinates of
/// [`place`], so that its box begins at (0, 0).
pub fn outline(mesh: &Mesh, pose: &Pose) -> Region {
    shadow(&place(mesh, pose))
}

/// The shadow of a mesh as it lies, straight down.
///
/// The shadows of all facets, each counter-clockwise, wind around every point as often as facets lie over it. Where two
/// facets meet at an edge whose sides fall on either side of it the two directions cancel, so only the edges at which
/// the surface turns over are left, and the loops they make wind around just the same points. A closed mesh of a million
/// facets leaves some thousand edges, and neither its facets' senses nor gaps matter.
pub(crate) fn shadow(mesh: &Mesh) -> Region {
    let grid = |vertex: &Point3<f64>| to_grid([vertex.x, vertex.y]);
    let plan: Vec<_> = mesh.vertices_mm.iter().map(grid).collect();
    let mut crossings: FxHashMap<(u32, u32), i32> = FxHashMap::default();
    for &[a, b, c] in &mesh.triangles {
        let [p, q, r] = [a, b, c].map(|corner| plan[corner as usize]);
        let wide = |a: i64, b: i64| i128::from(a) - i128::from(b);
        let turn = wide(q.x, p.x) * wide(r.y, p.y) - wide(q.y, p.y) * wide(r.x, p.x);
        for (from, to) in [(a, b), (b, c), (c, a)] {
            let sense = turn.signum() as i32 * if from < to { 1 } else { -1 };
            if sense != 0 {
                *crossings.entry((from.min(to), from.max(to))).or_default() += sense;
            }
        }
    }
    let rings = loops(crossings).into_iter().map(|ring| {
        let corner = |vertex: u32| {
            let at = mesh.vertices_mm[vertex as usize];
            [at.x, at.y]
        };
        ring.into_iter().map(corner).collect()
    });
    Region::from_rings(rings)
}

/// Closed walks that use every edge as often as it is crossed. As many edges leave a corner as reach it, for they are what
/// is left of closed triangles, so a walk can only end where it began.
fn loops(crossings: FxHashMap<(u32, u32), i32>) -> Vec<Vec<u32>> {
    let mut edges: Vec<(u32, u32)> = Vec::new();
    for ((low, high), times) in crossings {
        let edge = if times > 0 { (low, high) } else { (high, low) };
        edges.extend(std::iter::repeat_n(edge, times.unsigned_abs() as usize));
    }
    // The table has no order of its own.
    edges.sort_unstable();
    let mut next: FxHashMap<u32, Vec<u32>> = FxHashMap::default();
    for (from, to) in &edges {
        next.entry(*from).or_default().push(*to);
    }
    let mut rings = Vec::new();
    for (start, _) in edges {
        let mut ring = Vec::new();
        let mut at = start;
        while let Some(to) = next.get_mut(&at).and_then(Vec::pop) {
            ring.push(at);
            at = to;
        }
        if ring.len() >= 3 {
            rings.push(ring);
        }
    }
    rings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pose::Down;

    fn block(low: [f64; 3], high: [f64; 3]) -> Mesh {
        let corner = |i: usize| {
            Point3::new(
                if i & 1 == 0 { low[0] } else { high[0] },
                if i & 2 == 0 { low[1] } else { high[1] },
                if i & 4 == 0 { low[2] } else { high[2] },
            )
        };
        let faces = [
            [0, 2, 3, 1],
            [4, 5, 7, 6],
            [0, 1, 5, 4],
            [2, 6, 7, 3],
            [0, 4, 6, 2],
            [1, 3, 7, 5],
        ];
        Mesh {
            vertices_mm: (0..8).map(corner).collect(),
            triangles: faces
                .iter()
                .flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]])
                .collect(),
        }
    }

    fn together(parts: &[Mesh]) -> Mesh {
        let mut all = Mesh {
            vertices_mm: Vec::new(),
            triangles: Vec::new(),
        };
        for part in parts {
            let first = all.vertices_mm.len() as u32;
            all.vertices_mm.extend(&part.vertices_mm);
            all.triangles
                .extend(part.triangles.iter().map(|t| t.map(|v| v + first)));
        }
        all
    }

    #[test]
    fn a_block_covers_its_base_from_every_side() {
        let block = block([1.0, 2.0, 3.0], [11.0, 22.0, 33.0]);
        for (down, area) in [
            (Down::ZMinus, 200.0),
            (Down::XPlus, 600.0),
            (Down::YMinus, 300.0),
        ] {
            let covered = outline(&block, &Pose::new(down, 0.0));
            assert!((covered.area_mm2() - area).abs() < 1e-9, "{down}");
            assert_eq!(covered.box_mm().map(|b| b.0), Some([0.0, 0.0]));
        }
    }

    #[test]
    fn a_gallows_covers_its_arm_and_a_frame_leaves_its_hole_open() {
        let gallows = together(&[
            block([0.0; 3], [10.0, 10.0, 50.0]),
            block([0.0, 0.0, 50.0], [80.0, 10.0, 60.0]),
        ]);
        assert!((shadow(&gallows).area_mm2() - 800.0).abs() < 1e-9);
        let frame = together(&[
            block([0.0; 3], [30.0, 10.0, 5.0]),
            block([0.0, 20.0, 5.0], [30.0, 30.0, 9.0]),
            block([0.0; 3], [10.0, 30.0, 2.0]),
            block([20.0, 0.0, 1.0], [30.0, 30.0, 2.0]),
        ]);
        assert!((shadow(&frame).area_mm2() - 800.0).abs() < 1e-9);
    }

    #[test]
    fn facets_turned_inside_out_and_missing_ones_change_nothing() {
        let mut block = block([0.0; 3], [10.0, 10.0, 10.0]);
        block.triangles[2].swap(0, 1);
        block.triangles.remove(1);
        assert!((shadow(&block).area_mm2() - 100.0).abs() < 1e-9);
    }
}
