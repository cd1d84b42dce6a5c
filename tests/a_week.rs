//! Plays `docs/a-week.md` through: every command in it is run, and prints what the page shows. With `WRITE_DOCS=1` in the
//! environment the page is written anew instead.
#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// An empty folder with the demonstration parts in it.
fn workshop() -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("a_week");
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(folder.join("models")).unwrap();
    for entry in fs::read_dir(root().join("models")).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|e| e == "stl") {
            let to = folder.join("models").join(path.file_name().unwrap());
            fs::copy(&path, to).unwrap();
        }
    }
    folder
}

fn run(line: &str, folder: &Path) -> String {
    let binary = Path::new(env!("CARGO_BIN_EXE_beadtally"));
    let path = format!(
        "{}:{}",
        binary.parent().unwrap().display(),
        std::env::var("PATH").unwrap()
    );
    let output = Command::new("sh")
        .args(["-c", line])
        .current_dir(folder)
        .env("PATH", path)
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{line}: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout).unwrap()
}

/// Expected: the page itself.
#[test]
fn the_week_goes_as_the_page_says() {
    let page = root().join("docs/a-week.md");
    let shown = fs::read_to_string(&page).unwrap();
    let folder = workshop();
    let mut printed = String::new();
    let (mut in_block, mut commands) = (false, 0);
    for line in shown.lines() {
        if line.starts_with("```") {
            in_block = line == "```console";
        }
        match line.strip_prefix("$ ") {
            Some(command) if in_block => {
                commands += 1;
                printed += &format!("{line}\n{}", run(command, &folder));
            }
            // What a command printed when the page was written.
            _ if in_block && !line.starts_with("```") => {}
            _ => printed += &format!("{line}\n"),
        }
    }
    assert!(commands > 20);
    if std::env::var_os("WRITE_DOCS").is_some() {
        fs::write(&page, printed).unwrap();
        return;
    }
    for (a, b) in shown.lines().zip(printed.lines()) {
        assert_eq!(a, b, "the page on the left, what is printed on the right");
    }
    assert_eq!(shown, printed);
}

/// Expected: by hand from the page. The four and one mounts before took 8 to 9 % longer than was thought; with what they taught the
/// next one is met within 2 %.
#[test]
fn the_estimate_after_the_week_is_better_than_those_before() {
    let page = fs::read_to_string(root().join("docs/a-week.md")).unwrap();
    let off = |job: &str| {
        let told = page
            .lines()
            .find(|line| line.contains(job) && line.contains("was estimated: "))
            .unwrap();
        let after = told.split("was estimated: ").nth(1).unwrap();
        after.split(' ').next().unwrap().parse::<f64>().unwrap()
    };
    assert!(off("job 2:") > 5.0, "{}", off("job 2:"));
    assert!(off("job 5:").abs() < 2.0, "{}", off("job 5:"));
}
