//! The volume of support columns against a count on plain grids of cells. The count knows the solids by their closed
//! forms and the rule by its text: what a layer has beyond the one below grown by `h tan(angle)` is held up, with the
//! whole step around it; columns go down to the bed or to the part. It sees no polygon.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod meshes;

use beadtally::bead::{Overhang, support_regions};
use beadtally::mesh::Mesh;
use beadtally::section::{Layers, sections};
use meshes::solids::{block, polygon_area, sphere, turned};
use meshes::{inspected, mapped, moved, together};
use nalgebra::Point3;

/// Side of a cell, mm.
const CELL_MM: f64 = 0.1;
/// Thickness of a layer, mm: ten cells, so that a cell weighs little in the angle of a face.
const LAYER_MM: f64 = 1.0;

/// A solid in closed form.
struct Solid<'a> {
    /// Its box starts at the origin and ends here, mm.
    size_mm: [f64; 3],
    holds: &'a dyn Fn(f64, f64, f64) -> bool,
}

/// One boolean per cell of a layer.
#[derive(Clone)]
struct Grid {
    wide: usize,
    deep: usize,
    cells: Vec<bool>,
}

impl Grid {
    fn section(solid: &Solid<'_>, z: f64) -> Grid {
        let count = |mm: f64| (mm / CELL_MM - 1e-9).ceil() as usize;
        let (wide, deep) = (count(solid.size_mm[0]), count(solid.size_mm[1]));
        let at = |i: usize| (i as f64 + 0.5) * CELL_MM;
        let cells = (0..wide * deep)
            .map(|c| (solid.holds)(at(c % wide), at(c / wide), z))
            .collect();
        Grid { wide, deep, cells }
    }

    fn count(&self) -> usize {
        self.cells.iter().filter(|c| **c).count()
    }

    fn cellwise(&self, other: &Grid, how: impl Fn(bool, bool) -> bool) -> Grid {
        let cells = self.cells.iter().zip(&other.cells);
        Grid {
            cells: cells.map(|(a, b)| how(*a, *b)).collect(),
            ..*self
        }
    }

    /// Of `among`, the cells within `reach_mm` of a cell of this grid.
    fn near(&self, among: &Grid, reach_mm: f64) -> Grid {
        // The middle of a border cell lies half a cell inside the border on average.
        let reach = reach_mm / CELL_MM + 0.5;
        let whole = reach.floor() as isize;
        let disc: Vec<(isize, isize)> = (-whole..=whole)
            .flat_map(|dy| (-whole..=whole).map(move |dx| (dx, dy)))
            .filter(|(dx, dy)| ((dx * dx + dy * dy) as f64) <= reach * reach)
            .collect();
        let has = |x: isize, y: isize| {
            x >= 0
                && y >= 0
                && (x as usize) < self.wide
                && (y as usize) < self.deep
                && self.cells[y as usize * self.wide + x as usize]
        };
        let cells = (0..self.cells.len())
            .map(|c| {
                let (x, y) = ((c % self.wide) as isize, (c / self.wide) as isize);
                among.cells[c] && disc.iter().any(|(dx, dy)| has(x + dx, y + dy))
            })
            .collect();
        Grid { cells, ..*self }
    }
}

/// Volume of the columns by counting cells, mm3.
fn counted_mm3(solid: &Solid<'_>, angle_deg: f64) -> f64 {
    let count = (solid.size_mm[2] / LAYER_MM).round() as usize;
    let layers: Vec<Grid> = (0..count)
        .map(|k| Grid::section(solid, (k as f64 + 0.5) * LAYER_MM))
        .collect();
    let reach_mm = LAYER_MM * angle_deg.to_radians().tan();
    let mut column = layers[0].cellwise(&layers[0], |_, _| false);
    let mut cells = 0;
    for k in (1..count).rev() {
        let (layer, below) = (&layers[k], &layers[k - 1]);
        let beyond = layer.cellwise(below, |here, under| here && !under);
        let reached = below.near(&beyond, reach_mm);
        let over = beyond.cellwise(&reached, |out, near| out && !near);
        let step = over.near(&beyond, reach_mm);
        column = column.cellwise(&step, |a, b| a || b);
        column = column.cellwise(below, |a, part| a && !part);
        cells += column.count();
    }
    cells as f64 * CELL_MM * CELL_MM * LAYER_MM
}

fn columns_mm3(mesh: Mesh, angle_deg: f64) -> f64 {
    let part = inspected(mesh);
    let layers = Layers::of(part.mesh.box_mm().1.z, LAYER_MM, LAYER_MM);
    let regions = sections(&part.mesh, &part.topology, &layers).regions;
    let base = Overhang {
        angle_deg,
        free_span_mm: 0.0,
        free_hole_mm: 0.0,
    };
    let columns = support_regions(&regions, &layers, &base);
    columns
        .iter()
        .enumerate()
        .map(|(k, column)| column.area_mm2() * layers.thickness_mm(k))
        .sum()
}

/// Holds the columns to the count within 3 %, and the count to a closed form where there is one.
fn hold(what: &str, mesh: Mesh, solid: &Solid<'_>, closed_form_mm3: Option<f64>) {
    for (mm, right) in mesh_size(&mesh).iter().zip(solid.size_mm) {
        assert!((mm - right).abs() < 0.01 * right, "{what}: {mm}, {right}");
    }
    let ours = columns_mm3(mesh, 45.0);
    let counted = counted_mm3(solid, 45.0);
    println!(
        "{what:16} columns {ours:9.1} mm3, cells {counted:9.1} mm3, {:+.2} %; closed form {closed_form_mm3:?}",
        100.0 * (ours / counted - 1.0)
    );
    assert!((ours / counted - 1.0).abs() < 0.03, "{what}");
    if let Some(right) = closed_form_mm3 {
        assert!((counted / right - 1.0).abs() < 0.03, "{what}: the count");
    }
}

fn mesh_size(mesh: &Mesh) -> [f64; 3] {
    let (low, high) = mesh.box_mm();
    assert!(low.coords.norm() < 0.05, "{low}");
    [high.x, high.y, high.z]
}

fn within(v: f64, low: f64, high: f64) -> bool {
    v >= low && v < high
}

/// Expected: cells, and by hand the room under the top: (40 x 30 - 4 x 5 x 5) x 20.
#[test]
fn the_room_under_a_table_is_filled_between_its_legs() {
    let mut mesh = block([0.0, 0.0, 20.0], [40.0, 30.0, 24.0]);
    for (x, y) in [(2.0, 2.0), (33.0, 2.0), (2.0, 23.0), (33.0, 23.0)] {
        mesh = together(&mesh, &block([x, y, 0.0], [x + 5.0, y + 5.0, 20.0]));
    }
    let leg = |v: f64, far: f64| within(v, 2.0, 7.0) || within(v, far, far + 5.0);
    let solid = Solid {
        size_mm: [40.0, 30.0, 24.0],
        holds: &|x, y, z| z >= 20.0 || (leg(x, 33.0) && leg(y, 23.0)),
    };
    hold("table", mesh, &solid, Some(1100.0 * 20.0));
}

/// Expected: cells, and by hand the opening: 36 x 12 x 15.
#[test]
fn a_bridge_is_held_up_over_its_whole_span() {
    let mesh = together(
        &block([0.0, 0.0, 15.0], [60.0, 12.0, 20.0]),
        &together(
            &block([0.0, 0.0, 0.0], [12.0, 12.0, 15.0]),
            &block([48.0, 0.0, 0.0], [60.0, 12.0, 15.0]),
        ),
    );
    let solid = Solid {
        size_mm: [60.0, 12.0, 20.0],
        holds: &|x, _, z| z >= 15.0 || !within(x, 12.0, 48.0),
    };
    hold("bridge", mesh, &solid, Some(36.0 * 12.0 * 15.0));
}

/// Expected: cells. The plate leans 60 degrees from the vertical; its whole underside is held.
#[test]
fn a_plate_that_leans_sixty_degrees_is_held_up_along_its_underside() {
    let lean = 60f64.to_radians().tan();
    let mesh = mapped(&block([0.0; 3], [12.0, 30.0, 30.0]), |v| {
        Point3::new(v.x + lean * v.z, v.y, v.z)
    });
    let solid = Solid {
        size_mm: [12.0 + 30.0 * lean, 30.0, 30.0],
        holds: &|x, _, z| within(x - lean * z, 0.0, 12.0),
    };
    hold("leaning plate", mesh, &solid, None);
}

/// Expected: none, by the rule itself: 40 degrees are less than 45.
#[test]
fn a_plate_that_leans_forty_degrees_is_not_held_up() {
    let lean = 40f64.to_radians().tan();
    let mesh = mapped(&block([0.0; 3], [12.0, 30.0, 30.0]), |v| {
        Point3::new(v.x + lean * v.z, v.y, v.z)
    });
    assert_eq!(columns_mm3(mesh, 45.0), 0.0);
    let solid = Solid {
        size_mm: [12.0 + 30.0 * lean, 30.0, 30.0],
        holds: &|x, _, z| within(x - lean * z, 0.0, 12.0),
    };
    assert_eq!(counted_mm3(&solid, 45.0), 0.0);
}

/// Expected: cells, and by hand. A flat cap of radius 20 on a stem of radius 5 over a foot of radius 10 and height 4: the
/// columns stand on the foot inside of 10 mm, on the bed outside.
#[test]
fn a_mushroom_is_held_up_from_its_foot_and_from_the_bed() {
    let profile = [
        [0.0, 0.0],
        [10.0, 0.0],
        [10.0, 4.0],
        [5.0, 4.0],
        [5.0, 16.0],
        [20.0, 16.0],
        [20.0, 19.0],
        [12.0, 23.0],
        [0.0, 23.0],
    ];
    let mesh = moved(&turned(&profile, 180, false), [20.0, 20.0, 0.0]);
    let solid = Solid {
        size_mm: [40.0, 40.0, 23.0],
        holds: &|x, y, z| {
            let radius = if z < 4.0 {
                10.0
            } else if z < 16.0 {
                5.0
            } else if z < 19.0 {
                20.0
            } else {
                20.0 - 2.0 * (z - 19.0)
            };
            (x - 20.0).hypot(y - 20.0) < radius
        },
    };
    let ring = |outer: f64, inner: f64| polygon_area(180) * (outer * outer - inner * inner);
    let by_hand = ring(20.0, 10.0) * 16.0 + ring(10.0, 5.0) * 12.0;
    hold("mushroom", mesh, &solid, Some(by_hand));
}

/// Expected: cells. A ball is held up to where its skin leans 45 degrees.
#[test]
fn a_ball_on_the_bed_is_held_up_to_where_it_leans_forty_five_degrees() {
    let radius = 20.0;
    let mesh = moved(&sphere(radius, 96, 192), [radius; 3]);
    let solid = Solid {
        size_mm: [2.0 * radius; 3],
        holds: &|x, y, z| {
            let squared = (x - radius).powi(2) + (y - radius).powi(2) + (z - radius).powi(2);
            squared < radius * radius
        },
    };
    hold("ball", mesh, &solid, None);
}
