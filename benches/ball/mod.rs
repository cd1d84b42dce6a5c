//! The part the benchmarks read.

/// Rings and facets around of a bumpy ball of a million facets, 104 mm high: about 290 layers of 0.36 mm.
const RINGS: usize = 500;
const AROUND: usize = 1000;

/// The bytes of a binary STL of a million facets.
#[allow(dead_code)] // not every benchmark takes this one
pub fn binary_stl() -> Vec<u8> {
    of(RINGS, AROUND)
}

/// The bytes of a binary STL of the ball in so many rings, each of so many facets around.
pub fn of(rings: usize, around: usize) -> Vec<u8> {
    let point = |ring: usize, step: usize| -> [f32; 3] {
        let u = std::f64::consts::PI * ring as f64 / rings as f64;
        let v = std::f64::consts::TAU * (step % around) as f64 / around as f64;
        let belly = u.sin() * u.sin();
        let r = 52.0 * (1.0 + 0.08 * (5.0 * v).sin() * belly + 0.05 * (4.0 * u).cos() * belly);
        [r * u.sin() * v.cos(), r * u.sin() * v.sin(), r * u.cos()].map(|c| c as f32)
    };
    let mut facets: Vec<[[f32; 3]; 3]> = Vec::new();
    for ring in 0..rings {
        for step in 0..around {
            let (a, b) = (point(ring, step), point(ring + 1, step));
            let (c, d) = (point(ring + 1, step + 1), point(ring, step + 1));
            if ring > 0 {
                facets.push([a, c, d]);
            }
            if ring < rings - 1 {
                facets.push([a, b, c]);
            }
        }
    }
    let mut bytes = vec![b' '; 80];
    bytes.extend((facets.len() as u32).to_le_bytes());
    for facet in &facets {
        bytes.extend([0u8; 12]);
        bytes.extend(facet.iter().flatten().flat_map(|c| c.to_le_bytes()));
        bytes.extend([0u8; 2]);
    }
    bytes
}
