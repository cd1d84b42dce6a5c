//! The job book: what may be entered, what a fault leaves, how a part is known again, what is told of failures and learned.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod faults;
mod floor;
mod learning;
#[path = "../meshes/mod.rs"]
mod meshes;
mod refusals;
mod shapes;

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A shop with its book, in a folder of its own.
pub(crate) struct Workshop {
    pub(crate) folder: PathBuf,
}

impl Workshop {
    pub(crate) fn new(name: &str) -> Workshop {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
            .join("job_book")
            .join(name);
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(&folder).unwrap();
        let workshop = Workshop { folder };
        let made = workshop.plain(&["shop", "new", "shop.toml", "--demonstration"]);
        assert!(made.status.success());
        workshop
    }

    pub(crate) fn book(&self) -> PathBuf {
        self.folder.join("shop.jobs")
    }

    fn plain(&self, args: &[&str]) -> Output {
        self.command().args(args).output().unwrap()
    }

    pub(crate) fn command(&self) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_beadtally"));
        command.current_dir(&self.folder);
        command
    }

    /// `jobs` at a time of the 16th of March 2026.
    pub(crate) fn at(&self, time: &str, args: &[&str]) -> Output {
        let now = format!("2026-03-16 {time}");
        let mut all = vec!["jobs", "--shop", "shop.toml", "--now", now.as_str()];
        all.extend(args);
        self.plain(&all)
    }

    /// The same where it must go well.
    pub(crate) fn well(&self, time: &str, args: &[&str]) -> String {
        let output = self.at(time, args);
        assert!(
            output.status.success(),
            "{args:?}: {}",
            String::from_utf8_lossy(&output.stderr)
        );
        String::from_utf8(output.stdout).unwrap()
    }

    pub(crate) fn export(&self) -> String {
        self.well("23:59", &["export"])
    }
}

pub(crate) fn model(file: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("models")
        .join(file);
    path.to_string_lossy().into_owned()
}

/// One job with an offer and a booking: a rudder cheek on the gantry machine, twice.
pub(crate) fn booked(name: &str) -> Workshop {
    let workshop = Workshop::new(name);
    workshop.book_cheeks("08:00", "1", "2");
    workshop
}

impl Workshop {
    /// Enters a job of rudder cheeks on the gantry machine, up to its booking.
    pub(crate) fn book_cheeks(&self, time: &str, job: &str, quantity: &str) {
        let part = model("rudder_cheek.stl");
        let enquiry = [
            "enquiry",
            &part,
            "--customer",
            "Anna",
            "--quantity",
            quantity,
        ];
        let offer = [
            "offer",
            job,
            &part,
            "--machine",
            "gantry",
            "--nozzle",
            "0.8-hardened",
        ];
        self.well(time, &enquiry);
        self.well(time, &offer);
        self.well(time, &["book", job]);
    }
}
