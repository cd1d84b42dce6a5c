//! Volume of the beads against volume of the layers.

use beadtally::bead::{Bead, Course};
use beadtally::section::Region;
use rayon::prelude::*;

use crate::parts::{Part, demonstration_parts, found_parts};
use crate::{beads_mm3, course, laying};

const NOZZLES_MM: [f64; 3] = [0.4, 0.6, 0.8];
/// Layers looked at in each part.
const LAYERS: usize = 20;
/// Bounds of the median and of the worst part, as shares.
const MEDIAN: f64 = 0.02;
const WORST: f64 = 0.08;
/// So many of the cases may be further off than the worst allowed, if what is bare by design explains them to the median's
/// bound.
const EXPLAINED_SHARE: f64 = 0.05;
/// At least so many closed meshes where the folder of shared ones is there.
const LEAST_FOUND: usize = 45;

/// What a part's beads have of what was to be laid, by volume.
struct Share {
    name: String,
    /// Volume of the beads over section area, less what is lost, times height.
    laid: f64,
    /// The same with what the design text leaves bare added: gaps between beads narrower than half a spacing, and the rim
    /// outside of the outermost bead. Looked for only where `laid` is far from 1.
    with_bare: f64,
}

/// `None` where nothing is to be laid.
fn share(part: &Part, nozzle_mm: f64) -> Option<Share> {
    let laying = laying(Bead::of_nozzle(nozzle_mm).unwrap(), 3);
    let h = laying.bead.height_mm();
    let layers = part.layers(&laying.bead, LAYERS);
    let (mut beads, mut layers_mm3) = (0.0, 0.0);
    let mut courses = Vec::new();
    for (k, region) in &layers {
        let (course, kept_mm2) = course(region, *k, &laying);
        beads += beads_mm3(&course);
        layers_mm3 += kept_mm2 * h;
        courses.push(course);
    }
    // Nothing of a part of thin sheets is wide enough for a bead.
    let whole_mm3: f64 = layers.iter().map(|(_, region)| region.area_mm2() * h).sum();
    if layers_mm3 <= 1e-6 * whole_mm3 {
        return None;
    }
    let laid = beads / layers_mm3;
    let mut with_bare = laid;
    if (laid - 1.0).abs() > WORST {
        let bare_mm2: f64 = layers
            .iter()
            .zip(&courses)
            .map(|((_, region), course)| bare_by_design_mm2(region, course, &laying.bead))
            .sum();
        with_bare += bare_mm2 * h / layers_mm3;
    }
    Some(Share {
        name: format!("{}, {nozzle_mm} mm", part.name),
        laid,
        with_bare,
    })
}

/// Area of a section that no bead covers by the design text, and that is charged all the same: what is behind the outermost
/// bead and narrower than half a spacing, and the rim between the outline and what the outermost bead fills, which has its edge
/// on the outline, is `w` wide there and carries a bead `s` wide: `(w - s)/2` at the outline.
fn bare_by_design_mm2(section: &Region, course: &Course, bead: &Bead) -> f64 {
    let quads = course.strokes.iter().flat_map(|stroke| {
        let half = stroke.bead_mm2 / bead.height_mm() / 2.0;
        stroke.points_mm.windows(2).filter_map(move |p| {
            let (dx, dy) = (p[1][0] - p[0][0], p[1][1] - p[0][1]);
            let length = dx.hypot(dy);
            let (ux, uy) = (dx / length * half, dy / length * half);
            let corner = |p: [f64; 2], on: f64, side: f64| {
                [p[0] + on * ux - side * uy, p[1] + on * uy + side * ux]
            };
            (length > 0.0).then(|| {
                vec![
                    corner(p[0], -1.0, -1.0),
                    corner(p[1], 1.0, -1.0),
                    corner(p[1], 1.0, 1.0),
                    corner(p[0], -1.0, 1.0),
                ]
            })
        })
    });
    let bare = section
        .inset(bead.width_mm() / 2.0)
        .minus(&Region::from_rings(quads));
    let wide = bare.open(bead.spacing_mm() / 4.0).and(&bare);
    let rim_mm = (bead.width_mm() - bead.spacing_mm()) / 2.0;
    let rim_mm2 = section.area_mm2() - section.inset(rim_mm).area_mm2();
    bare.area_mm2() - wide.area_mm2() + rim_mm2
}

/// Prints every share, worst last, and holds the median to 2 % and the worst to 8 %; what is further off to 2 % once what is
/// bare by design is counted in.
fn hold(what: &str, parts: &[Part]) {
    let cases: Vec<(&Part, f64)> = parts
        .iter()
        .flat_map(|part| NOZZLES_MM.map(|d| (part, d)))
        .collect();
    let mut shares: Vec<Share> = cases
        .par_iter()
        .filter_map(|(part, d)| share(part, *d))
        .collect();
    let off = |share: &Share| (share.laid - 1.0).abs();
    shares.sort_by(|a, b| off(a).total_cmp(&off(b)));
    for share in &shares {
        let bare = if share.with_bare == share.laid {
            String::new()
        } else {
            format!(
                "; {:+.2} % with what is bare by design",
                100.0 * (share.with_bare - 1.0)
            )
        };
        println!(
            "{:+7.2} %  {}{bare}",
            100.0 * (share.laid - 1.0),
            share.name
        );
    }
    let (median, worst) = (
        off(&shares[shares.len() / 2]),
        off(&shares[shares.len() - 1]),
    );
    let explained = shares.iter().filter(|s| off(s) > WORST).count();
    println!(
        "{what}: {} parts, {} cases, median {:.2} %, worst {:.2} %; {explained} beyond {:.0} %",
        parts.len(),
        shares.len(),
        100.0 * median,
        100.0 * worst,
        100.0 * WORST
    );
    assert!(median <= MEDIAN, "{what}: median {median}");
    for share in &shares {
        let left = (share.with_bare - 1.0).abs();
        let most = if off(share) > WORST { MEDIAN } else { WORST };
        assert!(left <= most, "{what}: {}, {left}", share.name);
    }
    assert!(
        explained as f64 <= EXPLAINED_SHARE * shares.len() as f64,
        "{what}: {explained} cases are further off"
    );
}

/// Expected: the design text (beads `s` apart fill a solid exactly).
#[test]
fn beads_of_the_demonstration_parts_have_the_volume_of_their_layers() {
    hold("demonstration parts", &demonstration_parts());
}

/// Expected: the design text (beads `s` apart fill a solid exactly).
#[test]
fn beads_of_found_parts_have_the_volume_of_their_layers() {
    let parts = found_parts();
    if parts.is_empty() {
        println!("no folder of shared meshes here: nothing looked at");
        return;
    }
    assert!(
        parts.len() >= LEAST_FOUND,
        "{} closed files only",
        parts.len()
    );
    hold("found parts", &parts);
}
