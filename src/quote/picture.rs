//! A part drawn from three sides and from a corner.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use nalgebra::{Point3, Vector3};

use crate::mesh::Mesh;

/// From where a part is looked at, squarely, without perspective.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum View {
    /// Against the y axis: x to the right, z up.
    Front,
    /// Against x from its far end: y to the right, z up.
    Right,
    /// From above: x to the right, y up.
    Top,
    /// From over the front right corner, all three axes equally short (isometric).
    Corner,
}

impl View {
    /// The three sides.
    pub const ALL: [View; 3] = [View::Front, View::Right, View::Top];

    /// What it is called under the drawing.
    pub fn name(self) -> &'static str {
        match self {
            View::Front => "from the front (x to the right, z up)",
            View::Right => "from the right (y to the right, z up)",
            View::Top => "from above (x to the right, y up)",
            View::Corner => "from over the front right corner",
        }
    }

    /// Right, up, and towards the eye.
    fn axes(self) -> [Vector3<f64>; 3] {
        match self {
            View::Front => [Vector3::x(), Vector3::z(), -Vector3::y()],
            View::Right => [Vector3::y(), Vector3::z(), Vector3::x()],
            View::Top => [Vector3::x(), Vector3::y(), Vector3::z()],
            View::Corner => {
                let eye = Vector3::new(1.0, -1.0, 1.0).normalize();
                let right = Vector3::new(1.0, 1.0, 0.0).normalize();
                [right, eye.cross(&right), eye]
            }
        }
    }
}

/// Free pixels around the part.
const BORDER: f64 = 12.0;

/// The sheet a part is drawn on: which place in the part comes to which pixel.
pub(super) struct Sheet {
    axes: [Vector3<f64>; 3],
    low: [f64; 2],
    per_mm: f64,
    /// Its size, pixels.
    pub size: [usize; 2],
}

impl Sheet {
    /// A sheet for a view of a box, `longest` pixels along the box's longest side, so that all views have one scale.
    pub fn of(mesh: &Mesh, view: View, longest: f64) -> Sheet {
        let axes = view.axes();
        let (low, high) = mesh.box_mm();
        let per_mm = longest / (high - low).amax();
        // From the box's corner that lies least along an axis to the one that lies farthest.
        let along = |axis: &Vector3<f64>| {
            let ends = [0, 1, 2].map(|i| (low[i] * axis[i], high[i] * axis[i]));
            let least: f64 = ends.iter().map(|(a, b)| a.min(*b)).sum();
            let most: f64 = ends.iter().map(|(a, b)| a.max(*b)).sum();
            (least, most)
        };
        let ((left, right), (bottom, top)) = (along(&axes[0]), along(&axes[1]));
        let pixels = |from: f64, to: f64| ((to - from) * per_mm + 2.0 * BORDER).ceil() as usize;
        Sheet {
            axes,
            low: [left, bottom],
            per_mm,
            size: [pixels(left, right), pixels(bottom, top)],
        }
    }

    /// The pixel of a place, from the upper left corner.
    pub fn pixel(&self, p: Point3<f64>) -> [f64; 2] {
        let x = (p.coords.dot(&self.axes[0]) - self.low[0]) * self.per_mm + BORDER;
        let y = (p.coords.dot(&self.axes[1]) - self.low[1]) * self.per_mm + BORDER;
        [x, self.size[1] as f64 - y]
    }

    fn nearness(&self, p: Point3<f64>) -> f64 {
        p.coords.dot(&self.axes[2])
    }

    /// The drawing as a picture that can stand in a page's address.
    pub fn draw(&self, mesh: &Mesh) -> String {
        format!("data:image/png;base64,{}", STANDARD.encode(self.png(mesh)))
    }

    /// The part's facets, those nearest to the eye over the others, as the bytes of a PNG file.
    pub fn png(&self, mesh: &Mesh) -> Vec<u8> {
        let [width, height] = self.size;
        let mut nearest = vec![f64::NEG_INFINITY; width * height];
        // Two bytes a pixel: grey and cover.
        let mut grey = vec![0u8; 2 * width * height];
        let light = (self.axes[2] * 2.0 + self.axes[1] * 1.2 - self.axes[0]).normalize();
        for facet in 0..mesh.triangles.len() {
            let corners = mesh.corners(facet);
            let normal = (corners[1] - corners[0])
                .cross(&(corners[2] - corners[0]))
                .try_normalize(0.0)
                .unwrap_or_default();
            // A facet seen from its back is lit like its front: the picture is to show shapes, also of surfaces inside out.
            let shade = 70.0 + 165.0 * normal.dot(&light).abs();
            self.fill(corners, shade as u8, &mut nearest, &mut grey);
        }
        png_of(&grey, width, height)
    }

    fn fill(&self, corners: [Point3<f64>; 3], shade: u8, nearest: &mut [f64], grey: &mut [u8]) {
        let p = corners.map(|c| self.pixel(c));
        let near = corners.map(|c| self.nearness(c));
        let double =
            (p[1][0] - p[0][0]) * (p[2][1] - p[0][1]) - (p[1][1] - p[0][1]) * (p[2][0] - p[0][0]);
        if double == 0.0 {
            return;
        }
        let range = |i: usize| {
            let (low, high) = (
                p[0][i].min(p[1][i]).min(p[2][i]),
                p[0][i].max(p[1][i]).max(p[2][i]),
            );
            // Pixel centres between the two.
            let from = (low - 0.5).ceil().max(0.0) as usize;
            let past = ((high - 0.5).floor() + 1.0).clamp(0.0, self.size[i] as f64) as usize;
            from..past
        };
        for y in range(1) {
            for x in range(0) {
                let at = [x as f64 + 0.5, y as f64 + 0.5];
                let weight = |a: usize, b: usize| {
                    ((p[b][0] - p[a][0]) * (at[1] - p[a][1])
                        - (p[b][1] - p[a][1]) * (at[0] - p[a][0]))
                        / double
                };
                let w = [weight(1, 2), weight(2, 0), weight(0, 1)];
                if w.iter().any(|w| *w < 0.0) {
                    continue;
                }
                let depth = w[0] * near[0] + w[1] * near[1] + w[2] * near[2];
                let pixel = y * self.size[0] + x;
                if depth > nearest[pixel] {
                    nearest[pixel] = depth;
                    grey[2 * pixel] = shade;
                    grey[2 * pixel + 1] = 255;
                }
            }
        }
    }
}

fn png_of(grey: &[u8], width: usize, height: usize) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width as u32, height as u32);
    encoder.set_color(png::ColorType::GrayscaleAlpha);
    encoder.set_depth(png::BitDepth::Eight);
    // Writing to memory does not fail; should it, the page shows no picture and says everything else.
    let written = encoder
        .write_header()
        .and_then(|mut writer| writer.write_image_data(grey));
    if written.is_err() {
        bytes.clear();
    }
    bytes
}
