//! The melt limit from slip curves that are known, weighed with noise.

use beadtally::bench::{FlowPlan, WeighedFeed};
use beadtally::shop::demonstration;

use crate::setup;

/// Delivered share against flow, mm3/s.
type Curve = Box<dyn Fn(f64) -> f64>;

/// Shares full up to a knee, then falling as the drive slips. The shapes are made up: straight, bowed
/// both ways, and one that slips a little from the start.
fn curves(knee: f64) -> [(&'static str, Curve); 4] {
    // No drive slips wholly: beyond half of the knee over it, it slips no more.
    let over = move |q: f64| ((q - knee).max(0.0) / knee).min(0.5);
    [
        ("straight", Box::new(move |q| 1.0 - 0.9 * over(q))),
        (
            "slow at first",
            Box::new(move |q| 1.0 - 2.5 * over(q) * over(q)),
        ),
        (
            "quick at first",
            Box::new(move |q| 1.0 - 0.5 * over(q).sqrt()),
        ),
        (
            "from the start",
            Box::new(move |q| 1.0 - 0.01 * q / knee - 0.8 * over(q)),
        ),
    ]
}

/// Noise that is the same on every run, within one either way.
struct Noise(u64);

impl Noise {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }
}

/// The flow at which a curve falls to 95 % of the mean of the slowest two feeds, by halving.
fn truth(curve: &dyn Fn(f64) -> f64, plan: &FlowPlan) -> f64 {
    let [first, second] = [0, 1].map(|i| curve(plan.flows_mm3_s[i]));
    let (mut low, mut high) = (plan.flows_mm3_s[1], 10.0 * plan.flows_mm3_s[4]);
    for _ in 0..100 {
        let middle = (low + high) / 2.0;
        if curve(middle) > 0.95 * (first + second) / 2.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// What the scale shows: the density differs by a factor from the file's, the hand's noise is half a step, the display rounds.
fn weighed(
    plan: &FlowPlan,
    curve: &dyn Fn(f64) -> f64,
    density_off: f64,
    noise: &mut Noise,
) -> String {
    let shown = plan
        .feeds_mm_min
        .iter()
        .zip(plan.flows_mm3_s)
        .map(|(feed, flow)| {
            let grams = plan.fed_g * density_off * curve(flow) + plan.scale_g / 2.0 * noise.next();
            let steps = (grams / plan.scale_g).round();
            format!("{feed}:{:.3}", steps * plan.scale_g)
        });
    shown.collect::<Vec<_>>().join(",")
}

/// Expected: the flow at which the made-up curve itself falls to 95 %. 4 curves, 3 densities, 100 weighings each, on two machines.
#[test]
fn the_limit_of_a_known_slip_curve_lies_within_the_interval() {
    let shop = demonstration();
    let mut noise = Noise(7);
    for machine in ["fast", "slow"] {
        let setup = setup(&shop, machine, None);
        let plan = FlowPlan::of(&setup, None, None, 0.01).unwrap();
        let expected = plan.expected_mm3_s.unwrap();
        let mut worst = 0.0f64;
        for knee in [0.75, 0.9, 1.05, 1.2].map(|part| part * expected) {
            for (name, curve) in curves(knee) {
                let truth = truth(&*curve, &plan);
                for weighing in 0..100 {
                    let density_off = [0.97, 1.0, 1.03][weighing % 3];
                    let text = weighed(&plan, &*curve, density_off, &mut noise);
                    let verdict = plan.read(&text).unwrap();
                    let limit = verdict
                        .limit
                        .unwrap_or_else(|| panic!("{name} {knee}: {text}"));
                    let [low, high] = limit.within_mm3_s;
                    assert!(
                        low <= truth && truth <= high,
                        "{name} {knee}: {truth} {limit:?} {text}"
                    );
                    assert!(low <= limit.melt_limit_mm3_s && limit.melt_limit_mm3_s <= high);
                    worst = worst.max((limit.melt_limit_mm3_s / truth - 1.0).abs());
                }
            }
        }
        println!(
            "{machine}: the limit itself off by {:.1} % at the worst",
            100.0 * worst
        );
    }
}

/// Expected: as above; feeds spread between narrower flows give a narrower interval that still holds the truth.
#[test]
fn feeds_spread_between_narrower_flows_narrow_the_interval() {
    let shop = demonstration();
    let setup = setup(&shop, "fast", None);
    let (_, curve) = curves(22.0).into_iter().next().unwrap();
    let mut noise = Noise(11);
    let wide = FlowPlan::of(&setup, None, None, 0.01).unwrap();
    let first = wide
        .read(&weighed(&wide, &*curve, 1.0, &mut noise))
        .unwrap()
        .limit
        .unwrap();
    let [low, high] = first.within_mm3_s;
    let narrow = FlowPlan::of(&setup, Some([0.9 * low, high]), None, 0.01).unwrap();
    let second = narrow
        .read(&weighed(&narrow, &*curve, 1.0, &mut noise))
        .unwrap()
        .limit
        .unwrap();
    let width = |[low, high]: [f64; 2]| high - low;
    assert!(
        width(second.within_mm3_s) < 0.6 * width(first.within_mm3_s),
        "{first:?} {second:?}"
    );
    let truth = truth(&*curve, &narrow);
    assert!(second.within_mm3_s[0] <= truth && truth <= second.within_mm3_s[1]);
}

/// Expected: by hand. Shares of 1, 1, 1, 0.9 and 0.6: 95 % lies half way between the third and the fourth feed.
#[test]
fn shares_worked_out_by_hand_give_the_limit_half_way() {
    let shop = demonstration();
    let plan = FlowPlan::of(
        &setup(&shop, "fast", None),
        Some([10.0, 30.0]),
        Some(1000.0),
        0.001,
    )
    .unwrap();
    let feeds = plan.feeds_mm_min.iter().zip([3.0, 3.0, 3.0, 2.7, 1.8]);
    let feeds = feeds.map(|(feed, grams)| WeighedFeed {
        feed_mm_min: *feed,
        grams,
    });
    let limit = plan.judge(feeds.collect()).unwrap().limit.unwrap();
    let half_way = (plan.flows_mm3_s[2] + plan.flows_mm3_s[3]) / 2.0;
    assert!((limit.melt_limit_mm3_s - half_way).abs() < 1e-9);
    assert_eq!(
        limit.within_mm3_s,
        [plan.flows_mm3_s[2], plan.flows_mm3_s[3]]
    );
    assert_eq!(limit.broke_at_mm_min, plan.feeds_mm_min[3]);
}

/// Expected: by hand, from the area of a feedstock of 1.75 mm: pi/4 1.75^2 = 2.405 mm2; 10 mm3/s are 249.5 mm/min.
#[test]
fn a_feed_is_the_flow_over_the_feedstock_s_section() {
    let shop = demonstration();
    let plan = FlowPlan::of(&setup(&shop, "fast", None), Some([10.0, 30.0]), None, 0.01).unwrap();
    assert_eq!(plan.feeds_mm_min[1], 249.5);
    assert!((plan.flows_mm3_s[1] - 10.0).abs() < 0.01);
    // The slowest feed, at half the slower flow, is what the others are held against.
    assert!((plan.flows_mm3_s[0] - 5.0).abs() < 0.01);
    // 3 g of 1.347 g/cm3 are 926 mm, up to the next hundred.
    assert_eq!(plan.length_mm, 1000.0);
}

/// Expected: the slip curve itself, of which 95 % is delivered at 27 mm3/s, weighed to 0.01 g. Narrowed again and again the range
/// still holds it: a nozzle that slips at all feeds but the slowest is not taken for one that holds.
#[test]
fn narrowing_again_and_again_stays_with_the_truth() {
    let shop = demonstration();
    let setup = setup(&shop, "fast", None);
    let mut between = None;
    for round in 0..4 {
        let plan = FlowPlan::of(&setup, between, Some(1000.0), 0.01).unwrap();
        let weighed = |i: usize| {
            let share = 1.0 - 0.05 * (plan.flows_mm3_s[i] / 27.0).powi(4);
            WeighedFeed {
                feed_mm_min: plan.feeds_mm_min[i],
                grams: (plan.fed_g * share * 100.0).round() / 100.0,
            }
        };
        let verdict = plan.judge((0..5).map(weighed).collect()).unwrap();
        let limit = verdict.limit.unwrap_or_else(|| panic!("round {round}"));
        let [low, high] = limit.within_mm3_s;
        assert!(
            (low..=high).contains(&27.0),
            "round {round}: {low} to {high}"
        );
        assert!(
            (limit.melt_limit_mm3_s / 27.0 - 1.0).abs() < 0.06,
            "round {round}: {limit:?}"
        );
        between = Some([low, high]);
    }
}

/// Expected: by hand. A slowest feed weighed a tenth short must not lift the limit.
#[test]
fn a_faster_feed_that_delivers_more_than_the_slowest_is_asked_about() {
    let shop = demonstration();
    let plan = FlowPlan::of(&setup(&shop, "fast", None), None, Some(1000.0), 0.01).unwrap();
    let grams = [2.9, 3.2, 3.2, 3.0, 2.5];
    let feeds = plan.feeds_mm_min.iter().zip(grams);
    let feeds = feeds.map(|(feed, grams)| WeighedFeed {
        feed_mm_min: *feed,
        grams,
    });
    let said = plan.judge(feeds.collect()).unwrap_err().to_string();
    assert!(
        said.contains("no faster feed can deliver more, so weigh both again"),
        "{said}"
    );
}
