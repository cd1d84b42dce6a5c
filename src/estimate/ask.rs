//! What is asked about a part.

use nalgebra::Vector3;

use crate::pose::Rest;

/// What is asked about a part. The default asks for solid, supported parts in the shop's default plastic, one piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// A material's id; the shop's default where none is named.
    pub material: Option<String>,
    /// Only this machine.
    pub machine: Option<String>,
    /// Only this nozzle.
    pub nozzle: Option<String>,
    /// Fraction of solid in the fill, above 0; 1 is solid.
    pub fill: f64,
    /// How thick the walls are; the shop's wall thickness where nothing is said.
    pub walls: Option<Walls>,
    /// Layer height, mm, for every nozzle; the nozzle's own where nothing is said.
    pub layer_height_mm: Option<f64>,
    /// The part's direction that points down; chosen where nothing is said.
    pub down: Option<Rest>,
    /// A direction of the part as drawn along which it is pulled or bent: the pose is chosen so that the layers lie along it.
    pub loaded_along: Option<Vector3<f64>>,
    /// A direction of the part as drawn: the face that looks that way matters, and its finish is told for every pose.
    pub face: Option<Vector3<f64>>,
    /// Whether overhangs are held up.
    pub support: bool,
    /// What goes beyond the model of `docs/model.md`: where nothing is said, the shop's own settings.
    pub beyond: Beyond,
    /// The model of `docs/model.md` without the shop's exceptions for short spans and small cross-holes and without its settings
    /// beyond the model.
    pub base_model: bool,
    /// Lets a soft nozzle lay an abrasive plastic.
    pub force_soft_nozzle: bool,
    /// Pieces wanted, at least 1.
    pub quantity: u32,
    /// What an option must reach to be picked.
    pub floors: Floors,
    /// What decides between options that reach the floors.
    pub best_by: Option<BestBy>,
}

impl Default for Ask {
    fn default() -> Self {
        Ask {
            material: None,
            machine: None,
            nozzle: None,
            fill: 1.0,
            walls: None,
            layer_height_mm: None,
            down: None,
            loaded_along: None,
            face: None,
            support: true,
            beyond: Beyond::default(),
            base_model: false,
            force_soft_nozzle: false,
            quantity: 1,
            floors: Floors::default(),
            best_by: None,
        }
    }
}

/// Settings that stand in for the shop's.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Beyond {
    /// Thickness of the first layer, mm.
    pub first_layer_mm: Option<f64>,
    /// How far a brim reaches out, mm; 0 for none.
    pub brim_mm: Option<f64>,
    /// Length of the purge line, mm; 0 for none.
    pub purge_line_mm: Option<f64>,
    /// Gap between support and part, mm; 0 for none.
    pub support_clearance_mm: Option<f64>,
    /// Layers of support under the part that are laid solid.
    pub contact_layers: Option<u32>,
}

/// How many perimeters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Walls {
    /// From a wall thickness, mm, above 0.
    ThicknessMm(f64),
    /// A count, at least 1.
    Count(u32),
}

/// What an option must reach to be picked.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Floors {
    /// What the part is for.
    pub used_as: Option<UsedAs>,
    /// The smallest feature that must not be lost, mm.
    pub smallest_feature_mm: Option<f64>,
    /// When all pieces must be printed.
    pub due: Option<Due>,
}

impl Floors {
    /// Whether none is set.
    pub fn are_none(&self) -> bool {
        *self == Floors::default()
    }
}

/// A due time, as the shop's week sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Due {
    /// Where in the week it is now, minutes from Monday's midnight.
    pub from_week_min: f64,
    /// Hours until all pieces must be printed, h.
    pub in_h: f64,
}

/// What a part is for, which bounds its layer height. The bounds are a judgement without source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UsedAs {
    /// Looked at: layers of at most 0.30 mm.
    Visible,
    /// Not looked at: any layers.
    Hidden,
    /// A mould, whose face is filled and sealed: layers of at most 0.50 mm.
    Mould,
}

impl UsedAs {
    /// The highest layer allowed, mm.
    pub fn most_layer_mm(self) -> f64 {
        match self {
            UsedAs::Visible => 0.30,
            UsedAs::Hidden => f64::INFINITY,
            UsedAs::Mould => 0.50,
        }
    }

    /// In plain words.
    pub fn in_words(self) -> &'static str {
        match self {
            UsedAs::Visible => "a visible part",
            UsedAs::Hidden => "a hidden part",
            UsedAs::Mould => "a mould",
        }
    }
}

/// What decides between options.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BestBy {
    /// The least price of a piece.
    Price,
    /// The fewest hours.
    Time,
    /// The lowest mean cusp, then the lowest layers.
    Finish,
}
