//! How good a plane is as a joint: what is glued or bolted there.

use crate::plane::Region;

/// A joint narrower than this is hard to glue true and takes no bolt, mm. A judgement without source: three wide beads, or an M3
/// screw with a wall around it.
pub const LEAST_JOINT_WIDTH_MM: f64 = 6.0;

/// What counts as wide enough when a joint's least width is given: what is left out are corners and thin tips.
const WIDE_SHARE: f64 = 0.95;

/// What is known of the section in a plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JointFigures {
    /// Area, mm2; space that bodies share counted once.
    pub area_mm2: f64,
    /// Length of all outlines, mm.
    pub outline_mm: f64,
    /// Separate faces.
    pub faces: usize,
    /// Twice the area over the outline, mm: the width of a strip, half that of a square or disc.
    pub mean_width_mm: f64,
    /// Share of the area that is at least [`LEAST_JOINT_WIDTH_MM`] wide.
    pub wide_share: f64,
}

impl JointFigures {
    /// The figures of a section.
    pub fn of(section: &Region) -> JointFigures {
        let (area_mm2, outline_mm) = (section.area_mm2(), section.outline_mm());
        let share = |area: f64| if area_mm2 > 0.0 { area / area_mm2 } else { 0.0 };
        JointFigures {
            area_mm2,
            outline_mm,
            faces: section.pieces().len(),
            mean_width_mm: if outline_mm > 0.0 {
                2.0 * area_mm2 / outline_mm
            } else {
                0.0
            },
            wide_share: share(section.open(LEAST_JOINT_WIDTH_MM / 2.0).area_mm2()).min(1.0),
        }
    }

    /// What speaks against a joint; the least is the best. A judgement without source, in units of the largest section that was
    /// looked at (`largest_mm2`):
    /// - its area over the largest: less to glue, and less of the part touched;
    /// - 4 times the share that is narrower than [`LEAST_JOINT_WIDTH_MM`], and up to 2 for a mean width below it: a thin rim holds
    ///   nothing;
    /// - a quarter for each further face: every face has to be brought to meet;
    /// - up to a quarter for a ragged outline (1 less `4 pi A / U^2`, 0 for a disc);
    /// - up to 3 for faces of the part that lie flat beside the plane (`grazed_mm2` of them): a cut there leaves films.
    ///
    /// Widths are the worst of this section and of those `beside` it: a joint hard by a thin neck is as weak as the neck.
    pub fn cost(&self, largest_mm2: f64, grazed_mm2: f64, beside: &[JointFigures]) -> f64 {
        if self.area_mm2 <= 0.0 {
            // Nothing is parted here, so the cut would be spent for nothing.
            return 10.0;
        }
        let near = beside.iter().filter(|figures| figures.area_mm2 > 0.0);
        let (wide_share, mean_width_mm) = near.fold(
            (self.wide_share, self.mean_width_mm),
            |(share, width), figures| {
                (
                    share.min(figures.wide_share),
                    width.min(figures.mean_width_mm),
                )
            },
        );
        let round =
            4.0 * std::f64::consts::PI * self.area_mm2 / (self.outline_mm * self.outline_mm);
        self.area_mm2 / largest_mm2.max(self.area_mm2)
            + 4.0 * (1.0 - wide_share)
            + 2.0 * (1.0 - mean_width_mm / LEAST_JOINT_WIDTH_MM).max(0.0)
            + 0.25 * (self.faces.min(40) - self.faces.min(1)) as f64
            + 0.25 * (1.0 - round.min(1.0))
            + 3.0 * (grazed_mm2 / self.area_mm2).min(1.0)
    }
}

/// The greatest width that 95 % of a section's area have, mm: the section opened by half of it keeps so much.
pub(super) fn least_width_mm(section: &Region) -> f64 {
    let area_mm2 = section.area_mm2();
    let Some((low, high)) = section.box_mm() else {
        return 0.0;
    };
    let keeps = |width: f64| section.open(width / 2.0).area_mm2() >= WIDE_SHARE * area_mm2;
    let (mut wide, mut narrow) = (0.0, (high[0] - low[0]).min(high[1] - low[1]) * 1.001);
    if keeps(narrow / 1.001) {
        return narrow / 1.001;
    }
    // To a thousandth of the section's own size.
    for _ in 0..10 {
        let middle = (wide + narrow) / 2.0;
        if keeps(middle) {
            wide = middle;
        } else {
            narrow = middle;
        }
    }
    wide
}

/// Area within a ring, mm2, positive where it runs counter-clockwise. Summed about its first point.
pub(super) fn ring_area_mm2(ring: &[[f64; 2]]) -> f64 {
    let Some(first) = ring.first() else {
        return 0.0;
    };
    let from_first = |p: &[f64; 2]| [p[0] - first[0], p[1] - first[1]];
    let pairs = ring.windows(2).map(|pair| {
        let (a, b) = (from_first(&pair[0]), from_first(&pair[1]));
        a[0] * b[1] - a[1] * b[0]
    });
    pairs.sum::<f64>() / 2.0
}

/// Areas of facets that lie flat across an axis, by height.
pub(super) struct FlatFaces {
    /// Height and area, lowest first.
    faces: Vec<(f64, f64)>,
}

impl FlatFaces {
    /// A facet lies flat where it leans at most so far from the plane: 5 degrees.
    const FLAT_COSINE: f64 = 0.996;
    /// A face nearer to a cut than this is grazed, mm.
    const NEAR_MM: f64 = 2.0;

    /// The flat faces of a mesh that stands upright on the axis.
    pub fn of(upright: &crate::mesh::Mesh) -> FlatFaces {
        let facets = (0..upright.triangles.len()).filter_map(|facet| {
            let [a, b, c] = upright.corners(facet);
            let normal = (b - a).cross(&(c - a));
            let flat = normal.z.abs() > Self::FLAT_COSINE * normal.norm();
            flat.then_some(((a.z + b.z + c.z) / 3.0, normal.norm() / 2.0))
        });
        let mut faces: Vec<(f64, f64)> = facets.collect();
        faces.sort_by(|a, b| a.0.total_cmp(&b.0));
        FlatFaces { faces }
    }

    /// Area of those beside a plane, mm2.
    pub fn near_mm2(&self, at_mm: f64) -> f64 {
        let first = self.faces.partition_point(|f| f.0 < at_mm - Self::NEAR_MM);
        let near = self.faces[first..].iter();
        near.take_while(|f| f.0 <= at_mm + Self::NEAR_MM)
            .map(|f| f.1)
            .sum()
    }
}
