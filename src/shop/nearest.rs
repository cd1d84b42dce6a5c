//! The known word nearest to a misspelled one.

/// The candidate that differs from `word` by the fewest letters, where that is few enough to be a slip.
pub(super) fn nearest<'a>(
    word: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    // A word longer than any key can only be noise; not compared, so that hostile keys cost nothing.
    if word.len() > 80 {
        return None;
    }
    let allowed = (word.chars().count() / 3).max(2);
    candidates
        .into_iter()
        .map(|candidate| (letters_apart(word, candidate), candidate))
        .filter(|(apart, _)| *apart <= allowed)
        .min_by_key(|(apart, _)| *apart)
        .map(|(_, candidate)| candidate)
}

/// Least count of letters put in, left out or changed between two words (Levenshtein 1966, from memory).
fn letters_apart(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, from) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, to) in b.iter().enumerate() {
            let changed = diagonal + usize::from(from != *to);
            diagonal = row[j + 1];
            row[j + 1] = changed.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_apart_of_the_textbook_pair_is_three() {
        // kitten -> sitting: the textbook example, from memory.
        assert_eq!(letters_apart("kitten", "sitting"), 3);
    }

    #[test]
    fn a_swapped_letter_finds_its_word() {
        assert_eq!(
            nearest("heigth_mm", ["bed_mm", "height_mm", "price"]),
            Some("height_mm")
        );
    }

    #[test]
    fn a_word_unlike_all_others_finds_none() {
        assert_eq!(nearest("colour", ["bed_mm", "height_mm", "price"]), None);
    }
}
