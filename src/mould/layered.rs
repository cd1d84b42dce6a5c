//! A mould's layers without its mesh: the part's section taken out of the block's, layer by layer. The second way to the same
//! figures, which the mesh of [`closed_mould`](super::closed_mould) is checked against.

use crate::mesh::{Mesh, Topology};
use crate::section::{Layers, Region, sections_at};

/// The sections of a box around a part, less the part's, at the middles of layers that are counted from the box's bottom.
/// Mould's frame, mm.
pub fn block_minus_part(
    part: &Mesh,
    low_mm: [f64; 3],
    high_mm: [f64; 3],
    layers: &Layers,
) -> Vec<Region> {
    let planes_mm: Vec<f64> = (0..layers.count)
        .map(|k| low_mm[2] + layers.middle_mm(k))
        .collect();
    let block = Region::rectangle([low_mm[0], low_mm[1]], [high_mm[0], high_mm[1]]);
    sections_at(part, &Topology::of(&part.triangles), &planes_mm)
        .regions
        .iter()
        .map(|section| block.minus(section))
        .collect()
}
