//! An outline at a turn, and the simpler one that stands for it while places are sought.

use nalgebra::Point2;

use crate::plane::{Convexes, Region, convex_hull};

/// Corners of an outline that is looked at as it is.
const FEW_CORNERS: usize = 40;
/// The tolerances tried, mm, until an outline has few corners. It only gains by them, at most twice the tolerance.
const TOLERANCES_MM: [f64; 6] = [0.02, 0.05, 0.1, 0.2, 0.4, 0.8];

/// Where shapes keep off each other is made smoother beyond so many corners, by so much, mm: it only gains.
const RAGGED_CORNERS: usize = 80;
const SMOOTHED_MM: f64 = 0.02;
/// The hull by which a shape is held in a round bed is thinned to this, mm, where it has many corners.
const HULL_THIN_MM: f64 = 0.01;

/// An item at one turn.
#[derive(Debug, Clone)]
pub(super) struct Shape {
    pub item: usize,
    pub turn_deg: f64,
    /// The outline turned about its origin.
    pub outline: Region,
    /// Its box, mm.
    pub low: [f64; 2],
    pub high: [f64; 2],
    /// What stands for it, in convex pieces, mirrored for sums.
    pub mirrored: Convexes,
    /// The corners of its hull.
    pub corners: Vec<Point2<f64>>,
    /// The same grown by the clearance.
    pub grown: Convexes,
}

impl Shape {
    /// `slim` is what stands for the outline; see [`slim`].
    pub fn of(
        item: usize,
        outline: &Region,
        slim: &Region,
        turn_deg: f64,
        keep_off_mm: f64,
    ) -> Shape {
        let turn_deg = turn_deg.rem_euclid(360.0);
        let outline = turned(outline, turn_deg);
        let (low, high) = outline.box_mm().unwrap_or_default();
        let slim = turned(slim, turn_deg);
        let pieces = Convexes::of(&slim);
        let corners = few_corners(&outline);
        Shape {
            item,
            turn_deg,
            outline,
            low,
            high,
            mirrored: pieces.mirrored(),
            corners,
            grown: pieces.grown(keep_off_mm),
        }
    }

    /// Where this shape may not be moved beside another at its own origin.
    pub fn kept_off(&self, other: &Shape) -> Region {
        let around = other.grown.sum(&self.mirrored);
        if around.rings().map(|ring| ring.len()).sum::<usize>() <= RAGGED_CORNERS {
            return around;
        }
        let smooth = around.offset_unthinned(SMOOTHED_MM).thinned_to(SMOOTHED_MM);
        if around.minus(&smooth).is_empty() {
            smooth
        } else {
            around
        }
    }

    pub fn size(&self) -> [f64; 2] {
        [self.high[0] - self.low[0], self.high[1] - self.low[1]]
    }
}

/// A region turned about the origin, degrees counter-clockwise; whole quarter turns are exact.
pub(super) fn turned(region: &Region, turn_deg: f64) -> Region {
    let (cosine, sine) = unit(turn_deg);
    let turn = |[x, y]: [f64; 2]| [x * cosine - y * sine, x * sine + y * cosine];
    Region::from_rings(
        region
            .rings()
            .map(|ring| ring.into_iter().map(turn).collect()),
    )
}

/// Cosine and sine, exact at whole quarter turns.
pub(super) fn unit(turn_deg: f64) -> (f64, f64) {
    let quarters = turn_deg.rem_euclid(360.0) / 90.0;
    match quarters {
        0.0 => (1.0, 0.0),
        1.0 => (0.0, 1.0),
        2.0 => (-1.0, 0.0),
        3.0 => (0.0, -1.0),
        _ => {
            let (sine, cosine) = turn_deg.to_radians().sin_cos();
            (cosine, sine)
        }
    }
}

/// The corners of the hull of a region, counter-clockwise.
pub(super) fn hull(region: &Region) -> Vec<Point2<f64>> {
    let points: Vec<Point2<f64>> = region.rings().flatten().map(Point2::from).collect();
    convex_hull(points.into_iter())
}

/// The corners of the hull, or of one hardly larger that has fewer.
fn few_corners(outline: &Region) -> Vec<Point2<f64>> {
    let corners = hull(outline);
    if corners.len() <= 2 * FEW_CORNERS {
        return corners;
    }
    let ring = Region::from_rings([corners.iter().map(|p| [p.x, p.y]).collect()]);
    let thin = ring.offset_unthinned(HULL_THIN_MM).thinned_to(HULL_THIN_MM);
    if ring.minus(&thin).is_empty() {
        hull(&thin)
    } else {
        corners
    }
}

/// What stands for an outline while places are sought: holes and everything in them filled where nothing of
/// `least_across_mm` can stand in one, and no more than a few corners. It holds the outline.
pub(super) fn slim(outline: &Region, least_across_mm: f64) -> Region {
    let filled = without_small_holes(outline, least_across_mm);
    let corners = |region: &Region| region.rings().map(|ring| ring.len()).sum::<usize>();
    if corners(&filled) <= FEW_CORNERS {
        return filled;
    }
    let mut coarse = filled.clone();
    for tolerance_mm in TOLERANCES_MM {
        // Thinning moves a line by its tolerance at most, so the set grown by it beforehand still holds all of it.
        let thin = filled
            .offset_unthinned(tolerance_mm)
            .thinned_to(tolerance_mm);
        if !filled.minus(&thin).is_empty() {
            continue;
        }
        if corners(&thin) < corners(&coarse) {
            coarse = thin;
        }
        if corners(&coarse) <= FEW_CORNERS {
            return coarse;
        }
    }
    if corners(&coarse) <= 4 * FEW_CORNERS {
        return coarse;
    }
    let hull = hull(&coarse).iter().map(|p| [p.x, p.y]).collect();
    Region::from_rings([hull])
}

fn without_small_holes(outline: &Region, least_across_mm: f64) -> Region {
    let solid = outline.without_holes();
    let holes = solid.minus(outline).pieces().into_iter();
    let large = holes.filter(|hole| {
        let across = hole
            .box_mm()
            .map(|(low, high)| (high[0] - low[0]).hypot(high[1] - low[1]));
        across.is_some_and(|across| across > least_across_mm)
    });
    large.fold(solid, |left, hole| left.minus(&hole))
}
