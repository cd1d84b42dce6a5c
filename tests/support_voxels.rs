//! The volume of support columns against a count on plain grids of cells. The count knows the solids by their closed
//! forms, or a mesh by upright rays, and the rule by its text: what a layer has beyond the one below grown by `h tan(angle)`
//! is held up, with the whole step around it; columns go down to the bed or to the part. It sees no polygon. What is laid in
//! the columns is held against their volume.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod meshes;

use beadtally::bead::{
    Bead, Exposed, LayerInput, Laying, Overhang, Path, plan_layer, support_regions,
};
use beadtally::estimate::{Way, walk};
use beadtally::mesh::{InspectedMesh, Mesh};
use beadtally::pose::{Down, Pose, place};
use beadtally::section::{Layers, Region, sections};
use meshes::solids::{block, polygon_area, sphere, turned};
use meshes::{demonstration, inspected, mapped, moved, scaled, together};
use nalgebra::Point3;

/// Side of a cell, mm.
const CELL_MM: f64 = 0.1;
/// The same for parts with many narrow overhangs, on whose borders cells of 0.1 mm miss 5 %.
const FINE_CELL_MM: f64 = 0.025;
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
    cell_mm: f64,
    wide: usize,
    deep: usize,
    cells: Vec<bool>,
}

impl Grid {
    fn section(solid: &Solid<'_>, z: f64, cell_mm: f64) -> Grid {
        let count = |mm: f64| (mm / cell_mm - 1e-9).ceil() as usize;
        let (wide, deep) = (count(solid.size_mm[0]), count(solid.size_mm[1]));
        let at = |i: usize| (i as f64 + 0.5) * cell_mm;
        let cells = (0..wide * deep)
            .map(|c| (solid.holds)(at(c % wide), at(c / wide), z))
            .collect();
        Grid {
            cell_mm,
            wide,
            deep,
            cells,
        }
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

    /// Of every cell the distance along its row to a cell of this grid, in cells, `most` and a bit where there is none as near.
    fn along_rows(&self, most: usize) -> Vec<usize> {
        let mut distance = vec![most + 1; self.cells.len()];
        let mut go = |cells: &mut dyn Iterator<Item = usize>| {
            let mut last = most + 1;
            for c in cells {
                last = if self.cells[c] {
                    0
                } else {
                    (last + 1).min(most + 1)
                };
                distance[c] = distance[c].min(last);
            }
        };
        for row in 0..self.deep {
            let cells = row * self.wide..(row + 1) * self.wide;
            go(&mut cells.clone());
            go(&mut cells.rev());
        }
        distance
    }

    /// Of `among`, the cells within `reach_mm` of a cell of this grid.
    fn near(&self, among: &Grid, reach_mm: f64) -> Grid {
        // The middle of a border cell lies half a cell inside the border on average.
        let reach = reach_mm / self.cell_mm + 0.5;
        let whole = reach.floor() as usize;
        let along = self.along_rows(whole);
        let is_near = |c: usize| {
            let (x, y) = (c % self.wide, c / self.wide);
            let rows = y.saturating_sub(whole)..=(y + whole).min(self.deep - 1);
            rows.into_iter().any(|row| {
                let (dx, dy) = (along[row * self.wide + x], row.abs_diff(y));
                ((dx * dx + dy * dy) as f64) <= reach * reach
            })
        };
        let cells = (0..self.cells.len())
            .map(|c| among.cells[c] && is_near(c))
            .collect();
        Grid { cells, ..*self }
    }
}

/// Volume of the columns by counting cells, mm3.
fn counted_mm3(solid: &Solid<'_>, angle_deg: f64, cell_mm: f64) -> f64 {
    let count = (solid.size_mm[2] / LAYER_MM).round() as usize;
    let section = |k: usize| Grid::section(solid, (k as f64 + 0.5) * LAYER_MM, cell_mm);
    let reach_mm = LAYER_MM * angle_deg.to_radians().tan();
    let mut layer = section(count - 1);
    let mut column = layer.cellwise(&layer, |_, _| false);
    let mut cells = 0;
    for k in (1..count).rev() {
        let below = section(k - 1);
        let beyond = layer.cellwise(&below, |here, under| here && !under);
        let reached = below.near(&beyond, reach_mm);
        let over = beyond.cellwise(&reached, |out, near| out && !near);
        let step = over.near(&beyond, reach_mm);
        column = column.cellwise(&step, |a, b| a || b);
        column = column.cellwise(&below, |a, part| a && !part);
        cells += column.count();
        layer = below;
    }
    cells as f64 * cell_mm * cell_mm * LAYER_MM
}

fn base(angle_deg: f64) -> Overhang {
    Overhang {
        angle_deg,
        free_span_mm: 0.0,
        free_hole_mm: 0.0,
    }
}

fn columns_mm3(mesh: Mesh, angle_deg: f64) -> f64 {
    let part = inspected(mesh);
    let layers = Layers::of(part.mesh.box_mm().1.z, LAYER_MM, LAYER_MM);
    let regions = sections(&part.mesh, &part.topology, &layers).regions;
    volume_mm3(
        &support_regions(&regions, &layers, &base(angle_deg)),
        &layers,
    )
}

fn volume_mm3(columns: &[Region], layers: &Layers) -> f64 {
    let areas = columns.iter().map(Region::area_mm2).enumerate();
    areas.map(|(k, mm2)| mm2 * layers.thickness_mm(k)).sum()
}

/// A mesh on a grid of upright rays through the middles of cells: the heights at which each goes in (below 0) and out.
struct Rays {
    cell_mm: f64,
    wide: usize,
    /// By cell, and where those of each cell start.
    crossings: Vec<(u32, f64, i32)>,
    starts: Vec<u32>,
}

impl Rays {
    fn through(mesh: &Mesh, cell_mm: f64) -> Rays {
        let size = mesh_size(mesh);
        let count = |mm: f64| (mm / cell_mm - 1e-9).ceil() as usize;
        let (wide, deep) = (count(size[0]), count(size[1]));
        let mut crossings = Vec::new();
        for facet in 0..mesh.triangles.len() {
            let [a, b, c] = mesh.corners(facet);
            // Twice the area in plan; facets seen from below have it negative, upright ones are met by no ray.
            let turn = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| {
                (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
            };
            let plan = [a, b, c].map(|v| [v.x, v.y]);
            let whole = turn(plan[0], plan[1], plan[2]);
            if whole.abs() < 1e-12 {
                continue;
            }
            let cells = |axis: usize, most: usize| {
                let of = plan.map(|v| v[axis]);
                let low = of.iter().copied().fold(f64::INFINITY, f64::min);
                let high = of.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                let past = (high / cell_mm + 0.5).ceil().max(0.0) as usize;
                (low / cell_mm - 0.5).floor().max(0.0) as usize..past.min(most)
            };
            for row in cells(1, deep) {
                for column in cells(0, wide) {
                    // A hair beside the middle, so that no ray meets an edge of a part drawn in round numbers.
                    let at = [
                        (column as f64 + 0.5) * cell_mm + 1.3e-7,
                        (row as f64 + 0.5) * cell_mm + 2.9e-7,
                    ];
                    let weights = [
                        turn(plan[1], plan[2], at) / whole,
                        turn(plan[2], plan[0], at) / whole,
                        turn(plan[0], plan[1], at) / whole,
                    ];
                    if weights.iter().all(|w| *w >= 0.0) {
                        let z = weights[0] * a.z + weights[1] * b.z + weights[2] * c.z;
                        let cell = (row * wide + column) as u32;
                        crossings.push((cell, z, whole.signum() as i32));
                    }
                }
            }
        }
        crossings.sort_unstable_by_key(|crossing| crossing.0);
        let mut starts = vec![0; wide * deep + 1];
        for (cell, ..) in &crossings {
            starts[*cell as usize + 1] += 1;
        }
        for cell in 0..wide * deep {
            starts[cell + 1] += starts[cell];
        }
        Rays {
            cell_mm,
            wide,
            crossings,
            starts,
        }
    }

    /// Whether the surface above a cell winds around it.
    fn hold(&self, x: f64, y: f64, z: f64) -> bool {
        let cell = (y / self.cell_mm) as usize * self.wide + (x / self.cell_mm) as usize;
        let of_cell = self.starts[cell] as usize..self.starts[cell + 1] as usize;
        let above = self.crossings[of_cell].iter().filter(|c| c.1 > z);
        above.map(|c| c.2).sum::<i32>() > 0
    }
}

fn on_the_bed(part: &InspectedMesh, scale: f64) -> Mesh {
    place(&scaled(&part.mesh, scale), &Pose::new(Down::ZMinus, 0.0))
}

/// Holds the columns to the count within 3 %, and the count to a closed form where there is one.
fn hold(what: &str, mesh: Mesh, solid: &Solid<'_>, closed_form_mm3: Option<f64>) {
    for (mm, right) in mesh_size(&mesh).iter().zip(solid.size_mm) {
        assert!((mm - right).abs() < 0.01 * right, "{what}: {mm}, {right}");
    }
    let ours = columns_mm3(mesh, 45.0);
    let counted = counted_mm3(solid, 45.0, CELL_MM);
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
    assert_eq!(counted_mm3(&solid, 45.0, CELL_MM), 0.0);
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

/// Holds the columns to cells by upright rays through the mesh.
fn hold_demonstration(file: &str, scale: f64) {
    let mesh = on_the_bed(&demonstration(file), scale);
    let rays = Rays::through(&mesh, FINE_CELL_MM);
    let solid = Solid {
        size_mm: mesh_size(&mesh),
        holds: &|x, y, z| rays.hold(x, y, z),
    };
    let counted = counted_mm3(&solid, 45.0, FINE_CELL_MM);
    let ours = columns_mm3(mesh, 45.0);
    println!(
        "{file:16} columns {ours:9.1} mm3, cells {counted:9.1} mm3, {:+.2} %",
        100.0 * (ours / counted - 1.0)
    );
    assert!((ours / counted - 1.0).abs() < 0.03, "{file}");
}

/// Expected: cells by upright rays through the mesh.
#[test]
fn a_vent_is_held_up_where_cells_say() {
    hold_demonstration("cowl_vent.stl", 0.5);
}

/// Expected: cells by upright rays through the mesh.
#[test]
fn a_block_with_overhangs_is_held_up_where_cells_say() {
    hold_demonstration("cleat_block.stl", 0.5);
}

// --- What is laid in the columns ---

const FRACTION: f64 = 0.2;

fn laying() -> Laying {
    Laying {
        bead: Bead::of_nozzle(0.6).unwrap(),
        perimeters: 2,
        fill: 1.0,
        support_fraction: FRACTION,
    }
}

/// Columns of a part in layers of the bead's height, its sections and layers.
fn columns(mesh: Mesh) -> (Vec<Region>, Vec<Region>, Layers) {
    let part = inspected(mesh);
    let h = laying().bead.height_mm();
    let layers = Layers::of(part.mesh.box_mm().1.z, h, h);
    let regions = sections(&part.mesh, &part.topology, &layers).regions;
    let columns = support_regions(&regions, &layers, &base(45.0));
    (columns, regions, layers)
}

/// What a walk says is laid in the columns over `fraction` of their volume.
fn laid_share(mesh: Mesh) -> f64 {
    let (columns, regions, layers) = columns(mesh);
    let way = Way {
        laying: laying(),
        floor_mm: 1.0,
        roof_mm: 1.0,
        apron: Default::default(),
    };
    let (laid, _) = walk(
        &regions,
        &columns,
        &layers,
        &way,
        &[meshes::job::bare_limits(
            meshes::job::one_speed(100.0, 200.0),
            1000.0,
            None,
        )],
    );
    laid.support_mm3 / FRACTION / volume_mm3(&columns, &layers)
}

fn slab_on_two_walls(length: f64, width: f64) -> Mesh {
    together(
        &block([0.0, 0.0, 4.0], [length, width, 6.0]),
        &together(
            &block([0.0, 0.0, 0.0], [5.0, width, 4.0]),
            &block([length - 5.0, 0.0, 0.0], [length, width, 4.0]),
        ),
    )
}

/// Expected: the design text (lines `s/support_fraction` apart). The slab is so large because the joins at the columns' border
/// come on top: see the next test.
#[test]
fn support_of_a_large_slab_lays_its_fraction_of_the_columns() {
    let share = laid_share(slab_on_two_walls(310.0, 300.0));
    println!("slab of 300 mm: support laid is {share:.4} of its fraction");
    assert!((share - 1.0).abs() < 0.03, "{share}");
}

/// Length of lines, number of lines, and length of the joins between them; lines run at 45 degrees.
fn lines_and_joins(paths: &[Path], layer: usize) -> (f64, usize, f64) {
    let up = if layer.is_multiple_of(2) { 1.0 } else { -1.0 };
    let (mut lines_mm, mut lines, mut joins_mm) = (0.0, 0, 0.0);
    for pair in paths.iter().flat_map(|path| path.points_mm.windows(2)) {
        let (dx, dy) = (pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]);
        if (dx - up * dy).abs() < 1e-6 {
            lines_mm += dx.hypot(dy);
            lines += 1;
        } else {
            joins_mm += dx.hypot(dy);
        }
    }
    (lines_mm, lines, joins_mm)
}

/// Expected: derived. Lines `s/fraction` apart, drawn out to a border at 45 degrees (`0.35 s sqrt(2)` at each end), cover the
/// fraction of a column; a join from one line to the next along such a border is `sqrt(2)` spacings long.
#[test]
fn lines_of_support_lay_the_fraction_and_joins_come_on_top() {
    let root = std::f64::consts::SQRT_2;
    let s = laying().bead.spacing_mm();
    for width in [40.0, 60.0, 120.0] {
        let (columns, regions, layers) = columns(slab_on_two_walls(width + 10.0, width));
        for layer in [2, 3] {
            let input = LayerInput {
                section: &regions[layer],
                support: &columns[layer],
                exposed: Exposed::Everything,
                thickness_mm: layers.thickness_mm(layer),
                layer,
            };
            let plan = plan_layer(&input, &laying());
            let (lines_mm, lines, joins_mm) = lines_and_joins(&plan.support, layer);
            let wanted_mm = FRACTION * columns[layer].area_mm2() / s;
            let drawn_out = lines_mm + lines as f64 * 2.0 * 0.35 * s * root;
            println!(
                "column of {width} mm, layer {layer}: lines {:+.1} %, with joins and short ends {:+.1} %",
                100.0 * (drawn_out / wanted_mm - 1.0),
                100.0 * ((lines_mm + joins_mm) / wanted_mm - 1.0)
            );
            assert!((drawn_out / wanted_mm - 1.0).abs() < 0.03, "{width}");
            let join = root * s / FRACTION;
            let joins = (lines - 1) as f64 * join;
            assert!(
                (joins_mm - joins).abs() < 4.0 * join,
                "{width}: {joins_mm}, {joins}"
            );
        }
    }
}

/// Expected: derived, the bounds of a loose law: lines that end 0.35 s inside a round border lay less, joins along it more.
#[test]
fn support_of_small_round_parts_is_its_fraction_within_what_joins_add() {
    let cap = [
        [0.0, 0.0],
        [5.0, 0.0],
        [5.0, 16.0],
        [20.0, 16.0],
        [20.0, 19.0],
        [0.0, 19.0],
    ];
    let mushroom = moved(&turned(&cap, 180, false), [20.0, 20.0, 0.0]);
    let ball = moved(&sphere(20.0, 96, 192), [20.0; 3]);
    for (what, mesh) in [("mushroom", mushroom), ("ball", ball)] {
        let share = laid_share(mesh);
        println!("{what}: support laid is {share:.4} of its fraction");
        assert!(share > 0.9 && share < 1.5, "{what}: {share}");
    }
}
