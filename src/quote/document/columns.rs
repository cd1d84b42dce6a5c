//! How wide the columns of a table become, in letters or in points.

/// Cells of at most so many letters are never broken.
pub(super) const SHORT: usize = 16;

/// The widths of columns that share some room.
///
/// `steps` are ever more generous widths of all columns: what their longest words take, what their cells take unbroken, what
/// their names take as well. The most generous step that fits is taken, and what is left goes where the next step wants it, in
/// proportion. Where not even the first fits, the widest columns give way until it does: numbers are short and stay whole.
pub(super) fn widths(steps: &[Vec<f64>], room: f64) -> Vec<f64> {
    let sum = |widths: &[f64]| widths.iter().sum::<f64>();
    let fitting = steps.iter().rposition(|step| sum(step) <= room);
    let Some(fits) = fitting else {
        let least = steps.first().map_or(&[][..], Vec::as_slice);
        return cut_to(least, room);
    };
    let (step, Some(next)) = (&steps[fits], steps.get(fits + 1)) else {
        return steps[fits].clone();
    };
    let share = (room - sum(step)) / (sum(next) - sum(step));
    let both = step.iter().zip(next);
    both.map(|(width, wanted)| width + share * (wanted - width))
        .collect()
}

/// Widths with the widest cut to one length, so that all of them fit.
fn cut_to(widths: &[f64], room: f64) -> Vec<f64> {
    let mut rising = widths.to_vec();
    rising.sort_by(f64::total_cmp);
    let (mut left, mut columns) = (room.max(0.0), rising.len() as f64);
    for width in rising {
        if width * columns >= left {
            break;
        }
        left -= width;
        columns -= 1.0;
    }
    let most = if columns > 0.0 { left / columns } else { 0.0 };
    widths.iter().map(|width| width.min(most)).collect()
}

#[cfg(test)]
mod tests {
    use super::widths;

    /// Worked by hand: 30 of room for words of 5 and 5 leaves 20; the first wants 5 more, the second 35 more.
    #[test]
    fn what_is_left_goes_where_it_is_wanted() {
        let steps = |a: [f64; 2], b: [f64; 2]| [a.to_vec(), b.to_vec()];
        let steps3 = |a: [f64; 3]| [a.to_vec()];
        assert_eq!(widths(&steps([5.0, 5.0], [10.0, 40.0]), 60.0), [10.0, 40.0]);
        assert_eq!(widths(&steps([5.0, 5.0], [10.0, 40.0]), 30.0), [7.5, 22.5]);
        assert_eq!(
            widths(&steps([20.0, 60.0], [30.0, 90.0]), 40.0),
            [20.0, 20.0]
        );
        // A column of numbers 5 wide stays whole; the two wide ones share the rest.
        assert_eq!(widths(&steps3([5.0, 60.0, 30.0]), 45.0), [5.0, 20.0, 20.0]);
    }
}
