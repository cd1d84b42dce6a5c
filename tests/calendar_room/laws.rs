//! Laws over random weeks and orders.

use beadtally::calendar::{Chances, Delivery, Ends, Print, WorkingTime, delivery};
use jiff::Zoned;
use proptest::prelude::*;

use super::{at, days, lisbon, prints, queue};

fn print() -> impl Strategy<Value = Print> {
    let chances = (0.0..0.3, 0.0..3600.0, 0.0..0.02);
    (0.1..80.0, 1_u32..20, 0_u32..3, chances).prop_map(|(hours, times, spool_changes, c)| Print {
        spool_changes,
        chances: Chances {
            start_chance: c.0,
            start_lost_s: c.1,
            rate_per_h: c.2,
        },
        ..prints(hours, times)
    })
}

/// The order's dates in a week of so many days, with the machine taken for so many hours from Tuesday on.
fn told(days_open: usize, all: &[Print], taken_h: i8, finishing_s: f64) -> Delivery {
    let from = at(3, 2, 8, 0);
    let time = WorkingTime::on(&days(days_open, 8, 17), &lisbon(&[]), from).unwrap();
    let mut queue = queue(from, all);
    queue.busy = vec![(at(3, 3, 0, 0), at(3, 3, taken_h, 0))];
    delivery(&time, &[queue], finishing_s, from, 30).unwrap()
}

fn in_order(ends: &Ends<Zoned>) -> bool {
    ends.undisturbed <= ends.likely && ends.likely <= ends.safe && ends.undisturbed <= ends.mean
}

fn not_before(later: &Ends<Zoned>, sooner: &Ends<Zoned>) -> bool {
    later.undisturbed >= sooner.undisturbed
        && later.mean >= sooner.mean
        && later.likely >= sooner.likely
        && later.safe >= sooner.safe
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn more_prints_never_end_earlier(open in 1_usize..8, first in print(), more in 1_u32..2000) {
        let sooner = told(open, &[first], 0, 0.0);
        let longer = Print { times: first.times + more, ..first };
        prop_assert!(not_before(&told(open, &[longer], 0, 0.0).printed, &sooner.printed));
        let another = told(open, &[first, first], 0, 0.0);
        prop_assert!(not_before(&another.printed, &sooner.printed));
    }

    #[test]
    fn likely_comes_before_safe_and_nothing_before_the_undisturbed(open in 1_usize..8, all in prop::collection::vec(print(), 1..4)) {
        let told = told(open, &all, 7, 4000.0);
        prop_assert!(in_order(&told.printed) && in_order(&told.finished));
        prop_assert!(told.dispatch.likely <= told.dispatch.safe);
        prop_assert!(told.finished.safe >= told.printed.safe);
    }

    #[test]
    fn booked_time_and_finishing_never_bring_an_order_forward(open in 1_usize..8, all in prop::collection::vec(print(), 1..4), taken in 1_i8..24) {
        let free = told(open, &all, 0, 0.0);
        let taken = told(open, &all, taken, 0.0);
        prop_assert!(taken.printed.undisturbed >= free.printed.undisturbed);
        let finished = told(open, &all, 0, 5000.0);
        prop_assert!(finished.dispatch.safe >= free.dispatch.safe);
    }

    #[test]
    fn every_start_is_in_attended_hours(open in 1_usize..8, all in prop::collection::vec(print(), 1..4)) {
        let told = told(open, &all, 9, 0.0);
        let mut before = None;
        for (start, end) in &told.queues[0].prints {
            let clock = start.datetime();
            prop_assert!((8..17).contains(&clock.hour()));
            prop_assert!((clock.date().weekday().to_monday_zero_offset() as usize) < open);
            prop_assert!(before.is_none_or(|ended| ended <= *start) && start <= end);
            before = Some(end.clone());
        }
    }
}
