//! The clock of a bed on which several copies are laid together, layer by layer.
//!
//! Each copy is walked alone, at its turn, so that its own paths, raster and travels are what they are; on the bed its layer
//! is entered from the copy laid before it, the next always being the one whose first path begins nearest. The least layer
//! time holds for the layer as a whole, lift and pause come once a layer, the start once a bed.

use crate::motion::{Clock, LayerTime, Limits, travel_s};

/// One copy on a bed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Copy<'a> {
    /// Its layers by themselves, without any stretch.
    pub layers: &'a [LayerTime],
    /// Where its lower box corner stands, mm.
    pub at_mm: [f64; 2],
}

/// The clock of a bed. `purge` is what a purge line adds to the first layer. `limits` are those of the copies but for their
/// least layer time, which is not yet in the copies' layers.
pub(super) fn bed_clock(copies: &[Copy<'_>], purge: &LayerTime, limits: &Limits) -> Clock {
    let mut clock = Clock::started(limits);
    let count = copies
        .iter()
        .map(|copy| copy.layers.len())
        .max()
        .unwrap_or(0);
    let mut nozzle_mm = lower_corner(copies);
    for k in 0..count {
        let mut layer = if k == 0 { *purge } else { LayerTime::default() };
        let mut waiting: Vec<&Copy<'_>> =
            copies.iter().filter(|copy| k < copy.layers.len()).collect();
        while let Some((next, way_mm)) = nearest(&waiting, k, nozzle_mm) {
            let copy = waiting.swap_remove(next);
            let alone = &copy.layers[k];
            join(&mut layer, alone, limits);
            let Some([_, last]) = alone.ends_mm else {
                continue;
            };
            layer.travel_mm += way_mm;
            layer.travel_s += travel_s(way_mm, limits);
            nozzle_mm = [copy.at_mm[0] + last[0], copy.at_mm[1] + last[1]];
        }
        let busy_s = layer.seconds();
        if busy_s < limits.least_layer_s {
            layer.stretch_s = limits.least_layer_s - busy_s;
            layer.melt_held_s = 0.0;
        }
        clock.add(&layer, limits);
    }
    clock
}

/// The copy whose first path begins nearest, and how far away that is. One that lays nothing in the layer comes first.
fn nearest(waiting: &[&Copy<'_>], k: usize, from_mm: [f64; 2]) -> Option<(usize, f64)> {
    let ways = waiting.iter().map(|copy| {
        copy.layers[k].ends_mm.map_or(0.0, |[first, _]| {
            let x = copy.at_mm[0] + first[0] - from_mm[0];
            x.hypot(copy.at_mm[1] + first[1] - from_mm[1])
        })
    });
    ways.enumerate().min_by(|a, b| a.1.total_cmp(&b.1))
}

/// Adds a copy's layer but for the travel to it.
fn join(layer: &mut LayerTime, alone: &LayerTime, limits: &Limits) {
    for role in 0..alone.laying_s.len() {
        layer.laying_s[role] += alone.laying_s[role];
        layer.laid_mm[role] += alone.laid_mm[role];
    }
    layer.travel_mm += alone.travel_mm - alone.entry_mm;
    layer.travel_s += alone.travel_s - travel_s(alone.entry_mm, limits);
    layer.melt_held_s += alone.melt_held_s;
    layer.bead_mm3 += alone.bead_mm3;
}

fn lower_corner(copies: &[Copy<'_>]) -> [f64; 2] {
    let corners = copies.iter().map(|copy| copy.at_mm);
    corners
        .reduce(|a, b| [a[0].min(b[0]), a[1].min(b[1])])
        .unwrap_or_default()
}
