//! What a part is, as one page to forward to a customer: facts, the part from three sides with the troubled places marked, what
//! was found and what it means. The page holds everything itself and asks nothing of a network.

use maud::{DOCTYPE, Markup, html};

use super::gravity::rank;
use super::picture::{Sheet, View};
use super::text::{trust_in_words, unit_in_words};
use super::words::{capitalised, cubic, own_name, size, size_inch};
use crate::mesh::{Finding, FindingKind, Grade, InspectedMesh, Mark};

/// Pixels along a part's longest side.
const LONGEST: f64 = 340.0;

const STYLE: &str = "body{font:15px/1.5 system-ui,sans-serif;color:#1c2430;max-width:1120px;margin:2em auto;padding:0 1em}\
    h1{font-size:1.5em;margin-bottom:.2em}h2{font-size:1.1em;margin:1.6em 0 .4em}section{margin-bottom:3em}\
    table{border-collapse:collapse}td,th{padding:.15em 1em .15em 0;text-align:left;vertical-align:top}th{font-weight:600}\
    .views{display:flex;flex-wrap:wrap;gap:1.5em}figure{margin:0}figcaption{font-size:.85em;color:#55606e}\
    .exact,.mended{color:#1d6b3c}.bounded{color:#8a5a00}.refused{color:#a11c1c}.foot{font-size:.85em;color:#55606e}\
    li{margin-bottom:.4em}@media print{body{margin:0}}";

/// The page about some parts.
pub fn measure_page(parts: &[(&str, &InspectedMesh)]) -> String {
    let title = match parts {
        [(part, _)] => format!("{}: what the file holds", own_name(part)),
        _ => format!("{} parts: what the files hold", parts.len()),
    };
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (STYLE) }
            }
            body {
                @for (part, mesh) in parts { (part_section(part, mesh)) }
                p.foot {
                    "Measured from the mesh as it was sent. Figures describe the file, not the fitness of the part for any use; a \
                     part whose failure can hurt someone needs review by a licensed engineer."
                }
            }
        }
    };
    page.into_string()
}

fn part_section(part: &str, mesh: &InspectedMesh) -> Markup {
    let size_mm: [f64; 3] = mesh.mesh.size_mm().into();
    html! {
        section {
            h1 { (own_name(part)) }
            table {
                (row("Size", &format!("{} ({})", size(size_mm), size_inch(size_mm))))
                (row("Unit", &unit_in_words(mesh)))
                (row("Volume", &cubic(mesh.mass.volume_mm3)))
                tr { th { "Trust" } td class=(mesh.trust.grade.name()) { (trust_in_words(mesh)) } }
                (row("Surface", &format!("{:.1} cm2", mesh.mass.area_mm2 / 100.0)))
                (row("Bodies", &mesh.topology.bodies.to_string()))
                (row("Facets", &mesh.facets_read.to_string()))
            }
            h2 { "The part" }
            div.views {
                @for view in View::ALL { (figure(mesh, view)) }
            }
            (legend(&mesh.marks))
            h2 { "What was found" }
            (found(mesh))
            @if let Some(wish) = wish(mesh) {
                h2 { "What would help" }
                p { (wish) }
            }
        }
    }
}

fn row(what: &str, value: &str) -> Markup {
    html! { tr { th { (what) } td { (value) } } }
}

fn figure(mesh: &InspectedMesh, view: View) -> Markup {
    let sheet = Sheet::of(&mesh.mesh, view, LONGEST);
    let [width, height] = sheet.size;
    html! {
        figure {
            svg width=(width) height=(height) viewBox=(format!("0 0 {width} {height}")) role="img" aria-label=(view.name()) {
                image href=(sheet.draw(&mesh.mesh)) width=(width) height=(height) {}
                @for mark in &mesh.marks { (mark_on(&sheet, mark)) }
            }
            figcaption { (view.name()) }
        }
    }
}

fn mark_on(sheet: &Sheet, mark: &Mark) -> Markup {
    let [[x1, y1], [x2, y2]] = mark.ends_mm.map(|p| sheet.pixel(p));
    let place = |c: f64| format!("{c:.1}");
    let colour = colour(mark.kind);
    html! {
        @if (x2 - x1).hypot(y2 - y1) < 2.0 {
            circle cx=(place(x1)) cy=(place(y1)) r="4" fill="none" stroke=(colour) stroke-width="1.5" {}
        } @else {
            line x1=(place(x1)) y1=(place(y1)) x2=(place(x2)) y2=(place(y2)) stroke=(colour) stroke-width="2" {}
        }
    }
}

/// Colours that stay apart for most colour-blind eyes.
fn colour(kind: FindingKind) -> &'static str {
    match kind {
        FindingKind::OpenEdges => "#c8102e",
        FindingKind::ClosedHoles => "#0b6fb8",
        FindingKind::OverusedEdges => "#7a3fa0",
        FindingKind::SelfIntersection => "#e07b00",
        _ => "#b3009a",
    }
}

fn legend(marks: &[Mark]) -> Markup {
    const MEANINGS: [(FindingKind, &str); 5] = [
        (FindingKind::OpenEdges, "open edges: the surface has a gap"),
        (FindingKind::ClosedHoles, "openings that were closed"),
        (
            FindingKind::OverusedEdges,
            "edges with more than two facets",
        ),
        (
            FindingKind::SelfIntersection,
            "facets run through each other",
        ),
        (FindingKind::ThinWalls, "the thinnest wall met"),
    ];
    html! {
        @for (kind, meaning) in MEANINGS {
            @if marks.iter().any(|m| m.kind == kind) {
                span style=(format!("color:{};margin-right:1.5em", colour(kind))) { "\u{25cf} " (meaning) }
            }
        }
    }
}

fn found(mesh: &InspectedMesh) -> Markup {
    let mut findings: Vec<&Finding> = mesh.findings.iter().collect();
    findings.sort_by_key(|finding| rank(finding));
    html! {
        @if findings.is_empty() {
            p { "Nothing: the mesh is sound." }
        } @else {
            ul {
                @for finding in findings {
                    li {
                        (capitalised(&finding.detail)) "."
                        @if finding.mended { " (Mended before measuring.)" }
                    }
                }
            }
        }
    }
}

fn wish(mesh: &InspectedMesh) -> Option<&'static str> {
    match mesh.trust.grade {
        Grade::Exact => None,
        Grade::Mended => Some(
            "Nothing must be done if the mended part is what was meant. If not, please export the part again as one closed solid.",
        ),
        Grade::Bounded | Grade::Refused => Some(
            "Please export the part again as one closed solid, all bodies joined. In most drawing programs that is a choice of the \
             solid itself rather than of its surfaces, before it is saved as a mesh.",
        ),
    }
}
