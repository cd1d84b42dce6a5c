//! One row per file, as an owner goes through a morning's enquiries: can it be made, can its mesh be trusted, on what,
//! how long, for how much, and what is to be asked back.

use rust_decimal::Decimal;

use super::gravity::{rank, worst};
use super::words::{inches, size};
use crate::estimate::{Estimate, PartOption};
use crate::mesh::{Finding, FindingKind, Grade, InspectedMesh};
use crate::shop::Shop;

/// What is to be done with an enquiry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// It can be made as it is.
    Yes,
    /// Something must be asked first: the unit, or what is meant where the mesh leaves it open.
    Ask,
    /// The shop can't make it as asked.
    No,
    /// The file gives no part.
    BadFile,
}

impl Verdict {
    /// In a table: "yes", "ask", "no", "bad file".
    pub fn name(self) -> &'static str {
        match self {
            Verdict::Yes => "yes",
            Verdict::Ask => "ask",
            Verdict::No => "no",
            Verdict::BadFile => "bad file",
        }
    }
}

/// One file of a list. What is not known is `None`, never 0. Texts stand as they are: whoever writes a row makes them
/// safe for where they go.
#[derive(Debug, Clone, PartialEq)]
pub struct TriageRow {
    /// The part's name, as it was given.
    pub part: String,
    /// What is to be done with it.
    pub verdict: Verdict,
    /// Size of the part's box as drawn, x, y and z, mm.
    pub size_mm: Option<[f64; 3]>,
    /// "watertight", the mesh's grade where it was mended or is bounded, or the sentence of what most puts it in doubt.
    pub trust: Option<String>,
    /// The machine picked.
    pub machine: Option<String>,
    /// The nozzle picked.
    pub nozzle: Option<String>,
    /// The turn about the vertical on that machine's bed, degrees in 0..360.
    pub turn_deg: Option<f64>,
    /// Hours of one print.
    pub hours: Option<f64>,
    /// Price of a piece before tax at the quantity asked.
    pub price: Option<Decimal>,
    /// ISO 4217 code of the price.
    pub currency: Option<String>,
    /// What an hour of the machine brings in.
    pub earned_per_machine_hour: Option<Decimal>,
    /// The finding that matters most; for a "no" why it can't be made, for a bad file what is wrong with it.
    pub worst_finding: Option<String>,
    /// The sentence to send the customer.
    pub ask: Option<String>,
    /// The shop's name; where it is the demonstration shop it says so.
    pub shop: Option<String>,
}

impl TriageRow {
    /// The row of a part that was estimated: "yes" or "ask" where an option is picked, else "no".
    pub fn good(part: &str, shop: &Shop, mesh: &InspectedMesh, estimate: &Estimate) -> Self {
        let size_mm: [f64; 3] = mesh.mesh.size_mm().into();
        let picked = estimate.picked();
        let made = picked.map(|(_, made)| made);
        let doubtful = doubt(mesh);
        let verdict = match (picked, &doubtful) {
            (None, _) => Verdict::No,
            (Some(_), Some(_)) => Verdict::Ask,
            (Some(_), None) => Verdict::Yes,
        };
        let (worst_finding, ask) = match verdict {
            Verdict::No => (
                Some(why_not(estimate)),
                Some(ask_for_another(estimate, size_mm)),
            ),
            _ => (
                worst(&estimate.findings).map(|f| f.detail.clone()),
                doubtful,
            ),
        };
        TriageRow {
            part: part.to_owned(),
            verdict,
            size_mm: Some(size_mm),
            trust: Some(trust(mesh)),
            machine: picked.map(|(option, _)| option.machine.clone()),
            nozzle: picked.map(|(option, _)| option.nozzle.clone()),
            turn_deg: made.map(|made| made.pose.turn_deg),
            hours: made.map(|made| made.seconds.hours()),
            price: made.map(|made| made.ledger.unit_price),
            currency: Some(shop.currency.code().to_owned()),
            earned_per_machine_hour: made.map(|made| made.ledger.earned_per_machine_hour),
            worst_finding,
            ask,
            shop: Some(shop_in_words(shop)),
        }
    }

    /// The row of a part that can't be priced before something is answered: what, and the question to the customer.
    pub fn question(part: &str, error: &str, ask: &str) -> Self {
        TriageRow {
            verdict: Verdict::Ask,
            ..TriageRow::bad(part, error, ask)
        }
    }

    /// The row of a file that gives no part or no estimate: what is wrong, and the sentence to send the customer.
    pub fn bad(part: &str, error: &str, ask: &str) -> Self {
        TriageRow {
            part: part.to_owned(),
            verdict: Verdict::BadFile,
            size_mm: None,
            trust: None,
            machine: None,
            nozzle: None,
            turn_deg: None,
            hours: None,
            price: None,
            currency: None,
            earned_per_machine_hour: None,
            worst_finding: Some(error.to_owned()),
            ask: Some(ask.to_owned()),
            shop: None,
        }
    }

    /// The size in inches.
    pub fn size_inch(&self) -> Option<[f64; 3]> {
        self.size_mm.map(inches)
    }
}

fn shop_in_words(shop: &Shop) -> String {
    if shop.demonstration {
        format!(
            "{} (demonstration shop, its numbers are invented)",
            shop.name
        )
    } else {
        shop.name.clone()
    }
}

/// "watertight", or the sentence of what most puts the mesh in doubt.
fn trust(mesh: &InspectedMesh) -> String {
    let open = mesh.findings.iter().filter(|finding| shakes_trust(finding));
    match open.min_by_key(|finding| rank(finding)) {
        Some(worst) => worst.detail.clone(),
        None if mesh.watertight && mesh.trust.grade == Grade::Mended => {
            "watertight, mended".to_owned()
        }
        None if mesh.watertight => "watertight".to_owned(),
        None => "the surface is not closed".to_owned(),
    }
}

fn shakes_trust(finding: &Finding) -> bool {
    use FindingKind::{
        CoarseCoordinates, FlippedFacets, OpenContours, OpenEdges, OverlappingBodies,
        SelfIntersection,
    };
    let kinds = [
        FlippedFacets,
        OpenEdges,
        OpenContours,
        OverlappingBodies,
        SelfIntersection,
        CoarseCoordinates,
    ];
    !finding.mended && kinds.contains(&finding.kind)
}

/// The question to the customer where the surface leaves open what is solid.
///
/// Every open edge asks, even where the gaps cancel out in the volume's sum: the missing ends of a tube do so too, and
/// yet the tube may be meant as a bar.
fn doubt(mesh: &InspectedMesh) -> Option<String> {
    let one_sided =
        |finding: &Finding| finding.kind == FindingKind::FlippedFacets && !finding.mended;
    let fault = match mesh.topology.open_edges.len() {
        0 if mesh.findings.iter().any(one_sided) => {
            "the surface has places where inside and outside can't be told apart".to_owned()
        }
        0 => return large_closed_opening(mesh),
        1 => "its surface is open at 1 edge".to_owned(),
        open => format!("its surface is open at {open} edges"),
    };
    Some(format!(
        "Your file does not say for certain what is solid ({fault}). Could you export the part again as one closed \
         solid, or confirm that we may go by the file as it is?"
    ))
}

/// The question where an opening was closed that is no mere slip: whether the part is solid behind it decides what is laid.
fn large_closed_opening(mesh: &InspectedMesh) -> Option<String> {
    /// Share of the surface from which an opening is no slip. A judgement without source.
    const NO_SLIP: f64 = 0.01;
    if mesh.closed_mm2 < NO_SLIP * mesh.mass.area_mm2 {
        return None;
    }
    let closed = mesh
        .findings
        .iter()
        .find(|finding| finding.kind == FindingKind::ClosedHoles)?;
    Some(format!(
        "Your file left openings in the surface ({}). Is the part solid there, or could you export it again as one closed solid?",
        closed.detail
    ))
}

/// Why no option is picked: the pick's own reason, and where nothing can be made at all, that of the option that has
/// the fewest things against it.
fn why_not(estimate: &Estimate) -> String {
    let why = &estimate.pick.why;
    if makes_any(estimate) {
        return why.clone();
    }
    let nearest = refused(estimate).min_by_key(|(_, reasons)| reasons.len());
    match nearest {
        Some((option, reasons)) => format!("{why}; {}: {}", option.name(), reasons.join("; ")),
        None => why.clone(),
    }
}

/// What to ask for where the shop can't make the part as asked.
fn ask_for_another(estimate: &Estimate, size_mm: [f64; 3]) -> String {
    let fits = estimate.options.iter().any(|option| match &option.outcome {
        Ok(_) => true,
        Err(refusal) => refusal.fits,
    });
    if !fits {
        format!(
            "Your part reads as {} and is too large for our machines as it is to be laid. Is \
             that its true size, and may it be laid another way or made in pieces that are joined?",
            size(size_mm)
        )
    } else if makes_any(estimate) {
        format!(
            "We can't reach everything that was asked ({}). May we have more time, or leave out fine detail or finish?",
            estimate.pick.why
        )
    } else {
        format!(
            "We can't make this part in {} as asked. Would another plastic do?",
            estimate.material
        )
    }
}

fn makes_any(estimate: &Estimate) -> bool {
    estimate
        .options
        .iter()
        .any(|option| option.made().is_some())
}

fn refused(estimate: &Estimate) -> impl Iterator<Item = (&PartOption, &[String])> {
    estimate.options.iter().filter_map(|option| {
        let refusal = option.outcome.as_ref().err()?;
        Some((option, refusal.reasons.as_slice()))
    })
}
