//! The number of threads changes no byte of an answer.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::process::Command;

fn answer(threads: &str, args: &[&str]) -> Vec<u8> {
    let output = Command::new(env!("CARGO_BIN_EXE_beadtally"))
        .args(["estimate", "--json"])
        .args(args)
        .env("RAYON_NUM_THREADS", threads)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(output.status.success(), "{args:?}: {output:?}");
    assert!(output.stdout.starts_with(b"{") || output.stdout.starts_with(b"["));
    output.stdout
}

fn same(args: &[&str]) {
    let (one, four) = (answer("1", args), answer("4", args));
    let text = String::from_utf8(one.clone()).unwrap();
    assert!(
        text.split("\"support_g\":").skip(1).any(|rest| {
            let end = rest.find([',', '}']).unwrap();
            rest[..end].parse().is_ok_and(|grams: f64| grams > 0.0)
        }),
        "{args:?}: nothing is held up"
    );
    let first = one.iter().zip(&four).position(|(a, b)| a != b);
    assert!(
        one == four,
        "{args:?}: {} and {} bytes, first difference at {first:?}",
        one.len(),
        four.len()
    );
}

/// Expected: the design text (all sums in the order of the layers). Open fill looks at layers around each.
#[test]
fn one_thread_and_four_answer_alike_for_a_block() {
    same(&["models/cleat_block.stl"]);
    same(&["models/cleat_block.stl", "--fill", "0.3"]);
}

/// Expected: the design text (all sums in the order of the layers). Open fill looks at layers around each.
#[test]
fn one_thread_and_four_answer_alike_for_a_thin_walled_part() {
    same(&["models/binnacle.stl"]);
    same(&["models/binnacle.stl", "--fill", "0.3"]);
}
