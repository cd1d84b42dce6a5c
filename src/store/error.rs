//! What can be wrong with a job book, or with what is to be entered.

use thiserror::Error;

/// Why the book could not be used.
#[derive(Debug, Error)]
pub enum StoreError {
    /// The file is no job book.
    #[error("this is no job book ({why}); give the book's own file, or a new name to begin one")]
    NoBook {
        /// What it is instead.
        why: String,
    },
    /// There is none.
    #[error("there is no job book yet; `beadtally jobs enquiry` begins one")]
    Missing,
    /// The book was written by a later version of the program.
    #[error(
        "this book has format {found}, and this program knows formats up to {known}; use the program that wrote it"
    )]
    TooNew {
        /// The book's format.
        found: i64,
        /// The newest one known.
        known: i64,
    },
    /// The file is damaged.
    #[error(
        "the book is damaged ({why}); put a copy back, or import its last export into a new book"
    )]
    Damaged {
        /// What was found.
        why: String,
    },
    /// Another program is writing.
    #[error(
        "the book is being written by another program; nothing was entered, try again when that has ended"
    )]
    Busy,
    /// There is no room on the disk.
    #[error(
        "there is no room left where the book lies; nothing was entered, make room and try again"
    )]
    Full,
    /// The file can't be read or written.
    #[error("the book can't be used: {0}; give a path that can be read and written")]
    Unusable(String),
    /// What is to be entered does not go with what is in the book.
    #[error("{0}")]
    Refused(String),
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        use rusqlite::ErrorCode as Code;
        match error.sqlite_error_code() {
            Some(Code::DatabaseBusy | Code::DatabaseLocked) => StoreError::Busy,
            Some(Code::DiskFull) => StoreError::Full,
            Some(Code::NotADatabase) => StoreError::NoBook {
                why: "it is not in the book's format".to_owned(),
            },
            Some(Code::DatabaseCorrupt) => StoreError::Damaged {
                why: error.to_string(),
            },
            _ => StoreError::Unusable(error.to_string()),
        }
    }
}

/// A time as sentences have it: `Mon 16 Mar 2026 08:00`.
pub fn said(at: jiff::civil::DateTime) -> String {
    at.strftime("%a %-d %b %Y %H:%M").to_string()
}

/// A refusal with its sentence.
pub(super) fn refused<T>(sentence: impl Into<String>) -> Result<T, StoreError> {
    Err(StoreError::Refused(sentence.into()))
}
