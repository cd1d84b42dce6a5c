//! Kills, full disks, two writers, old, new, cut and foreign files: what was confirmed is there, and the rest is said clearly.

use std::path::Path;
use std::process::Stdio;
use std::thread;
use std::time::Duration;

use beadtally::store::{Book, StoreError};

use crate::{Workshop, booked, model};

fn count(shop: &Workshop) -> usize {
    Book::open_existing(&shop.book())
        .unwrap()
        .entries()
        .unwrap()
        .len()
}

/// Each kind of write in turn is killed at a time of its own; a write that ended well is in the book, one that was killed is there
/// whole or not at all, and the book goes on.
#[test]
fn a_kill_in_the_middle_of_a_write_loses_nothing_that_was_confirmed() {
    let shop = booked("kill");
    let part = model("rudder_cheek.stl");
    shop.well("08:10", &["spool", "petg-cf", "900"]);
    let writes: [&[&str]; 8] = [
        &["enquiry", &part],
        &["spool", "petg-cf", "800"],
        &[
            "offer",
            "2",
            &part,
            "--machine",
            "gantry",
            "--nozzle",
            "0.8-hardened",
        ],
        &["start", "1"],
        &[
            "failed",
            "1",
            "--hours",
            "0.1",
            "--stopped",
            "2026-03-16 20:00",
        ],
        &["correct", "4", "grams=700"],
        &["book", "2"],
        &["close", "2", "--as", "given-up"],
    ];
    let (mut confirmed, mut killed) = (0, 0);
    for round in 0..160 {
        let args = writes[round % writes.len()];
        let before = count(&shop);
        let mut child = shop
            .command()
            .args(["jobs", "--shop", "shop.toml", "--now", "2026-03-16 20:00"])
            .args(args)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // From before the book is opened to after it is closed.
        thread::sleep(Duration::from_micros((round as u64 * 977) % 40_000));
        let ended = child.try_wait().unwrap();
        let _ = child.kill();
        let status = child.wait().unwrap();
        let after = count(&shop);
        assert!(after == before || after == before + 1, "round {round}");
        match ended {
            Some(status) if status.success() => {
                confirmed += 1;
                assert_eq!(after, before + 1, "round {round}: {args:?} was confirmed");
            }
            Some(_) => assert_eq!(after, before, "round {round}: {args:?} was refused"),
            None => killed += usize::from(status.code().is_none()),
        }
    }
    println!("{confirmed} confirmed, {killed} killed");
    assert!(killed > 20);
    // What is left is a book in order.
    let entries = Book::open_existing(&shop.book()).unwrap();
    entries.jobs().unwrap();
}

#[test]
fn eight_writers_at_once_are_all_heard() {
    let shop = booked("writers");
    let before = count(&shop);
    thread::scope(|scope| {
        for writer in 0..8 {
            let shop = &shop;
            scope.spawn(move || {
                for k in 0..5 {
                    let grams = format!("{}", 100 * writer + k);
                    shop.well("09:00", &["spool", "petg-cf", &grams]);
                }
            });
        }
    });
    assert_eq!(count(&shop), before + 40);
}

/// The first format had no triggers that keep entries as they are.
#[test]
fn a_book_of_an_older_format_is_brought_up_to_date_and_keeps_its_entries() {
    let shop = booked("older");
    let kept = shop.export();
    let old = shop.folder.join("old.jobs");
    let file = rusqlite::Connection::open(&old).unwrap();
    file.execute_batch(
        "CREATE TABLE entry (number INTEGER PRIMARY KEY, at TEXT NOT NULL, body TEXT NOT NULL) STRICT;
         PRAGMA application_id = 1651797113; PRAGMA user_version = 1;",
    )
    .unwrap();
    let name = shop.book().to_string_lossy().into_owned();
    file.execute("ATTACH ?1 AS now", [name]).unwrap();
    file.execute_batch("INSERT INTO entry SELECT number, at, body FROM now.entry")
        .unwrap();
    drop(file);
    let exported = shop.well("23:59", &["--book", "old.jobs", "export"]);
    assert_eq!(exported, kept);
    let file = rusqlite::Connection::open(&old).unwrap();
    let changed = file.execute("UPDATE entry SET body = '{}' WHERE number = 1", []);
    assert!(changed.unwrap_err().to_string().contains("never changed"));
    let removed = file.execute("DELETE FROM entry", []);
    assert!(removed.unwrap_err().to_string().contains("never removed"));
}

fn sentence(path: &Path) -> String {
    let error = Book::open_existing(path)
        .and_then(|book| book.jobs())
        .unwrap_err();
    error.to_string()
}

#[test]
fn a_book_of_a_later_format_is_left_alone() {
    let shop = booked("later");
    let file = rusqlite::Connection::open(shop.book()).unwrap();
    file.pragma_update(None, "user_version", 9).unwrap();
    drop(file);
    let error = Book::open(&shop.book()).unwrap_err();
    assert!(
        matches!(error, StoreError::TooNew { found: 9, .. }),
        "{error}"
    );
}

#[test]
fn what_is_no_book_is_said_to_be_none() {
    let shop = booked("foreign");
    let other = shop.folder.join("other.jobs");
    std::fs::write(
        &other,
        "a letter that is long enough to be taken for a book".repeat(90),
    )
    .unwrap();
    assert!(sentence(&other).contains("this is no job book"));
    assert!(sentence(&shop.folder.join("none.jobs")).contains("there is no job book yet"));
    let foreign = shop.folder.join("foreign.jobs");
    let file = rusqlite::Connection::open(&foreign).unwrap();
    file.execute_batch("CREATE TABLE recipe (name TEXT)")
        .unwrap();
    drop(file);
    assert!(sentence(&foreign).contains("another program's"));
}

/// A cut book is said to be damaged, or holds its first entries whole; its export brings everything back.
#[test]
fn a_cut_book_is_told_and_its_export_brings_it_back() {
    let shop = booked("cut");
    for k in 0..60 {
        shop.well("09:00", &["spool", "petg-cf", &format!("{k}")]);
    }
    let kept = shop.export();
    let whole = std::fs::read(shop.book()).unwrap();
    let cut = shop.folder.join("cut.jobs");
    let mut told = 0;
    for share in 1..40 {
        std::fs::write(&cut, &whole[..whole.len() * share / 40]).unwrap();
        match Book::open_existing(&cut).and_then(|book| book.entries()) {
            Ok(entries) => {
                let first: String = beadtally::store::json_lines(&entries).unwrap();
                assert!(kept.starts_with(&first), "share {share}");
                // A file cut short is never taken for the whole.
                assert!(first.len() < kept.len(), "share {share}");
            }
            Err(error) => {
                told += 1;
                let said = error.to_string();
                assert!(
                    said.contains("damaged") || said.contains("no job book"),
                    "{said}"
                );
            }
        }
    }
    assert!(told > 30, "{told}");
    let list = shop.folder.join("kept.jsonl");
    std::fs::write(&list, &kept).unwrap();
    shop.well("10:00", &["--book", "back.jobs", "import", "kept.jsonl"]);
    assert_eq!(shop.well("10:00", &["--book", "back.jobs", "export"]), kept);
    let again = shop.at("10:00", &["--book", "back.jobs", "import", "kept.jsonl"]);
    assert_eq!(again.status.code(), Some(2));
    // With a line missing it is refused.
    let gap: String = kept
        .lines()
        .filter(|l| !l.starts_with("{\"number\":3,"))
        .map(|l| format!("{l}\n"))
        .collect();
    std::fs::write(&list, gap).unwrap();
    let refused = shop.at("10:00", &["--book", "gap.jobs", "import", "kept.jsonl"]);
    assert!(
        String::from_utf8(refused.stderr)
            .unwrap()
            .contains("entry 3 is missing")
    );
}

/// A file that may not grow stands for a disk without room (the shell's limit on file sizes, in blocks of 512 or 1024 bytes).
#[cfg(unix)]
#[test]
fn a_write_without_room_is_refused_and_loses_nothing() {
    let shop = booked("room");
    let before = shop.export();
    let blocks = std::fs::metadata(shop.book()).unwrap().len() / 1024;
    let line = format!(
        "trap '' XFSZ; ulimit -f {blocks}; for i in $(seq 400); do '{}' jobs --shop shop.toml --now '2026-03-16 09:00' enquiry '{}' --note \"$(printf %0900d 0)\" || exit $?; done",
        env!("CARGO_BIN_EXE_beadtally"),
        model("rudder_cheek.stl")
    );
    let output = std::process::Command::new("sh")
        .args(["-c", &line])
        .current_dir(&shop.folder)
        .output()
        .unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert_eq!(said.lines().count(), 1, "{said}");
    let confirmed = String::from_utf8(output.stdout).unwrap();
    let confirmed = confirmed
        .lines()
        .filter(|l| l.starts_with("entry "))
        .count();
    let after = shop.export();
    assert!(after.starts_with(&before));
    assert_eq!(after.lines().count(), before.lines().count() + confirmed);
}
