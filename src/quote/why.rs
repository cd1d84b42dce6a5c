//! How every figure of one option came about: formula, numbers put in, result.

use std::fmt::Write;

use super::remarks::band_sentence;
use super::subject::Subject;
use super::text::ledger_lines;
use super::words::{WIDTH, duration, pose_sentence, wrap};
use crate::bead::Role;
use crate::cost::Restart;
use crate::estimate::{Ask, Made, PartOption, Walls, advice};
use crate::motion::RETRACTION_FROM_MM;

/// Explains one option.
pub fn why_text(subject: &Subject<'_>, option: &PartOption, ask: &Ask) -> String {
    let mut text = String::new();
    line!(text, "{} on {}", subject.part, option.name());
    match &option.outcome {
        Err(refusal) => line!(text, "Not possible: {}.", refusal.reasons.join("; ")),
        Ok(made) => {
            placing(&mut text, subject, made);
            bead(&mut text, subject, made, ask);
            plastic(&mut text, subject, made);
            pace(&mut text, subject, option, made);
            clock(&mut text, made);
            if let Some(band) = &made.band {
                line!(text, "\nBand");
                line!(text, "  {}", band_sentence(option, made, band));
            }
            line!(text, "\nAdvice");
            for sentence in advice(subject.estimate, option, subject.shop) {
                line!(text, "  {sentence}");
            }
            finish(&mut text, made);
            risk(&mut text, subject, option, made);
            ledger(&mut text, made);
        }
    }
    text.lines().map(|line| fitted(line) + "\n").collect()
}

/// A line within [`WIDTH`]; a longer one goes on a little further in.
fn fitted(line: &str) -> String {
    if line.chars().count() <= WIDTH {
        line.to_owned()
    } else {
        wrap(line, WIDTH, "      ")
    }
}

fn placing(text: &mut String, subject: &Subject<'_>, made: &Made) {
    let [x, y, z] = made.pose.size_mm;
    line!(text, "\nPose");
    let why = &subject.estimate.down_why;
    line!(text, "  {}", pose_sentence(&made.pose.down.in_words(), why));
    line!(
        text,
        "  turn {:.2} degrees; size on the bed {x:.2} x {y:.2} x {z:.2} mm",
        made.pose.turn_deg
    );
    let [left, right, front, back] = made.pose.sides_mm;
    line!(
        text,
        "  clear beyond the edge margin: left {left:.1}, right {right:.1}, front {front:.1}, back {back:.1}, above {:.1} mm",
        made.pose.above_mm
    );
}

fn bead(text: &mut String, subject: &Subject<'_>, made: &Made, ask: &Ask) {
    let (d, h, w) = (
        made.bead.nozzle_mm(),
        made.bead.height_mm(),
        made.bead.width_mm(),
    );
    let (a, s) = (made.bead.area_mm2(), made.bead.spacing_mm());
    line!(text, "\nBead");
    let source = |given: bool, rule: &str| {
        if given {
            "measured row".to_owned()
        } else {
            rule.to_owned()
        }
    };
    let row = made.row.as_ref().map(|r| &r.row);
    let h_from = if ask.layer_height_mm.is_some() {
        "as asked".to_owned()
    } else {
        source(
            row.is_some_and(|r| r.layer_height_mm.is_some()),
            "0.6 d, common practice",
        )
    };
    let w_from = source(
        row.is_some_and(|r| r.bead_width_mm.is_some()),
        "1.2 d, common practice",
    );
    line!(
        text,
        "  nozzle d = {d} mm; layer height h = {h} mm ({h_from}); bead width w = {w} mm ({w_from})"
    );
    line!(
        text,
        "  section A = h (w - h) + pi h^2/4 = {h} x ({w} - {h}) + 3.14159265 x {h}^2/4 = {a:.5} mm2"
    );
    line!(text, "  spacing s = A / h = {a:.5} / {h} = {s:.4} mm");
    match ask.walls {
        Some(Walls::Count(n)) => line!(text, "  perimeters {n}, as asked"),
        walls => {
            let wall = match walls {
                Some(Walls::ThicknessMm(mm)) => mm,
                _ => subject.shop.process.wall_mm,
            };
            line!(
                text,
                "  perimeters = max(1, round((wall - w)/s + 1)) = max(1, round(({wall} - {w})/{s:.4} + 1)) = {}",
                made.perimeters
            );
        }
    }
    let first = made.first_layer_mm;
    line!(
        text,
        "  layers = 1 + floor((H - h1)/h + 1/2 - 1e-6) = 1 + floor(({:.3} - {first})/{h} + 0.5 - 0.000001) = {}; {} of them with solid fill",
        made.pose.size_mm[2],
        made.layers,
        made.solid_fill_layers
    );
}

/// A factor of a formula; nothing where it is 1.
fn factor(value: f64) -> String {
    if value == 1.0 {
        String::new()
    } else {
        format!(" x {value}")
    }
}

fn plastic(text: &mut String, subject: &Subject<'_>, made: &Made) {
    let density = subject.material().map_or(0.0, |m| m.density_g_cm3);
    line!(text, "\nPlastic");
    line!(
        text,
        "  volume of the mesh {:.1} mm3",
        subject.mesh.mass.volume_mm3
    );
    line!(
        text,
        "  laid = sum over layers of (section - lost) x h = {:.1} mm3, lost {:.1} mm3 narrower than a bead can be",
        made.deposited_mm3,
        made.detail_lost_mm3
    );
    line!(
        text,
        "  part = laid x density{} = {:.1} / 1000 x {density}{} = {:.2} g",
        if made.grams_correction == 1.0 {
            ""
        } else {
            " x correction"
        },
        made.deposited_mm3,
        factor(made.grams_correction),
        made.mass_g
    );
    if made.support_mm3 > 0.0 {
        let length_mm = made.bead_length_mm[Role::Support.index()];
        if made.first_layer_mm == made.bead.height_mm() {
            let a = made.bead.area_mm2();
            line!(
                text,
                "  support = length x A = {length_mm:.1} x {a:.5} = {:.1} mm3",
                made.support_mm3
            );
        } else {
            line!(
                text,
                "  support: {length_mm:.1} mm of beads s apart and as thick as their layer take {:.1} mm3",
                made.support_mm3
            );
        }
        line!(
            text,
            "  its mass = volume x density = {:.1} / 1000 x {density} = {:.2} g",
            made.support_mm3,
            made.support_g
        );
    }
}

fn pace(text: &mut String, subject: &Subject<'_>, option: &PartOption, made: &Made) {
    let limits = &made.limits;
    let a = made.bead.area_mm2();
    line!(text, "\nSpeeds");
    let cap = limits.melt_cap_mm3_s.map(|q| q / a);
    match (&made.row, cap, limits.melt_cap_mm3_s) {
        (Some(used), Some(cap), Some(q)) => {
            let row = &used.row;
            line!(
                text,
                "  melt cap = Q (1 - margin) / A = {} x (1 - {}) / {a:.5} = {q:.2} / {a:.5} = {cap:.1} mm/s",
                row.melt_limit_mm3_s,
                row.margin
            );
            let basis = used.borrowed.clone().unwrap_or_else(|| {
                format!(
                    "measured row {}/{}/{}",
                    row.machine, row.nozzle, row.material
                )
            });
            line!(text, "  from: {basis}");
        }
        _ => line!(
            text,
            "  no melt cap: machine {} has no measured row",
            option.machine
        ),
    }
    for role in Role::ALL {
        if made.bead_length_mm[role.index()] > 0.0 {
            let (speed, first) = (limits.speeds.of(role), limits.speeds.first_layer_mm_s);
            let held = cap.map_or(speed, |c| c.min(speed));
            line!(
                text,
                "  {:<8} min({speed} machine, {} melt) = {held:.1} mm/s; first layer at most {first} mm/s",
                role.name(),
                cap.map_or("no".to_owned(), |c| format!("{c:.1}"))
            );
        }
    }
    line!(
        text,
        "  acceleration {} mm/s2, {} mm off a corner; travel {} mm/s; travels over {RETRACTION_FROM_MM} mm retract, {} s each",
        limits.acceleration_mm_s2,
        limits.corner_deviation_mm,
        limits.speeds.travel_mm_s,
        limits.retraction_s
    );
    if let Some(material) = subject.material() {
        line!(
            text,
            "  least layer time of {}: {} s",
            material.id,
            material.least_layer_s
        );
    }
}

fn clock(text: &mut String, made: &Made) {
    let s = &made.seconds;
    line!(
        text,
        "\nSeconds (each path timed from rest to rest over its own corners; x correction {})",
        made.correction
    );
    let mut row = |name: &str, length_mm: Option<f64>, seconds: f64| {
        if seconds > 0.0 {
            let length = length_mm.map_or(String::new(), |mm| {
                format!(
                    "{:>12.1} m, {:.1} mm/s on average",
                    mm / 1000.0,
                    mm / seconds
                )
            });
            line!(text, "  {name:<13} {seconds:>11.1} s {length}");
        }
    };
    for role in Role::ALL {
        row(
            role.name(),
            Some(made.bead_length_mm[role.index()]),
            s.laying_s[role.index()],
        );
    }
    row("travel", Some(made.travel_mm), s.travel_s);
    row("layer change", None, s.layer_change_s);
    row("cooling", None, s.cooling_s);
    row("start", None, s.start_s);
    line!(
        text,
        "  {:<13} {:>11.1} s = {}",
        "sum",
        s.whole_s(),
        duration(s.whole_s())
    );
    let [motion, melt, cooling] = made.limit_share.map(|x| 100.0 * x);
    line!(
        text,
        "  held by motion {motion:.1} %, melt {melt:.1} %, cooling {cooling:.1} % of paths, travels and stretch"
    );
    line!(
        text,
        "  mean flow = laid / laying seconds = {:.1} / {:.1} = {:.2} mm3/s",
        made.deposited_mm3 + made.support_mm3,
        s.laying_s.iter().sum::<f64>(),
        made.mean_flow_mm3_s
    );
}

fn finish(text: &mut String, made: &Made) {
    let h = made.bead.height_mm();
    line!(text, "\nFinish");
    line!(
        text,
        "  mean cusp = 1000 h |n_z| = 1000 x {h} x {:.5} = {:.1} um, greatest = 1000 x {h} x {:.5} = {:.1} um{} (Dolenc & Makela 1994, from \
         memory)",
        made.cusp_um / h / 1000.0,
        made.cusp_um,
        made.greatest_cusp_um / h / 1000.0,
        made.greatest_cusp_um,
        made.greatest_cusp_at_mm
            .map_or(String::new(), |[x, y, z]| format!(
                ", at ({x:.1}, {y:.1}, {z:.1}) mm as drawn"
            ))
    );
    line!(
        text,
        "  interfaces per cm of height = 10 / h = 10 / {h} = {:.1}; beads across each side of a wall {}",
        10.0 / h,
        made.perimeters
    );
    match made.roughness_um {
        Some(um) => line!(
            text,
            "  roughness about {um:.1} um (Pandey, Reddy & Dhande 2003, from memory; early machines, so an estimate)"
        ),
        None => line!(
            text,
            "  roughness: none, much of the surface lies outside the range its formula was tried on"
        ),
    }
}

fn risk(text: &mut String, subject: &Subject<'_>, option: &PartOption, made: &Made) {
    let Some(machine) = subject.shop.machine(&option.machine) else {
        return;
    };
    let (f, r) = (&machine.failures, &made.ledger.risk);
    line!(text, "\nRisk (restart from nothing)");
    line!(
        text,
        "  a start fails with chance {} %, then {} % per hour{}",
        tidy(100.0 * f.start_chance),
        tidy(100.0 * f.rate_per_h),
        if f.by_default {
            " (stated defaults, a judgement without source)"
        } else {
            ""
        }
    );
    let restart = Restart::on(
        f,
        made.seconds.whole_s() / 3600.0,
        made.seconds.start_s / 3600.0,
        &subject.shop.attended,
    );
    let Ok(restart) = restart else { return };
    let (p0, lambda, t) = (tidy(f.start_chance), tidy(f.rate_per_h), restart.hours);
    line!(
        text,
        "  starts per good part = e^(lambda T)/(1 - p0) = e^({lambda} x {t:.4})/(1 - {p0}) = {:.4}",
        r.starts
    );
    line!(
        text,
        "  one start fails with chance = 1 - (1 - p0) e^(-lambda T) = 1 - (1 - {p0}) x e^(-{lambda} x {t:.4}) = {:.4}",
        r.failure_probability
    );
    line!(
        text,
        "  D = clearing + mean wait for somebody = {} + {:.4} = {:.4} h",
        tidy(f.clearing_h),
        restart.stop_h - f.clearing_h,
        restart.stop_h
    );
    let late = if f.rate_per_h > 0.0 {
        format!(
            "(e^({lambda} x {t:.4}) - 1) x (1/{lambda} + {:.4})",
            restart.stop_h
        )
    } else {
        format!("{t:.4}")
    };
    line!(
        text,
        "  machine hours per good part = (e^(lambda T) - 1)(1/lambda + D) + e^(lambda T) D0 p0/(1 - p0) = {late} + e^({lambda} x {t:.4}) \
         x {} x {p0}/(1 - {p0}) = {:.4} h, {:.4} h more than one good run",
        tidy(f.start_lost_h),
        r.machine_h,
        r.extra_machine_h
    );
}

/// A number without the rounding of its binary form.
fn tidy(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

fn ledger(text: &mut String, made: &Made) {
    let l = &made.ledger;
    line!(
        text,
        "\nMoney for {} ({}), each line rounded half-even",
        l.quantity,
        l.currency.code()
    );
    ledger_lines(text, l);
    line!(
        text,
        "  each {} before tax = {} / {}; floor {}; earned per machine hour {}",
        l.unit_price,
        l.subtotal,
        l.quantity,
        l.unit_cost,
        l.earned_per_machine_hour
    );
}
