//! Units of length that files state or owners choose.

use std::str::FromStr;

/// A unit of length.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Unit {
    /// A thousandth of a millimetre.
    Micron,
    /// The unit of everything inside this library.
    Millimetre,
    /// Ten millimetres.
    Centimetre,
    /// A thousand millimetres.
    Metre,
    /// 25.4 mm exactly (international yard and pound agreement, 1959).
    Inch,
    /// Twelve inches.
    Foot,
}

impl Unit {
    /// Units a file without one may have been drawn in, the default first.
    pub const GUESSED: [Unit; 5] = [
        Unit::Millimetre,
        Unit::Inch,
        Unit::Centimetre,
        Unit::Metre,
        Unit::Foot,
    ];

    /// Its length in mm.
    pub fn mm(self) -> f64 {
        match self {
            Unit::Micron => 1e-3,
            Unit::Millimetre => 1.0,
            Unit::Centimetre => 10.0,
            Unit::Metre => 1000.0,
            Unit::Inch => 25.4,
            Unit::Foot => 304.8,
        }
    }

    /// Its sign, as it is typed and printed.
    pub fn sign(self) -> &'static str {
        match self {
            Unit::Micron => "micron",
            Unit::Millimetre => "mm",
            Unit::Centimetre => "cm",
            Unit::Metre => "m",
            Unit::Inch => "inch",
            Unit::Foot => "ft",
        }
    }

    /// The unit of that name in the words of 3MF (core specification) and AMF (ISO/ASTM 52915).
    pub fn of_standard_name(name: &str) -> Option<Unit> {
        Some(match name.to_ascii_lowercase().as_str() {
            "micron" => Unit::Micron,
            "millimeter" | "millimetre" => Unit::Millimetre,
            "centimeter" | "centimetre" => Unit::Centimetre,
            "meter" | "metre" => Unit::Metre,
            "inch" => Unit::Inch,
            "foot" | "feet" => Unit::Foot,
            _ => return None,
        })
    }
}

impl FromStr for Unit {
    type Err = ();

    /// Reads a sign.
    fn from_str(sign: &str) -> Result<Unit, ()> {
        Unit::GUESSED
            .into_iter()
            .find(|unit| unit.sign() == sign)
            .ok_or(())
    }
}
