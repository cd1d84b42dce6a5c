//! The poses in which a part stands on its own.

use nalgebra::{Point3, Vector3};

use super::contact::{Stand, diagonal_mm, ratio};
use super::corners::{extremes, spread_axes, thinned};
use super::hull3::Hull;
use crate::mesh::{Mesh, mass_properties};
use crate::pose::footprint::extent_mm;
use crate::pose::tolerance::{LENGTH_SHARE, ON_BED_SHARE};
use crate::pose::{Down, Footprints, Rest};

/// Resting poses that are given; the others are counted.
pub const MOST_RESTING_POSES: usize = 200;

/// Directions, each both ways, whose extreme points stand for a part with too many corners: the first number of them that
/// gives a hull.
const STAND_IN_AXES: [usize; 3] = [300, 150, 60];

/// Points looked at, over all faces: a ball of a million facets has no faces worth more.
const MOST_LOOKS: usize = 100_000_000;

/// A pose in which a part stands on its own: on a face of its convex hull, its centroid above that face.
#[derive(Debug, Clone, PartialEq)]
pub struct RestingPose {
    /// The part's direction that points down.
    pub rest: Rest,
    /// Area of the convex hull of what touches the bed, mm2.
    pub contact_mm2: f64,
    /// Height of the centroid above the bed, mm.
    pub centroid_height_mm: f64,
    /// From the point under the centroid to the nearest edge of the contact, mm.
    pub to_edge_mm: f64,
    /// By how much the bed may lean before the part tips over that edge, degrees: the arc tangent of the distance to
    /// the edge over the height of the centroid.
    pub tipping_deg: f64,
    /// Height of the part, mm.
    pub height_mm: f64,
    /// Height over the least width of the contact; see [`FirstContact`](crate::pose::FirstContact).
    pub height_to_footprint: Option<f64>,
}

/// All resting poses of a part.
#[derive(Debug, Clone, PartialEq)]
pub struct RestingPoses {
    /// The largest contact first; of contacts alike, the lowest part first. At most [`MOST_RESTING_POSES`].
    pub poses: Vec<RestingPose>,
    /// How many more were found.
    pub left_out: usize,
    /// The centroid they stand by, in the coordinates of the mesh, mm.
    pub centroid_mm: Point3<f64>,
    /// Whether it is the centroid of the volume; of the surface where the mesh is open or encloses nothing.
    pub by_volume: bool,
}

/// The faces of the convex hull on which the part stands: those whose contact polygon holds the point under the
/// centroid. Triangles of the hull within a millionth of the part's size of one plane are one face; a face as near
/// to square on an axis rests on the axis. None for a part without thickness, which has no faces, and none that the
/// hull of its corners does not show: where a part has over four thousand corners, faces are sought on the hull of the
/// furthest of them, or of some where they are over fifty thousand, and each is checked against all.
pub fn resting_poses(footprints: &Footprints<'_>) -> RestingPoses {
    let mesh = footprints.mesh();
    let (centroid_mm, by_volume) = balance(mesh);
    let corners = footprints.corners();
    let centroid = centroid_mm - mesh.box_mm().0;
    let mut poses = faces(corners)
        .into_iter()
        .filter_map(|face| standing(corners, &face, &centroid))
        .collect::<Vec<_>>();
    sort(&mut poses, diagonal_mm(corners));
    let left_out = poses.len().saturating_sub(MOST_RESTING_POSES);
    poses.truncate(MOST_RESTING_POSES);
    RestingPoses {
        poses,
        left_out,
        centroid_mm,
        by_volume,
    }
}

/// The hull of a part's corners; of the furthest of them where they are many, or where the library finds none that holds
/// for all. It lies inside the part's own hull.
pub(in crate::pose) fn inner_hull(corners: &[Point3<f64>]) -> Option<Hull> {
    let some = thinned(corners);
    let fewer = |axes: &usize| Hull::of(&extremes(&some, &spread_axes(*axes)));
    Hull::of(corners).or_else(|| STAND_IN_AXES.iter().find_map(fewer))
}

/// The rests on the faces of the hull, one for each plane; larger triangles first, for they say best where a plane lies.
fn faces(corners: &[Point3<f64>]) -> Vec<Rest> {
    let Some(hull) = inner_hull(corners) else {
        return Vec::new();
    };
    let near_mm = ON_BED_SHARE * diagonal_mm(&hull.points);
    let mut order: Vec<usize> = (0..hull.planes.len()).collect();
    order.sort_by(|&a, &b| hull.planes[b].area_mm2.total_cmp(&hull.planes[a].area_mm2));
    let mut taken = vec![false; hull.planes.len()];
    let mut rests = Vec::new();
    // Some of very many corners settle most faces of a round part; all are looked at where those do not pass.
    let some = thinned(corners);
    let most = (MOST_LOOKS / corners.len().max(1)).max(1);
    for facet in order {
        if taken[facet] || rests.len() >= most {
            continue;
        }
        let plane = hull.planes[facet];
        for (other, corners) in hull.facets.iter().enumerate() {
            let reach = |i: &u32| plane.normal.dot(&hull.points[*i as usize].coords);
            taken[other] |= corners
                .iter()
                .all(|i| reach(i) >= plane.offset_mm - near_mm);
        }
        taken[facet] = true;
        let down = square_if_near(plane.normal);
        let reach = |p: &Point3<f64>| down.dot(&p.coords);
        let bed_mm = hull
            .points
            .iter()
            .map(reach)
            .fold(f64::NEG_INFINITY, f64::max);
        if some
            .iter()
            .chain(corners)
            .all(|p| reach(p) <= bed_mm + near_mm)
        {
            rests.extend(Rest::on(down));
        }
    }
    rests
}

/// A tilt of a millionth moves no point by more than a millionth of the part's size.
fn square_if_near(normal: Vector3<f64>) -> Vector3<f64> {
    let near = |down: &Down| (down.vector() - normal).norm() <= ON_BED_SHARE;
    Down::ALL
        .into_iter()
        .find(near)
        .map_or(normal, Down::vector)
}

/// The resting pose on a face, where the part stands on it.
fn standing(corners: &[Point3<f64>], rest: &Rest, centroid: &Vector3<f64>) -> Option<RestingPose> {
    let stand = Stand::of(corners, rest);
    let under = (rest.rotation() * centroid).xy().into();
    let to_edge_mm = stand.inside_mm(&under)?;
    if to_edge_mm <= LENGTH_SHARE * diagonal_mm(corners) {
        return None;
    }
    let centroid_height_mm = stand.bed_mm - rest.direction().dot(centroid);
    let height_mm = extent_mm(corners, &rest.direction());
    Some(RestingPose {
        rest: *rest,
        contact_mm2: stand.area_mm2(),
        centroid_height_mm,
        to_edge_mm,
        tipping_deg: to_edge_mm.atan2(centroid_height_mm).to_degrees(),
        height_mm,
        height_to_footprint: ratio(height_mm, stand.least_width_mm()),
    })
}

/// Rounded to a billionth of the part's size, so that a cube's faces keep their order.
fn sort(poses: &mut [RestingPose], size_mm: f64) {
    let whole = |length: f64, unit: f64| (length / (unit * LENGTH_SHARE)).round();
    let key = |pose: &RestingPose| {
        let down = pose
            .rest
            .axis()
            .and_then(|axis| Down::ALL.iter().position(|d| *d == axis));
        (
            -whole(pose.contact_mm2, size_mm * size_mm),
            whole(pose.height_mm, size_mm),
            down.unwrap_or(Down::ALL.len()),
        )
    };
    poses.sort_by(|a, b| {
        let (a, b) = (key(a), key(b));
        a.0.total_cmp(&b.0)
            .then(a.1.total_cmp(&b.1))
            .then(a.2.cmp(&b.2))
    });
}

/// The part's centroid, and whether it is the volume's. The volume's is taken where the facets' area vectors cancel, as
/// they do on every closed surface, and it lies inside the part's box; the surface's else.
fn balance(mesh: &Mesh) -> (Point3<f64>, bool) {
    let (low, high) = mesh.box_mm();
    let mass = mass_properties(&mesh.vertices_mm, &mesh.triangles, low + (high - low) / 2.0);
    let closed = mass.area_vector_mm2.norm() <= ON_BED_SHARE * mass.area_mm2;
    let inside = (0..3).all(|i| low[i] <= mass.centroid_mm[i] && mass.centroid_mm[i] <= high[i]);
    if closed && inside && mass.volume_mm3 != 0.0 {
        return (mass.centroid_mm, true);
    }
    let mut moment = Vector3::zeros();
    let mut areas = 0.0;
    for facet in 0..mesh.triangles.len() {
        let [a, b, c] = mesh.corners(facet).map(|corner| corner - low);
        let area = (b - a).cross(&(c - a)).norm();
        moment += (a + b + c) / 3.0 * area;
        areas += area;
    }
    let centroid = if areas > 0.0 {
        low + moment / areas
    } else {
        low + (high - low) / 2.0
    };
    (centroid, false)
}
