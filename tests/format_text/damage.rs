//! Files cut short or changed: whatever they become, reading them ends, in a part or in one sentence.

use beadtally::mesh::{UNPACKED_LIMIT_BYTES, open, read};
use proptest::prelude::*;

use crate::shapes::{cube, l_prism, obj, off, ply_binary, ply_text};

fn files() -> Vec<Vec<u8>> {
    vec![
        obj(&l_prism()).into_bytes(),
        (String::from("mtllib a\no b\n") + &obj(&cube()).replace(" 1", " -1/2/3 \\\n1"))
            .into_bytes(),
        off(&l_prism()).into_bytes(),
        off(&cube()).replacen("OFF", "COFF", 1).into_bytes(),
        ply_text(&l_prism()).into_bytes(),
        ply_text(&cube())
            .replacen("face", "tristrips", 1)
            .into_bytes(),
        ply_binary(&l_prism(), false),
        ply_binary(&cube(), true),
    ]
}

/// Reading ends without a panic; an error is one short sentence that can be shown.
fn ends_well(bytes: Vec<u8>) {
    let can_be_shown = |sentence: &str| !sentence.chars().any(char::is_control);
    match open(bytes.clone(), UNPACKED_LIMIT_BYTES) {
        Ok(opened) => {
            let drawings = opened.iter().flat_map(|o| o.drawing.iter());
            for part in drawings.flat_map(|d| &d.parts) {
                let points = part.surface.points.len() as u32;
                assert!(part.surface.triangles.iter().flatten().all(|p| *p < points));
                assert!(part.surface.points.iter().flatten().all(|c| c.is_finite()));
            }
        }
        Err(error) => {
            let sentence = error.to_string();
            assert!(
                sentence.len() < 300 && can_be_shown(&sentence),
                "{sentence:?}"
            );
        }
    }
    // A part of absurd size may name it in many digits.
    if let Err(error) = read(bytes) {
        assert!(can_be_shown(&error.to_string()), "{error:?}");
    }
}

#[test]
fn every_truncation_gives_a_part_or_one_sentence() {
    for file in files() {
        for length in 0..file.len() {
            ends_well(file[..length].to_vec());
        }
    }
}

#[derive(Debug, Clone)]
enum Change {
    Flip(usize, u8),
    Insert(usize, Vec<u8>),
    Delete(usize, usize),
    Number(usize, &'static str),
}

fn change() -> impl Strategy<Value = Change> {
    let numbers = [
        "0",
        "-1",
        "nan",
        "1e308",
        "-1e-320",
        "1e999",
        "4294967295",
        "18446744073709551615",
        "9223372036854775808",
        "-9223372036854775808",
        "0.5",
        "3",
        "",
    ];
    prop_oneof![
        (any::<usize>(), any::<u8>()).prop_map(|(at, by)| Change::Flip(at, by)),
        (any::<usize>(), prop::collection::vec(any::<u8>(), 1..6))
            .prop_map(|(at, what)| Change::Insert(at, what)),
        (any::<usize>(), 1usize..40).prop_map(|(at, count)| Change::Delete(at, count)),
        (any::<usize>(), prop::sample::select(numbers.to_vec()))
            .prop_map(|(at, to)| Change::Number(at, to)),
    ]
}

fn changed(mut bytes: Vec<u8>, change: &Change) -> Vec<u8> {
    if bytes.is_empty() {
        return bytes;
    }
    match change {
        Change::Flip(at, by) => {
            let at = at % bytes.len();
            bytes[at] ^= by;
        }
        Change::Insert(at, what) => {
            let at = at % bytes.len();
            bytes.splice(at..at, what.iter().copied());
        }
        Change::Delete(at, count) => {
            let at = at % bytes.len();
            let end = (at + count).min(bytes.len());
            bytes.drain(at..end);
        }
        Change::Number(at, to) => {
            let digit = |b: &u8| b.is_ascii_digit();
            let start = at % bytes.len();
            if let Some(first) = bytes[start..].iter().position(digit) {
                let start = start + first;
                let end = bytes[start..]
                    .iter()
                    .position(|b| !digit(b))
                    .map_or(bytes.len(), |n| start + n);
                bytes.splice(start..end, to.bytes());
            }
        }
    }
    bytes
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_changed_file_gives_a_part_or_one_sentence(
        file in prop::sample::select(files()),
        changes in prop::collection::vec(change(), 1..6),
    ) {
        ends_well(changes.iter().fold(file, changed));
    }
}
