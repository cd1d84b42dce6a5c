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
    let at = |vertex: &Point3<f64>| [vertex.x, vertex.y];
    let plan: Vec<_> = mesh.vertices_mm.iter().map(at).collect();
    shadow_of(&plan, &mesh.triangles)
}

/// The same of corners already seen from above.
pub(super) fn shadow_of(plan_mm: &[[f64; 2]], triangles: &[[u32; 3]]) -> Region {
    let rings = loops(crossings(plan_mm, triangles)).into_iter();
    Region::from_rings(rings.map(|ring| ring.into_iter().map(|v| plan_mm[v as usize]).collect()))
}

/// The edges that are left, each as often as it is crossed, in order.
///
/// Edges are gathered by their lower corner with a counting sort: a table of a million and a half edges would take several
/// times as long.
fn crossings(plan_mm: &[[f64; 2]], triangles: &[[u32; 3]]) -> Vec<(u32, u32)> {
    let plan: Vec<_> = plan_mm.iter().map(|at| to_grid(*at)).collect();
    let senses: Vec<i32> = triangles
        .iter()
        .map(|t| {
            let [p, q, r] = t.map(|corner| plan[corner as usize]);
            let wide = |a: i64, b: i64| i128::from(a) - i128::from(b);
            let turn = wide(q.x, p.x) * wide(r.y, p.y) - wide(q.y, p.y) * wide(r.x, p.x);
            turn.signum() as i32
        })
        .collect();
    let sides = |[a, b, c]: [u32; 3]| [(a, b), (b, c), (c, a)];
    let mut starts = vec![0_u32; plan.len() + 1];
    let turned = || {
        triangles
            .iter()
            .zip(&senses)
            .filter(|(_, sense)| **sense != 0)
    };
    for (from, to) in turned().flat_map(|(t, _)| sides(*t)) {
        starts[from.min(to) as usize + 1] += 1;
    }
    for i in 1..starts.len() {
        starts[i] += starts[i - 1];
    }
    let mut next = starts.clone();
    let mut gathered = vec![(0_u32, 0_i32); starts.last().map_or(0, |count| *count as usize)];
    for (triangle, sense) in turned() {
        for (from, to) in sides(*triangle) {
            let place = &mut next[from.min(to) as usize];
            gathered[*place as usize] = (from.max(to), if from < to { *sense } else { -sense });
            *place += 1;
        }
    }
    let mut edges = Vec::new();
    for (low, range) in starts.windows(2).enumerate() {
        let list = &mut gathered[range[0] as usize..range[1] as usize];
        list.sort_unstable();
        for same in list.chunk_by(|a, b| a.0 == b.0) {
            let times: i32 = same.iter().map(|(_, sense)| sense).sum();
            let (low, high) = (low as u32, same[0].0);
            let edge = if times > 0 { (low, high) } else { (high, low) };
            edges.extend(std::iter::repeat_n(edge, times.unsigned_abs() as usize));
        }
    }
    edges.sort_unstable();
    edges
}

/// Closed walks that use every edge. As many edges leave a corner as reach it, for they are what is left of closed
/// triangles, so a walk can only end where it began.
fn loops(edges: Vec<(u32, u32)>) -> Vec<Vec<u32>> {
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
