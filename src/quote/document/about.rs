//! A document about an offer: what both readers' versions have alike beside their blocks.

use super::model::{Audience, Block, Document};
use crate::quote::offer::Offer;
use crate::quote::words::own_name;

impl Document {
    /// The document of an offer with the blocks for one of its readers.
    pub(super) fn about(
        offer: &Offer<'_>,
        audience: Audience,
        title: String,
        blocks: Vec<Block>,
    ) -> Document {
        let shop = offer.subject.shop;
        Document {
            title,
            audience,
            author: shop.name.clone(),
            language: shop.document.language,
            paper: shop.document.paper,
            date: offer.date,
            foot: format!("{}, {}", shop.name, own_name(offer.subject.part)),
            blocks,
        }
    }
}
