//! The connected solids of a closed mesh.

use nalgebra::Point3;
use parry3d_f64::math::{Pose, Vector};
use parry3d_f64::query::{Ray, RayCast, intersection_test};
use parry3d_f64::shape::TriMesh;

use super::split::part_of;
use crate::mesh::{Mesh, Topology, mass_properties};

/// Pairs of shells that are held against each other, at most; beyond it shells whose boxes meet count as one solid.
const MOST_PAIRS: usize = 2_000;

/// A closed surface.
struct Shell {
    low_mm: Point3<f64>,
    high_mm: Point3<f64>,
    a_corner_mm: Point3<f64>,
    volume_mm3: f64,
}

/// The connected solids of a closed mesh: shells with the cavities in them, and shells that touch or run into each other together.
/// In the order of their first facet. A mesh of more than some thousand shells that lie among each other is only told apart by the
/// shells' boxes, so solids may then come together that do not touch.
pub fn connected_pieces(mesh: &Mesh) -> Vec<Mesh> {
    let (group_of, groups) = solids(mesh, &Topology::of(&mesh.triangles));
    if groups == 1 {
        return vec![mesh.clone()];
    }
    (0..groups as u32)
        .map(|group| part_of(mesh, |facet| group_of[facet] == group))
        .collect()
}

/// The solid of each facet, and how many there are.
pub(super) fn solids(mesh: &Mesh, topology: &Topology) -> (Vec<u32>, usize) {
    let count = topology.bodies;
    if count == 1 {
        return (vec![0; mesh.triangles.len()], 1);
    }
    let shells = shells(mesh, topology);
    let mut leader: Vec<usize> = (0..count).collect();
    let mut surfaces: Vec<Option<Option<TriMesh>>> = Vec::new();
    surfaces.resize_with(count, || None);
    let mut looked_at = 0;
    for (a, b) in pairs_that_meet(&shells) {
        if root(&mut leader, a) == root(&mut leader, b) {
            continue;
        }
        looked_at += 1;
        let one = looked_at > MOST_PAIRS || {
            for shell in [a, b] {
                if surfaces[shell].is_none() {
                    surfaces[shell] = Some(surface(mesh, topology, shell as u32));
                }
            }
            let of = |shell: usize| surfaces[shell].as_ref().and_then(Option::as_ref);
            are_one(&shells, (a, of(a)), (b, of(b)))
        };
        if one {
            let (a, b) = (root(&mut leader, a), root(&mut leader, b));
            leader[a.max(b)] = a.min(b);
        }
    }
    let mut number = vec![u32::MAX; count];
    let mut groups = 0;
    for shell in 0..count {
        let at = root(&mut leader, shell);
        if number[at] == u32::MAX {
            number[at] = groups;
            groups += 1;
        }
        number[shell] = number[at];
    }
    let of_facet = (0..mesh.triangles.len()).map(|f| number[topology.body_of(f) as usize]);
    (of_facet.collect(), groups as usize)
}

fn root(leader: &mut [usize], mut item: usize) -> usize {
    while leader[item] != item {
        leader[item] = leader[leader[item]];
        item = leader[item];
    }
    item
}

fn shells(mesh: &Mesh, topology: &Topology) -> Vec<Shell> {
    let mut facets: Vec<Vec<[u32; 3]>> = vec![Vec::new(); topology.bodies];
    for (facet, t) in mesh.triangles.iter().enumerate() {
        facets[topology.body_of(facet) as usize].push(*t);
    }
    let shell = |facets: &Vec<[u32; 3]>| {
        let a_corner_mm = facets
            .first()
            .map_or(Point3::origin(), |t| mesh.vertices_mm[t[0] as usize]);
        let corners = facets.iter().flatten();
        let (low_mm, high_mm) = corners
            .map(|v| mesh.vertices_mm[*v as usize])
            .fold((a_corner_mm, a_corner_mm), |(low, high), v| {
                (low.inf(&v), high.sup(&v))
            });
        let centre = nalgebra::center(&low_mm, &high_mm);
        Shell {
            low_mm,
            high_mm,
            a_corner_mm,
            volume_mm3: mass_properties(&mesh.vertices_mm, facets, centre).volume_mm3,
        }
    };
    facets.iter().map(shell).collect()
}

/// Pairs whose boxes meet, found along x.
fn pairs_that_meet(shells: &[Shell]) -> Vec<(usize, usize)> {
    /// A heap of shells on one another has more pairs than are worth listing; those left out stay apart.
    const MOST_LISTED: usize = 2_000_000;
    let mut order: Vec<usize> = (0..shells.len()).collect();
    order.sort_by(|a, b| shells[*a].low_mm.x.total_cmp(&shells[*b].low_mm.x));
    let mut pairs = Vec::new();
    for (place, a) in order.iter().enumerate() {
        for b in &order[place + 1..] {
            let (one, other) = (&shells[*a], &shells[*b]);
            if other.low_mm.x > one.high_mm.x || pairs.len() >= MOST_LISTED {
                break;
            }
            let meet = (1..3)
                .all(|i| one.low_mm[i] <= other.high_mm[i] && other.low_mm[i] <= one.high_mm[i]);
            if meet {
                pairs.push((*a.min(b), *a.max(b)));
            }
        }
    }
    pairs.sort_unstable();
    pairs
}

fn surface(mesh: &Mesh, topology: &Topology, shell: u32) -> Option<TriMesh> {
    let mut corners = Vec::new();
    for (facet, _) in mesh.triangles.iter().enumerate() {
        if topology.body_of(facet) == shell {
            corners.extend(mesh.corners(facet).map(|p| Vector::new(p.x, p.y, p.z)));
        }
    }
    let indices = (0..corners.len() as u32 / 3)
        .map(|f| [3 * f, 3 * f + 1, 3 * f + 2])
        .collect();
    TriMesh::new(corners, indices).ok()
}

/// Whether two shells bound one solid: their surfaces meet, or a cavity or a solid lies in a solid.
fn are_one(
    shells: &[Shell],
    (a, of_a): (usize, Option<&TriMesh>),
    (b, of_b): (usize, Option<&TriMesh>),
) -> bool {
    let (Some(of_a), Some(of_b)) = (of_a, of_b) else {
        // A shell that is no surface to the library is kept with what is near it.
        return true;
    };
    let still = Pose::IDENTITY;
    if intersection_test(&still, of_a, &still, of_b).is_ok_and(|answer| answer.intersecting) {
        return true;
    }
    let (one, other) = (&shells[a], &shells[b]);
    let (a_holds_b, b_holds_a) = (surrounds(of_a, one, other), surrounds(of_b, other, one));
    // A solid loose in a closed cavity is kept with what is around it: it can't be laid apart.
    let solid_in_solid = one.volume_mm3 > 0.0 && other.volume_mm3 > 0.0;
    let cavity_in_solid = (a_holds_b && one.volume_mm3 > 0.0 && other.volume_mm3 < 0.0)
        || (b_holds_a && other.volume_mm3 > 0.0 && one.volume_mm3 < 0.0);
    cavity_in_solid || (solid_in_solid && (a_holds_b || b_holds_a))
}

/// Whether a shell lies around another: a ray from a corner leaves it an odd number of times.
fn surrounds(surface: &TriMesh, outer: &Shell, inner: &Shell) -> bool {
    let inside =
        (0..3).all(|i| outer.low_mm[i] < inner.low_mm[i] && inner.high_mm[i] < outer.high_mm[i]);
    if !inside {
        return false;
    }
    let at = inner.a_corner_mm;
    let from = Vector::new(at.x, at.y, at.z);
    let direction = Vector::new(0.577_2, 0.303_1, 0.758_3);
    let reach = 2.0 * (outer.high_mm - outer.low_mm).norm();
    let (mut travelled, mut crossings) = (0.0, 0);
    while crossings < surface.indices().len() {
        let ray = Ray::new(from + direction * travelled, direction);
        match surface.cast_local_ray(&ray, reach, false) {
            Some(distance) => travelled += distance + reach * 1e-9,
            None => break,
        }
        crossings += 1;
    }
    crossings % 2 == 1
}
