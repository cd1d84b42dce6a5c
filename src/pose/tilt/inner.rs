//! A few points that stand for a part: what does not hold them does not hold the part.

use nalgebra::{Point3, Vector3};

use super::bound::Enclosure;
use super::corners::{cube_axes, extremes, spread_axes, thinned};
use super::hull3::{Hull, HullEdge};
use super::rests::inner_hull;

/// A part with no more corners than this is looked at whole.
const FEW: usize = 300;

/// Directions, each both ways, whose extreme points stand for a part with more corners.
const AXES: usize = 115;

/// Pairs of the edges of more than this many are not looked at.
const MOST_EDGES: usize = 1500;

/// Facets whose normals differ by less lie in one plane.
const SAME_PLANE: f64 = 1e-7;

/// Poses on an edge that are kept, the lowest first.
const MOST_EDGE_RESTS: usize = 400;

/// Points of a part and what is known of their hull.
#[derive(Debug, Clone)]
pub(in crate::pose) struct Inner {
    /// Relative to the least corner of the part's box, mm.
    pub points: Vec<Point3<f64>>,
    /// Whether they are all corners of the part.
    whole: bool,
    hull: Option<Hull>,
    /// The least width of the hull, mm, where it is known.
    least_width_mm: Option<f64>,
    /// Directions that rest on an edge and have an edge on top: the part is there lower than all around.
    pub edge_rests: Vec<Vector3<f64>>,
}

impl Inner {
    pub fn of(corners: &[Point3<f64>]) -> Self {
        let points = if corners.len() <= FEW {
            corners.to_vec()
        } else {
            let mut axes = cube_axes();
            axes.extend(spread_axes(AXES));
            extremes(&thinned(corners), &axes)
        };
        let hull = if corners.len() <= FEW {
            inner_hull(corners)
        } else {
            Hull::of(&points)
        };
        let pairs = hull
            .as_ref()
            .filter(|hull| hull.edges.len() <= MOST_EDGES)
            .map(opposite_edges);
        let least_width_mm = hull
            .as_ref()
            .zip(pairs.as_ref())
            .map(|(hull, pairs)| least_width_mm(hull, pairs));
        let edge_rests = pairs
            .unwrap_or_default()
            .into_iter()
            .take(MOST_EDGE_RESTS)
            .map(|pair| pair.1)
            .collect();
        Self {
            whole: points.len() == corners.len(),
            points,
            hull,
            least_width_mm,
            edge_rests,
        }
    }

    /// Why no pose can fit, where a figure that never falls with the size of a convex body says so.
    pub fn too_large_for(&self, space: &Enclosure) -> Option<String> {
        if !space.has_room() {
            return Some("the machine has no room within its margins".to_owned());
        }
        // A few of the part's points are no larger than the part.
        let is = if self.whole { "is" } else { "is at least" };
        let length_mm = self.greatest_mm();
        if length_mm > space.across_mm() {
            let [part, room] = apart(length_mm, space.across_mm());
            return Some(format!(
                "it {is} {part} mm long and the space is {room} mm from corner to corner"
            ));
        }
        if let Some(width_mm) = self
            .least_width_mm
            .filter(|width_mm| *width_mm > space.least_mm())
        {
            let [part, room] = apart(width_mm, space.least_mm());
            return Some(format!(
                "its thinnest box {is} {part} mm across and the space offers at most {room} mm"
            ));
        }
        let hull = self.hull.as_ref()?;
        let laws = [
            (
                hull.volume_mm3(),
                space.volume_mm3(),
                "the volume of its convex hull",
                "mm3",
            ),
            (
                hull.surface_mm2(),
                space.surface_mm2(),
                "the surface of its convex hull",
                "mm2",
            ),
            (
                hull.mean_width_mm(),
                space.mean_width_mm(),
                "its width averaged over all directions",
                "mm",
            ),
        ];
        let (part, room, what, unit) = laws.into_iter().find(|(part, room, ..)| part > room)?;
        let [part, room] = apart(part, room);
        Some(format!(
            "{what} {is} {part} {unit} and the space's is {room} {unit}"
        ))
    }

    /// The greatest distance between two of the points, mm.
    fn greatest_mm(&self) -> f64 {
        let pairs = self
            .points
            .iter()
            .enumerate()
            .flat_map(|(i, a)| self.points[..i].iter().map(move |b| (a, b)));
        pairs.map(|(a, b)| (a - b).norm()).fold(0.0, f64::max)
    }
}

/// Two figures with as many decimals as it takes to tell them apart.
fn apart(a: f64, b: f64) -> [String; 2] {
    let written = |digits: usize| [a, b].map(|figure| format!("{figure:.digits$}"));
    (1..6)
        .map(written)
        .find(|[a, b]| a != b)
        .unwrap_or_else(|| written(6))
}

/// The least width of a convex body: it lies between two parallel planes of which one holds a face, or each an edge
/// (Houle & Toussaint 1988, from memory). A needle's plane is not sure, so its width is taken lower.
fn least_width_mm(hull: &Hull, pairs: &[(f64, Vector3<f64>)]) -> f64 {
    let faces = hull.planes.iter().map(|plane| {
        let reaches = hull
            .points
            .iter()
            .map(|p| plane.offset_mm - plane.normal.dot(&p.coords));
        reaches.fold(0.0, f64::max) - 2.0 * plane.doubt_mm
    });
    faces
        .chain(pairs.first().map(|pair| pair.0))
        .fold(f64::INFINITY, f64::min)
}

/// Every two edges that lie in parallel planes with the hull between them: the distance of the planes, mm, and their
/// normal; the nearest first. Edges in line with each other set no planes; faces beside them do.
fn opposite_edges(hull: &Hull) -> Vec<(f64, Vector3<f64>)> {
    let mut found = Vec::new();
    for (i, a) in hull.edges.iter().enumerate() {
        let along_a = hull.along(a).0;
        for b in &hull.edges[..i] {
            let normal = along_a.cross(&hull.along(b).0);
            let length = normal.norm();
            if length < 1e-9 {
                continue;
            }
            let step = hull.points[a.ends[0] as usize] - hull.points[b.ends[0] as usize];
            let normal = normal / length;
            let width_mm = normal.dot(&step);
            let normal = if width_mm < 0.0 { -normal } else { normal };
            if supports(hull, a, &normal) && supports(hull, b, &-normal) {
                found.push((width_mm.abs(), normal));
            }
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found
}

/// Whether the plane square on a normal that touches an edge leaves the hull on one side: the normal lies between those of
/// the two facets, a little more allowed.
fn supports(hull: &Hull, edge: &HullEdge, normal: &Vector3<f64>) -> bool {
    let [a, b] = edge.facets.map(|facet| hull.planes[facet as usize].normal);
    let (axis, between) = (a.cross(&b), a + b);
    if axis.norm() < SAME_PLANE {
        // The two facets are of one face, or nearly: only its own normal lies between theirs.
        return (normal - a).norm() < 10.0 * SAME_PLANE;
    }
    let from_a = a.cross(normal).dot(&axis);
    let to_b = normal.cross(&b).dot(&axis);
    let least = -1e-9;
    normal.dot(&between) > 0.0 && from_a >= least && to_b >= least
}
