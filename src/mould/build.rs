//! A mould put together as closed meshes, by mesh booleans.

use std::panic::{AssertUnwindSafe, catch_unwind};

use boolmesh::prelude::{Manifold, OpType, compute_boolean};
use nalgebra::Point3;

use super::offset::shell_around;
use super::solid::{block, frustum};
use super::{MouldAsk, MouldError, Parting, Shape};
use crate::cut::{Axis, Plane, connected_pieces, split};
use crate::mesh::{InspectedMesh, Mesh, Topology, inspect, mass_properties};
use crate::section::sections_at;

/// Gap around a pin in its socket, mm: printed pins must not jam. Common practice, no source.
const KEY_GAP_MM: f64 = 0.2;
/// Radius of the pouring opening at the part and outside, mm. Common practice, no source.
const POURING_MM: [f64; 2] = [3.0, 6.0];

/// A piece of a mould, in the mould's frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Half {
    /// `upper`, `lower` or `tool`.
    pub name: &'static str,
    /// Its solid, closed.
    pub mesh: Mesh,
    /// Its volume, mm3.
    pub volume_mm3: f64,
}

impl Half {
    fn of(name: &'static str, mesh: Mesh) -> Half {
        let volume_mm3 = volume(&mesh);
        Half {
            name,
            mesh,
            volume_mm3,
        }
    }
}

/// A mould.
#[derive(Debug, Clone, PartialEq)]
pub struct Mould {
    /// Its pieces.
    pub halves: Vec<Half>,
    /// Solids inside the part's hollows that hang on nothing and are left out.
    pub left_out: usize,
}

/// The two halves of a closed mould.
///
/// # Errors
/// A part that is not closed; numbers out of range; a boolean that does not come out closed.
pub fn closed_mould(
    part: &InspectedMesh,
    parting: &Parting,
    ask: &MouldAsk,
) -> Result<Mould, MouldError> {
    let (part, [lower, upper]) = begun(part, parting, ask)?;
    let (mut lower, mut upper) = (minus(&lower, &part)?, minus(&upper, &part)?);
    if ask.keys {
        for key in keys(&part, ask) {
            let z = parting.height_mm;
            let root = [z - ask.wall_mm / 4.0, key.radius_mm];
            let tip = [z + key.height_mm, 0.7 * key.radius_mm];
            lower = plus(&lower, &frustum(key.at_mm, root, tip))?;
            let tip = [tip[0] + 2.0 * KEY_GAP_MM, tip[1] + KEY_GAP_MM];
            let root = [root[0], root[1] + KEY_GAP_MM];
            upper = minus(&upper, &frustum(key.at_mm, root, tip))?;
        }
    }
    if ask.pouring {
        upper = minus(&upper, &pouring_opening(&part, ask.wall_mm))?;
    }
    // A core that stands in a cavity closed all around hangs on neither half.
    let (lower, lost) = largest(lower);
    let (upper, lost_too) = largest(upper);
    Ok(Mould {
        halves: vec![Half::of("lower", lower), Half::of("upper", upper)],
        left_out: lost + lost_too,
    })
}

/// A lay-up tool: what lies over the part's face, with its flange where the face ends. Hollows that open on the part's back are none
/// of its business.
///
/// # Errors
/// As [`closed_mould`].
pub fn lay_up_tool(
    part: &InspectedMesh,
    parting: &Parting,
    ask: &MouldAsk,
) -> Result<Mould, MouldError> {
    let (part, [_, upper]) = begun(part, parting, ask)?;
    let (tool, left_out) = largest(minus(&upper, &part)?);
    Ok(Mould {
        halves: vec![Half::of("tool", tool)],
        left_out,
    })
}

/// The part in the mould's frame, and what lies around it under and over the parting.
fn begun(
    part: &InspectedMesh,
    parting: &Parting,
    ask: &MouldAsk,
) -> Result<(Mesh, [Mesh; 2]), MouldError> {
    ask.check()?;
    let part = framed(part, parting)?;
    let halves = outer_halves(&part, parting.height_mm, ask)?;
    Ok((part, halves))
}

fn framed(part: &InspectedMesh, parting: &Parting) -> Result<Mesh, MouldError> {
    if part.watertight && part.topology.is_closed(&part.mesh.triangles) {
        Ok(parting.opening.in_frame(&part.mesh))
    } else {
        Err(MouldError::NotClosed)
    }
}

/// What lies around the part below and above the parting.
fn outer_halves(part: &Mesh, height_mm: f64, ask: &MouldAsk) -> Result<[Mesh; 2], MouldError> {
    let (low, high) = part.box_mm();
    let wide = |by: f64| {
        let low = [low.x - by, low.y - by, low.z - ask.wall_mm];
        let high = [high.x + by, high.y + by, high.z + ask.wall_mm];
        (low, high)
    };
    let mut halves = match ask.shape {
        Shape::Block => {
            let (low, high) = wide(ask.wall_mm);
            [
                block(low, [high[0], high[1], height_mm]),
                block([low[0], low[1], height_mm], high),
            ]
        }
        Shape::Shell => {
            let not_built = |why: String| MouldError::NotBuilt { why };
            let shell =
                inspect(shell_around(part, ask.wall_mm)?).map_err(|e| not_built(e.to_string()))?;
            let plane = Plane {
                axis: Axis::Z,
                at_mm: height_mm,
            };
            let cut = split(&shell, plane).map_err(|e| not_built(e.to_string()))?;
            [cut.below, cut.above]
        }
    };
    if ask.flange_mm > 0.0 {
        let (low, high) = wide(ask.wall_mm + ask.flange_mm);
        let plate = |from: f64, to: f64| block([low[0], low[1], from], [high[0], high[1], to]);
        let plates = [
            plate(height_mm - ask.wall_mm, height_mm),
            plate(height_mm, height_mm + ask.wall_mm),
        ];
        for (half, plate) in halves.iter_mut().zip(plates) {
            *half = plus(half, &plate)?;
        }
    }
    Ok(halves)
}

/// A pin and its socket.
struct Key {
    at_mm: [f64; 2],
    radius_mm: f64,
    height_mm: f64,
}

/// Keys at three of the four corners, so that the halves go together in one way only; none where there is no room beside the part.
fn keys(part: &Mesh, ask: &MouldAsk) -> Vec<Key> {
    let (low, high) = part.box_mm();
    let (away_mm, room_mm) = match (ask.flange_mm > 0.0, ask.shape) {
        (true, _) => (ask.wall_mm + ask.flange_mm / 2.0, ask.flange_mm),
        (false, Shape::Block) => (ask.wall_mm / 2.0, ask.wall_mm),
        (false, Shape::Shell) => return Vec::new(),
    };
    let radius_mm = (0.28 * room_mm).min(0.4 * ask.wall_mm).min(6.0);
    let corner = |x: f64, y: f64| Key {
        at_mm: [x, y],
        radius_mm,
        height_mm: 0.4 * ask.wall_mm,
    };
    vec![
        corner(low.x - away_mm, low.y - away_mm),
        corner(high.x + away_mm, low.y - away_mm),
        corner(low.x - away_mm, high.y + away_mm),
    ]
}

/// The pouring opening over the highest part of the cavity.
fn pouring_opening(part: &Mesh, wall_mm: f64) -> Mesh {
    let (low, high) = part.box_mm();
    let under_mm = (0.01 * (high.z - low.z)).min(0.25);
    let section = sections_at(part, &Topology::of(&part.triangles), &[high.z - under_mm]);
    let pieces = section
        .regions
        .first()
        .map(|region| region.pieces())
        .unwrap_or_default();
    let largest = pieces
        .into_iter()
        .max_by(|a, b| a.area_mm2().total_cmp(&b.area_mm2()));
    let at = largest.and_then(|piece| {
        let (from, to) = piece.box_mm()?;
        let middle = [(from[0] + to[0]) / 2.0, (from[1] + to[1]) / 2.0];
        if piece.holds_point(middle) {
            return Some(middle);
        }
        piece.outer_points_mm().next()
    });
    let middle = nalgebra::center(&low, &high);
    let bottom = [high.z - 2.0 * under_mm, POURING_MM[0]];
    frustum(
        at.unwrap_or([middle.x, middle.y]),
        bottom,
        [high.z + wall_mm + 1.0, POURING_MM[1]],
    )
}

/// The largest connected solid, and how many others there were.
fn largest(mesh: Mesh) -> (Mesh, usize) {
    let pieces = connected_pieces(&mesh);
    let others = pieces.len().saturating_sub(1);
    let span = |piece: &Mesh| piece.size_mm().norm();
    let kept = pieces.into_iter().reduce(|best, next| {
        if span(&next) > span(&best) {
            next
        } else {
            best
        }
    });
    (kept.unwrap_or(mesh), others)
}

fn volume(mesh: &Mesh) -> f64 {
    let (low, high) = mesh.box_mm();
    mass_properties(
        &mesh.vertices_mm,
        &mesh.triangles,
        nalgebra::center(&low, &high),
    )
    .volume_mm3
}

/// What is in one closed mesh and not in another.
///
/// # Errors
/// [`MouldError::NotBuilt`] where either is no solid to the boolean library or the answer is not closed.
pub fn minus(a: &Mesh, b: &Mesh) -> Result<Mesh, MouldError> {
    combined(a, b, OpType::Subtract)
}

fn plus(a: &Mesh, b: &Mesh) -> Result<Mesh, MouldError> {
    combined(a, b, OpType::Add)
}

fn combined(a: &Mesh, b: &Mesh, how: OpType) -> Result<Mesh, MouldError> {
    let not_built = |why: &str| MouldError::NotBuilt {
        why: why.to_owned(),
    };
    let solid = |mesh: &Mesh| {
        let places: Vec<f64> = mesh
            .vertices_mm
            .iter()
            .flat_map(|p| [p.x, p.y, p.z])
            .collect();
        let corners: Vec<usize> = mesh
            .triangles
            .iter()
            .flatten()
            .map(|v| *v as usize)
            .collect();
        Manifold::new(&places, &corners)
    };
    // The library asserts on what it takes for impossible; a part that is bad enough must end in a sentence all the same.
    let result = catch_unwind(AssertUnwindSafe(|| {
        compute_boolean(&solid(a)?, &solid(b)?, how)
    }));
    let result = match result {
        Ok(Ok(result)) => result,
        Ok(Err(why)) => return Err(not_built(&why)),
        Err(_) => return Err(not_built("the mesh library gave up")),
    };
    let vertices_mm = result
        .ps
        .iter()
        .map(|p| Point3::new(p.x, p.y, p.z))
        .collect();
    let corners: Vec<u32> = result.hs.iter().map(|half| half.tail as u32).collect();
    let triangles: Vec<[u32; 3]> = corners
        .chunks_exact(3)
        .map(|t| [t[0], t[1], t[2]])
        .collect();
    if triangles.is_empty() || !Topology::of(&triangles).is_closed(&triangles) {
        return Err(not_built("its surface has gaps"));
    }
    Ok(Mesh {
        vertices_mm,
        triangles,
    })
}
