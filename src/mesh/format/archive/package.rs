//! A zip archive: what it holds, unpacked one entry after another and never to more than it says or the limit allows.

use std::io::{Cursor, Read};

use rustc_hash::FxHashMap;
use zip::{CompressionMethod, ZipArchive};

use crate::mesh::{MeshError, plain_text};

/// Most entries that are read.
const MOST_ENTRIES: usize = 10_000;

/// How much may still be unpacked.
pub(in crate::mesh::format) struct Budget {
    limit_bytes: u64,
    unpacked_bytes: u64,
}

impl Budget {
    /// Nothing is unpacked yet.
    pub(in crate::mesh::format) fn new(limit_bytes: u64) -> Budget {
        Budget {
            limit_bytes,
            unpacked_bytes: 0,
        }
    }

    /// Refuses what would unpack to more than is left.
    pub(super) fn refuse_over(&self, more_bytes: u64) -> Result<(), MeshError> {
        let unpacked_bytes = self.unpacked_bytes.saturating_add(more_bytes);
        if unpacked_bytes > self.limit_bytes {
            return Err(MeshError::OverLimit {
                unpacked_bytes,
                limit_bytes: self.limit_bytes,
            });
        }
        Ok(())
    }

    /// Unpacks `source` to its end, but stops where more than `most_bytes` or than is left comes out of it.
    pub(super) fn unpack(
        &mut self,
        source: impl Read,
        most_bytes: u64,
    ) -> Result<std::io::Result<Vec<u8>>, MeshError> {
        let most_bytes = most_bytes.min(self.limit_bytes - self.unpacked_bytes);
        let mut bytes = Vec::new();
        let read = source
            .take(most_bytes.saturating_add(1))
            .read_to_end(&mut bytes);
        self.refuse_over(bytes.len() as u64)?;
        self.unpacked_bytes += bytes.len() as u64;
        Ok(read.map(|_| bytes))
    }
}

/// One file of an archive.
pub(in crate::mesh::format) struct Entry {
    /// Its path as it is shown: parts joined by '/', none of them a way out of the archive.
    pub(super) path: String,
    /// Whether it may be a file somebody meant to send.
    pub(super) meant: bool,
    bytes: u64,
    method: CompressionMethod,
}

/// An opened zip archive.
pub(in crate::mesh::format) struct Package {
    zip: ZipArchive<Cursor<Vec<u8>>>,
    entries: Vec<Entry>,
    /// Entries by their lower-case path: package part names are equivalent without regard to case (ECMA-376-2, 6.2.2.3).
    by_path: FxHashMap<String, usize>,
}

impl Package {
    /// Lists the entries and refuses what can't or shouldn't be unpacked, before anything is.
    pub(super) fn open(bytes: Vec<u8>, budget: &Budget) -> Result<Package, MeshError> {
        let zip = ZipArchive::new(Cursor::new(bytes)).map_err(|_| {
            refusal(
                "the zip archive is damaged or cut short: its list of files can't be read",
                "the archive sent again",
            )
        })?;
        if zip.len() > MOST_ENTRIES {
            return Err(refusal(
                format!(
                    "the archive holds {} files, more than the {MOST_ENTRIES} that are read",
                    zip.len()
                ),
                "the meshes alone, in smaller archives",
            ));
        }
        if zip.has_duplicate_names() {
            return Err(refusal(
                "the archive holds two files under one name, so it is unclear which one is meant",
                "an archive with every file once",
            ));
        }
        let mut package = Package {
            zip,
            entries: Vec::new(),
            by_path: FxHashMap::default(),
        };
        package.list()?;
        let declared_bytes = package
            .entries
            .iter()
            .fold(0u64, |sum, e| sum.saturating_add(e.bytes));
        budget.refuse_over(declared_bytes)?;
        Ok(package)
    }

    fn list(&mut self) -> Result<(), MeshError> {
        for index in 0..self.zip.len() {
            let Ok(entry) = self.zip.by_index_data(index) else {
                return Err(refusal(
                    "the zip archive's list of files is damaged",
                    "the archive sent again",
                ));
            };
            let name = match entry.name() {
                Ok(name) => name.into_owned(),
                Err(_) => String::from_utf8_lossy(entry.name_raw()).into_owned(),
            };
            let (path, meant) = shown_path(&name, index);
            let is_file = !entry.is_dir() && !entry.is_symlink();
            if is_file && entry.encrypted() {
                return Err(refusal(
                    format!(
                        "the archive is locked with a password (\"{path}\" in it is encrypted)"
                    ),
                    "it without a password",
                ));
            }
            self.by_path.insert(path.to_lowercase(), index);
            self.entries.push(Entry {
                path,
                meant: meant && is_file,
                bytes: entry.size(),
                method: entry.compression(),
            });
        }
        Ok(())
    }

    /// Its files and folders.
    pub(super) fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// The file at a path from the archive's root, in upper or lower case.
    pub(in crate::mesh::format) fn find(&self, path: &str) -> Option<usize> {
        let path = path.trim_start_matches('/').to_lowercase();
        self.by_path.get(&path).copied()
    }

    /// The path of an entry, as it is shown.
    pub(in crate::mesh::format) fn path(&self, index: usize) -> &str {
        &self.entries[index].path
    }

    /// Paths of the files in a folder of the root, with that ending.
    pub(in crate::mesh::format) fn files_in(&self, folder: &str, ending: &str) -> Vec<usize> {
        let in_folder = |entry: &Entry| {
            let path = entry.path.to_lowercase();
            path.starts_with(folder) && path.ends_with(ending)
        };
        (0..self.entries.len())
            .filter(|i| in_folder(&self.entries[*i]))
            .collect()
    }

    /// Unpacks one entry.
    pub(in crate::mesh::format) fn unpack(
        &mut self,
        index: usize,
        budget: &mut Budget,
    ) -> Result<Vec<u8>, MeshError> {
        let entry = &self.entries[index];
        if !matches!(
            entry.method,
            CompressionMethod::Stored | CompressionMethod::Deflated
        ) {
            return Err(refusal(
                format!(
                    "\"{}\" is packed in a way that is not read ({})",
                    entry.path, entry.method
                ),
                "a zip archive packed the usual way (deflate)",
            ));
        }
        let damaged = || {
            refusal(
                format!(
                    "\"{}\" in the archive is damaged: it does not unpack to the {} bytes that the archive says",
                    entry.path, entry.bytes
                ),
                "the archive made and sent again",
            )
        };
        let source = self.zip.by_index(index).map_err(|_| damaged())?;
        let unpacked = budget.unpack(source, entry.bytes)?;
        unpacked
            .ok()
            .filter(|bytes| bytes.len() as u64 == entry.bytes)
            .ok_or_else(damaged)
    }
}

/// The error for an archive.
pub(in crate::mesh::format) fn refusal(problem: impl Into<String>, ask: &'static str) -> MeshError {
    MeshError::Archive {
        problem: problem.into(),
        ask,
    }
}

/// An entry's name as a path that stays inside, and whether it may be a file somebody meant to send: no hidden file, none of
/// the folder that macOS adds.
fn shown_path(name: &str, index: usize) -> (String, bool) {
    let parts: Vec<&str> = name
        .split(['/', '\\'])
        .filter(|part| !matches!(part.trim(), "" | "." | ".."))
        .collect();
    let meant = !parts
        .iter()
        .any(|part| part.starts_with('.') || *part == "__MACOSX");
    let path = plain_text(&parts.join("/"));
    if path.is_empty() {
        (format!("file {}", index + 1), meant)
    } else {
        (path, meant)
    }
}
