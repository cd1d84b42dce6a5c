//! Facets too many, turned, without area.

use beadtally::mesh::{FindingKind, Grade};

use super::meshes::{inside_out, inspected};
use super::{apart, divided_on_one_side, measures_like, solids, stands_at, the};

#[test]
fn a_repeated_facet_is_dropped_where_it_stands() {
    for (name, sound) in solids() {
        let mut mesh = sound.clone();
        mesh.triangles.push(mesh.triangles[2]);
        let part = inspected(mesh);
        measures_like(name, &part, &sound, Grade::Mended);
        let finding = the(&part, FindingKind::DuplicateFacets);
        assert_eq!((finding.count, finding.mended), (1, true));
        stands_at(name, finding, sound.corners(2)[0], 1e-9);
    }
}

#[test]
fn a_surface_that_comes_twice_once_inside_out_counts_once() {
    for (name, sound) in solids() {
        let mut mesh = sound.clone();
        mesh.triangles.extend(inside_out(&sound).triangles);
        let part = inspected(mesh);
        measures_like(name, &part, &sound, Grade::Mended);
        assert_eq!(
            the(&part, FindingKind::DuplicateFacets).count,
            sound.triangles.len() as u64
        );
    }
}

#[test]
fn a_facet_against_its_neighbours_is_turned_where_it_stands() {
    for (name, sound) in solids() {
        let mut mesh = sound.clone();
        mesh.triangles[1].swap(0, 1);
        let part = inspected(mesh);
        measures_like(name, &part, &sound, Grade::Mended);
        let finding = the(&part, FindingKind::FlippedFacets);
        assert_eq!((finding.count, finding.mended), (1, true), "{name}");
        stands_at(name, finding, super::middle_of(&sound, 1), 1e-9);
    }
}

#[test]
fn a_solid_inside_out_is_turned_as_a_whole() {
    for (name, sound) in solids() {
        let part = inspected(inside_out(&sound));
        measures_like(name, &part, &sound, Grade::Mended);
        assert_eq!(the(&part, FindingKind::FlippedBodies).count, 1);
    }
}

#[test]
fn a_facet_with_two_equal_corners_changes_nothing() {
    for (name, sound) in solids() {
        let mut mesh = sound.clone();
        let [a, b, _] = mesh.triangles[0];
        mesh.triangles.push([a, b, b]);
        let part = inspected(mesh);
        measures_like(name, &part, &sound, Grade::Exact);
        let finding = the(&part, FindingKind::DegenerateFacets);
        stands_at(name, finding, sound.vertices_mm[a as usize], 1e-9);
    }
}

/// A needle: an edge divided on one side, and a facet without area that its neighbours need.
#[test]
fn a_facet_without_area_stays_for_its_neighbours() {
    for (name, sound) in solids() {
        let (mut mesh, _) = divided_on_one_side(&sound);
        let [a, b, _] = sound.triangles[0];
        let m = sound.vertices_mm.len() as u32;
        mesh.triangles.push([a, b, m]);
        let part = inspected(mesh);
        measures_like(name, &part, &sound, Grade::Exact);
        assert_eq!(the(&part, FindingKind::DegenerateFacets).count, 1, "{name}");
    }
}

#[test]
fn facets_that_share_no_corner_by_index_are_joined_by_place() {
    for (name, sound) in solids() {
        let loose = apart(&sound);
        let surface = beadtally::mesh::Surface {
            points: loose.vertices_mm.iter().map(|v| (*v).into()).collect(),
            triangles: loose.triangles,
            distinct_singles: false,
        };
        let part = inspected(beadtally::mesh::weld(
            surface,
            beadtally::mesh::Unit::Millimetre,
        ));
        measures_like(name, &part, &sound, Grade::Exact);
        assert!(part.findings.is_empty(), "{name}: {:?}", part.findings);
    }
}
