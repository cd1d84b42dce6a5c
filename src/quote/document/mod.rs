//! The document that a quote becomes. Takes an [`Offer`](super::offer::Offer), makes of it one [`Document`] for the customer or the
//! owner, and dresses that as text, a page or a PDF; JSON is made from the offer itself. The document knows no dress and the dresses
//! know no offer, so all say the same.

mod about;
mod columns;
mod customer;
mod customer_json;
mod dress;
mod english;
mod figures;
mod german;
mod html;
mod layout;
mod letters;
mod model;
mod owner;
mod part;
mod pdf;
mod phrases;
mod plots;
mod service;
mod sheet;
mod table_layout;
mod text;

pub use self::customer_json::customer_json;
pub use self::dress::{DocumentError, Dress, document, dressed, quote_text};
pub use self::model::{Align, Audience, Block, Column, Document, Picture, Plot, Table};
