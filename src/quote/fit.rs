//! Which machines hold a part, turned how, and with how much to spare.

use std::fmt::Write;

use super::bed_picture::{BedPicture, Measure, bed_svg};
use super::words::{WIDTH, by, capitalised, hang, own_name, size, size_inch, wrap};
use crate::mesh::InspectedMesh;
use crate::pose::{BuildSpace, MachineFit, PoseFit, TiltSearch, outline, turn_in_words};

/// Tilted poses listed of a machine that is not asked for alone.
const TILTED_SHOWN: usize = 3;

/// A machine's answer.
#[derive(Debug, Clone, PartialEq)]
pub struct FitRow {
    /// The machine's id.
    pub machine: String,
    /// The room it offers, with what is kept clear for a brim.
    pub space: BuildSpace,
    /// How the part fits it.
    pub fit: MachineFit,
}

/// Which machines hold a part, and turned how; with every clearance and every turn where `in_full`.
pub fn fit_text(part: &str, mesh: &InspectedMesh, rows: &[FitRow], in_full: bool) -> String {
    let mut text = String::new();
    let size_mm: [f64; 3] = mesh.mesh.size_mm().into();
    let holding = rows.iter().filter(|row| row.fit.fits).count();
    line!(text, "{part}: {} ({})", size(size_mm), size_inch(size_mm));
    line!(text, "It fits {holding} of {}.", machines(rows.len()));
    line!(text, "");
    line!(
        text,
        "  {:<10} {:<22} {:>8} {:>9} {:>21}  most room at",
        "machine",
        "pose",
        "turn",
        "to spare",
        "size on the bed mm"
    );
    for row in rows {
        // Of tilted poses the first few say enough; JSON has all.
        let only_tilted = row.fit.search.is_some() && !in_full;
        let shown = if only_tilted {
            TILTED_SHOWN
        } else {
            usize::MAX
        };
        for pose in row.fit.poses.iter().take(shown) {
            pose_line(&mut text, &row.machine, pose);
            if in_full {
                details(&mut text, pose);
            }
        }
        if let Some(search) = row.fit.search.as_ref().filter(|_| row.fit.fits) {
            line!(text, "{}", hang(&searched(search), 13));
        }
        if let Some(miss) = &row.fit.nearest_miss {
            let pieces = row.fit.pieces_if_cut.map_or(String::new(), |n| {
                format!(
                    "; its box cut square takes {n} pieces, and --cut-into DIR may do with fewer"
                )
            });
            line!(
                text,
                "{}",
                hang(
                    &format!(
                        "  {:<10} does not fit: {}{pieces}{}",
                        row.machine,
                        miss.words,
                        tilted(row)
                    ),
                    13
                )
            );
        }
    }
    text
}

/// What is said where only tilted poses fit.
fn searched(search: &TiltSearch) -> String {
    format!(
        "             No axis-down pose fits. {} poses were searched; found to fit: {}, those that stand on their own first. A part \
         tilted onto an edge is held up from below.",
        search.searched,
        search.found.len()
    )
}

/// What the search over all rotations came to where nothing fits.
fn tilted(row: &FitRow) -> String {
    let search = row.fit.search.as_ref();
    search.map_or(String::new(), |search| {
        format!(". Tilted: {}", search.in_words())
    })
}

fn machines(count: usize) -> String {
    if count == 1 {
        "1 machine".to_owned()
    } else {
        format!("{count} machines")
    }
}

fn pose_line(text: &mut String, machine: &str, pose: &PoseFit) {
    line!(
        text,
        "  {machine:<10} {:<22} {:>4.1} deg {:>6.1} mm {:>21}  {:.1} deg, {:.1} mm",
        short_name(pose),
        signed_turn(pose.turn_deg),
        pose.margin_mm,
        by(pose.size_mm, 1),
        signed_turn(pose.best_turn_deg),
        pose.best_margin_mm
    );
}

/// A tilted pose takes the pose it is tilted off from a line of its own where it is asked for in full.
fn short_name(pose: &PoseFit) -> String {
    if pose.tilt_deg > 0.0 {
        format!("tilted {:.1} degrees", pose.tilt_deg)
    } else {
        pose.down.in_words()
    }
}

fn details(text: &mut String, pose: &PoseFit) {
    let tilted =
        (pose.tilt_deg > 0.0).then(|| format!("{} (--down={})", pose.down.in_words(), pose.down));
    for sentence in tilted.into_iter().chain([sides(pose), turns(pose)]) {
        line!(
            text,
            "{}",
            wrap(
                &format!("             {}.", capitalised(&sentence)),
                WIDTH,
                "             "
            )
        );
    }
}

fn sides(pose: &PoseFit) -> String {
    let [left, right, front, back] = pose.sides_mm;
    format!(
        "to spare: left {left:.1}, right {right:.1}, front {front:.1}, back {back:.1}, above {:.1} mm",
        pose.above_mm
    )
}

fn turns(pose: &PoseFit) -> String {
    if pose.turns_deg == [(0.0, 360.0)] {
        return "it fits at every turn".to_owned();
    }
    let ranges = pose.turns_deg.iter().map(|(from, to)| {
        if to - from < 0.005 {
            format!("{from:.2}")
        } else {
            format!("{from:.2} to {to:.2}")
        }
    });
    let ranges: Vec<String> = ranges.collect();
    let open = if pose.turns_open_deg > 0.0 {
        format!(
            "; {:.2} degrees of turns could not be settled",
            pose.turns_open_deg
        )
    } else {
        String::new()
    };
    format!("turns that fit, degrees: {}{open}", ranges.join(", "))
}

fn signed_turn(turn_deg: f64) -> f64 {
    if turn_deg > 180.0 {
        turn_deg - 360.0
    } else {
        turn_deg
    }
}

/// The bed of a machine from above with a part in a pose that fits, its outline, margins and clearances, as an SVG document.
///
/// # Errors
/// What the plotting library says where it can't draw.
pub fn fit_svg(
    part: &str,
    mesh: &InspectedMesh,
    row: &FitRow,
    pose: &PoseFit,
) -> Result<String, String> {
    let part_on_bed = outline(&mesh.mesh, &pose.pose()).moved(pose.at_mm);
    // Each clearance is drawn from where the outline reaches furthest that way.
    let [left, right, front, back] = pose.sides_mm;
    let ways = [[-left, 0.0], [right, 0.0], [0.0, -front], [0.0, back]];
    let toward = [[-1.0, 0.0], [1.0, 0.0], [0.0, -1.0], [0.0, 1.0]];
    let measures = ways.into_iter().zip(toward).filter_map(|(way, toward)| {
        let reach = |p: &[f64; 2]| p[0] * toward[0] + p[1] * toward[1];
        let furthest = part_on_bed
            .rings()
            .flatten()
            .max_by(|a, b| reach(a).total_cmp(&reach(b)))?;
        Some(Measure {
            from_mm: furthest,
            to_mm: [furthest[0] + way[0], furthest[1] + way[1]],
        })
    });
    let measures = measures.collect();
    let turned = turn_in_words(pose.turn_deg).map_or(String::new(), |turn| format!(", {turn}"));
    bed_svg(&BedPicture {
        title: format!(
            "{} on {}: {}{turned}",
            own_name(part),
            row.machine,
            pose.down.in_words()
        ),
        notes: vec![
            capitalised(&sides(pose)) + ".",
            capitalised(&turns(pose)) + ".",
            format!(
                "The part is {} there. Grey can't be used: edge margin {} mm and what is kept clear.",
                size(pose.size_mm),
                row.space.edge_margin_mm
            ),
        ],
        bed: &row.space.bed_region(),
        usable: &row.space.usable_region(pose.size_mm[2]),
        parts: vec![(part_on_bed.clone(), String::new())],
        measures,
    })
}
