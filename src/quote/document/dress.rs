//! What a document is written as.

use std::path::Path;

use super::customer::customer;
use super::html::html;
use super::model::{Audience, Document};
use super::owner::owner;
use super::pdf::pdf;
use super::text::text;
use crate::quote::offer::Offer;

/// How a document is dressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dress {
    /// Text of at most 100 columns.
    Text,
    /// One page that holds everything itself.
    Html,
    /// Tagged PDF with its fonts.
    Pdf,
}

impl Dress {
    /// By a file's ending (`.txt`, `.html`, `.pdf`); none for any other.
    pub fn of(path: &Path) -> Option<Dress> {
        let ending = path.extension()?.to_str()?.to_ascii_lowercase();
        match ending.as_str() {
            "txt" => Some(Dress::Text),
            "html" => Some(Dress::Html),
            "pdf" => Some(Dress::Pdf),
            _ => None,
        }
    }
}

/// Why a document can't be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DocumentError {
    /// There is no price to send.
    #[error("there is nothing to send a customer, for no option of the shop makes the part")]
    NoOffer,
    /// A plot can't be drawn.
    #[error("a plot can't be drawn: {0}")]
    Plot(String),
    /// The PDF can't be set.
    #[error("the PDF can't be set: {0}")]
    Pdf(String),
}

/// The document of an offer.
///
/// # Errors
/// [`DocumentError::NoOffer`] for a customer where the offer has no price; [`DocumentError::Plot`] where the plotting library fails.
pub fn document(offer: &Offer<'_>, audience: Audience) -> Result<Document, DocumentError> {
    let made = match audience {
        Audience::Customer if offer.lots.is_empty() => return Err(DocumentError::NoOffer),
        Audience::Customer => customer(offer),
        Audience::Owner => owner(offer),
    };
    made.map_err(DocumentError::Plot)
}

/// The bytes of a document in a dress. The same document gives the same bytes.
///
/// # Errors
/// [`DocumentError::Pdf`] where the PDF can't be set.
pub fn dressed(document: &Document, dress: Dress) -> Result<Vec<u8>, DocumentError> {
    match dress {
        Dress::Text => Ok(text(document).into_bytes()),
        Dress::Html => Ok(html(document).into_bytes()),
        Dress::Pdf => pdf(document).map_err(DocumentError::Pdf),
    }
}

/// The owner's document as text, the answer first.
///
/// # Errors
/// As [`document`].
pub fn quote_text(offer: &Offer<'_>) -> Result<String, DocumentError> {
    Ok(text(&document(offer, Audience::Owner)?))
}
