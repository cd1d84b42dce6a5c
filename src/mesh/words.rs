//! Numbers of things in sentences.

/// "1 facet", "2 facets".
pub(super) fn facets(count: usize) -> String {
    counted(count, "facet", "facets")
}

/// A number with the fitting word.
pub(super) fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}
