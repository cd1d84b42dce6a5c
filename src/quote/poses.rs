//! Poses side by side: what each makes of a part and what it trades away.

use std::fmt::Write;

use super::words::{WIDTH, capitalised, duration, hours_column, wrap};
use crate::estimate::{FaceLies, PoseFigures, PoseTable, TALL_ON_ITS_FOOT};
use crate::pose::turn_in_words;

/// Differences below this share are not worth a word.
const WORTH_SHARE: f64 = 0.02;
/// Grams of support below this are not worth a word.
const WORTH_G: f64 = 1.0;

/// The poses of an option, the one in use first.
pub fn poses_text(part: &str, table: &PoseTable) -> String {
    let mut text = String::new();
    line!(text, "{part}: poses of {}", table.option);
    line!(text, "");
    line!(
        text,
        "  {:<38} {:>6} {:>6} {:>6} {:>7} {:>8} {:>6} {:>5} {:>5}",
        "pose",
        "high",
        "layers",
        "h:min",
        "support",
        "price",
        "cusp",
        "tall",
        "fail"
    );
    line!(
        text,
        "  {:<38} {:>6} {:>6} {:>6} {:>7} {:>8} {:>6} {:>5} {:>5}",
        "",
        "mm",
        "",
        "",
        "g",
        "",
        "um",
        "",
        "%"
    );
    for (index, pose) in table.poses.iter().enumerate() {
        let mark = if index == 0 { '*' } else { ' ' };
        let name = name(pose);
        if name.chars().count() > 38 {
            line!(text, "{mark} {name}");
        }
        let name = if name.chars().count() > 38 { "" } else { &name };
        line!(
            text,
            "{mark} {name:<38} {:>6.1} {:>6} {:>6} {:>7.1} {:>8} {:>6.0} {:>5.1} {:>5.1}",
            pose.fit.size_mm[2],
            pose.layers,
            hours_column(3600.0 * pose.hours),
            pose.support_g,
            pose.unit_price,
            pose.cusp_um,
            pose.height_to_foot.min(999.0),
            100.0 * pose.failure_probability
        );
    }
    legend(&mut text, table);
    if let Some((in_use, others)) = table.poses.split_first() {
        about(&mut text, in_use, None);
        for pose in others {
            about(&mut text, pose, Some(in_use));
        }
    }
    text
}

fn legend(text: &mut String, table: &PoseTable) {
    let left_out = match table.do_not_fit {
        0 => String::new(),
        1 => "; one does not fit the machine".to_owned(),
        n => format!("; {n} do not fit the machine"),
    };
    let sentence = format!(
        "  * the pose in use. tall: height over the least width of what stands on the bed; price: each, before tax. {} poses looked \
         at in a sample of layers{left_out}; those shown are computed in full.",
        table.looked_at
    );
    line!(text, "{}", wrap(&sentence, WIDTH, "  "));
}

fn name(pose: &PoseFigures) -> String {
    let turned = turn_in_words(pose.fit.turn_deg).map_or(String::new(), |t| format!(", {t}"));
    format!("{}{turned}", pose.fit.down.in_words())
}

/// What there is to say of a pose: how it compares with the one in use, how the face and the load lie, whether it may topple.
fn about(text: &mut String, pose: &PoseFigures, in_use: Option<&PoseFigures>) {
    let mut said = Vec::new();
    if let Some(in_use) = in_use {
        let (better, worse) = differences(pose, in_use);
        said.push(match (better.is_empty(), worse.is_empty()) {
            (true, true) => "much the same".to_owned(),
            (false, true) => better.join(", "),
            (true, false) => worse.join(", "),
            (false, false) => format!("{}; but {}", better.join(", "), worse.join(", ")),
        });
    }
    said.extend(states(pose));
    if said.is_empty() {
        return;
    }
    let command = in_use.map_or(String::new(), |_| format!(" (--down={})", pose.fit.down));
    let sentence = format!(
        "  {}{command}: {}.",
        capitalised(&name(pose)),
        said.join("; ")
    );
    line!(text, "{}", wrap(&sentence, WIDTH, "    "));
}

fn differences(pose: &PoseFigures, in_use: &PoseFigures) -> (Vec<String>, Vec<String>) {
    let (mut better, mut worse) = (Vec::new(), Vec::new());
    let mut say = |less: bool, words: String| {
        if less {
            better.push(words)
        } else {
            worse.push(words)
        }
    };
    let price = |p: &PoseFigures| f64::try_from(p.unit_price).unwrap_or(0.0);
    let (is, was) = (price(pose), price(in_use));
    if (is - was).abs() > WORTH_SHARE * was {
        let word = if is < was { "cheaper" } else { "dearer" };
        say(
            is < was,
            format!("{:.0} % {word}", 100.0 * (is / was - 1.0).abs()),
        );
    }
    if (pose.hours - in_use.hours).abs() > WORTH_SHARE * in_use.hours {
        let word = if pose.hours < in_use.hours {
            "quicker"
        } else {
            "longer"
        };
        let by = duration(3600.0 * (pose.hours - in_use.hours).abs());
        say(pose.hours < in_use.hours, format!("{by} {word}"));
    }
    let more_g = pose.support_g - in_use.support_g;
    if more_g.abs() > WORTH_G {
        let word = if more_g < 0.0 { "less" } else { "more" };
        say(
            more_g < 0.0,
            format!("{:.1} g {word} support", more_g.abs()),
        );
    }
    if (pose.cusp_um - in_use.cusp_um).abs() > 0.1 * in_use.cusp_um {
        let word = if pose.cusp_um < in_use.cusp_um {
            "finer"
        } else {
            "coarser"
        };
        say(
            pose.cusp_um < in_use.cusp_um,
            format!(
                "steps {word}, {:.0} against {:.0} um",
                pose.cusp_um, in_use.cusp_um
            ),
        );
    }
    (better, worse)
}

/// The face, the load and the foot.
fn states(pose: &PoseFigures) -> Vec<String> {
    let mut said = Vec::new();
    if let Some(face) = &pose.face {
        said.push(match face.lies {
            FaceLies::OnSupport => format!(
                "the face is laid {} and keeps its marks",
                face.lies.in_words()
            ),
            FaceLies::OnTheBed => "the face lies on the bed and takes its texture".to_owned(),
            FaceLies::Free => format!("the face is free, steps of {:.0} um", face.cusp_um),
        });
    }
    if let Some(loaded) = &pose.loaded {
        said.push(match loaded.off_layers_deg {
            off if off < 10.0 => format!(
                "the load lies in the layers, beads {:.0} degrees off it on average",
                loaded.off_beads_deg
            ),
            off => format!("the load crosses the layers at {off:.0} degrees: weaker"),
        });
    }
    if pose.height_to_foot > TALL_ON_ITS_FOOT {
        said.push(
            if pose.height_to_foot.is_finite() && pose.height_to_foot < 1000.0 {
                format!(
                    "{:.1} times as tall as its foot is wide: may topple or sway without a brim",
                    pose.height_to_foot
                )
            } else {
                "it stands on an edge or a point: it needs a brim or a foot of support".to_owned()
            },
        );
    }
    said
}
