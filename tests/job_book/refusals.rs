//! What does not go with the book is refused in one sentence, with exit code 2, and leaves the book as it was.

use crate::{Workshop, booked, model};

fn refused(workshop: &Workshop, time: &str, args: &[&str], part: &str) {
    let before = std::fs::read(workshop.book()).unwrap();
    let output = workshop.at(time, args);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{args:?}: {said}");
    assert!(output.stdout.is_empty(), "{args:?}");
    assert_eq!(said.lines().count(), 1, "{args:?}: {said}");
    assert!(said.contains(part), "{args:?}: {said}");
    assert!(
        before == std::fs::read(workshop.book()).unwrap(),
        "{args:?} changed the book"
    );
}

#[test]
fn hours_that_can_not_be_are_refused() {
    let shop = booked("hours");
    for hours in ["-1", "0", "NaN", "inf", "1e9"] {
        refused(
            &shop,
            "12:00",
            &["actual", "1", "--hours", hours],
            "the hours can't be",
        );
    }
    refused(
        &shop,
        "12:00",
        &["actual", "1", "--hours", "2", "--grams", "-3"],
        "the grams can't be -3",
    );
    refused(
        &shop,
        "12:00",
        &["failed", "1", "--hours", "1", "--grams", "-3"],
        "the plastic lost can't be -3",
    );
}

#[test]
fn an_end_before_its_start_is_refused() {
    let shop = booked("ends");
    shop.well("09:00", &["start", "1"]);
    let ended = ["actual", "1", "--hours", "1", "--ended", "2026-03-16 08:30"];
    refused(
        &shop,
        "12:00",
        &ended,
        "lies before the start on Mon 16 Mar 2026 09:00",
    );
    refused(
        &shop,
        "12:00",
        &["actual", "1", "--hours", "5"],
        "5 h do not go into the 3.0 h",
    );
    let ahead = ["actual", "1", "--hours", "1", "--ended", "2026-03-17 08:30"];
    refused(
        &shop,
        "12:00",
        &ahead,
        "lies after Mon 16 Mar 2026 12:00, when it was entered",
    );
}

#[test]
fn what_is_not_known_is_named_with_what_is() {
    let shop = booked("unknown");
    refused(
        &shop,
        "12:00",
        &["actual", "7", "--hours", "1"],
        "there is no job 7; jobs run from 1 to 1",
    );
    refused(
        &shop,
        "12:00",
        &["spool", "gold", "500"],
        "there is no plastic gold in this shop; it has",
    );
    let part = model("rudder_cheek.stl");
    shop.well("12:00", &["enquiry", &part]);
    let offer = ["offer", "2", part.as_str(), "--machine", "quick"];
    refused(&shop, "12:01", &offer, "quick");
    let other = model("cleat_block.stl");
    refused(
        &shop,
        "12:01",
        &["offer", "2", &other],
        "is not the part of job 2",
    );
    refused(&shop, "12:01", &["book", "2"], "job 2 has no offer yet");
    refused(&shop, "12:01", &["start", "2"], "job 2 is not booked");
    refused(
        &shop,
        "12:01",
        &["correct", "99", "hours=1"],
        "there is no entry 99",
    );
    refused(
        &shop,
        "12:01",
        &["correct", "1", "colour=3"],
        "has no key colour; it has",
    );
    refused(
        &shop,
        "12:01",
        &["correct", "1", "quantity=-3"],
        "entry 1 can't say that",
    );
    refused(&shop, "12:01", &["correct", "1", "job=3"], "stays as it is");
}

#[test]
fn a_job_is_closed_once() {
    let shop = booked("closed");
    refused(
        &shop,
        "09:00",
        &["close", "1", "--as", "delivered"],
        "0 of 2 prints of job 1 are done",
    );
    shop.well("12:00", &["actual", "1", "--hours", "2"]);
    refused(
        &shop,
        "12:05",
        &["close", "1", "--as", "delivered"],
        "1 of 2 prints of job 1 are done",
    );
    shop.well("14:05", &["actual", "1", "--hours", "2"]);
    shop.well("14:10", &["close", "1", "--as", "delivered"]);
    refused(
        &shop,
        "14:20",
        &["close", "1", "--as", "given-up"],
        "job 1 is closed: it was delivered on 2026-03-16",
    );
    refused(
        &shop,
        "14:20",
        &["actual", "1", "--hours", "2"],
        "job 1 is closed",
    );
}

#[test]
fn time_does_not_run_backwards_and_no_print_is_made_twice() {
    let shop = booked("backwards");
    refused(
        &shop,
        "07:00",
        &["start", "1"],
        "the last entry was made on",
    );
    shop.well("09:00", &["start", "1"]);
    refused(
        &shop,
        "09:10",
        &["start", "1"],
        "job 1 is printing on gantry since",
    );
    refused(
        &shop,
        "09:10",
        &["close", "1", "--as", "given-up"],
        "job 1 is printing",
    );
    shop.well("12:00", &["actual", "1", "--hours", "2"]);
    shop.well("15:00", &["actual", "1", "--hours", "2"]);
    refused(
        &shop,
        "16:00",
        &["actual", "1", "--hours", "2"],
        "2 of 2 prints are done",
    );
}

#[test]
fn an_extreme_correction_is_asked_about_and_not_taken() {
    let shop = booked("extreme");
    // Two fifths of the hours it was estimated at.
    shop.well(
        "12:00",
        &[
            "actual",
            "1",
            "--hours",
            "2.8",
            "--ended",
            "2026-03-01 12:00",
        ],
    );
    for k in 2..11 {
        let job = k.to_string();
        let time = format!("13:{k:02}");
        let ended = format!("2026-03-{k:02} 12:00");
        shop.book_cheeks(&time, &job, "1");
        shop.well(
            &time,
            &["actual", &job, "--hours", "2.8", "--ended", &ended],
        );
    }
    let before = std::fs::read(shop.folder.join("shop.toml")).unwrap();
    refused(&shop, "14:00", &["learn", "--apply"], "nothing was written");
    assert!(before == std::fs::read(shop.folder.join("shop.toml")).unwrap());
    shop.well("14:00", &["learn", "--apply", "--take-extreme"]);
    assert!(before != std::fs::read(shop.folder.join("shop.toml")).unwrap());
}

#[test]
fn a_machine_prints_one_thing_at_a_time() {
    let shop = booked("one_at_a_time");
    shop.book_cheeks("08:10", "2", "1");
    shop.well("08:20", &["start", "1"]);
    refused(
        &shop,
        "08:30",
        &["start", "2"],
        "job 1 is printing on gantry since Mon 16 Mar 2026 08:20",
    );
    shop.well("15:00", &["actual", "1", "--hours", "6.5"]);
    // The same print once more, and another within its hours.
    let again = [
        "actual",
        "1",
        "--hours",
        "6.5",
        "--ended",
        "2026-03-16 15:00",
    ];
    refused(
        &shop,
        "15:10",
        &again,
        "gantry printed job 1 from Mon 16 Mar 2026 08:30",
    );
    let within = [
        "failed",
        "2",
        "--hours",
        "1",
        "--stopped",
        "2026-03-16 12:00",
    ];
    refused(&shop, "15:10", &within, "gantry printed job 1");
}

#[test]
fn a_figure_of_another_unit_or_print_is_refused() {
    let shop = booked("another");
    refused(
        &shop,
        "15:00",
        &["actual", "1", "--hours", "1900"],
        "times the 7.",
    );
    let grams = ["actual", "1", "--hours", "7", "--grams", "0.4"];
    refused(&shop, "15:00", &grams, "check the figure and its unit");
    for set in [
        "seconds=1e300",
        "quantity=0",
        "total=-5",
        "machine=nope",
        "grams=1e300",
    ] {
        let output = shop.at("15:00", &["correct", "2", set]);
        assert_eq!(output.status.code(), Some(2), "{set}");
    }
    refused(
        &shop,
        "15:00",
        &["correct", "3", "prints=20000000"],
        "can't be booked of 2 pieces",
    );
    let many = model("rudder_cheek.stl");
    refused(
        &shop,
        "15:00",
        &["enquiry", &many, "--quantity", "4294967295"],
        "give 1 to 100000",
    );
}

#[test]
fn a_time_ahead_of_the_clock_and_hidden_text_are_refused() {
    let shop = booked("ahead");
    let part = model("rudder_cheek.stl");
    let ahead = [
        "jobs",
        "--shop",
        "shop.toml",
        "--now",
        "2262-03-02 09:00",
        "spool",
        "petg-cf",
        "5",
    ];
    let output = shop.command().args(ahead).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(
        String::from_utf8(output.stderr)
            .unwrap()
            .contains("over a day ahead of the clock")
    );
    for name in ["Anna\nBen", "\u{1b}[31mAnna", "\u{202e}annA"] {
        refused(
            &shop,
            "09:00",
            &["enquiry", &part, "--customer", name],
            "hidden character",
        );
    }
    let long = "x".repeat(600);
    refused(
        &shop,
        "09:00",
        &["enquiry", &part, "--note", &long],
        "600 characters are too many",
    );
}
