//! A plain invented shop that the tests bend to their need.

use beadtally::cost::{CostError, Ledger, Run, ledger};
use beadtally::motion::Speeds;
use beadtally::pose::BuildSpace;
use beadtally::shop::{AttendedWeek, Failures, Machine, Material, Nozzle, NozzleMetal, Rates};
use iso_currency::Currency;
use rust_decimal::Decimal;

/// A decimal from how it is written.
pub fn dec(text: &str) -> Decimal {
    text.parse().unwrap()
}

/// One order in an invented shop.
#[derive(Debug, Clone)]
pub struct Order {
    pub machine: Machine,
    pub nozzle: Nozzle,
    pub material: Material,
    pub rates: Rates,
    pub week: AttendedWeek,
    pub currency: Currency,
    pub seconds: f64,
    pub start_seconds: f64,
    pub part_g: f64,
    pub support_g: f64,
    pub surface_mm2: f64,
    pub held_mm2: f64,
    pub quantity: u32,
}

impl Order {
    pub fn run(&self) -> Run<'_> {
        Run {
            machine: &self.machine,
            nozzle: &self.nozzle,
            material: &self.material,
            seconds: self.seconds,
            start_seconds: self.start_seconds,
            part_g: self.part_g,
            support_g: self.support_g,
            surface_mm2: self.surface_mm2,
            held_mm2: self.held_mm2,
        }
    }

    pub fn ledger(&self) -> Result<Ledger, CostError> {
        ledger(
            &self.run(),
            &self.rates,
            &self.week,
            self.currency,
            self.quantity,
        )
    }
}

/// An order in which everything that can cost nothing costs nothing, one piece, one hour, no failures.
pub fn free_order() -> Order {
    Order {
        machine: machine(),
        nozzle: nozzle(),
        material: material(),
        rates: rates(),
        week: office_week(),
        currency: Currency::EUR,
        seconds: 3600.0,
        start_seconds: 0.0,
        part_g: 0.0,
        support_g: 0.0,
        surface_mm2: 0.0,
        held_mm2: 0.0,
        quantity: 1,
    }
}

/// Monday to Friday, 9:00 to 17:00.
pub fn office_week() -> AttendedWeek {
    let mut days: [Vec<(u32, u32)>; 7] = Default::default();
    for day in days.iter_mut().take(5) {
        day.push((540, 1020));
    }
    AttendedWeek { days }
}

pub fn no_failures() -> Failures {
    Failures {
        start_chance: 0.0,
        start_lost_h: 0.0,
        rate_per_h: 0.0,
        clearing_h: 0.0,
        by_default: false,
    }
}

fn machine() -> Machine {
    Machine {
        kind: None,
        assumed: Vec::new(),
        id: "bench".into(),
        what: "invented".into(),
        space: BuildSpace::rectangle(200.0, 200.0, 200.0),
        speeds: Speeds {
            outer_mm_s: 50.0,
            inner_mm_s: 50.0,
            fill_mm_s: 50.0,
            open_mm_s: 50.0,
            sliver_mm_s: 50.0,
            support_mm_s: 50.0,
            travel_mm_s: 100.0,
            first_layer_mm_s: 20.0,
        },
        acceleration_mm_s2: 1000.0,
        corner_deviation_mm: 0.02,
        retraction_s: 0.0,
        layer_change_s: 0.0,
        start_s: 0.0,
        nozzle_max_c: 300.0,
        nozzle_min_c: 150.0,
        bed_max_c: 100.0,
        bed_min_c: 0.0,
        enclosed: false,
        feedstock_mm: 1.75,
        nozzles: vec!["n".into()],
        heating_w: 0.0,
        printing_w: 0.0,
        price: Decimal::ZERO,
        life_h: 1.0,
        life_basis: None,
        upkeep_per_h: Decimal::ZERO,
        failures: no_failures(),
        correction: 1.0,
    }
}

fn nozzle() -> Nozzle {
    Nozzle {
        id: "n".into(),
        diameter_mm: 0.6,
        metal: NozzleMetal::HardenedSteel,
        price: Decimal::ZERO,
        life_plain_g: 20_000.0,
        life_abrasive_g: 4_000.0,
        failure_factor: 1.0,
    }
}

fn material() -> Material {
    Material {
        id: "m".into(),
        what: "invented".into(),
        density_g_cm3: 1.0,
        price_per_kg: Decimal::ZERO,
        spool_g: 1000.0,
        abrasive: false,
        nozzle_c: (200.0, 220.0),
        bed_c: 60.0,
        needs_enclosure: false,
        feedstock_mm: vec![1.75],
        most_layer_s: None,
        least_layer_s: 0.0,
        glass_transition_c: None,
        heat_deflection_c: None,
        drying: None,
        waste: 0.0,
        cautions: Vec::new(),
        spool_rest_g: 0.0,
        stocked: true,
        failure_factor: 1.0,
        stands: Default::default(),
    }
}

fn rates() -> Rates {
    Rates {
        labour_per_h: Decimal::ZERO,
        energy_per_kwh: Decimal::ZERO,
        set_up_min: 0.0,
        removal_min: 0.0,
        finishing_min: 0.0,
        support_removal_min_per_100g: 0.0,
        purge_g: 0.0,
        overhead: 0.0,
        margin: 0.0,
        least_order: Decimal::ZERO,
        tax: 0.0,
        tax_name: "tax".into(),
        ..Rates::default()
    }
}
