//! What is on each machine until when, and what a failure moves. The demonstration shop is attended on weekdays; times worked by
//! hand from its week and its clearing hours.

use beadtally::shop::{Shop, demonstration};
use beadtally::store::{
    Booking, Enquiry, Entry, Failed, Jobs, Offer, Shape, Start, What, after_failure, floor, place,
    ready,
};
use jiff::civil::{DateTime, date};

use crate::meshes::demonstration as part;

/// The demonstration shop, attended from 8 to 18 on weekdays, half an hour to clear a bed.
fn shop() -> Shop {
    let mut shop = demonstration();
    for (day, hours) in shop.attended.days.iter_mut().enumerate() {
        *hours = if day < 5 {
            vec![(8 * 60, 18 * 60)]
        } else {
            Vec::new()
        };
    }
    for machine in &mut shop.machines {
        machine.failures.clearing_h = 0.5;
    }
    shop
}

/// A day of March 2026, of which the 16th is a Monday.
fn at(day: i8, hour: i8, minute: i8) -> DateTime {
    date(2026, 3, day).at(hour, minute, 0, 0)
}

struct Entries {
    entries: Vec<Entry>,
    shape: Shape,
}

impl Entries {
    fn add(&mut self, at: DateTime, what: What) {
        let number = self.entries.len() as u64 + 1;
        self.entries.push(Entry { number, at, what });
    }

    /// A job of so many prints of so many hours on the fast machine.
    fn job(&mut self, job: u64, prints: u32, hours: f64, when: DateTime) {
        self.add(
            when,
            What::Enquiry(Enquiry {
                job,
                part: "part.stl".into(),
                customer: None,
                quantity: prints,
                note: None,
                content: String::new(),
                shape: self.shape.clone(),
            }),
        );
        self.add(
            when,
            What::Offer(Offer {
                job,
                machine: "fast".into(),
                nozzle: "0.6-hardened".into(),
                material: "petg-cf".into(),
                quantity: prints,
                seconds: hours * 3600.0,
                seconds_from: hours * 3300.0,
                seconds_to: hours * 3900.0,
                band_factor: 1.0,
                limit: "motion".into(),
                correction: 1.0,
                grams: 200.0,
                grams_correction: 1.0,
                unit_cost: "30.00".parse().unwrap(),
                unit_price: "45.00".parse().unwrap(),
                total: "90.00".parse().unwrap(),
                currency: "EUR".into(),
            }),
        );
        let mut booking = Booking {
            job,
            machine: "fast".into(),
            prints,
            from: when,
            ready: when,
        };
        let placed = place(&self.jobs(), &shop(), &booking, hours, when);
        booking.ready = ready(&placed, job).unwrap();
        self.add(when, What::Booking(booking));
    }

    fn jobs(&self) -> Jobs {
        Jobs::of(&self.entries).unwrap()
    }
}

fn entries() -> Entries {
    Entries {
        entries: Vec::new(),
        shape: Shape::of(&part("rudder_cheek.stl")),
    }
}

#[test]
fn prints_follow_each_other_in_attended_hours_and_run_through_the_night() {
    let mut book = entries();
    book.job(1, 2, 6.0, at(16, 8, 0));
    book.job(2, 2, 21.0, at(16, 8, 0));
    let placed = floor(&book.jobs(), &shop(), at(16, 8, 0));
    let times: Vec<(u64, DateTime, DateTime)> =
        placed.iter().map(|p| (p.job, p.from, p.to)).collect();
    // Mon 8:00 to 14:00; cleared 14:30, to 20:30; cleared Tue 8:00 to 8:30, 21 h to Wed 5:30; cleared 8:30, to Thu 5:30.
    assert_eq!(
        times,
        [
            (1, at(16, 8, 0), at(16, 14, 0)),
            (1, at(16, 14, 30), at(16, 20, 30)),
            (2, at(17, 8, 30), at(18, 5, 30)),
            (2, at(18, 8, 30), at(19, 5, 30)),
        ]
    );
}

#[test]
fn nothing_begins_at_the_weekend() {
    let mut book = entries();
    book.job(1, 2, 10.0, at(20, 10, 0));
    let placed = floor(&book.jobs(), &shop(), at(20, 10, 0));
    // Fri 10:00 to 20:00; cleared Mon 8:00 to 8:30, to 18:30.
    assert_eq!(ready(&placed, 1), Some(at(23, 18, 30)));
    assert_eq!(placed[1].from, at(23, 8, 30));
}

#[test]
fn a_running_print_keeps_the_machine_until_its_end() {
    let mut book = entries();
    book.job(1, 1, 6.0, at(16, 8, 0));
    book.job(2, 1, 2.0, at(16, 8, 0));
    // The second was begun first.
    book.add(
        at(16, 9, 0),
        What::Start(Start {
            job: 2,
            began: at(16, 9, 0),
            shown_h: None,
        }),
    );
    let placed = floor(&book.jobs(), &shop(), at(16, 9, 30));
    assert_eq!(ready(&placed, 2), Some(at(16, 11, 0)));
    assert_eq!(ready(&placed, 1), Some(at(16, 17, 30)));
    // Overdue, it is expected any moment.
    let placed = floor(&book.jobs(), &shop(), at(16, 12, 0));
    assert_eq!(ready(&placed, 2), Some(at(16, 12, 0)));
}

/// Expected, by hand: 4 h at the machine's hour and its watts, 100 g with their waste and the nozzle's wear, half an hour of clearing,
/// all from the shop's own figures.
#[test]
fn a_failure_is_told_with_its_cost_its_date_and_who_slips() {
    let shop = shop();
    let mut book = entries();
    book.job(1, 2, 6.0, at(16, 8, 0));
    book.job(2, 1, 2.0, at(16, 8, 0));
    book.add(
        at(16, 8, 0),
        What::Spool(beadtally::store::Spool {
            material: "petg-cf".into(),
            grams: 250.0,
        }),
    );
    book.add(
        at(16, 8, 0),
        What::Start(Start {
            job: 1,
            began: at(16, 8, 0),
            shown_h: None,
        }),
    );
    book.add(
        at(16, 12, 0),
        What::Failed(Failed {
            job: 1,
            stopped: at(16, 12, 0),
            hours: 4.0,
            layer: None,
            cause: None,
            grams: Some(100.0),
        }),
    );
    let means = after_failure(&book.jobs(), &shop, 1, at(16, 12, 0)).unwrap();
    // Without it: Mon 8:00 to 14:00, 14:30 to 20:30; job 2 Tue 8:30 to 10:30.
    // With it: cleared 12:30, to 18:30; cleared Tue 8:30, to 14:30; job 2 15:00 to 17:00.
    assert_eq!(means.ready, Some(at(17, 14, 30)));
    assert_eq!(means.slips.len(), 1);
    assert_eq!((means.slips[0].job, means.slips[0].is), (2, at(17, 17, 0)));
    assert!((means.slips[0].hours() - 6.5).abs() < 1e-9);
    assert_eq!(means.spool, ("petg-cf".into(), Some(150.0)));
    let machine = shop.machine("fast").unwrap();
    let (plastic, nozzle) = (
        shop.material("petg-cf").unwrap(),
        shop.nozzle("0.6-hardened").unwrap(),
    );
    let money = |d: rust_decimal::Decimal| d.to_string().parse::<f64>().unwrap();
    let running = |hours: f64, grams: f64| {
        hours * (money(machine.price) / machine.life_h + money(machine.upkeep_per_h))
            + hours * machine.printing_w / 1000.0 * money(shop.rates.energy_per_kwh)
            + grams / 1000.0 * (1.0 + plastic.waste) * money(plastic.price_per_kg)
            + grams / nozzle.life_abrasive_g * money(nozzle.price)
    };
    let cost = running(4.0, 100.0) + 0.5 * money(shop.rates.labour_per_h);
    let lost = money(means.lost);
    assert!((lost - cost).abs() < 0.006, "{lost} {cost}");
    let again = money(means.reprint);
    assert!((again - running(6.0, 200.0)).abs() < 0.006, "{again}");
    // 90 for two pieces of 30 each, less the failure.
    assert!((money(means.earns) - (90.0 - 60.0 - cost)).abs() < 0.006);
}

/// What was booked first for later leaves the time before it to others that are done by then.
#[test]
fn a_gap_before_a_later_booking_is_used_by_what_fits() {
    let mut book = entries();
    book.job(1, 1, 6.0, at(16, 8, 0));
    // Not before Wednesday.
    if let What::Booking(booking) = &mut book.entries[2].what {
        booking.from = at(18, 8, 0);
    }
    book.job(2, 1, 20.0, at(16, 8, 0));
    book.job(3, 1, 30.0, at(16, 8, 0));
    let placed = floor(&book.jobs(), &shop(), at(16, 8, 0));
    // 20 h end Tue 4:00 and are cleared Tue 8:30; 30 h from then on would end Wed 14:30, so they wait for the first.
    assert_eq!(ready(&placed, 2), Some(at(17, 4, 0)));
    assert_eq!(ready(&placed, 1), Some(at(18, 14, 0)));
    assert_eq!(ready(&placed, 3), Some(at(19, 20, 30)));
}

/// Worked by hand: the shop stands in Lisbon, where summer time begins on Sunday the 29th of March 2026, and is closed on Friday the
/// 27th. 36 h from Saturday noon on end 37 h later on the clock.
#[test]
fn holidays_and_summer_time_count_in_the_queue_of_a_machine() {
    let mut shop = shop();
    shop.calendar.closed = vec![(date(2026, 3, 27), date(2026, 3, 27))];
    assert_eq!(shop.calendar.zone_name(), "Europe/Lisbon");
    let mut book = entries();
    book.job(1, 2, 6.0, at(26, 10, 0));
    book.job(2, 1, 2.0, at(26, 10, 0));
    let placed = floor(&book.jobs(), &shop, at(26, 10, 0));
    // Thu 10:00 to 16:00, 16:30 to 22:30; cleared Mon 8:00 to 8:30, to 10:30.
    let times: Vec<(DateTime, DateTime)> = placed.iter().map(|p| (p.from, p.to)).collect();
    assert_eq!(
        times,
        [
            (at(26, 10, 0), at(26, 16, 0)),
            (at(26, 16, 30), at(26, 22, 30)),
            (at(30, 8, 30), at(30, 10, 30)),
        ]
    );
    shop.attended.days[5] = vec![(8 * 60, 18 * 60)];
    let mut book = entries();
    book.job(1, 1, 36.0, at(28, 12, 0));
    let placed = floor(&book.jobs(), &shop, at(28, 12, 0));
    assert_eq!(
        (placed[0].from, placed[0].to),
        (at(28, 12, 0), at(30, 1, 0))
    );
}
