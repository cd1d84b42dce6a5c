//! Operands of booleans made small before the polygon library sees them.
//!
//! The library sweeps all corners of both operands, though most of one may lie where the other does not reach.

use clipper2_rust::{Path64, Paths64};

use super::faces::Bounds;

/// Rings that wind around every point of a box as the given ones do. Corners in a row beyond the same side of the box
/// can't be told from the straight way between the first and the last of them.
pub(super) fn reduced_to(rings: &Paths64, bounds: &Bounds) -> Paths64 {
    // A margin keeps what is left out off the box's own border.
    let bounds = bounds.grown(2);
    rings
        .iter()
        .filter(|ring| Bounds::of(ring).is_some_and(|b| b.meets(&bounds)))
        .map(|ring| reduced_ring(ring, &bounds))
        .filter(|ring| ring.len() >= 3)
        .collect()
}

fn reduced_ring(ring: &Path64, bounds: &Bounds) -> Path64 {
    let count = ring.len();
    let beyond: Vec<u8> = ring.iter().map(|p| bounds.beyond(p)).collect();
    let start = beyond.iter().position(|b| *b == 0).unwrap_or(0);
    let mut kept = Path64::with_capacity(count.min(64));
    let mut i = 0;
    while i < count {
        let at = (start + i) % count;
        kept.push(ring[at]);
        // The longest run from here that stays beyond one side.
        let (mut side, mut last) = (beyond[at], i);
        while last + 1 < count {
            side &= beyond[(start + last + 1) % count];
            if side == 0 {
                break;
            }
            last += 1;
        }
        if last > i {
            kept.push(ring[(start + last) % count]);
        }
        i = last + 1;
    }
    kept
}
