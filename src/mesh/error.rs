//! Why a file gives no part.

/// Why a file gives no part. The sentence names the place and what would be right; the file's name is put before
/// it by whoever opened the file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MeshError {
    /// Nothing in it.
    #[error("the file is empty; ask for the part exported again as STL")]
    Empty,
    /// Not a format that is read.
    #[error(
        "this is not an STL mesh (it starts with \"{start}\"); ask for the part as binary or ASCII STL"
    )]
    UnknownFormat {
        /// The first printable characters of the file.
        start: String,
    },
    /// A binary STL shorter than its header says.
    #[error(
        "the header promises {promised} facets ({needed} bytes) but the file holds {held} bytes, room for {room}; \
         it was cut short or is damaged, ask for it again"
    )]
    Truncated {
        /// Facets promised by the header.
        promised: u32,
        /// Bytes that many facets need.
        needed: u64,
        /// Bytes in the file.
        held: u64,
        /// Whole facets that fit into the file.
        room: u64,
    },
    /// A binary STL longer than its header says.
    #[error(
        "the header promises {promised} facets but the file has room for {room}; one of the two is wrong, \
         ask for the part exported again"
    )]
    CountTooSmall {
        /// Facets promised by the header.
        promised: u32,
        /// Whole facets that fit into the file.
        room: u64,
    },
    /// A text STL that breaks its own grammar.
    #[error(
        "line {line}: found \"{found}\" where an ASCII STL has {expected}; ask for the part exported again"
    )]
    Text {
        /// Line, from 1.
        line: usize,
        /// What stands there.
        found: String,
        /// What should.
        expected: &'static str,
    },
    /// No facets at all.
    #[error("the mesh holds no facets; ask for the part exported again")]
    NoFacets,
    /// A corner that is no number.
    #[error("facet {facet}: a corner is not a finite number; ask for the part exported again")]
    NotFinite {
        /// Facet, from 1.
        facet: usize,
    },
    /// More facets than indices can count.
    #[error(
        "the mesh holds {facets} facets, more than the {most} this program can index; ask for a coarser export"
    )]
    TooMany {
        /// Facets in the mesh.
        facets: usize,
        /// Greatest number that is read.
        most: usize,
    },
    /// A mesh without thickness.
    #[error(
        "the part is flat: {x_mm:.3} x {y_mm:.3} x {z_mm:.3} mm has no thickness to print; ask for the solid part"
    )]
    Flat {
        /// Extent along x, mm.
        x_mm: f64,
        /// Extent along y, mm.
        y_mm: f64,
        /// Extent along z, mm.
        z_mm: f64,
    },
    /// A mesh whose volume is nothing.
    #[error(
        "the part encloses no volume (its surface cancels itself out inside {x_mm:.2} x {y_mm:.2} x {z_mm:.2} mm); \
         ask for the part exported as a closed solid"
    )]
    NoVolume {
        /// Extent along x, mm.
        x_mm: f64,
        /// Extent along y, mm.
        y_mm: f64,
        /// Extent along z, mm.
        z_mm: f64,
    },
}
