//! One-page sheets for the bench: what to lay, feed or bend, what to read off, and what to type then.

use super::page::Page;
use super::stopwatch::WATCH_S;
use super::toml::{figures, range};
use super::{BondingPlan, CourseKind, DensityPlan, FlowPlan, Setup, StopwatchPlan};

/// The sheet for weighing feedstock at five feeds.
pub fn flow_sheet(setup: &Setup<'_>, plan: &FlowPlan) -> String {
    let mut page = head(setup, "Melt limit: feedstock fed into the air and weighed");
    page.say(format!(
        "What is found: melt_limit_mm3_s, the flow beyond which what comes out falls short of what is fed, because {} melts no more with this nozzle.",
        setup.machine.id
    ));
    match (plan.expected_mm3_s, &setup.row) {
        (Some(expected), Some(row)) => page.say(format!(
            "The feeds lie around {} mm3/s, {}.",
            figures(expected),
            row.borrowed.as_deref().map_or_else(
                || "what the shop file says so far".to_owned(),
                |borrowed| format!("which is a guess: {borrowed}")
            )
        )),
        (Some(expected), None) => page.say(format!(
            "The feeds lie around {} mm3/s, a guess from the bore: the shop file has no measured row for this machine.",
            figures(expected)
        )),
        (None, _) => page.say("One slow feed is the measure; the other four are spread evenly between the flows asked for."),
    }
    page.gap();
    page.step(format!(
        "Lift the head well clear of the bed, heat the nozzle to the temperature you lay {} with ({} to {} C), feed 50 mm to fill it, and wait until nothing drips.",
        setup.material.id,
        setup.material.nozzle_c.0.max(setup.machine.nozzle_min_c),
        setup.material.nozzle_c.1.min(setup.machine.nozzle_max_c)
    ));
    page.step(format!(
        "Feed {:.0} mm of {} mm feedstock at the first feed below, straight into the air. Watch the clock: a machine that takes longer was held below this feed. Cut the string off at the nozzle and weigh it on a scale of {} g steps.",
        plan.length_mm, setup.machine.feedstock_mm, plan.scale_g
    ));
    page.step(
        "Do the same at the other four feeds, the hot end at its temperature again before each.",
    );
    page.gap();
    page.line("     feed      flow     length   takes   weighs if all comes out");
    page.line("   mm/min     mm3/s         mm       s         g");
    for (feed, flow) in plan.feeds_mm_min.iter().zip(plan.flows_mm3_s) {
        page.line(format!(
            "  {feed:7.1}   {flow:7.2}    {:7.0}  {:6.0}   {:7.2}   weighed: ________",
            plan.length_mm,
            plan.seconds(*feed),
            plan.fed_g
        ));
    }
    page.gap();
    let feeds = plan.feeds_mm_min.map(|feed| format!("{feed}:GRAMS"));
    page.say("Then type the grams weighed:");
    page.line(format!(
        "  beadtally bench flow {} --read \"{}\"",
        options(setup),
        feeds.join(",")
    ));
    page.say("The answer gives the limit between two feeds; --between with these two flows on both sheet and reading narrows it.");
    cautions(&mut page, setup);
    page.text()
}

/// The sheet for timing the two courses.
pub fn stopwatch_sheet(setup: &Setup<'_>, plan: &StopwatchPlan) -> String {
    let mut page = head(
        setup,
        "Acceleration and corners: two courses timed by stopwatch",
    );
    page.say("What is found: acceleration_mm_s2, and corner_deviation_mm, how far the nozzle passes beside a corner. Square corners nearly stop the machine, blunt ones less: two times tell the two apart.");
    page.gap();
    page.line("  course    size of the part, mm      lap    corners  would take now");
    page.line("                                       mm      a lap               s");
    let machine = setup.machine;
    for kind in [CourseKind::Long, CourseKind::Short] {
        let (course, size) = (plan.course(kind), plan.mesh(kind).size_mm());
        page.line(format!(
            "  {:7} {:7.1} x {:4.1} x {:5.2}  {:7.1}  {:9}  {:14.1}",
            kind.name(),
            size.x,
            size.y,
            size.z,
            course.lap_mm(),
            course.corners(),
            plan.seconds(
                kind,
                machine.acceleration_mm_s2,
                machine.corner_deviation_mm
            )
        ));
    }
    page.gap();
    page.step("Write both parts (--part FILE.stl --course long, and again with --course short) and prepare each as one closed bead a layer and nothing else: one perimeter, no fill, no floor, no roof, no brim.");
    page.step(format!(
        "Layers {} mm high, bead {} mm wide, everything from the third layer on at {} mm/s. Let nothing slow the machine down: no least layer time, no slower overhangs, small loops or corners, the acceleration that you lay parts with. The machine may run it empty and cold where it lets you.",
        plan.layer_mm,
        setup.bead.width_mm(),
        plan.speed_mm_s
    ));
    if plan.unbroken {
        page.step("Lay the bead as one unbroken line that rises over each lap, without a stop between laps.");
    } else {
        page.step(format!(
            "Laps are counted with {} s from the end of one to the start of the next (--pause, else the machine's layer_change_s): time that first, it weighs as much as the corners do. Better, lay the bead as one unbroken rising line and give --unbroken here and on the reading.",
            plan.pause_s
        ));
    }
    page.step(format!(
        "Start the watch when the nozzle begins the third layer, stop it {} laps later, at the start of layer {}. The long course first, then the short one.",
        plan.laps,
        plan.laps + 3
    ));
    page.gap();
    page.say("  long course: ____________ s     short course: ____________ s");
    page.gap();
    page.say("Then type both:");
    page.line(format!(
        "  beadtally bench stopwatch {} --laps {} --speed {}{} --read LONG_S,SHORT_S",
        options(setup),
        plan.laps,
        plan.speed_mm_s,
        if plan.unbroken {
            " --unbroken".to_owned()
        } else {
            format!(" --pause {}", plan.pause_s)
        }
    ));
    let [long_s, short_s] = [CourseKind::Long, CourseKind::Short].map(|kind| {
        plan.seconds(
            kind,
            machine.acceleration_mm_s2,
            machine.corner_deviation_mm,
        )
    });
    match plan.motion(long_s, short_s) {
        Ok(motion) => page.say(format!(
            "A watch that is {WATCH_S} s off would tell the present {} mm/s2 and {} mm as {} mm/s2 and {} mm; more --laps tell them closer.",
            figures(machine.acceleration_mm_s2),
            figures(machine.corner_deviation_mm),
            range(motion.acceleration_within_mm_s2),
            range(motion.corner_deviation_within_mm)
        )),
        Err(error) => page.say(format!(
            "Mind: with the present {} mm/s2 and {} mm, {error}.",
            figures(machine.acceleration_mm_s2),
            figures(machine.corner_deviation_mm)
        )),
    }
    if machine.correction != 1.0 {
        page.say(format!(
            "The machine's correction of {} is left out of all this: once acceleration and corners are measured, set it to 1 and find it anew.",
            machine.correction
        ));
    }
    cautions(&mut page, setup);
    page.text()
}

/// The sheet for bending a strip laid at five temperatures.
pub fn bonding_sheet(setup: &Setup<'_>, plan: &BondingPlan) -> String {
    let mut page = head(
        setup,
        "Bonding: an upright strip laid at five temperatures and bent",
    );
    page.say(
        "What is found: nozzle_c, the nozzle temperatures at which layers hold to each other.",
    );
    let size = plan.mesh().size_mm();
    page.say(format!(
        "The strip is {:.0} x {:.0} x {:.0} mm: five storeys, each with a waist in its middle at which it bends.",
        size.x, size.y, size.z
    ));
    page.gap();
    page.step("Write the strip (--part FILE.stl) and lay it solid, standing as drawn, with a brim so that it stays put.");
    page.step("Change the nozzle's temperature at these heights, the hottest at the bed:");
    page.gap();
    page.line("   from height     temperature");
    page.line("            mm               C");
    for (c, from_mm) in plan.temperatures_c.iter().zip(plan.from_mm).rev() {
        page.line(format!(
            "  {from_mm:12.0}  {c:14.0}   whole / broke: ________"
        ));
    }
    page.gap();
    page.step("Let it cool to the room. From the top down, hold the strip in a vise just below each storey's waist, wear eye protection, and bend it by 30 degrees across its width; then cut the storey off.");
    page.step("A storey that parts between layers broke. One that bends, or tears across layers, stayed whole.");
    page.gap();
    page.say("Then type what each did:");
    let read = plan.temperatures_c.map(|c| format!("{c}:whole|broke"));
    page.line(format!(
        "  beadtally bench bonding {} --read \"{}\"",
        options(setup),
        read.join(",")
    ));
    cautions(&mut page, setup);
    page.text()
}

/// The sheet for weighing a printed part.
pub fn density_sheet(setup: &Setup<'_>, plan: &DensityPlan, part: &str) -> String {
    let mut page = head(setup, "Density as printed: one part on the scale");
    page.say("What is found: density_g_cm3, pores and all, so that grams and price follow what is really laid.");
    page.gap();
    page.step(format!(
        "Lay {part} solid, as estimated: layers {} mm high, beads {} mm wide. {:.2} cm3 are laid for the part itself.",
        setup.bead.height_mm(),
        setup.bead.width_mm(),
        plan.laid_mm3 / 1000.0
    ));
    page.step(format!(
        "Take off support, brim and strings, dry it as the spool was, and weigh it on a scale of {} g steps. By the shop file it weighs {:.2} g.",
        plan.scale_g, plan.expected_g
    ));
    page.gap();
    page.say("Then type the grams:");
    page.line(format!(
        "  beadtally bench density {} --of {part} --read GRAMS",
        options(setup)
    ));
    cautions(&mut page, setup);
    page.text()
}

fn head(setup: &Setup<'_>, title: &str) -> Page {
    let mut page = Page::default();
    page.line(title);
    page.line(format!(
        "{} ({}), nozzle {}, {} ({})",
        setup.machine.id,
        setup.machine.what,
        setup.nozzle.id,
        setup.material.id,
        setup.material.what
    ));
    page.gap();
    page
}

/// What was chosen, as it is typed.
fn options(setup: &Setup<'_>) -> String {
    format!(
        "--machine {} --nozzle {} --material {}{}",
        setup.machine.id,
        setup.nozzle.id,
        setup.material.id,
        if setup.shop.demonstration {
            ""
        } else {
            " --shop FILE"
        }
    )
}

fn cautions(page: &mut Page, setup: &Setup<'_>) {
    page.gap();
    page.say("Caution: the nozzle and what comes out of it burn, the bed is hot, parts move without warning, hot plastic gives off fumes: stay with it, keep hands clear, wear eye protection, ventilate. The machine's manual and the plastic's safety data sheet come first, and a temperature that either forbids is not to be tried.");
    for caution in &setup.material.cautions {
        page.say(format!("{}: {caution}.", setup.material.id));
    }
    shop_line(page, setup);
}

/// Whose figures these are.
pub(super) fn shop_line(page: &mut Page, setup: &Setup<'_>) {
    if setup.shop.demonstration {
        page.say("The shop is the built-in demonstration; its figures are invented. Give your own with --shop FILE (beadtally shop new writes one to fill in).");
    } else {
        page.say(format!(
            "The shop is {}.",
            crate::mesh::plain_text(&setup.shop.name)
        ));
    }
}
