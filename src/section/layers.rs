//! Where the layers of a part lie.

/// The layers of a part that stands on the bed at height 0.
///
/// The first is `first_mm` thick and the others `height_mm`; there are
/// `N = 1 + floor((H - h1)/h + 1/2 - 1e-6)`, at least 1 (design, Layers), so the stack is not exactly as high as the part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layers {
    /// Thickness of the first layer, mm.
    pub first_mm: f64,
    /// Thickness of the others, mm.
    pub height_mm: f64,
    /// Height of the part, mm.
    pub part_mm: f64,
    /// Number of layers, at least 1.
    pub count: usize,
}

impl Layers {
    /// The layers of a part `part_mm` high. All three heights must be finite and above 0.
    pub fn of(part_mm: f64, first_mm: f64, height_mm: f64) -> Layers {
        let above = ((part_mm - first_mm) / height_mm + 0.5 - 1e-6)
            .floor()
            .max(0.0);
        Layers {
            first_mm,
            height_mm,
            part_mm,
            count: 1 + above as usize,
        }
    }

    /// The height at which layer `k` is cut: its middle, mm. A part lower than the middle of its first layer is cut at
    /// half its own height.
    pub fn middle_mm(&self, k: usize) -> f64 {
        match k {
            0 if self.part_mm < self.first_mm / 2.0 => self.part_mm / 2.0,
            0 => self.first_mm / 2.0,
            _ => self.first_mm + (k as f64 - 0.5) * self.height_mm,
        }
    }

    /// How thick layer `k` is, mm.
    pub fn thickness_mm(&self, k: usize) -> f64 {
        if k == 0 {
            self.first_mm
        } else {
            self.height_mm
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stack_is_the_nearest_whole_number_of_layers() {
        // Arithmetic of the design's formula by hand.
        assert_eq!(Layers::of(10.0, 0.2, 0.2).count, 50);
        assert_eq!(Layers::of(10.09, 0.2, 0.2).count, 50);
        assert_eq!(Layers::of(10.11, 0.2, 0.2).count, 51);
        assert_eq!(Layers::of(80.0, 0.1, 0.1).count, 800); // the textbook tube: 800 layers (Groover, from memory)
        assert_eq!(Layers::of(0.05, 0.3, 0.3).count, 1);
    }

    #[test]
    fn a_layer_is_cut_at_its_middle() {
        let layers = Layers::of(1.0, 0.3, 0.2);
        assert!((layers.middle_mm(0) - 0.15).abs() < 1e-12);
        assert!((layers.middle_mm(1) - 0.4).abs() < 1e-12);
        assert!((Layers::of(0.1, 0.3, 0.2).middle_mm(0) - 0.05).abs() < 1e-12);
    }
}
