//! Where the shop's clock hangs and on which days nobody comes: `time_zone` and `holidays`. Both may be left out.

use jiff::civil::{Date, DateTime};
use jiff::tz::{TimeZone, TimeZoneDatabase};
use jiff::{Timestamp, Zoned};

use super::ShopError;
use super::nearest::nearest;
use super::table::{ShopTable, shortened};

/// Keys of `[shop]` that are read here.
pub(super) const TIME_ZONE: &str = "time_zone";
pub(super) const HOLIDAYS: &str = "holidays";

/// More entries than this are no holidays: ten years of every day.
const MOST_HOLIDAYS: usize = 3660;

const ZONE_RIGHT: &str = "give the name of an IANA time zone such as \"Europe/Lisbon\"";
const DAYS_RIGHT: &str = "give days as \"2026-12-25\" and intervals as \"2026-08-03/2026-08-14\"";

/// Where the shop's clock hangs and on which days nobody comes.
#[derive(Debug, Clone, PartialEq)]
pub struct ShopCalendar {
    /// The zone of the shop's clock, out of the database that the program carries.
    pub zone: TimeZone,
    /// Whether the file names no zone: UTC then, which knows no summer time.
    pub zone_by_default: bool,
    /// Days on which nobody comes, first and last, in order.
    pub closed: Vec<(Date, Date)>,
}

impl Default for ShopCalendar {
    fn default() -> Self {
        ShopCalendar {
            zone: TimeZone::UTC,
            zone_by_default: true,
            closed: Vec::new(),
        }
    }
}

impl ShopCalendar {
    /// The name of the zone, as IANA has it.
    pub fn zone_name(&self) -> &str {
        self.zone.iana_name().unwrap_or("UTC")
    }

    /// Whether nobody comes on a day, whatever the week says.
    pub fn is_closed(&self, day: Date) -> bool {
        self.closed
            .iter()
            .any(|(from, to)| *from <= day && day <= *to)
    }

    /// What the shop's clock shows: in its zone, and where the file names none what the asker's own clock shows.
    pub fn clock(&self, now: &Zoned) -> DateTime {
        if self.zone_by_default {
            return now.datetime();
        }
        now.with_time_zone(self.zone.clone()).datetime()
    }

    /// The moment at which the shop's clock shows a time. Of a time that comes twice, when summer time ends, the first; for one that
    /// is left out, when it begins, the moment as much later. The last moment there is where it would lie beyond.
    pub fn moment(&self, at: DateTime) -> Timestamp {
        let found = self.zone.to_ambiguous_timestamp(at).compatible();
        found.unwrap_or(if at < DateTime::constant(0, 1, 1, 0, 0, 0, 0) {
            Timestamp::MIN
        } else {
            Timestamp::MAX
        })
    }
}

/// Reads both keys.
pub(super) fn read_calendar(shop: &ShopTable<'_>) -> Result<ShopCalendar, ShopError> {
    let mut calendar = ShopCalendar::default();
    if let Some(name) = shop.text(TIME_ZONE, ZONE_RIGHT)? {
        calendar.zone = zone(name).map_err(|fault| shop.error(TIME_ZONE, fault))?;
        calendar.zone_by_default = false;
    }
    let days = shop.texts(HOLIDAYS, DAYS_RIGHT)?.unwrap_or_default();
    if days.len() > MOST_HOLIDAYS {
        let fault = format!(
            "{} entries; give at most {MOST_HOLIDAYS}, and days that follow each other as one interval",
            days.len()
        );
        return Err(shop.error(HOLIDAYS, fault));
    }
    for text in days {
        let closed = interval(text).map_err(|fault| shop.error(HOLIDAYS, fault))?;
        calendar.closed.push(closed);
    }
    calendar.closed.sort_unstable();
    Ok(calendar)
}

/// A zone of the database that the program carries, so that every machine gives the same answer.
fn zone(name: &str) -> Result<TimeZone, String> {
    let database = TimeZoneDatabase::bundled();
    if let Ok(zone) = database.get(name) {
        return Ok(zone);
    }
    let names: Vec<_> = database.available().collect();
    let right = match nearest(name, names.iter().map(|name| name.as_str())) {
        Some(near) => format!("did you mean \"{near}\"?"),
        None => ZONE_RIGHT.to_owned(),
    };
    Err(format!(
        "{} is no time zone that is known; {right}",
        shortened(name)
    ))
}

/// `2026-12-25`, or `2026-08-03/2026-08-14` with both ends in it (ISO 8601, extended format).
fn interval(text: &str) -> Result<(Date, Date), String> {
    let (from, to) = text.split_once('/').unwrap_or((text, text));
    let (from, to) = (day(from)?, day(to)?);
    if to < from {
        return Err(format!(
            "{} ends before it begins; give the earlier day first",
            shortened(text)
        ));
    }
    Ok((from, to))
}

fn day(text: &str) -> Result<Date, String> {
    let text = text.trim();
    let fault = |what: &str| format!("{} {what}; {DAYS_RIGHT}", shortened(text));
    let shape = text.len() == 10
        && text.bytes().enumerate().all(|(at, byte)| match at {
            4 | 7 => byte == b'-',
            _ => byte.is_ascii_digit(),
        });
    if !shape {
        return Err(fault("is no day"));
    }
    text.parse()
        .map_err(|_| fault("is no day that there is in the calendar"))
}

/// The calendar as `shop show` writes it: a line a fact.
pub(super) fn calendar_lines(calendar: &ShopCalendar) -> Vec<String> {
    let zone = if calendar.zone_by_default {
        "Time zone UTC (default), without summer time; time_zone under [shop] names the shop's"
            .to_owned()
    } else {
        format!("Time zone {}", calendar.zone_name())
    };
    let days: Vec<String> = calendar
        .closed
        .iter()
        .map(|(from, to)| {
            if from == to {
                from.to_string()
            } else {
                format!("{from} to {to}")
            }
        })
        .collect();
    let holidays = if days.is_empty() {
        "No holidays given".to_owned()
    } else {
        format!("Holidays: {}", days.join(", "))
    };
    vec![zone, holidays]
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_day_is_an_interval_of_itself_and_both_ends_of_an_interval_are_in_it() {
        let day = date(2026, 12, 25);
        assert_eq!(interval("2026-12-25"), Ok((day, day)));
        assert_eq!(
            interval(" 2026-08-03 / 2026-08-14 "),
            Ok((date(2026, 8, 3), date(2026, 8, 14)))
        );
        let calendar = ShopCalendar {
            closed: vec![(date(2026, 8, 3), date(2026, 8, 14))],
            ..ShopCalendar::default()
        };
        let closed = [2, 3, 14, 15].map(|day| calendar.is_closed(date(2026, 8, day)));
        assert_eq!(closed, [false, true, true, false]);
    }

    #[test]
    fn days_that_there_are_not_are_refused() {
        for (text, fault) in [
            ("2026-02-29", "there is in the calendar"),
            ("2026-13-01", "there is in the calendar"),
            ("25.12.2026", "is no day"),
            ("2026-12-25T10:00", "is no day"),
            ("20261225", "is no day"),
            ("2026-08-14/2026-08-03", "ends before it begins"),
            ("2026-08-03/", "is no day"),
        ] {
            assert!(interval(text).is_err_and(|e| e.contains(fault)), "{text}");
        }
    }

    /// Leap years: 2028 is one (Gregorian rule).
    #[test]
    fn the_29th_of_february_is_a_day_in_a_leap_year() {
        assert!(interval("2028-02-29").is_ok());
    }

    #[test]
    fn a_misspelled_zone_is_answered_with_the_nearest_name() {
        assert!(zone("Europe/Lisbon").is_ok());
        assert!(
            zone("Europe/Lisboa").is_err_and(|e| e.contains("did you mean \"Europe/Lisbon\"?"))
        );
        assert!(zone("???????????").is_err_and(|e| e.contains("such as \"Europe/Lisbon\"")));
    }

    /// Lisbon is at UTC+1 in summer and at UTC in winter (IANA data, from memory).
    #[test]
    fn the_clock_is_the_shops_where_the_file_names_a_zone_and_else_the_askers() {
        let named = ShopCalendar {
            zone: zone("Europe/Lisbon").unwrap_or(TimeZone::UTC),
            zone_by_default: false,
            closed: Vec::new(),
        };
        let asked = date(2026, 7, 1).at(20, 0, 0, 0);
        let Ok(now) = asked.in_tz("Asia/Tokyo") else {
            panic!("a zone of the database");
        };
        assert_eq!(named.clock(&now), date(2026, 7, 1).at(12, 0, 0, 0));
        assert_eq!(ShopCalendar::default().clock(&now), asked);
        let noon = named.moment(date(2026, 7, 1).at(12, 0, 0, 0));
        assert_eq!(noon, now.timestamp());
    }
}
