//! The list of files as CSV, read back by a CSV reader.

#![allow(clippy::unwrap_used, clippy::expect_used)]

use beadtally::estimate::{Ask, Floors, UsedAs, estimate};
use beadtally::mesh::{InspectedMesh, Mending, inspect, inspect_with, read};
use beadtally::quote::{TriageRow, Verdict, triage_csv};
use beadtally::shop::{Shop, demonstration};

fn bytes() -> Vec<u8> {
    std::fs::read("models/cleat_block.stl").unwrap()
}

fn ask() -> Ask {
    Ask {
        layer_height_mm: Some(0.3),
        nozzle: Some(demonstration().default_nozzle),
        ..Ask::default()
    }
}

fn row(part: &InspectedMesh, shop: &Shop, ask: &Ask) -> TriageRow {
    TriageRow::good(
        "cleat_block.stl",
        shop,
        part,
        &estimate(part, shop, ask).unwrap(),
    )
}

/// The rows of a CSV text, by column name.
fn read_back(text: &str) -> (Vec<String>, Vec<Vec<String>>) {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let header = reader
        .headers()
        .unwrap()
        .iter()
        .map(str::to_owned)
        .collect();
    let rows = reader
        .records()
        .map(|r| r.unwrap().iter().map(str::to_owned).collect())
        .collect();
    (header, rows)
}

#[test]
fn columns_stand_in_the_order_of_the_owner_s_decision() {
    let (header, rows) = read_back(&triage_csv(&[]));
    assert_eq!(
        header.join(" "),
        "part verdict size_x_mm size_y_mm size_z_mm size_x_inch size_y_inch size_z_inch trust machine nozzle turn_deg \
         hours price currency earned_per_machine_hour worst_finding ask shop"
    );
    assert!(rows.is_empty());
}

#[test]
fn a_part_that_can_be_made_is_a_yes_with_its_figures() {
    let (part, shop) = (read(bytes()).unwrap(), demonstration());
    let answer = estimate(&part, &shop, &ask()).unwrap();
    let (option, made) = answer.picked().unwrap();
    let row = TriageRow::good("cleat_block.stl", &shop, &part, &answer);
    assert_eq!((row.verdict, row.ask.as_ref()), (Verdict::Yes, None));
    assert_eq!(row.trust.as_deref(), Some("watertight"));
    let (_, rows) = read_back(&triage_csv(std::slice::from_ref(&row)));
    let told = &rows[0];
    assert_eq!(
        (told[0].as_str(), told[1].as_str()),
        ("cleat_block.stl", "yes")
    );
    for axis in 0..3 {
        let mm: f64 = told[2 + axis].parse().unwrap();
        let inch: f64 = told[5 + axis].parse().unwrap();
        assert!((mm - row.size_mm.unwrap()[axis]).abs() < 5.1e-4);
        assert!(
            (inch * 25.4 - mm).abs() < 2e-3,
            "an inch is 25.4 mm exactly"
        );
    }
    assert_eq!((&told[9], &told[10]), (&option.machine, &option.nozzle));
    assert!((told[12].parse::<f64>().unwrap() - made.seconds.hours()).abs() < 5.1e-4);
    assert_eq!(told[13], made.ledger.unit_price.to_string());
    assert_eq!(told[14], shop.currency.code());
    assert_eq!(told[15], made.ledger.earned_per_machine_hour.to_string());
    assert!(told[18].contains("demonstration shop"), "{}", told[18]);
}

#[test]
fn a_part_with_a_hole_in_its_surface_is_priced_and_asked_about() {
    let mut mesh = read(bytes()).unwrap().mesh;
    mesh.triangles.pop();
    let open = inspect_with(mesh.clone(), Mending::AsIs).unwrap();
    let row = row(&open, &demonstration(), &ask());
    assert_eq!(row.verdict, Verdict::Ask);
    assert!(row.price.is_some() && row.machine.is_some());
    assert!(row.trust.unwrap().contains("3 open edges"));
    assert!(row.worst_finding.unwrap().contains("not closed"));
    assert!(row.ask.unwrap().contains("open at 3 edges"));
}

#[test]
fn a_small_hole_that_was_closed_is_no_question_and_a_large_one_is() {
    let sound = read(bytes()).unwrap().mesh;
    let area_mm2 = |facet: &usize| {
        let [a, b, c] = sound.corners(*facet);
        (b - a).cross(&(c - a)).norm() / 2.0
    };
    let facets = 0..sound.triangles.len();
    let by_area = |a: &usize, b: &usize| area_mm2(a).total_cmp(&area_mm2(b));
    let smallest = facets.clone().min_by(by_area).unwrap();
    let largest = facets.max_by(by_area).unwrap();
    for (facet, verdict) in [(smallest, Verdict::Yes), (largest, Verdict::Ask)] {
        let mut mesh = sound.clone();
        mesh.triangles.remove(facet);
        let row = row(&inspect(mesh).unwrap(), &demonstration(), &ask());
        assert_eq!(row.verdict, verdict, "{:?}", row.ask);
        assert_eq!(row.trust.unwrap(), "watertight, mended");
    }
}

#[test]
fn a_part_too_large_for_every_machine_is_a_no_with_the_reason() {
    let mut shop = demonstration();
    for machine in &mut shop.machines {
        machine.space.height_mm = 2.0;
    }
    let row = row(&read(bytes()).unwrap(), &shop, &ask());
    assert_eq!(
        (row.verdict, row.price, row.machine),
        (Verdict::No, None, None)
    );
    assert!(row.worst_finding.unwrap().contains("does not fit"));
    assert!(row.ask.unwrap().contains("too large for our machines"));
}

#[test]
fn a_part_that_can_t_reach_what_was_asked_is_a_no_with_the_reason() {
    let mut asked = ask();
    asked.floors = Floors {
        used_as: Some(UsedAs::Visible),
        due: Some(beadtally::estimate::Due {
            from_week_min: 480.0,
            in_h: 0.01,
        }),
        ..Floors::default()
    };
    let row = row(&read(bytes()).unwrap(), &demonstration(), &asked);
    assert_eq!((row.verdict, row.hours), (Verdict::No, None));
    assert!(row.worst_finding.unwrap().contains("h until done"));
    assert!(row.ask.unwrap().contains("more time"));
}

#[test]
fn a_bad_file_keeps_its_place_in_the_list() {
    let (part, shop) = (read(bytes()).unwrap(), demonstration());
    let rows = [
        TriageRow::bad(
            "broken.stl",
            "the file is empty; ask again",
            "Could you send it again?",
        ),
        row(&part, &shop, &ask()),
    ];
    let (_, told) = read_back(&triage_csv(&rows));
    assert_eq!(
        (told[0][1].as_str(), told[1][1].as_str()),
        ("bad file", "yes")
    );
    assert_eq!(told[0][16], "the file is empty; ask again");
    assert_eq!(told[0][17], "Could you send it again?");
    assert!(
        told[0][2..16].iter().all(String::is_empty),
        "what is not known is empty, not 0"
    );
}

#[test]
fn a_hostile_part_name_reads_back_and_runs_no_formula() {
    let names = [
        "=HYPERLINK(\"http://x\", \"a, b\")\r\nsecond line",
        "+1",
        "-1",
        "@SUM(A1)",
        "\t=1",
        " \u{feff}=1",
        "plain, \"quoted\"\nname",
        "'=1",
        "",
    ];
    let rows: Vec<_> = names
        .iter()
        .map(|name| TriageRow::bad(name, "=1+1", "@x"))
        .collect();
    let (_, told) = read_back(&triage_csv(&rows));
    assert_eq!(told.len(), names.len(), "one record each");
    for (at, (name, fields)) in names.iter().zip(&told).enumerate() {
        let guarded = if at < 6 {
            format!("'{name}")
        } else {
            (*name).to_owned()
        };
        assert_eq!(fields[0], guarded);
        assert_eq!((fields[16].as_str(), fields[17].as_str()), ("'=1+1", "'@x"));
    }
}
