//! How wide the columns of a table become, in letters or in points.

/// The widths of columns that share some room.
///
/// `natural` is what a column takes unbroken, `least` what its longest word takes. Where all fit unbroken they do; else what lies
/// between least and natural is shared out in proportion, and where not even the longest words fit, they are cut by proportion.
pub(super) fn widths(natural: &[f64], least: &[f64], room: f64) -> Vec<f64> {
    let sum = |widths: &[f64]| widths.iter().sum::<f64>();
    let (whole, words) = (sum(natural), sum(least));
    if whole <= room {
        return natural.to_vec();
    }
    if words >= room {
        let scale = if words > 0.0 { room / words } else { 0.0 };
        return least.iter().map(|width| width * scale).collect();
    }
    let share = (room - words) / (whole - words);
    natural
        .iter()
        .zip(least)
        .map(|(natural, least)| least + share * (natural - least))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::widths;

    /// Worked by hand: 30 of room for words of 5 and 5 leaves 20; the first wants 5 more, the second 35 more.
    #[test]
    fn what_is_left_goes_where_it_is_wanted() {
        assert_eq!(widths(&[10.0, 40.0], &[5.0, 5.0], 60.0), [10.0, 40.0]);
        assert_eq!(widths(&[10.0, 40.0], &[5.0, 5.0], 30.0), [7.5, 22.5]);
        assert_eq!(widths(&[30.0, 90.0], &[20.0, 60.0], 40.0), [10.0, 30.0]);
    }
}
