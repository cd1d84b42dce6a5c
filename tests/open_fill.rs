//! Open fill lays the fraction it is asked for, and floors and roofs lie where there is air close by.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod meshes;

use beadtally::bead::{
    Bead, Exposed, LayerInput, LayerPlan, Laying, Path, Role, exposed, plan_layer,
};
use beadtally::section::{Layers, Region, sections};
use meshes::job::cut;
use meshes::solids::block;
use meshes::{demonstration, inside_out, inspected, mapped, together};
use nalgebra::Point3;

const FRACTIONS: [f64; 5] = [0.1, 0.2, 0.35, 0.5, 0.8];

fn laying(fill: f64) -> Laying {
    Laying {
        bead: Bead::of_nozzle(0.6).unwrap(),
        perimeters: 2,
        fill,
        support_fraction: 0.2,
    }
}

/// A layer of a square that is open all over.
fn open_square(side_mm: f64, fill: f64, layer: usize) -> LayerPlan {
    let laying = laying(fill);
    let input = LayerInput {
        section: &Region::rectangle([0.0, 0.0], [side_mm, side_mm]),
        support: &Region::default(),
        exposed: Exposed::Only(Region::default()),
        thickness_mm: laying.bead.height_mm(),
        layer,
    };
    plan_layer(&input, &laying)
}

/// Raster paths of a role.
fn paths(plan: &LayerPlan, role: Role) -> impl Iterator<Item = &Path> {
    plan.islands
        .iter()
        .flatten()
        .filter(move |p| p.role == role && !p.closed)
}

/// What is laid in lines and what in the joins between them.
struct Lengths {
    lines_mm: f64,
    joins_mm: f64,
    lines: usize,
}

/// Lines run at +45 degrees on even layers and at -45 on odd ones; joins do not.
fn lengths(plan: &LayerPlan, layer: usize, role: Role) -> Lengths {
    let mut found = Lengths {
        lines_mm: 0.0,
        joins_mm: 0.0,
        lines: 0,
    };
    let up = if layer.is_multiple_of(2) { 1.0 } else { -1.0 };
    for path in paths(plan, role) {
        for pair in path.points_mm.windows(2) {
            let (dx, dy) = (pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]);
            if (dx - up * dy).abs() < 1e-6 {
                found.lines_mm += dx.hypot(dy);
                found.lines += 1;
            } else {
                found.joins_mm += dx.hypot(dy);
            }
        }
    }
    found
}

/// Expected: the design text (lines `s/fraction` apart, counted at the fraction). The square is so large because the joins
/// at its border come on top: see the next test.
#[test]
fn open_fill_lays_its_fraction_of_a_large_interior() {
    for fill in FRACTIONS {
        for layer in 0..2 {
            let plan = open_square(900.0, fill, layer);
            let found = lengths(&plan, layer, Role::Open);
            let spacing = laying(fill).bead.spacing_mm();
            let laid = (found.lines_mm + found.joins_mm) * spacing / plan.open_mm2;
            println!("900 mm, fill {fill}, layer {layer}: lays {laid:.4}");
            assert!((laid / fill - 1.0).abs() < 0.02, "{fill}: {laid}");
        }
    }
}

/// Expected: derived. Lines `p = s/f` apart cover `s/p = f` of the area once their ends are drawn out to the border, which
/// on a border at 45 degrees is `0.35 s sqrt(2)` at each; a join along that border is `p sqrt(2)` long.
#[test]
fn lines_of_open_fill_lay_the_fraction_and_joins_come_on_top() {
    let side = 120.0;
    let root = std::f64::consts::SQRT_2;
    for fill in FRACTIONS {
        for layer in 0..2 {
            let plan = open_square(side, fill, layer);
            let found = lengths(&plan, layer, Role::Open);
            let spacing = laying(fill).bead.spacing_mm();
            let pitch = spacing / fill;
            let drawn_out = found.lines_mm + found.lines as f64 * 2.0 * 0.35 * spacing * root;
            let by_lines = drawn_out * spacing / plan.open_mm2;
            let with_joins = (found.lines_mm + found.joins_mm) * spacing / plan.open_mm2;
            println!(
                "{side} mm, fill {fill}, layer {layer}: lines {by_lines:.4}, laid with joins {with_joins:.4} ({:+.1} %)",
                100.0 * (with_joins / fill - 1.0)
            );
            assert!((by_lines / fill - 1.0).abs() < 0.02, "{fill}: {by_lines}");
            // Every line but the last is joined to the next; the joins around the two far corners are other ones.
            let joins = (found.lines - 1) as f64 * pitch * root;
            assert!(
                (found.joins_mm - joins).abs() < 4.0 * pitch * root,
                "{fill}: joins {} mm, {joins}",
                found.joins_mm
            );
        }
    }
}

/// Expected: solid fill in the same layers (design text: lines `s/fraction` apart in place of `s`). Joins left out on both sides.
/// The sparser the lines, the fewer there are to average over small interiors.
#[test]
fn lines_of_open_fill_are_the_fraction_of_the_solid_lines_they_stand_for() {
    let part = |file: &str, scale: f64| (file.to_owned(), cut(&demonstration(file), scale, 0.36));
    for (name, cut) in [
        part("cleat_block.stl", 1.0),
        part("pump_mount.stl", 1.0),
        part("rudder_cheek.stl", 1.0),
    ] {
        for fill in FRACTIONS {
            let (mut solid_mm, mut open_mm) = (0.0, 0.0);
            for (k, section) in cut.regions.iter().enumerate().step_by(7) {
                let lines_mm = |fill: f64| {
                    let input = LayerInput {
                        section,
                        support: &Region::default(),
                        exposed: Exposed::Only(Region::default()),
                        thickness_mm: 0.36,
                        layer: k,
                    };
                    let plan = plan_layer(&input, &laying(fill));
                    lengths(&plan, k, if fill < 1.0 { Role::Open } else { Role::Fill }).lines_mm
                };
                solid_mm += lines_mm(1.0);
                open_mm += lines_mm(fill);
            }
            let off = open_mm / (fill * solid_mm) - 1.0;
            println!(
                "{name}, fill {fill}: {solid_mm:.0} mm solid, {open_mm:.0} mm open, {:+.2} %",
                100.0 * off
            );
            assert!(solid_mm > 1e4 && off.abs() < 0.02, "{name}, {fill}: {off}");
        }
    }
}

// --- Floors and roofs ---

const LAYER_MM: f64 = 0.5;
const CELL_MM: f64 = 0.5;
const SIZE_MM: [f64; 3] = [40.0, 30.0, 20.0];

/// How far the upper half's face leans back, mm of length per mm of height.
const LEAN: f64 = 1.3;

/// A block with a step at half its length, a leaning face above it and a closed hollow inside.
fn stepped() -> beadtally::mesh::Mesh {
    let lower = block([0.0; 3], [40.0, 30.0, 12.0]);
    let upper = mapped(&block([0.0, 0.0, 12.0], [20.0, 30.0, 20.0]), |v| {
        let back = if v.x > 0.0 { LEAN * (v.z - 12.0) } else { 0.0 };
        Point3::new(v.x - back, v.y, v.z)
    });
    let hollow = inside_out(&block([10.0, 10.0, 4.0], [30.0, 20.0, 8.0]));
    together(&together(&lower, &hollow), &upper)
}

/// Whether the stepped block has matter at a place.
fn matter([x, y, z]: [f64; 3]) -> bool {
    let within = |v: f64, low: f64, high: f64| v > low && v < high;
    let inside = within(x, 0.0, 40.0) && within(y, 0.0, 30.0) && within(z, 0.0, 20.0);
    let step = z > 12.0 && x > 20.0 - LEAN * (z - 12.0);
    let hollow = within(x, 10.0, 30.0) && within(y, 10.0, 20.0) && within(z, 4.0, 8.0);
    inside && !step && !hollow
}

/// Whether rings wind around a point (even and odd crossings).
fn covers(rings: &[Vec<[f64; 2]>], [x, y]: [f64; 2]) -> bool {
    let crossings = rings.iter().flat_map(|ring| {
        let closing = ring.last().into_iter().chain(ring).zip(ring);
        closing.filter(|(a, b)| {
            (a[1] > y) != (b[1] > y) && x < a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
        })
    });
    crossings.count() % 2 == 1
}

fn middles(mm: f64) -> impl Iterator<Item = f64> + Clone {
    (0..(mm / CELL_MM) as usize).map(|i| (i as f64 + 0.5) * CELL_MM)
}

/// Expected: cells of the closed form, every one of them, by the design text: solid where any of the layers within the thickness is missing
/// below (floor) or above (roof).
#[test]
fn floors_and_roofs_are_the_cells_with_air_within_their_thickness() {
    let part = inspected(stepped());
    let layers = Layers::of(SIZE_MM[2], LAYER_MM, LAYER_MM);
    let regions = sections(&part.mesh, &part.topology, &layers).regions;
    assert_eq!(regions.len(), 40);
    let (mut solid, mut open) = (0, 0);
    let (mut solid_mm2, mut counted_mm2) = (0.0, 0.0);
    for (floor, roof) in [(2, 2), (3, 1), (0, 4), (5, 0)] {
        for (k, region) in regions.iter().enumerate() {
            let answer = exposed(&regions, k, floor, roof);
            let only = match &answer {
                Exposed::Everything => region,
                Exposed::Only(only) => only,
            };
            let rings: Vec<_> = only.rings().collect();
            solid_mm2 += only.area_mm2();
            let z = |layer: usize| (layer as f64 + 0.5) * LAYER_MM;
            for x in middles(SIZE_MM[0]) {
                for y in middles(SIZE_MM[1]) {
                    if !matter([x, y, z(k)]) {
                        continue;
                    }
                    let air_below = k < floor || (k - floor..k).any(|n| !matter([x, y, z(n)]));
                    let air_above = (k + 1..=k + roof).any(|n| !matter([x, y, z(n)]));
                    let right = air_below || air_above;
                    assert_eq!(
                        covers(&rings, [x, y]),
                        right,
                        "layer {k}, {floor} and {roof} layers, at {x}, {y}"
                    );
                    *(if right { &mut solid } else { &mut open }) += 1;
                    counted_mm2 += if right { CELL_MM * CELL_MM } else { 0.0 };
                }
            }
        }
    }
    let off = solid_mm2 / counted_mm2 - 1.0;
    println!(
        "{solid} cells of floor and roof, {open} open; area {:+.2} %",
        100.0 * off
    );
    assert!(solid > 10_000 && open > 10_000);
    // The leaning face cuts through cells; its borders are a few of some 15 000.
    assert!(off.abs() < 0.005, "{off}");
}

/// Expected: cells of the closed form. No line of open fill passes where there is air within the thickness, but for what the
/// design text leaves open: along the leaning face the perimeters leave strips of roof narrower than `s`.
#[test]
fn open_lines_stay_out_of_floors_and_roofs() {
    let part = inspected(stepped());
    let layers = Layers::of(SIZE_MM[2], LAYER_MM, LAYER_MM);
    let regions = sections(&part.mesh, &part.topology, &layers).regions;
    let (floor, roof) = (3, 3);
    let laying = Laying {
        bead: Bead::new(0.8, LAYER_MM, 0.9).unwrap(),
        ..laying(0.4)
    };
    let mut looked_at = 0;
    for k in floor..regions.len() - roof {
        let input = LayerInput {
            section: &regions[k],
            support: &Region::default(),
            exposed: exposed(&regions, k, floor, roof),
            thickness_mm: LAYER_MM,
            layer: k,
        };
        let plan = plan_layer(&input, &laying);
        for path in paths(&plan, Role::Open) {
            for pair in path.points_mm.windows(2).step_by(2) {
                for i in 0..=20 {
                    let t = f64::from(i) / 20.0;
                    let at = |c: usize| pair[0][c] + t * (pair[1][c] - pair[0][c]);
                    let (x, y) = (at(0), at(1));
                    let strip_mm = if k < 24 {
                        0.0
                    } else {
                        laying.bead.spacing_mm()
                    };
                    let air = (k - floor..=k + roof)
                        .any(|n| !matter([x - strip_mm, y, (n as f64 + 0.5) * LAYER_MM]));
                    assert!(!air, "layer {k}, at {x}, {y}");
                    looked_at += 1;
                }
            }
        }
    }
    assert!(looked_at > 5000, "{looked_at}");
}
