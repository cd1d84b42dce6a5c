//! Nothing mended where that is asked.

use beadtally::mesh::{FindingKind, Grade, Mending, inspect_with};

use super::meshes::inside_out;
use super::{near, solids};

#[test]
fn as_it_is_an_open_solid_stays_open_and_is_bounded() {
    for (name, sound) in solids() {
        let mut mesh = sound.clone();
        mesh.triangles.remove(3);
        let facets = mesh.triangles.len();
        let part = inspect_with(mesh, Mending::AsIs).unwrap();
        assert!(!part.watertight, "{name}");
        assert_eq!(part.mesh.triangles.len(), facets);
        assert_eq!(part.trust.grade, Grade::Bounded, "{name}");
        assert!(part.findings.iter().all(|f| !f.mended), "{name}");
        assert!(
            part.findings
                .iter()
                .any(|f| f.kind == FindingKind::OpenEdges)
        );
    }
}

#[test]
fn as_it_is_repeated_facets_count_as_often_as_they_stand() {
    for (name, sound) in solids() {
        let mut mesh = sound.clone();
        mesh.triangles.extend_from_slice(&sound.triangles);
        let once = inspect_with(sound, Mending::AsIs).unwrap().mass.volume_mm3;
        let part = inspect_with(mesh, Mending::AsIs).unwrap();
        near(name, part.mass.volume_mm3, 2.0 * once, 1e-12);
    }
}

#[test]
fn as_it_is_a_solid_inside_out_is_not_priced() {
    for (name, sound) in solids() {
        let part = inspect_with(inside_out(&sound), Mending::AsIs).unwrap();
        assert!(part.mass.volume_mm3 < 0.0, "{name}");
        assert_eq!(part.trust.grade, Grade::Refused, "{name}");
    }
}
