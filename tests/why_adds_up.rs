//! Every formula that `--why` prints is evaluated here with the inputs it prints, by a general-purpose evaluator of expressions
//! (the crate `exmex`), and must give the result it prints.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::process::Command;

fn why(args: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_beadtally"))
        .arg("estimate")
        .args(args)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(output.status.success(), "{output:?}");
    let text = String::from_utf8(output.stdout).unwrap();
    // Lines that go on further in are one line.
    text.replace("\n      ", " ")
        .replace("                            ", " ")
}

/// A formula in the evaluator's spelling, or nothing where it has words in it.
fn expression(part: &str) -> Option<String> {
    let plain = part
        .replace("max(1, ", "(")
        .replace("e^(", "exp(")
        .replace(" x ", "*");
    let known = ["exp", "round", "floor"];
    let bare = known
        .iter()
        .fold(plain.clone(), |text, word| text.replace(word, ""));
    let numeric = bare
        .chars()
        .all(|c| c.is_ascii_digit() || " .+-*/^()".contains(c));
    (numeric && bare.chars().any(|c| "+-*/^".contains(c))).then_some(plain)
}

/// The number at the start of a result, and the half unit of its last digit.
fn result(part: &str) -> Option<(f64, f64)> {
    let end = part
        .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
        .unwrap_or(part.len());
    let digits = part[..end].trim_end_matches('.');
    let value: f64 = digits.parse().ok()?;
    let decimals = digits.split_once('.').map_or(0, |(_, d)| d.len());
    Some((value, 0.5 * 10f64.powi(-(decimals as i32))))
}

/// Evaluates every formula of a text; how many there were.
fn check(text: &str) -> usize {
    let mut checked = 0;
    for line in text.lines() {
        // "name = symbols = numbers = result unit, more = ..."
        let parts: Vec<&str> = line.split(" = ").collect();
        for pair in parts.windows(2) {
            // What stands before a colon or comma belongs to the formula before.
            let formula = pair[0].rsplit([',', ':', ';']).next().unwrap().trim();
            let whole = pair[0].trim();
            let Some(formula) = expression(whole).or_else(|| expression(formula)) else {
                continue;
            };
            let evaluated = |formula: &str| {
                exmex::eval_str::<f64>(formula).unwrap_or_else(|e| panic!("{formula}: {e}"))
            };
            // What follows may be a formula itself, or the result.
            let (printed, half) = match expression(pair[1].trim()) {
                Some(next) => (evaluated(&next), 0.0),
                None => result(pair[1]).unwrap_or_else(|| panic!("no result: {line}")),
            };
            let value = evaluated(&formula);
            // The inputs are printed rounded too: four digits at the least.
            let allowed = half * 1.001 + 5e-4 * printed.abs();
            assert!(
                (value - printed).abs() <= allowed,
                "{line}\n{formula} gives {value}, printed {printed}"
            );
            checked += 1;
        }
    }
    checked
}

/// All numbers of a sentence, in order.
fn numbers(sentence: &str) -> Vec<f64> {
    sentence
        .split(|c: char| !(c.is_ascii_digit() || c == '.'))
        .filter_map(|word| word.trim_matches('.').parse().ok())
        .collect()
}

/// The amount and the explanation of a ledger line.
fn ledger_line(text: &str, name: &str) -> (f64, Vec<f64>) {
    let (_, money) = text.split_once("\nMoney").unwrap();
    let line = money
        .lines()
        .find(|line| line.trim_start().starts_with(name) && line.contains("  "))
        .unwrap_or_else(|| panic!("{name}: {text}"))
        .trim_start()[name.len()..]
        .to_owned();
    let all = numbers(&line);
    (all[0], all[1..].to_vec())
}

#[test]
fn each_formula_with_its_printed_inputs_gives_its_printed_result() {
    let few = check(&why(&[
        "models/cleat_block.stl",
        "--why",
        "fast/0.6-hardened",
    ]));
    assert!(few >= 14, "only {few} formulas were found");
    check(&why(&[
        "models/pump_mount.stl",
        "--why",
        "round/0.4-hardened",
    ]));
    check(&why(&[
        "models/cowl_vent.stl",
        "--fill",
        "0.3",
        "--first-layer",
        "0.2",
        "--why",
        "slow/0.8-hardened",
    ]));
}

#[test]
fn each_line_of_the_ledger_follows_from_the_numbers_beside_it() {
    let text = why(&[
        "models/cleat_block.stl",
        "--quantity",
        "3",
        "--why",
        "fast/0.6-hardened",
    ]);
    let close = |name: &str, amount: f64, by_hand: f64| {
        assert!(
            (amount - by_hand).abs() < 0.006 + 1e-3 * by_hand,
            "{name}: {amount} {by_hand}"
        );
    };
    let (amount, n) = ledger_line(&text, "plastic");
    // pieces x (grams (of it support) x waste + purge) at price/kg
    close(
        "plastic",
        amount,
        n[0] * (n[1] * n[3] + n[4]) / 1000.0 * n[5],
    );
    let (amount, n) = ledger_line(&text, "machine");
    // pieces x seconds (hours) at price over a life of hours
    close("machine", amount, n[0] * n[1] / 3600.0 * n[3] / n[4]);
    let (amount, n) = ledger_line(&text, "upkeep");
    close("upkeep", amount, n[0] * n[1] / 3600.0 * n[3]);
    let (amount, n) = ledger_line(&text, "energy");
    // pieces x (s heating at W + s printing at W) = kWh at price
    close(
        "energy",
        amount,
        n[0] * (n[1] * n[2] + n[3] * n[4]) / 3.6e6 * n[6],
    );
    let (amount, n) = ledger_line(&text, "set up");
    close("set up", amount, n[0] / 60.0 * n[1]);
    let (amount, n) = ledger_line(&text, "removal");
    close("removal", amount, n[0] * n[1] / 60.0 * n[2]);
    let (amount, n) = ledger_line(&text, "overhead");
    close("overhead", amount, n[0] / 100.0 * n[1]);
    let (amount, n) = ledger_line(&text, "margin");
    close("margin", amount, n[1] / n[2] - n[3]);
    let (amount, n) = ledger_line(&text, "tax");
    close("tax", amount, n[0] / 100.0 * n[1]);
}

#[test]
fn the_seconds_by_role_add_up_to_the_sum_printed() {
    let text = why(&["models/pump_mount.stl", "--why", "fast/0.6-hardened"]);
    let (_, clock) = text.split_once("\nSeconds").unwrap();
    let mut added = 0.0;
    for line in clock.lines().skip(1) {
        let words: Vec<&str> = line.split_whitespace().collect();
        let seconds = words.iter().position(|w| *w == "s").map(|at| words[at - 1]);
        let Some(seconds) = seconds.and_then(|s| s.parse::<f64>().ok()) else {
            continue;
        };
        if words[0] == "sum" {
            assert!((seconds - added).abs() < 0.6, "{seconds} {added}");
            return;
        }
        added += seconds;
    }
    panic!("no sum: {text}");
}
