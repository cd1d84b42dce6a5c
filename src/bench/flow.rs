//! The melt limit from feedstock pushed into the air at five feeds and weighed.
//!
//! What comes out falls short of what was fed once the nozzle melts no more: the drive slips. A feed holds where at least 95 % of
//! what it fed is delivered, against the slowest (the mean of two, where the second slips hardly): density and diameter of the
//! feedstock are never exactly those of the shop file, and that takes their error out.

use serde::Serialize;

use super::reading::{items, number, pair};
use super::stopwatch::in_range;
use super::{BenchError, Setup};

/// Feeds weighed.
const FEEDS: usize = 5;
/// A feed holds where this share of it is delivered, against the slowest (judgement).
const HELD: f64 = 0.95;
/// The second feed slips where it delivers less than this share of the slowest, and is then no measure for the others (judgement).
const SECOND_HOLDS: f64 = 0.985;
/// A faster feed that delivers surely more than this share of the slowest says that one of the two was weighed wrong (judgement).
const NEVER_MORE: f64 = 1.02;
/// Where flows are asked for, the slowest feed is at this share of the slower one: a measure that does not slip.
const MEASURE: f64 = 0.5;
/// More than this over what was fed is no tolerance of density or diameter (judgement).
const MORE_THAN_FED: f64 = 1.10;
/// Less than this at the slowest feed is no tolerance either (judgement).
const SLOWEST_DELIVERS: f64 = 0.85;
/// Fed at least so much, g, and so many steps of the scale: the scale must tell 5 %.
const LEAST_FED_G: f64 = 3.0;
const LEAST_FED_STEPS: f64 = 150.0;
/// Steps of the scale without which it can't tell 5 %.
const STEPS_THAT_TELL: f64 = 80.0;
/// Where no row says anything, so much is expected of a bore of 0.4 mm, mm3/s (judgement).
const EXPECTED_MM3_S: f64 = 12.0;
/// The five feeds run from and to these parts of what is expected.
const AROUND: [f64; 2] = [0.4, 1.6];
const RIGHT: &str =
    "five readings FEED_MM_MIN:GRAMS, such as 240:2.98,420:2.97,600:2.96,780:2.61,960:2.02";

/// Five feeds and how they are weighed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FlowPlan {
    /// Feeds of feedstock, mm/min, rising.
    pub feeds_mm_min: [f64; FEEDS],
    /// The same as flow, mm3/s.
    pub flows_mm3_s: [f64; FEEDS],
    /// Feedstock fed at each, mm.
    pub length_mm: f64,
    /// What that weighs by the shop file, g.
    pub fed_g: f64,
    /// The scale's step, g.
    pub scale_g: f64,
    /// What was expected of the melt limit, mm3/s; none where the feeds were given.
    pub expected_mm3_s: Option<f64>,
    /// Area of the feedstock's section, mm2.
    pub feedstock_mm2: f64,
}

/// One feed on the scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeighedFeed {
    /// Feed of feedstock, mm/min.
    pub feed_mm_min: f64,
    /// Weighed, g.
    pub grams: f64,
}

/// One feed, judged.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FlowRow {
    /// Feed of feedstock, mm/min.
    pub feed_mm_min: f64,
    /// Flow fed, mm3/s.
    pub flow_mm3_s: f64,
    /// Weighed, g.
    pub grams: f64,
    /// Delivered of what was fed, by the shop file's density and diameter.
    pub delivered: f64,
    /// The same against the slowest.
    pub against_slowest: f64,
    /// Its least and greatest within a step of the scale.
    pub within: [f64; 2],
}

/// A melt limit found.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MeltLimit {
    /// The flow up to which 95 % is delivered, between two feeds on a straight, mm3/s.
    pub melt_limit_mm3_s: f64,
    /// The fastest feed that surely held and the slowest that surely did not, mm3/s.
    pub within_mm3_s: [f64; 2],
    /// The feed at which it had broken down, mm/min.
    pub broke_at_mm_min: f64,
}

/// What five weighings say.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FlowVerdict {
    /// The feeds, rising.
    pub feeds: Vec<FlowRow>,
    /// The melt limit; none where even the fastest feed may have held.
    #[serde(flatten)]
    pub limit: Option<MeltLimit>,
    /// The fastest flow that surely held, mm3/s.
    pub held_mm3_s: f64,
}

impl FlowPlan {
    /// The five feeds for a setup: evenly around its present melt limit, or a slow one and four evenly between two flows, mm3/s. `length_mm` is as much as
    /// the scale needs unless given.
    ///
    /// # Errors
    /// [`BenchError`] where a value makes no sense or the scale is too coarse for the length.
    pub fn of(
        setup: &Setup<'_>,
        between_mm3_s: Option<[f64; 2]>,
        length_mm: Option<f64>,
        scale_g: f64,
    ) -> Result<FlowPlan, BenchError> {
        in_range("--scale", scale_g, 0.0001, 10.0, " g")?;
        let expected_mm3_s = between_mm3_s.is_none().then(|| match &setup.row {
            Some(used) => used.row.melt_limit_mm3_s,
            None => EXPECTED_MM3_S * setup.nozzle.diameter_mm / 0.4,
        });
        let [low, high] = between_mm3_s
            .unwrap_or_else(|| AROUND.map(|part| part * expected_mm3_s.unwrap_or(EXPECTED_MM3_S)));
        in_range(
            "the slower flow of --between",
            low,
            0.05,
            10_000.0,
            " mm3/s",
        )?;
        in_range(
            "the faster flow of --between",
            high,
            1.02 * low,
            20_000.0,
            " mm3/s",
        )?;
        let feedstock_mm2 = setup.feedstock_mm2();
        let evenly = |i: usize, feeds: usize| low + (high - low) * i as f64 / (feeds - 1) as f64;
        let flow = |i: usize| match (between_mm3_s, i) {
            (Some(_), 0) => MEASURE * low,
            (Some(_), _) => evenly(i - 1, FEEDS - 1),
            (None, _) => evenly(i, FEEDS),
        };
        // A tenth of a mm/min is finer than any drive holds and still tells narrow steps apart.
        let feeds_mm_min: [f64; FEEDS] =
            std::array::from_fn(|i| (flow(i) / feedstock_mm2 * 600.0).round() / 10.0);
        let g_per_mm = feedstock_mm2 / 1000.0 * setup.material.density_g_cm3;
        let least_g = LEAST_FED_G.max(LEAST_FED_STEPS * scale_g);
        let length_mm = length_mm.unwrap_or((least_g / g_per_mm / 100.0).ceil() * 100.0);
        in_range("--length", length_mm, 1.0, 100_000.0, " mm")?;
        let fed_g = length_mm * g_per_mm;
        if fed_g < STEPS_THAT_TELL * scale_g {
            return Err(BenchError::CoarseScale {
                scale_g,
                fed_g,
                length_mm: (STEPS_THAT_TELL * scale_g / g_per_mm).ceil(),
            });
        }
        Ok(FlowPlan {
            flows_mm3_s: feeds_mm_min.map(|feed| feed / 60.0 * feedstock_mm2),
            feeds_mm_min,
            length_mm,
            fed_g,
            scale_g,
            expected_mm3_s,
            feedstock_mm2,
        })
    }

    /// Seconds that a feed takes.
    pub fn seconds(&self, feed_mm_min: f64) -> f64 {
        self.length_mm / feed_mm_min * 60.0
    }

    /// Takes `FEED_MM_MIN:GRAMS,...` apart and judges it.
    ///
    /// # Errors
    /// [`BenchError`] where it is not five feeds with their grams, or they can't be.
    pub fn read(&self, text: &str) -> Result<FlowVerdict, BenchError> {
        let mut feeds = Vec::new();
        for item in items(text, FEEDS, RIGHT)? {
            let (feed_mm_min, grams) = pair(item, RIGHT)?;
            let grams = number(grams, RIGHT)?;
            feeds.push(WeighedFeed { feed_mm_min, grams });
        }
        self.judge(feeds)
    }

    /// The melt limit from weighed feeds, in any order.
    ///
    /// # Errors
    /// [`BenchError`] where a feed comes twice, or grams can't be.
    pub fn judge(&self, mut feeds: Vec<WeighedFeed>) -> Result<FlowVerdict, BenchError> {
        feeds.sort_by(|a, b| a.feed_mm_min.total_cmp(&b.feed_mm_min));
        self.check(&feeds)?;
        // Shares of the slowest two, unless the second slips already.
        let slowest = feeds[0].grams;
        let reference_g = if feeds[1].grams >= SECOND_HOLDS * slowest {
            (slowest + feeds[1].grams) / 2.0
        } else {
            slowest
        };
        let rows: Vec<FlowRow> = feeds
            .iter()
            .map(|feed| self.row(feed, reference_g))
            .collect();
        if let Some(more) = rows.iter().find(|row| row.within[0] > NEVER_MORE) {
            return Err(BenchError::MoreThanSlowest {
                slowest_mm_min: rows[0].feed_mm_min,
                faster_mm_min: more.feed_mm_min,
                percent: 100.0 * more.against_slowest,
            });
        }
        let broken = rows.iter().position(|row| row.within[1] < HELD);
        // The slowest is what the others are held against.
        let surely_held = |row: &FlowRow| row.within[0] >= HELD;
        let held_before = |end: usize| {
            let held = rows[..end].iter().rev().find(|row| surely_held(row));
            held.unwrap_or(&rows[0]).flow_mm3_s
        };
        let Some(broken) = broken else {
            return Ok(FlowVerdict {
                held_mm3_s: held_before(rows.len()),
                feeds: rows,
                limit: None,
            });
        };
        if let Some(back) = rows[broken..].iter().find(|row| surely_held(row)) {
            return Err(BenchError::ComesBack {
                slower_mm_min: rows[broken].feed_mm_min,
                faster_mm_min: back.feed_mm_min,
            });
        }
        let held_mm3_s = held_before(broken);
        let limit = MeltLimit {
            melt_limit_mm3_s: crossing(&rows).max(held_mm3_s),
            within_mm3_s: [held_mm3_s, rows[broken].flow_mm3_s],
            broke_at_mm_min: rows[broken].feed_mm_min,
        };
        Ok(FlowVerdict {
            held_mm3_s,
            feeds: rows,
            limit: Some(limit),
        })
    }

    fn check(&self, feeds: &[WeighedFeed]) -> Result<(), BenchError> {
        if feeds.len() != FEEDS {
            return Err(BenchError::Count {
                found: feeds.len(),
                needed: FEEDS,
                right: RIGHT,
            });
        }
        for feed in feeds {
            in_range("a feed", feed.feed_mm_min, 1.0, 100_000.0, " mm/min")?;
            if feed.grams > MORE_THAN_FED * self.fed_g + self.scale_g {
                return Err(BenchError::MoreThanFed {
                    feed_mm_min: feed.feed_mm_min,
                    grams: feed.grams,
                    fed_g: self.fed_g,
                });
            }
        }
        if let Some(twice) = feeds
            .windows(2)
            .find(|two| two[0].feed_mm_min == two[1].feed_mm_min)
        {
            return Err(BenchError::Twice {
                what: format!("{} mm/min", twice[0].feed_mm_min),
            });
        }
        let slowest = feeds[0];
        if slowest.grams < SLOWEST_DELIVERS * self.fed_g - self.scale_g {
            return Err(BenchError::SlowestSlips {
                feed_mm_min: slowest.feed_mm_min,
                percent: 100.0 * slowest.grams / self.fed_g,
            });
        }
        Ok(())
    }

    /// A weighing is off by a step of the scale at the most, and so is the mean it is held against.
    fn row(&self, feed: &WeighedFeed, reference_g: f64) -> FlowRow {
        let step_g = self.scale_g;
        FlowRow {
            feed_mm_min: feed.feed_mm_min,
            flow_mm3_s: feed.feed_mm_min / 60.0 * self.feedstock_mm2,
            grams: feed.grams,
            delivered: feed.grams / self.fed_g,
            against_slowest: feed.grams / reference_g,
            within: [
                (feed.grams - step_g) / (reference_g + step_g),
                (feed.grams + step_g) / (reference_g - step_g),
            ],
        }
    }
}

/// Where the share falls to 95 %, on a straight between the last feed that held and the next.
fn crossing(rows: &[FlowRow]) -> f64 {
    let first = rows
        .iter()
        .position(|row| row.against_slowest < HELD)
        .unwrap_or(rows.len() - 1)
        .max(1);
    let (before, after) = (rows[first - 1], rows[first]);
    let fall = before.against_slowest - after.against_slowest;
    let part = if fall > 0.0 {
        ((before.against_slowest - HELD) / fall).clamp(0.0, 1.0)
    } else {
        0.0
    };
    before.flow_mm3_s + part * (after.flow_mm3_s - before.flow_mm3_s)
}
