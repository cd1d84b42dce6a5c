//! By how much a part misses a machine, in plain words.

use nalgebra::Vector3;

use super::bed::plan::Held;
use super::bed::usable::Usable;
use super::tolerance::LENGTH_SHARE;
use super::{BuildSpace, Rest};

/// A pose and turn that do not fit.
#[derive(Debug, Clone, PartialEq)]
pub struct Miss {
    /// The part's direction that points down.
    pub down: Rest,
    /// The turn about the vertical that lacks the least, degrees counter-clockwise seen from above, in 0..360.
    pub turn_deg: f64,
    /// By how much the part is too large along the bed's x, its y and upward, mm; 0 where it is not.
    pub over_mm: [f64; 3],
    /// The greatest of these, mm.
    pub excess_mm: f64,
    /// The miss in a sentence without a full stop: "as drawn and turned 45 degrees it is 12.4 mm too long".
    pub words: String,
}

impl Miss {
    /// From how much larger the part is than the space (negative: smaller) and its width and depth, mm.
    pub(super) fn new(
        down: Rest,
        turn_deg: f64,
        over_mm: [f64; 3],
        size_mm: [f64; 2],
        held: Held,
    ) -> Self {
        let over_mm = over_mm.map(|over| over.max(0.0));
        let excess_mm = over_mm.into_iter().fold(0.0, f64::max);
        let words = in_words(down, turn_deg, over_mm, size_mm, held);
        Self {
            down,
            turn_deg,
            over_mm,
            excess_mm,
            words,
        }
    }
}

/// The miss that lacks the least; of misses alike, the first.
pub(super) fn nearest(misses: Vec<Miss>) -> Option<Miss> {
    misses.into_iter().reduce(|best, next| {
        if next.excess_mm < best.excess_mm * (1.0 - LENGTH_SHARE) {
            next
        } else {
            best
        }
    })
}

/// The least number of pieces into which straight cuts along the part's axes divide its box so that each fits square,
/// over the six ways to lay the box's axes; on a round bed each must fit the largest square in it, on any other but a
/// rectangle one of the largest rectangles of seventeen proportions. None where the space has no room at all.
pub(super) fn pieces_if_cut(size_mm: Vector3<f64>, space: &BuildSpace) -> Option<u64> {
    // Pieces may be as high as the space, or end below a step of it.
    let ceilings = space.narrower_above.iter().map(|step| step.from_mm);
    let ceilings = ceilings
        .filter(|mm| *mm < space.height_mm)
        .chain([space.height_mm]);
    ceilings
        .flat_map(|height_mm| {
            let rooms = Usable::of(space, height_mm).rooms_mm();
            rooms.into_iter().map(move |[x, y]| [x, y, height_mm])
        })
        .filter_map(|room| pieces_of(size_mm, room))
        .min()
}

fn pieces_of(size_mm: Vector3<f64>, room: [f64; 3]) -> Option<u64> {
    if !room.iter().all(|&length| length > 0.0) {
        return None;
    }
    let cut = |axis: usize, along: usize| {
        // The tolerance keeps a piece exactly as long as the bed whole.
        (size_mm[axis] / room[along] - LENGTH_SHARE).ceil().max(1.0) as u64
    };
    let ways = [
        [0, 1, 2],
        [0, 2, 1],
        [1, 0, 2],
        [1, 2, 0],
        [2, 0, 1],
        [2, 1, 0],
    ];
    ways.iter()
        .map(|[x, y, z]| {
            cut(*x, 0)
                .saturating_mul(cut(*y, 1))
                .saturating_mul(cut(*z, 2))
        })
        .min()
}

/// A turn in plain words: "turned 23 degrees", "turned 23 degrees clockwise"; nothing for no turn.
pub fn turn_in_words(turn_deg: f64) -> Option<String> {
    let clockwise = turn_deg > 180.0;
    let said = format!(
        "{:.1}",
        if clockwise {
            360.0 - turn_deg
        } else {
            turn_deg
        }
    );
    let said = said.strip_suffix(".0").unwrap_or(&said);
    let unit = if said == "1" { "degree" } else { "degrees" };
    // A quarter turn looks the same either way.
    let sense = if clockwise && said != "90" {
        " clockwise"
    } else {
        ""
    };
    (turn_deg != 0.0).then(|| format!("turned {said} {unit}{sense}"))
}

fn in_words(down: Rest, turn_deg: f64, over_mm: [f64; 3], size_mm: [f64; 2], held: Held) -> String {
    let [x, y, z] = over_mm;
    let mut faults = Vec::new();
    if z > 0.0 {
        faults.push(format!("{} too tall", length_in_words(z)));
    }
    if x.max(y) > 0.0 {
        let how = match held {
            Held::Rim => "too wide for the round bed",
            Held::Sides if is_too_long(x - y, size_mm) => "too long",
            Held::Sides => "too wide",
            Held::Outline => "too large for the usable outline of the bed",
            Held::Obstacles => "too large for what is left of the bed beside what is kept clear",
            Held::Step => "too wide higher up, where the space is narrower",
        };
        faults.push(format!("{} {how}", length_in_words(x.max(y))));
    }
    let turned = turn_in_words(turn_deg)
        .map(|turned| format!(" and {turned}"))
        .unwrap_or_default();
    format!("{}{turned} it is {}", down.in_words(), faults.join(" and "))
}

/// Whether what is too large is the part's longer side at this turn. Where both sides lack the same, it is its length.
fn is_too_long(x_over_y: f64, size_mm: [f64; 2]) -> bool {
    let same = LENGTH_SHARE * (size_mm[0] + size_mm[1]);
    match x_over_y {
        _ if x_over_y.abs() <= same => true,
        _ if x_over_y > 0.0 => size_mm[0] >= size_mm[1] - same,
        _ => size_mm[1] >= size_mm[0] - same,
    }
}

/// A length to a tenth, a small one to a thousandth of a millimetre, never as nothing.
fn length_in_words(length_mm: f64) -> String {
    if length_mm >= 0.95 {
        format!("{length_mm:.1} mm")
    } else if length_mm >= 0.001 {
        format!("{length_mm:.3} mm")
    } else {
        "less than 0.001 mm".to_owned()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::pose::Down;

    #[test]
    fn a_turn_is_said_in_the_sense_it_is_taken() {
        assert_eq!(turn_in_words(0.0), None);
        assert_eq!(turn_in_words(23.0).unwrap(), "turned 23 degrees");
        assert_eq!(turn_in_words(337.0).unwrap(), "turned 23 degrees clockwise");
        assert_eq!(turn_in_words(1.04).unwrap(), "turned 1 degree");
        assert_eq!(turn_in_words(44.96).unwrap(), "turned 45 degrees");
    }

    #[test]
    fn a_miss_says_what_is_too_large_and_by_how_much() {
        let miss = |down, turn, over| {
            Miss::new(Rest::Axis(down), turn, over, [120.0, 60.0], Held::Sides).words
        };
        assert_eq!(
            miss(Down::ZMinus, 45.0, [12.4, 12.4, -3.0]),
            "as drawn and turned 45 degrees it is 12.4 mm too long"
        );
        assert_eq!(
            miss(Down::XPlus, 0.0, [-1.0, -1.0, 30.2]),
            "lying on its +x side it is 30.2 mm too tall"
        );
        assert_eq!(
            miss(Down::ZPlus, 0.0, [-1.0, 4.0, 0.0004]),
            "upside down it is less than 0.001 mm too tall and 4.0 mm too wide"
        );
    }

    #[test]
    fn pieces_are_counted_over_the_best_way_to_lay_the_box() {
        let space = BuildSpace::rectangle;
        let size = Vector3::new(50.0, 250.0, 90.0);
        assert_eq!(pieces_if_cut(size, &space(100.0, 100.0, 100.0)), Some(3));
        assert_eq!(pieces_if_cut(size, &space(60.0, 100.0, 250.0)), Some(1));
        assert_eq!(pieces_if_cut(size, &space(0.0, 100.0, 250.0)), None);
        let huge = pieces_if_cut(Vector3::repeat(1e300), &space(1.0, 1.0, 1.0));
        assert_eq!(huge, Some(u64::MAX));
    }

    #[test]
    fn a_piece_exactly_as_long_as_the_bed_needs_no_cut_of_its_own() {
        let space = BuildSpace::rectangle(30.1, 10.0, 10.0);
        assert_eq!(
            pieces_if_cut(Vector3::new(3.0 * 30.1, 10.0, 10.0), &space),
            Some(3)
        );
    }
}
