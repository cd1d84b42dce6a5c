//! Putting an entry right by a further one: the book as it would be had the entry been right at once.

use super::entry::{Correction, Entry, What};
use super::error::{StoreError, refused};
use super::jobs::Jobs;

/// Keys of an entry that stay as they are: what it is, whose it is, and by what its part is known.
const FIXED: [&str; 4] = ["entry", "job", "content", "shape"];

impl Jobs {
    /// The book as it would be had the entry been right at once.
    pub(super) fn corrected(
        &self,
        correction: &Correction,
        by: &Entry,
    ) -> Result<Jobs, StoreError> {
        let Some(wrong) = self.entries.iter().find(|e| e.number == correction.of) else {
            return refused(format!(
                "there is no entry {}; entries run from 1 to {}",
                correction.of,
                self.entries.len()
            ));
        };
        if matches!(wrong.what, What::Correction(_) | What::Learned(_)) {
            return refused(format!(
                "entry {} is itself a {}; correct the entry it is about",
                correction.of,
                wrong.what.name()
            ));
        }
        let unusable = |e: serde_json::Error| StoreError::Unusable(e.to_string());
        let mut body = serde_json::to_value(&wrong.what).map_err(unusable)?;
        let Some(keys) = body.as_object_mut() else {
            return refused("an entry without keys can't be corrected");
        };
        for (key, value) in &correction.set {
            if FIXED.contains(&key.as_str()) {
                return refused(format!("the key {key} of an entry stays as it is"));
            }
            keys.insert(key.clone(), value.clone());
        }
        let what: What = serde_json::from_value(body.clone()).map_err(|e| {
            StoreError::Refused(format!("entry {} can't say that: {e}", correction.of))
        })?;
        // A key that the entry does not know is dropped when it is read, and so does not come back.
        let back = serde_json::to_value(&what).map_err(unusable)?;
        if let Some(unknown) = correction.set.keys().find(|key| back.get(key).is_none()) {
            let known: Vec<&str> = back
                .as_object()
                .into_iter()
                .flat_map(|keys| keys.keys())
                .map(String::as_str)
                .filter(|key| !FIXED.contains(key))
                .collect();
            return refused(format!(
                "entry {} ({}) has no key {unknown}; it has {}",
                correction.of,
                what.name(),
                known.join(", ")
            ));
        }
        let mut jobs = Jobs::default();
        for entry in &self.entries {
            let mut entry = entry.clone();
            if entry.number == correction.of {
                entry.what = what.clone();
            }
            match entry.what {
                // Its effect is in the entries already.
                What::Correction(_) => jobs.entries.push(entry),
                _ => jobs.take(&entry)?,
            }
        }
        jobs.entries.push(by.clone());
        Ok(jobs)
    }
}
