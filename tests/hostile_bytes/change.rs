//! Changes that files suffer: on their way, or at the hands of somebody who means harm.

use super::seeds::Seed;

/// Makes changed files, the same ones on every run.
pub struct Changer {
    state: u64,
}

/// Words that readers trip over.
const WORDS: [&str; 22] = [
    "0",
    "-1",
    "1",
    "3",
    "4294967295",
    "4294967296",
    "-2147483648",
    "18446744073709551615",
    "1e308",
    "-1e308",
    "1e-320",
    "nan",
    "inf",
    "1e38",
    "3.5e38",
    "0x10",
    "",
    "\u{202e}",
    "&#0;",
    "\"",
    "<",
    "999999999",
];

impl Changer {
    pub fn of(name: &str) -> Changer {
        let state = name.bytes().fold(0x9e37_79b9_7f4a_7c15, |state: u64, b| {
            (state ^ u64::from(b)).wrapping_mul(0x100_0000_01b3)
        });
        Changer { state }
    }

    /// A number below `past` (xorshift, Marsaglia 2003).
    fn below(&mut self, past: usize) -> usize {
        self.state ^= self.state << 13;
        self.state ^= self.state >> 7;
        self.state ^= self.state << 17;
        (self.state % past.max(1) as u64) as usize
    }

    /// A seed with one to six changes.
    pub fn change(&mut self, seeds: &[Seed]) -> Vec<u8> {
        let seed = &seeds[self.below(seeds.len())];
        let mut bytes = seed.bytes.clone();
        for _ in 0..1 + self.below(6) {
            self.change_once(&mut bytes, seeds);
        }
        seed.with(&bytes)
    }

    fn change_once(&mut self, bytes: &mut Vec<u8>, seeds: &[Seed]) {
        let at = self.below(bytes.len());
        let end = (at + 1 + self.below(64)).min(bytes.len());
        match self.below(9) {
            0 if !bytes.is_empty() => bytes[at] ^= 1 << self.below(8),
            1 if !bytes.is_empty() => bytes[at] = self.below(256) as u8,
            2 => drop(bytes.drain(at.min(end)..end)),
            3 => {
                let again = bytes[at.min(end)..end].to_vec();
                for _ in 0..1 + self.below(40) {
                    bytes.splice(at..at, again.iter().copied());
                }
            }
            4 => {
                let word = WORDS[self.below(WORDS.len())];
                let number = bytes[at..].iter().position(u8::is_ascii_digit);
                let from = at + number.unwrap_or(0);
                let length = bytes[from..]
                    .iter()
                    .take_while(|b| b.is_ascii_digit() || **b == b'.')
                    .count();
                bytes.splice(from..from + length, word.bytes());
            }
            5 => {
                let word = WORDS[self.below(WORDS.len())];
                bytes.splice(at..at, word.bytes());
            }
            6 => {
                let other = &seeds[self.below(seeds.len())].bytes;
                let from = self.below(other.len());
                let past = (from + self.below(2000)).min(other.len());
                bytes.splice(at..end.max(at), other[from..past].iter().copied());
            }
            7 if bytes.len() >= 4 => {
                let at = self.below(bytes.len() - 3);
                let value = [
                    0u32,
                    1,
                    u32::MAX,
                    0x7f80_0000,
                    0x7fc0_0000,
                    0xff7f_ffff,
                    1 << 31,
                ][self.below(7)];
                bytes[at..at + 4].copy_from_slice(&value.to_le_bytes());
            }
            _ => bytes.truncate(at.max(bytes.len() / 2)),
        }
    }
}
