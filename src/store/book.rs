//! The book's file: one SQLite database, to which entries are only added.

use std::path::Path;
use std::time::Duration;

use jiff::civil::DateTime;
use rusqlite::{Connection, OpenFlags, TransactionBehavior};

use super::entry::{Entry, What};
use super::error::{StoreError, refused, said};
use super::jobs::Jobs;

/// Says in the file's header that it is a job book ("btly").
const APPLICATION_ID: i64 = 0x6274_6c79;
/// How long a writer waits for another one.
const PATIENCE: Duration = Duration::from_secs(5);

/// What makes a book of each format out of the one before it. A step is never changed once it has been released.
const STEPS: [&str; 2] = [
    "CREATE TABLE entry (
        number INTEGER PRIMARY KEY,
        at TEXT NOT NULL,
        body TEXT NOT NULL
    ) STRICT;",
    // The file itself refuses what no part of the program does.
    "CREATE TRIGGER entry_is_not_changed BEFORE UPDATE ON entry
        BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END;
     CREATE TRIGGER entry_is_not_removed BEFORE DELETE ON entry
        BEGIN SELECT RAISE(ABORT, 'an entry is never removed'); END;",
];

/// What was added to a book, and what that leaves.
#[derive(Debug)]
pub struct Added<T> {
    /// The new entries.
    pub entries: Vec<Entry>,
    /// The jobs with them.
    pub jobs: Jobs,
    /// What else the maker of the entries had to tell.
    pub told: T,
}

/// An open book.
#[derive(Debug)]
pub struct Book {
    file: Connection,
}

impl Book {
    /// Opens a book, a new one where there is none, one of an older format brought up to date.
    ///
    /// # Errors
    /// A file that is no book, a damaged one, one of a later format, one that can't be read or written.
    pub fn open(path: &Path) -> Result<Book, StoreError> {
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE;
        Book::with(Connection::open_with_flags(
            path,
            flags | OpenFlags::SQLITE_OPEN_NO_MUTEX,
        )?)
    }

    /// Opens a book that is there already.
    ///
    /// # Errors
    /// As [`Book::open`], and where there is none.
    pub fn open_existing(path: &Path) -> Result<Book, StoreError> {
        if !path.exists() {
            return Err(StoreError::Missing);
        }
        Book::open(path)
    }

    fn with(mut file: Connection) -> Result<Book, StoreError> {
        file.busy_timeout(PATIENCE)?;
        // What was confirmed is on the disk: the journal and the file are both flushed before a write ends.
        file.pragma_update(None, "synchronous", "FULL")?;
        // Only a book that must be made or brought up to date is written to; one that is read waits for nobody.
        let known = STEPS.len() as i64;
        let format: i64 = file.pragma_query_value(None, "user_version", |row| row.get(0))?;
        let behavior = if format == known {
            TransactionBehavior::Deferred
        } else {
            TransactionBehavior::Immediate
        };
        let change = file.transaction_with_behavior(behavior)?;
        let pragma = |name: &str| change.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
        let (application, format) = (pragma("application_id")?, pragma("user_version")?);
        let tables: i64 =
            change.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
        if application != APPLICATION_ID && (tables > 0 || application != 0) {
            return Err(StoreError::NoBook {
                why: "it is another program's database".to_owned(),
            });
        }
        if format > known {
            return Err(StoreError::TooNew {
                found: format,
                known,
            });
        }
        if tables > 0 {
            let sound: String = change.query_row("PRAGMA quick_check(1)", [], |row| row.get(0))?;
            if sound != "ok" {
                return Err(StoreError::Damaged { why: sound });
            }
        }
        let done = usize::try_from(format).unwrap_or(0);
        for step in &STEPS[done..] {
            change.execute_batch(step)?;
        }
        if done < STEPS.len() {
            change.pragma_update(None, "application_id", APPLICATION_ID)?;
            change.pragma_update(None, "user_version", known)?;
        }
        change.commit()?;
        Ok(Book { file })
    }

    /// All entries in their order.
    ///
    /// # Errors
    /// A damaged book.
    pub fn entries(&self) -> Result<Vec<Entry>, StoreError> {
        read(&self.file)
    }

    /// The jobs as the entries leave them.
    ///
    /// # Errors
    /// A damaged book.
    pub fn jobs(&self) -> Result<Jobs, StoreError> {
        Jobs::of(&self.entries()?)
    }

    /// Adds what `make` makes of the jobs as they are, all of it or nothing. No other writer comes between, and what does
    /// not go with the book is refused.
    ///
    /// # Errors
    /// What `make` refuses, what does not go with the book, a book in use, a full disk.
    pub fn add<T>(
        &mut self,
        at: DateTime,
        make: impl FnOnce(&Jobs) -> Result<(Vec<What>, T), StoreError>,
    ) -> Result<Added<T>, StoreError> {
        let change = self
            .file
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        let mut entries = read(&change)?;
        let mut jobs = Jobs::of(&entries)?;
        let before = entries.len();
        if let Some(last) = entries.last().filter(|last| last.at > at) {
            return refused(format!(
                "the last entry was made on {}, after {}; set the clock right, or say --now with a later time",
                said(last.at),
                said(at)
            ));
        }
        let (made, told) = make(&jobs)?;
        for what in made {
            let entry = Entry {
                number: entries.len() as u64 + 1,
                at,
                what,
            };
            jobs.take(&entry)?;
            insert(&change, &entry)?;
            entries.push(entry);
        }
        change.commit()?;
        Ok(Added {
            entries: entries.split_off(before),
            jobs,
            told,
        })
    }

    /// Puts a whole list of entries that go together ([`check_list`](super::check_list)) into a book that has none.
    ///
    /// # Errors
    /// A book that has entries.
    pub fn import(&mut self, entries: &[Entry]) -> Result<(), StoreError> {
        let change = self
            .file
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        if !read(&change)?.is_empty() {
            return refused("this book has entries already; import into a new one");
        }
        for entry in entries {
            insert(&change, entry)?;
        }
        change.commit()?;
        Ok(())
    }
}

fn insert(file: &Connection, entry: &Entry) -> Result<(), StoreError> {
    let body =
        serde_json::to_string(&entry.what).map_err(|e| StoreError::Unusable(e.to_string()))?;
    file.execute(
        "INSERT INTO entry (number, at, body) VALUES (?1, ?2, ?3)",
        (entry.number as i64, entry.at.to_string(), body),
    )?;
    Ok(())
}

fn read(file: &Connection) -> Result<Vec<Entry>, StoreError> {
    let mut rows = file.prepare("SELECT number, at, body FROM entry ORDER BY number")?;
    let rows = rows.query_map([], |row| {
        Ok((
            row.get::<_, i64>(0)?,
            row.get::<_, String>(1)?,
            row.get::<_, String>(2)?,
        ))
    })?;
    let mut entries = Vec::new();
    for row in rows {
        let (number, at, body) = row?;
        let damaged = |why: String| StoreError::Damaged {
            why: format!("entry {number}: {why}"),
        };
        let number = u64::try_from(number).map_err(|e| damaged(e.to_string()))?;
        if number != entries.len() as u64 + 1 {
            return Err(damaged("the one before it is missing".to_owned()));
        }
        entries.push(Entry {
            number,
            at: at
                .parse()
                .map_err(|e: jiff::Error| damaged(e.to_string()))?,
            what: serde_json::from_str(&body).map_err(|e| damaged(e.to_string()))?,
        });
    }
    Ok(entries)
}
