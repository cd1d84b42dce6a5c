//! The fewest cuts with which every piece fits a machine, and the pieces.

use nalgebra::Point3;

use super::joint::least_width_mm;
use super::pieces::connected_pieces;
use super::search::{Arrangement, LEAST_SLAB_MM, Search};
use super::split::{refuse_open, split_closed};
use super::{Axis, CutError, JointFigures, LEAST_JOINT_WIDTH_MM, Plane};
use crate::mesh::{InspectedMesh, Mending, Mesh, Topology, inspect_with, mass_properties};
use crate::plane::Region;
use crate::pose::{BuildSpace, Footprints, PoseFit, fit_machine};

/// Cuts tried together, at most.
pub const MOST_CUTS: usize = 12;
/// Bodies of a part that is cut, at most: each trial cuts them all.
const MOST_BODIES: usize = 500;
/// The pieces' volumes add up to the part's within this share.
const VOLUME_SHARE: f64 = 1e-6;
/// Arrangements that are really cut before the next number of cuts is tried.
const MOST_TRIED: usize = 4;
/// Equal cells may pass the machine by this factor and still be looked at by their content, of a part that fills its box well.
const MOST_EXCESS: f64 = 1.6;
/// The same of a part that hardly fills its box.
const MOST_EXCESS_OF_HOLLOW: f64 = 3.0;
/// Facets cut in the search for a cut that parts what hangs together, at most.
const MOST_FACETS_CUT: usize = 1_500_000;

/// One cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// The axis it goes across.
    pub axis: Axis,
    /// Where on it, mm in the part's own coordinates.
    pub at_mm: f64,
    /// Area to be joined, mm2.
    pub joint_mm2: f64,
    /// Separate faces to be joined, those that other cuts divide counted as many times.
    pub joints: usize,
    /// The width that 95 % of the joint have at least, mm.
    pub least_width_mm: f64,
    /// Length of the joint's outlines, mm.
    pub outline_mm: f64,
    /// Why here, in plain words.
    pub why: String,
}

/// One piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// The piece as a closed mesh in the part's own coordinates.
    pub part: InspectedMesh,
    /// Its volume, mm3.
    pub volume_mm3: f64,
    /// Least and greatest corner of its box, mm.
    pub box_mm: (Point3<f64>, Point3<f64>),
    /// The first pose in which it fits the machine.
    pub fit: PoseFit,
}

/// Where to cut a part for one machine, and the pieces.
#[derive(Debug, Clone, PartialEq)]
pub struct CutPlan {
    /// The cuts, by axis and place; none where the part fits whole, or falls apart into solids that fit.
    pub cuts: Vec<Cut>,
    /// The pieces, nearest to the part's lower corner first.
    pub pieces: Vec<Piece>,
    /// Whether fewer cuts surely do not do.
    pub fewest: bool,
    /// The plan in a sentence or two.
    pub words: String,
}

impl CutPlan {
    /// All area to be joined, mm2.
    pub fn joint_mm2(&self) -> f64 {
        self.cuts.iter().map(|cut| cut.joint_mm2).sum::<f64>() + 0.0
    }

    /// All faces to be joined.
    pub fn joints(&self) -> usize {
        self.cuts.iter().map(|cut| cut.joints).sum()
    }
}

/// Finds the fewest planes across the part's axes with which every piece fits a machine, and of those the best joints (see
/// [`JointFigures::cost`]); cuts the part and proves that every piece is closed, fits, and that nothing is lost.
///
/// Beside keep-outs and in beds of other shapes the places of the cuts are sought for the largest rectangle that is left.
/// The search is bounded: up to [`MOST_CUTS`] planes, a fixed number of looks at facets, and no plane is tried that would only fit
/// by a tilt. So more than one cut is "at most": fewer were not found. One cut is always the fewest, for without any the part does
/// not fit.
///
/// # Errors
/// [`CutError`] where the part is not closed, nothing fits, or the surface crosses itself so that a cut can't be closed.
pub fn plan(part: &InspectedMesh, space: &BuildSpace) -> Result<CutPlan, CutError> {
    refuse_open(part)?;
    if part.topology.bodies > MOST_BODIES {
        return Err(CutError::TooManyBodies {
            bodies: part.topology.bodies,
            most: MOST_BODIES,
        });
    }
    let plain = space.plain().filter(has_room).ok_or(CutError::NoRoom)?;
    let whole = Arrangement {
        cuts_mm: Default::default(),
        cost: 0.0,
    };
    if let Some(pieces) = Trial::of(part, space, &whole)?.pieces {
        return Ok(finished(None, &whole, pieces, true));
    }
    let mut search = Search::of(part, &plain);
    let mut failed = None;
    for cuts in 1..=MOST_CUTS {
        if let Some((arrangement, pieces)) = with_cuts(part, space, &mut search, cuts, &mut failed)
        {
            return Ok(finished(Some(&search), &arrangement, pieces, cuts == 1));
        }
    }
    Err(failed.unwrap_or(CutError::NoneFound { most: MOST_CUTS }))
}

fn has_room(plain: &BuildSpace) -> bool {
    plain.holds_box([1e-3; 3])
}

/// The best of the ways to make so many cuts, really cut.
fn with_cuts(
    part: &InspectedMesh,
    space: &BuildSpace,
    search: &mut Search<'_>,
    cuts: usize,
    failed: &mut Option<CutError>,
) -> Option<(Arrangement, Vec<Piece>)> {
    let most_excess = if search.filled() < 0.25 {
        MOST_EXCESS_OF_HOLLOW
    } else {
        MOST_EXCESS
    };
    let mut counts: Vec<(f64, [usize; 3])> = divisions(cuts)
        .map(|counts| (search.excess(counts), counts))
        .filter(|(excess, _)| *excess <= most_excess)
        .collect();
    counts.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut found: Vec<([usize; 3], Arrangement)> = counts
        .into_iter()
        .filter_map(|(_, counts)| Some((counts, search.arrange(counts)?)))
        .collect();
    found.sort_by(|a, b| a.1.cost.total_cmp(&b.1.cost));
    let mut thin: Option<(Arrangement, Vec<Piece>)> = None;
    for (counts, arrangement) in found.into_iter().take(MOST_TRIED) {
        let mut next = Some(arrangement);
        for _ in 0..MOST_TRIED {
            let Some(arrangement) = next.take() else {
                break;
            };
            let trial = match Trial::of(part, space, &arrangement) {
                Ok(trial) => trial,
                Err(error) => {
                    *failed = Some(error);
                    break;
                }
            };
            let Some(pieces) = trial.pieces else { break };
            if trial.thin.is_empty() {
                return Some((arrangement, pieces));
            }
            search.refused.extend(trial.thin);
            if thin.is_none() {
                thin = Some((arrangement, pieces));
            }
            next = search.arrange(counts);
        }
    }
    thin.or_else(|| {
        (cuts == 1)
            .then(|| falls_apart(part, space, search))
            .flatten()
    })
}

/// Every way to share so many planes among the axes.
fn divisions(cuts: usize) -> impl Iterator<Item = [usize; 3]> {
    (0..=cuts).flat_map(move |x| (0..=cuts - x).map(move |y| [x, y, cuts - x - y]))
}

/// One cut that parts solids which then fit each by itself, such as the legs of a fork: found by cutting.
fn falls_apart(
    part: &InspectedMesh,
    space: &BuildSpace,
    search: &Search<'_>,
) -> Option<(Arrangement, Vec<Piece>)> {
    let each = (MOST_FACETS_CUT / part.mesh.triangles.len().max(1) / 3).min(24);
    if each < 3 {
        return None;
    }
    let mut places: Vec<(Plane, f64)> = Axis::ALL
        .into_iter()
        .flat_map(|axis| search.places_along(axis, each))
        .collect();
    places.sort_by(|a, b| a.1.total_cmp(&b.1));
    places.into_iter().find_map(|(plane, cost)| {
        let mut cuts_mm: [Vec<f64>; 3] = Default::default();
        cuts_mm[plane.axis.index()].push(plane.at_mm);
        let arrangement = Arrangement { cuts_mm, cost };
        let trial = Trial::of(part, space, &arrangement).ok()?;
        let pieces = trial.pieces.filter(|_| trial.thin.is_empty())?;
        Some((arrangement, pieces))
    })
}

/// An arrangement, cut.
struct Trial {
    /// The pieces, where all of them fit.
    pieces: Option<Vec<Piece>>,
    /// Planes that left a piece too thin.
    thin: Vec<Plane>,
}

impl Trial {
    fn of(
        part: &InspectedMesh,
        space: &BuildSpace,
        arrangement: &Arrangement,
    ) -> Result<Trial, CutError> {
        let solids = cut_all(part, arrangement)?;
        let no = Trial {
            pieces: None,
            thin: Vec::new(),
        };
        let mut pieces = Vec::with_capacity(solids.len());
        let mut sum_mm3 = 0.0;
        for solid in solids {
            let box_mm = solid.box_mm();
            let centre = nalgebra::center(&box_mm.0, &box_mm.1);
            let volume_mm3 =
                mass_properties(&solid.vertices_mm, &solid.triangles, centre).volume_mm3;
            sum_mm3 += volume_mm3;
            let fits = fit_machine(&Footprints::of(&solid), space);
            let Some(fit) = fits.poses.into_iter().next() else {
                return Ok(no);
            };
            pieces.push((solid, volume_mm3, box_mm, fit));
        }
        let part_mm3 = part.mass.volume_mm3;
        if (sum_mm3 - part_mm3).abs() > VOLUME_SHARE * part_mm3.abs() {
            return Err(CutError::VolumeLost {
                pieces_mm3: sum_mm3,
                part_mm3,
            });
        }
        let thin = too_thin(arrangement, pieces.iter().map(|piece| piece.2));
        let pieces = pieces
            .into_iter()
            .map(|(mesh, volume_mm3, box_mm, fit)| {
                let part = inspect_with(mesh, Mending::AsIs)?;
                refuse_open(&part)?;
                Ok(Piece {
                    part,
                    volume_mm3,
                    box_mm,
                    fit,
                })
            })
            .collect::<Result<Vec<_>, CutError>>()?;
        Ok(Trial {
            pieces: Some(pieces),
            thin,
        })
    }
}

/// The solids that all planes together leave.
fn cut_all(part: &InspectedMesh, arrangement: &Arrangement) -> Result<Vec<Mesh>, CutError> {
    let mut slabs = vec![part.mesh.clone()];
    for axis in Axis::ALL {
        for at_mm in &arrangement.cuts_mm[axis.index()] {
            let plane = Plane {
                axis,
                at_mm: *at_mm,
            };
            let mut next = Vec::with_capacity(2 * slabs.len());
            for slab in slabs {
                let halves = split_closed(&slab, &Topology::of(&slab.triangles), plane)?;
                next.extend([halves.below, halves.above]);
            }
            next.retain(|slab| !slab.triangles.is_empty());
            slabs = next;
        }
    }
    let mut solids: Vec<Mesh> = slabs.iter().flat_map(connected_pieces).collect();
    let corner = |mesh: &Mesh| {
        let low = mesh.box_mm().0;
        [low.x, low.y, low.z]
    };
    solids.sort_by(|a, b| {
        corner(a)
            .partial_cmp(&corner(b))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    Ok(solids)
}

/// Planes at which a piece ends that is thinner than [`LEAST_SLAB_MM`] across them.
fn too_thin(
    arrangement: &Arrangement,
    boxes: impl Iterator<Item = (Point3<f64>, Point3<f64>)>,
) -> Vec<Plane> {
    /// Boxes end at a plane where they come this near, mm: a plane may have been nudged.
    const AT_MM: f64 = 1e-3;
    let mut thin = Vec::new();
    for (low, high) in boxes {
        for axis in Axis::ALL {
            let i = axis.index();
            if high[i] - low[i] >= LEAST_SLAB_MM - AT_MM {
                continue;
            }
            let ends_at = |at: f64| (low[i] - at).abs() < AT_MM || (high[i] - at).abs() < AT_MM;
            let planes = arrangement.cuts_mm[i].iter().filter(|at| ends_at(**at));
            thin.extend(planes.map(|at_mm| Plane {
                axis,
                at_mm: *at_mm,
            }));
        }
    }
    thin
}

fn finished(
    search: Option<&Search<'_>>,
    arrangement: &Arrangement,
    pieces: Vec<Piece>,
    fewest: bool,
) -> CutPlan {
    let planes = Axis::ALL.into_iter().flat_map(|axis| {
        let at = arrangement.cuts_mm[axis.index()].iter();
        at.map(move |at_mm| Plane {
            axis,
            at_mm: *at_mm,
        })
    });
    let cuts: Vec<Cut> = planes
        .filter_map(|plane| Some(cut(search?, arrangement, plane)))
        .collect();
    let words = words(&cuts, &pieces, fewest);
    CutPlan {
        cuts,
        pieces,
        fewest,
        words,
    }
}

fn cut(search: &Search<'_>, arrangement: &Arrangement, plane: Plane) -> Cut {
    let (section, grazed_mm2) = search.section(plane).unwrap_or_default();
    let figures = JointFigures::of(&section);
    let least_width_mm = least_width_mm(&section);
    Cut {
        axis: plane.axis,
        at_mm: plane.at_mm,
        joint_mm2: figures.area_mm2,
        joints: faces_between(&section, arrangement, plane.axis),
        least_width_mm,
        outline_mm: figures.outline_mm,
        why: why(&figures, least_width_mm, grazed_mm2),
    }
}

/// Faces of a joint as the other axes' planes divide it.
fn faces_between(section: &Region, arrangement: &Arrangement, axis: Axis) -> usize {
    let Some((low, high)) = section.box_mm() else {
        return 0;
    };
    let [u, v] = axis.across();
    let spans = |i: usize, cuts: &[f64]| {
        let inside = cuts
            .iter()
            .copied()
            .filter(|at| *at > low[i] && *at < high[i]);
        let ends: Vec<f64> = std::iter::once(low[i])
            .chain(inside)
            .chain([high[i]])
            .collect();
        ends.windows(2)
            .map(|pair| [pair[0], pair[1]])
            .collect::<Vec<_>>()
    };
    let (of_u, of_v) = (
        spans(0, &arrangement.cuts_mm[u]),
        spans(1, &arrangement.cuts_mm[v]),
    );
    if of_u.len() * of_v.len() <= 1 {
        return section.pieces().len();
    }
    let mut faces = 0;
    for [left, right] in &of_u {
        for [front, back] in &of_v {
            let cell = Region::rectangle([*left, *front], [*right, *back]);
            faces += section.and(&cell).pieces().len();
        }
    }
    faces
}

fn why(figures: &JointFigures, least_width_mm: f64, grazed_mm2: f64) -> String {
    let faces = match figures.faces {
        1 => "in one face".to_owned(),
        faces => format!("in {faces} faces"),
    };
    let mut faults = Vec::new();
    if least_width_mm < LEAST_JOINT_WIDTH_MM {
        faults.push(format!(
            "only {least_width_mm:.1} mm wide in places, where {LEAST_JOINT_WIDTH_MM} mm are wanted"
        ));
    }
    if grazed_mm2 > 0.05 * figures.area_mm2 {
        faults.push("within 2 mm of a flat face of the part".to_owned());
    }
    if faults.is_empty() {
        format!("the best joint within reach, {faces}")
    } else {
        format!(
            "the best joint within reach, {faces}, though {}",
            faults.join(" and ")
        )
    }
}

fn words(cuts: &[Cut], pieces: &[Piece], fewest: bool) -> String {
    let pieces = match pieces.len() {
        1 => "one piece".to_owned(),
        count => format!("{count} pieces"),
    };
    match (cuts.len(), fewest) {
        (0, _) if pieces == "one piece" => "it fits whole".to_owned(),
        (0, _) => format!("no cut: its separate bodies fit one by one, {pieces}"),
        (1, true) => format!("one cut, {pieces}; without a cut it does not fit"),
        (cuts, _) => {
            format!("at most {cuts} cuts, {pieces}; no way with fewer was found, which is no proof")
        }
    }
}
