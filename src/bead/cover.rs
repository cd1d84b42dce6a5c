//! Which part of a layer is floor or roof.

use crate::section::Region;

/// What of layer `k` lies open to below or above: where any of the `floor_layers` sections before it, or of the
/// `roof_layers` after it, is missing. `None` where everything does (near the part's bottom or top).
pub fn exposed(sections: &[Region], k: usize, floor_layers: usize, roof_layers: usize) -> Exposed {
    let near_end = k < floor_layers || k + roof_layers >= sections.len();
    if near_end {
        return Exposed::Everything;
    }
    let others = (k - floor_layers..k)
        .chain(k + 1..=k + roof_layers)
        .map(|other| &sections[other]);
    let mut covered: Option<Region> = None;
    for other in others {
        match &covered {
            None if *other == sections[k] => {}
            None => covered = Some(sections[k].and(other)),
            Some(so_far) if other == so_far => {}
            Some(so_far) => covered = Some(so_far.and(other)),
        }
    }
    match covered {
        None => Exposed::Only(Region::default()),
        Some(covered) => Exposed::Only(sections[k].minus(&covered)),
    }
}

/// The answer of [`exposed`].
#[derive(Debug, Clone, PartialEq)]
pub enum Exposed {
    /// The whole layer is floor or roof.
    Everything,
    /// Only this much of it is.
    Only(Region),
}
