//! The hours at which somebody is there.

use super::table::{ShopTable, shortened};
use super::{AttendedWeek, ShopError};

/// The file's names of the weekdays, Monday first.
pub(super) const WEEKDAYS: [&str; 7] = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];

const RIGHT: &str = "give the hours as \"8:00-12:00, 13:00-18:00\", or leave the day out";

/// Reads `attended = { mon = "8:00-12:00, 13:00-18:00", … }`; a day left out has no hours.
pub(super) fn read_week(shop: &ShopTable<'_>) -> Result<AttendedWeek, ShopError> {
    let Some(table) = shop.sub("attended", &WEEKDAYS)? else {
        let right = "give the hours at which somebody is there, such as attended = { mon = \"8:00-17:00\" }";
        return Err(shop.missing("attended", right));
    };
    let mut days: [Vec<(u32, u32)>; 7] = Default::default();
    for (day, name) in days.iter_mut().zip(WEEKDAYS) {
        if let Some(hours) = table.text(name, RIGHT)? {
            *day = intervals(hours).map_err(|fault| table.error(name, fault))?;
        }
    }
    if days.iter().all(Vec::is_empty) {
        let fault = "no weekday has hours; give at least one day at which somebody is there";
        return Err(shop.error("attended", fault));
    }
    Ok(AttendedWeek { days })
}

/// The intervals of one day, in order.
fn intervals(hours: &str) -> Result<Vec<(u32, u32)>, String> {
    let mut list = hours
        .split(',')
        .map(interval)
        .collect::<Result<Vec<_>, _>>()?;
    list.sort_unstable();
    match list.windows(2).find(|pair| pair[0].1 > pair[1].0) {
        Some(pair) => Err(format!(
            "{} overlaps {}; give hours that follow each other",
            clock(pair[0]),
            clock(pair[1])
        )),
        None => Ok(list),
    }
}

fn interval(text: &str) -> Result<(u32, u32), String> {
    let ends = text
        .split_once('-')
        .and_then(|(from, to)| Some((minute(from)?, minute(to)?)));
    match ends {
        Some((from, to)) if from < to => Ok((from, to)),
        Some(reversed) => Err(format!(
            "{} ends before it begins; give the earlier time first and split hours past midnight over two days",
            clock(reversed)
        )),
        None => Err(format!("{} are no hours; {RIGHT}", shortened(text.trim()))),
    }
}

/// Minutes after midnight of `8:00`, at most `24:00`.
fn minute(text: &str) -> Option<u32> {
    let (hours, minutes) = text.trim().split_once(':')?;
    let two_digits = |part: &str| {
        let right = matches!(part.len(), 1 | 2) && part.bytes().all(|b| b.is_ascii_digit());
        right.then(|| part.parse::<u32>().ok()).flatten()
    };
    let (hour, minute) = (two_digits(hours)?, two_digits(minutes)?);
    let after_midnight = hour * 60 + minute;
    (minutes.len() == 2 && minute < 60 && after_midnight <= 24 * 60).then_some(after_midnight)
}

/// An interval as the file writes it.
pub(super) fn clock((from, to): (u32, u32)) -> String {
    let time = |minute: u32| format!("{}:{:02}", minute / 60, minute % 60);
    format!("{}-{}", time(from), time(to))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_are_read_in_order_and_may_touch() {
        assert_eq!(
            intervals("13:00-18:30, 8:00-12:00"),
            Ok(vec![(480, 720), (780, 1110)])
        );
        assert_eq!(
            intervals("00:00-12:00,12:00-24:00"),
            Ok(vec![(0, 720), (720, 1440)])
        );
    }

    #[test]
    fn hours_that_make_no_sense_are_refused() {
        for hours in [
            "8-12",
            "8:0-12:00",
            "8:00",
            "8:60-9:00",
            "8:00-24:01",
            "+8:00-9:00",
            "8:00-9:00,",
            "x",
        ] {
            assert!(
                intervals(hours).is_err_and(|fault| fault.contains("are no hours")),
                "{hours}"
            );
        }
        assert!(intervals("18:00-8:00").is_err_and(|fault| fault.contains("ends before")));
        assert!(intervals("8:00-8:00").is_err_and(|fault| fault.contains("ends before")));
        assert!(
            intervals("8:00-12:00, 11:00-13:00").is_err_and(|fault| fault.contains("overlaps"))
        );
    }
}
