//! What `quote` writes beside its answer: the document for the customer or the owner, by a file's ending.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use jiff::civil::Date;

use super::Failure;
use super::parts::name;
use super::run::write_bytes;
use super::target::not_over;
use crate::quote::{self, Audience, Dress, Offer};

/// What `quote` is to write, for whom, and of which day.
#[derive(Debug, Args)]
pub struct DocumentArgs {
    /// Write the quotation to a file, .pdf, .html, .txt or .json; may be given several times
    #[arg(long, value_name = "FILE")]
    pub out: Vec<PathBuf>,
    /// Whom the file is for: the customer's holds no cost, margin or risk
    #[arg(long = "for", value_name = "WHOM", default_value = "customer")]
    pub audience: AudienceArg,
    /// The day of the quote, YYYY-MM-DD; else today
    #[arg(long, value_name = "DATE")]
    pub date: Option<String>,
}

/// Whom a document is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum AudienceArg {
    /// Part, prices, dates, terms
    Customer,
    /// Everything
    Owner,
}

/// What a file is written as.
#[derive(Clone, Copy)]
enum Kind {
    Json,
    Dressed(Dress),
}

fn kind(path: &Path) -> Result<Kind, Failure> {
    let ending = path.extension().and_then(|ending| ending.to_str());
    if ending.is_some_and(|ending| ending.eq_ignore_ascii_case("json")) {
        return Ok(Kind::Json);
    }
    Dress::of(path).map(Kind::Dressed).ok_or_else(|| {
        Failure::of(format!(
            "--out {}: a quotation is a .pdf, .html, .txt or .json file; give a name that ends so",
            name(path)
        ))
    })
}

impl DocumentArgs {
    /// Refuses, before anything is computed, files of unknown ending and files that were read: parts, the shop file, the job book.
    pub(super) fn check(
        &self,
        parts: &[PathBuf],
        shop: Option<&Path>,
        book: Option<&Path>,
    ) -> Result<(), Failure> {
        for path in &self.out {
            kind(path)?;
            let parts = parts.iter().map(|part| (part.as_path(), "a part"));
            let shop = shop.map(|shop| (shop, "the shop file"));
            let book = book.map(|book| (book, "the job book"));
            not_over("--out", path, parts.chain(shop).chain(book))?;
        }
        self.date(Date::MIN).map(|_| ())
    }

    /// The day of the quote.
    pub(super) fn date(&self, today: Date) -> Result<Date, Failure> {
        let Some(given) = &self.date else {
            return Ok(today);
        };
        let day = (given.len() == 10).then(|| given.parse().ok()).flatten();
        day.ok_or_else(|| {
            Failure::of(format!(
                "--date {given}: that is no day; give one as YYYY-MM-DD"
            ))
        })
    }

    /// Whether the files are for the customer.
    pub(super) fn is_for_customer(&self) -> bool {
        self.audience == AudienceArg::Customer
    }

    fn audience(&self) -> Audience {
        match self.audience {
            AudienceArg::Customer => Audience::Customer,
            AudienceArg::Owner => Audience::Owner,
        }
    }
}

/// Writes the files asked for.
pub(super) fn write(offer: &Offer<'_>, args: &DocumentArgs) -> Result<(), Failure> {
    let audience = args.audience();
    for path in &args.out {
        let failed = |error: quote::DocumentError| {
            Failure::of(format!("{}: not written, for {error}", name(path)))
        };
        let bytes = match (kind(path)?, audience) {
            (Kind::Dressed(dress), _) => {
                let document = quote::document(offer, audience).map_err(failed)?;
                quote::dressed(&document, dress).map_err(failed)?
            }
            (Kind::Json, Audience::Customer) => (quote::customer_json(offer) + "\n").into_bytes(),
            (Kind::Json, Audience::Owner) => (quote::quote_json(offer) + "\n").into_bytes(),
        };
        write_bytes(path, &bytes)?;
    }
    Ok(())
}
