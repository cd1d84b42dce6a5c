//! What a document is about: a part by name, in a shop.

use crate::estimate::Estimate;
use crate::mesh::InspectedMesh;
use crate::shop::{Material, Shop};

/// A part by name, its mesh, the shop it is asked of, and the answer.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    /// The part's name, as it was given.
    pub part: &'a str,
    /// Its mesh.
    pub mesh: &'a InspectedMesh,
    /// The shop.
    pub shop: &'a Shop,
    /// The answer.
    pub estimate: &'a Estimate,
}

impl<'a> Subject<'a> {
    /// The plastic; the estimate was made with it, so the shop has it.
    pub fn material(&self) -> Option<&'a Material> {
        self.shop.material(&self.estimate.material)
    }

    /// Size of the part as drawn, mm.
    pub fn drawn_size_mm(&self) -> [f64; 3] {
        self.mesh.mesh.size_mm().into()
    }
}
