//! The values of a PLY file after its header, as text or binary.

use super::header::{Element, Scalar};
use super::{FORMAT, brief, malformed};
use crate::mesh::MeshError;
use crate::mesh::format::lines::{Lines, parsed};
use crate::mesh::format::text::shown;

/// Values in the order in which the header declares them.
pub(super) trait Body {
    /// Refuses an element that promises more than the rest of the file can hold.
    fn check_room(&self, element: &Element) -> Result<(), MeshError>;
    /// Begins one element.
    fn start_element(&mut self, element: &Element) -> Result<(), MeshError>;
    /// One value.
    fn number(&mut self, scalar: Scalar) -> Result<f64, MeshError>;
    /// The length of a list of `item`.
    fn count(&mut self, scalar: Scalar, item: Scalar) -> Result<u64, MeshError>;
    /// Passes over values.
    fn skip(&mut self, count: u64, scalar: Scalar) -> Result<(), MeshError>;
    /// Ends one element.
    fn end_element(&mut self) -> Result<(), MeshError>;
    /// Where the value read last stands.
    fn place(&self) -> String;
    /// What follows the last element, in words.
    fn spare(&mut self) -> Option<String>;
}

/// An element a line.
pub(super) struct Text<'a> {
    lines: Lines<'a>,
}

impl<'a> Text<'a> {
    pub(super) fn new(bytes: &'a [u8], lines_before: usize) -> Self {
        Text {
            lines: Lines::new(FORMAT, bytes, lines_before + 1),
        }
    }
}

impl Body for Text<'_> {
    fn check_room(&self, _: &Element) -> Result<(), MeshError> {
        // Every element read takes a line, so a false promise ends with the file.
        Ok(())
    }

    fn start_element(&mut self, element: &Element) -> Result<(), MeshError> {
        if element.properties.is_empty() || self.lines.start_line() {
            return Ok(());
        }
        Err(self.lines.error(format!(
            "the file ends before the {} elements \"{}\" that its header promises",
            element.count,
            shown(Some(&element.name))
        )))
    }

    fn number(&mut self, _: Scalar) -> Result<f64, MeshError> {
        let word = self.lines.word();
        parsed(word).ok_or_else(|| self.lines.instead(word, "a number"))
    }

    fn count(&mut self, _: Scalar, _: Scalar) -> Result<u64, MeshError> {
        self.lines.count("the length of a list")
    }

    fn skip(&mut self, count: u64, scalar: Scalar) -> Result<(), MeshError> {
        for _ in 0..count {
            self.number(scalar)?;
        }
        Ok(())
    }

    fn end_element(&mut self) -> Result<(), MeshError> {
        match self.lines.word() {
            None => Ok(()),
            word => Err(self.lines.instead(word, "the end of the line")),
        }
    }

    fn place(&self) -> String {
        format!("line {}", self.lines.line())
    }

    fn spare(&mut self) -> Option<String> {
        self.lines.start_line().then(|| {
            let word = self.lines.word();
            format!(
                "what follows the last element (line {}, \"{}\") was passed over",
                self.lines.line(),
                shown(word)
            )
        })
    }
}

/// Values back to back, the most significant byte first or last.
pub(super) struct Binary<'a, const BIG_ENDIAN: bool> {
    rest: &'a [u8],
    /// Where the rest ends, from the beginning of the file.
    end: usize,
}

impl<'a, const BIG_ENDIAN: bool> Binary<'a, BIG_ENDIAN> {
    pub(super) fn new(bytes: &'a [u8], starts_at: usize) -> Self {
        Binary {
            rest: bytes,
            end: starts_at + bytes.len(),
        }
    }

    fn take<const N: usize>(&mut self) -> Result<[u8; N], MeshError> {
        let Some((value, rest)) = self.rest.split_first_chunk::<N>() else {
            return Err(self.too_short("the file ends where another value should stand".into()));
        };
        self.rest = rest;
        let mut value = *value;
        if BIG_ENDIAN {
            value.reverse();
        }
        Ok(value)
    }

    fn too_short(&self, problem: String) -> MeshError {
        malformed(self.place(), problem)
    }
}

impl<const BIG_ENDIAN: bool> Body for Binary<'_, BIG_ENDIAN> {
    fn check_room(&self, element: &Element) -> Result<(), MeshError> {
        let needed = element.count.saturating_mul(element.least_bytes());
        if needed <= self.rest.len() as u64 {
            return Ok(());
        }
        Err(self.too_short(format!(
            "the header promises {} elements \"{}\", which take {needed} bytes or more, and {} are left",
            element.count,
            shown(Some(&element.name)),
            self.rest.len()
        )))
    }

    fn start_element(&mut self, _: &Element) -> Result<(), MeshError> {
        Ok(())
    }

    fn number(&mut self, scalar: Scalar) -> Result<f64, MeshError> {
        Ok(match scalar {
            Scalar::I8 => i8::from_le_bytes(self.take()?).into(),
            Scalar::U8 => u8::from_le_bytes(self.take()?).into(),
            Scalar::I16 => i16::from_le_bytes(self.take()?).into(),
            Scalar::U16 => u16::from_le_bytes(self.take()?).into(),
            Scalar::I32 => i32::from_le_bytes(self.take()?).into(),
            Scalar::U32 => u32::from_le_bytes(self.take()?).into(),
            Scalar::F32 => f32::from_le_bytes(self.take()?).into(),
            Scalar::F64 => f64::from_le_bytes(self.take()?),
        })
    }

    fn count(&mut self, scalar: Scalar, item: Scalar) -> Result<u64, MeshError> {
        let number = self.number(scalar)?;
        if number < 0.0 || number.fract() != 0.0 || !number.is_finite() {
            return Err(malformed(
                self.place(),
                format!(
                    "a list has the length {} where a whole number is right",
                    brief(number)
                ),
            ));
        }
        if number * item.bytes() as f64 > self.rest.len() as f64 {
            return Err(self.too_short(format!(
                "a list promises {} values of {} bytes each, and {} bytes are left",
                brief(number),
                item.bytes(),
                self.rest.len()
            )));
        }
        Ok(number as u64)
    }

    fn skip(&mut self, count: u64, scalar: Scalar) -> Result<(), MeshError> {
        let bytes = usize::try_from(count)
            .ok()
            .and_then(|n| n.checked_mul(scalar.bytes()));
        match bytes.and_then(|n| self.rest.get(n..)) {
            Some(rest) => self.rest = rest,
            None => {
                return Err(self.too_short("the file ends where another value should stand".into()));
            }
        }
        Ok(())
    }

    fn end_element(&mut self) -> Result<(), MeshError> {
        Ok(())
    }

    fn place(&self) -> String {
        format!("byte {}", self.end - self.rest.len())
    }

    fn spare(&mut self) -> Option<String> {
        // Some writers end the file with a line end.
        let spare = self.rest.len();
        (!self.rest.trim_ascii().is_empty())
            .then(|| format!("{spare} bytes follow the last element and were passed over"))
    }
}
