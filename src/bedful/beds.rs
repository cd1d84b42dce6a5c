//! An order, bed after bed.

use super::{Bedful, BedfulError, Item, MOST_COPIES, fill};
use crate::plane::Region;

/// Different beds of one order at most; what is left then is said to be left.
const MOST_KINDS: usize = 60;

/// The beds of an order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Beds {
    /// Each kind of bed with how often it is printed, in the order of printing.
    pub kinds: Vec<(Bedful, u32)>,
    /// Copies of each item that found no place.
    pub left: Vec<u32>,
}

impl Beds {
    /// Beds to print.
    pub fn count(&self) -> u32 {
        self.kinds.iter().map(|(_, times)| times).sum()
    }

    /// Copies of all items on all beds.
    pub fn copies(&self) -> u32 {
        self.kinds
            .iter()
            .map(|(bed, times)| bed.copies() * times)
            .sum()
    }
}

/// Fills beds until the order is used up: of one item the fullest bed as often as it can be filled and one with the rest, of
/// several the largest first on every bed. An item without a number is placed on one bed only, as often as it goes.
///
/// # Errors
/// As [`fill`].
pub fn fill_beds(items: &[Item], usable: &Region, clearance_mm: f64) -> Result<Beds, BedfulError> {
    let mut left: Vec<u32> = items
        .iter()
        .map(|item| item.wanted.unwrap_or(MOST_COPIES))
        .collect();
    let endless = items.iter().any(|item| item.wanted.is_none());
    let mut kinds: Vec<(Bedful, u32)> = Vec::new();
    while left.iter().any(|n| *n > 0) && kinds.len() < MOST_KINDS {
        let bed = match (&kinds[..], items) {
            // The rest of one item stands where the first copies of a full bed stood.
            ([(full, _)], [_]) => Bedful {
                placements: full.placements[..(left[0] as usize).min(full.placements.len())]
                    .to_vec(),
                capped: false,
            },
            _ => fill(&with_counts(items, &left), usable, clearance_mm)?,
        };
        let on_bed: Vec<u32> = (0..items.len()).map(|item| bed.copies_of(item)).collect();
        let fills = left
            .iter()
            .zip(&on_bed)
            .filter(|(_, n)| **n > 0)
            .map(|(left, n)| left / n);
        let Some(times) = fills.min().filter(|times| *times > 0) else {
            break;
        };
        let times = if endless { 1 } else { times };
        for (left, n) in left.iter_mut().zip(&on_bed) {
            *left -= n * times;
        }
        kinds.push((bed, times));
        if endless {
            break;
        }
    }
    if endless {
        for (left, item) in left.iter_mut().zip(items) {
            *left = if item.wanted.is_some() { *left } else { 0 };
        }
    }
    Ok(Beds { kinds, left })
}

fn with_counts(items: &[Item], left: &[u32]) -> Vec<Item> {
    let counted = |(item, left): (&Item, &u32)| Item {
        wanted: Some(*left),
        ..item.clone()
    };
    items.iter().zip(left).map(counted).collect()
}
