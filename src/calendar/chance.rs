//! Chance that is the same every time: the same stream gives the same numbers on every machine.

/// A stream of numbers by SplitMix64 (Steele, Lea & Flood 2014, "Fast splittable pseudorandom number generators"; constants from
/// memory). Six lines whose numbers never change, so that the same order keeps its dates whatever libraries come and go. Not for
/// secrets.
#[derive(Debug, Clone)]
pub struct Stream(u64);

impl Stream {
    /// The stream of a number.
    pub fn new(number: u64) -> Self {
        Stream(number)
    }

    /// The stream of a run on a machine: far from all others.
    pub(super) fn of(run: usize, machine: usize) -> Self {
        let mut of_run = Stream(run as u64);
        let mut of_both = Stream(of_run.next_u64() ^ machine as u64);
        Stream(of_both.next_u64())
    }

    /// The next 64 bits.
    pub fn next_u64(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// The next number of at least 0 and below 1.
    pub(super) fn unit(&mut self) -> f64 {
        // 53 bits are what a double holds.
        (self.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// The next wait of a mean of 1, exponentially distributed.
    pub(super) fn wait(&mut self) -> f64 {
        -(1.0 - self.unit()).ln()
    }
}
