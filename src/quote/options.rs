//! The table of options.

use std::fmt::Write;

use super::subject::Subject;
use super::words::{WIDTH, hours_column, length, wrap};
use crate::estimate::{Made, PartOption};

/// Characters that machine and nozzle ids have in a row; longer ones stand on a line of their own.
const MACHINE: usize = 7;
const NOZZLE: usize = 12;

/// Every option that can make the part, the pick marked.
pub(super) fn options_table(text: &mut String, subject: &Subject<'_>) {
    let estimate = subject.estimate;
    let options = estimate.options.iter().enumerate();
    let made: Vec<(usize, &PartOption, &Made)> = options
        .filter_map(|(i, o)| Some((i, o, o.made()?)))
        .collect();
    let Some((_, _, first)) = made.first() else {
        return;
    };
    let money = first.ledger.currency.code();
    let names = [
        "layer", "layers", "walls", "g", "h:min", "band", "price", "per h", "cusp", "fail",
    ];
    let units = ["mm", "", "", "", "", "%", money, money, "um", "%"];
    row(
        text,
        ' ',
        ["machine", "nozzle"],
        &names.map(str::to_owned),
        "held by",
    );
    row(text, ' ', ["", ""], &units.map(str::to_owned), "");
    for (index, option, made) in made {
        let mark = if estimate.pick.option == Some(index) {
            '*'
        } else {
            ' '
        };
        let share = made.limit_share.into_iter().fold(0.0, f64::max);
        let held = format!("{} {:.0}%", made.limit.name(), 100.0 * share);
        row(
            text,
            mark,
            [&option.machine, &option.nozzle],
            &figures(made),
            &held,
        );
    }
    if estimate.pick.option.is_some() {
        let instead: String = estimate
            .pick
            .instead
            .iter()
            .map(|s| format!(" {s}."))
            .collect();
        let sentence = format!("* {}.{instead}", estimate.pick.why);
        line!(text, "{}", wrap(&sentence, WIDTH, "  "));
    }
    let legend = "  band: so much less or more may the hours be; price: each, before tax; per h: earned per machine hour; \
                  fail: of starts";
    line!(text, "{}", wrap(legend, WIDTH, "  "));
}

fn figures(made: &Made) -> [String; 10] {
    let mass_g = made.mass_g + made.support_g;
    let ledger = &made.ledger;
    [
        length(made.bead.height_mm()),
        made.layers.to_string(),
        made.perimeters.to_string(),
        if mass_g < 1000.0 {
            format!("{mass_g:.1}")
        } else {
            format!("{mass_g:.0}")
        },
        hours_column(made.seconds.whole_s()),
        band(made),
        ledger.unit_price.to_string(),
        ledger.earned_per_machine_hour.to_string(),
        format!("{:.0}", made.cusp_um),
        format!("{:.1}", 100.0 * ledger.risk.failure_probability),
    ]
}

/// How much less and more the hours may be: `-6+12`.
fn band(made: &Made) -> String {
    let whole_s = made.seconds.whole_s();
    made.band.as_ref().map_or(String::new(), |band| {
        format!(
            "-{:.0}+{:.0}",
            100.0 * (1.0 - band.from_s / whole_s),
            100.0 * (band.to_s / whole_s - 1.0)
        )
    })
}

fn row(
    text: &mut String,
    mark: char,
    [machine, nozzle]: [&str; 2],
    cells: &[String; 10],
    held: &str,
) {
    let widths = [5, 6, 5, 6, 6, 7, 7, 6, 4, 4];
    let (mut machine, mut nozzle) = (machine, nozzle);
    if machine.chars().count() > MACHINE || nozzle.chars().count() > NOZZLE {
        line!(text, "{mark} {machine}/{nozzle}");
        (machine, nozzle) = ("", "");
    }
    let mut line = format!("{mark} {machine:<MACHINE$} {nozzle:<NOZZLE$}");
    for (cell, width) in cells.iter().zip(widths) {
        let _ = write!(line, " {cell:>width$}");
    }
    let _ = write!(line, " {held}");
    line!(text, "{}", line.trim_end());
}
