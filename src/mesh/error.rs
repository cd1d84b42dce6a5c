//! Why a file gives no part.

/// Why a file gives no part. The sentence names the place and what would be right; the file's name is put before
/// it by whoever opened the file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MeshError {
    /// Nothing in it.
    #[error("the file is empty; ask for the part exported again")]
    Empty,
    /// Not a format that is read.
    #[error(
        "this is no mesh in a format that is read (it starts with \"{start}\"); ask for the part as STL, 3MF, OBJ, PLY, OFF or AMF"
    )]
    UnknownFormat {
        /// The first printable characters of the file.
        start: String,
    },
    /// Something else that is known.
    #[error("this is {what}; ask for the part as a mesh: STL, 3MF, OBJ, PLY, OFF or AMF")]
    Other {
        /// What it is.
        what: &'static str,
    },
    /// A file that breaks its format.
    #[error("{format}, {place}: {problem}; ask for the part exported again")]
    Malformed {
        /// The format's name.
        format: &'static str,
        /// Where: "line 12", "byte 840", "3D/3dmodel.model, line 4".
        place: String,
        /// What is wrong there and what would be right.
        problem: String,
    },
    /// An archive that gives no mesh.
    #[error("{problem}; ask for {ask}")]
    Archive {
        /// What is wrong with it.
        problem: String,
        /// What would be right.
        ask: &'static str,
    },
    /// An archive that unpacks to too much.
    #[error(
        "it unpacks to {unpacked_bytes} bytes or more, over the limit of {limit_bytes}; if you trust the sender, raise it with --limit"
    )]
    OverLimit {
        /// Bytes it says or was found to unpack to.
        unpacked_bytes: u64,
        /// The limit in force.
        limit_bytes: u64,
    },
    /// Several parts where one was asked for.
    #[error("the file holds {parts} parts where one is asked for; give them in a file each")]
    Several {
        /// Number of parts.
        parts: usize,
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
    /// A mesh of a size that nobody makes.
    #[error(
        "the part is {longest_mm:.1e} mm long, more than ten kilometres; the file is damaged or in another unit, ask for it again"
    )]
    TooLarge {
        /// Its greatest extent, mm.
        longest_mm: f64,
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
