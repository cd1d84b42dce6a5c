//! A part's use against its plastic.

use beadtally::service::{
    Heat, SOFTENING_MARGIN_C, Service, ServiceNote, SoftensBy, service_notes, softens_c,
};
use beadtally::shop::{Material, demonstration};

fn plastic(id: &str) -> Material {
    demonstration().material(id).unwrap().clone()
}

fn warm(material: &Material, c: f64) -> Heat {
    let service = Service {
        temperature_c: Some(c),
        ..Service::default()
    };
    match service_notes(&service, material)[..] {
        [
            ServiceNote::Warm {
                softens: Some((_, _, heat)),
                ..
            },
        ] => heat,
        ref other => panic!("{other:?}"),
    }
}

/// PETG: glass transition 81 C and heat deflection 73 C at 0.45 MPa (property pages, seen): the lower counts.
#[test]
fn the_lower_of_glass_transition_and_heat_deflection_counts() {
    let petg = plastic("petg");
    assert_eq!(softens_c(&petg), Some((73.0, SoftensBy::HeatDeflection)));
    assert_eq!(warm(&petg, 73.0 - SOFTENING_MARGIN_C), Heat::Holds);
    assert_eq!(warm(&petg, 58.1), Heat::Close);
    assert_eq!(warm(&petg, 73.0), Heat::TooHot);
    // PLA softens at 60 C: a dark deck in the sun passes that (common practice, no source).
    assert_eq!(
        softens_c(&plastic("pla")),
        Some((60.0, SoftensBy::GlassTransition))
    );
}

#[test]
fn what_the_shop_does_not_say_is_told_as_unknown() {
    let mut petg = plastic("petg");
    (petg.glass_transition_c, petg.heat_deflection_c) = (None, None);
    let service = Service {
        temperature_c: Some(40.0),
        sun: true,
        food: true,
        ..Service::default()
    };
    let notes = service_notes(&service, &petg);
    assert_eq!(
        notes,
        [
            ServiceNote::Warm {
                service_c: 40.0,
                softens: None
            },
            ServiceNote::Sun(None),
            ServiceNote::Food(None),
        ]
    );
    assert!(notes.iter().all(|note| !note.refuses()));
}

#[test]
fn a_plastic_that_does_not_stand_the_sun_is_refused_for_it() {
    let service = Service {
        sun: true,
        load: true,
        safety: true,
        ..Service::default()
    };
    let notes = service_notes(&service, &plastic("pla"));
    assert_eq!(notes[0], ServiceNote::Sun(Some(false)));
    assert!(notes[0].refuses());
    assert_eq!(notes[1..], [ServiceNote::Load, ServiceNote::Safety]);
    assert!(!service_notes(&service, &plastic("asa"))[0].refuses());
}

#[test]
fn nothing_is_said_of_a_use_that_nobody_told() {
    assert!(!Service::default().is_told());
    assert!(service_notes(&Service::default(), &plastic("petg")).is_empty());
}
