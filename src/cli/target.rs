//! Files that are written: never over what was read, and never into a pipe or a device.

use std::fs::{self, Metadata};
use std::path::Path;

use super::Failure;
use super::parts::name;

/// Refuses a file that is, by whatever name or link, one of those that were read, or that is no plain file. `option` asked for it.
pub(super) fn not_over<'a>(
    option: &str,
    path: &Path,
    read: impl IntoIterator<Item = (&'a Path, &'static str)>,
) -> Result<(), Failure> {
    let Ok(target) = fs::metadata(path) else {
        // What is not there yet can only be made anew.
        return Ok(());
    };
    let wrong = |why: &str| {
        Err(Failure::of(format!(
            "{option} {}: {why}; give another name",
            name(path)
        )))
    };
    if !target.is_file() {
        return wrong("that is no plain file");
    }
    for (source, what) in read {
        let same = fs::metadata(source).is_ok_and(|source| same_file(&source, &target))
            || source
                .canonicalize()
                .ok()
                .zip(path.canonicalize().ok())
                .is_some_and(|(a, b)| a == b);
        if same {
            return wrong(&format!("that is {what}, which is never written over"));
        }
    }
    Ok(())
}

#[cfg(unix)]
fn same_file(a: &Metadata, b: &Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    (a.dev(), a.ino()) == (b.dev(), b.ino())
}

/// Elsewhere only names tell files apart.
#[cfg(not(unix))]
fn same_file(_: &Metadata, _: &Metadata) -> bool {
    false
}
