//! What a path is laid for.

/// What a path is laid for. The machine's speeds are kept per role.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// The outermost perimeter.
    Outer,
    /// A perimeter behind the outermost.
    Inner,
    /// Solid fill.
    Fill,
    /// Open fill: lines at a fraction of solid.
    Open,
    /// One bead along something too narrow for whole beads.
    Sliver,
    /// Support below overhangs.
    Support,
}

impl Role {
    /// Every role, in the order in which outputs list them.
    pub const ALL: [Role; 6] = [
        Role::Outer,
        Role::Inner,
        Role::Fill,
        Role::Open,
        Role::Sliver,
        Role::Support,
    ];

    /// The role's place in [`Role::ALL`].
    pub fn index(self) -> usize {
        self as usize
    }

    /// The role's name in JSON and in the shop file.
    pub fn name(self) -> &'static str {
        match self {
            Role::Outer => "outer",
            Role::Inner => "inner",
            Role::Fill => "fill",
            Role::Open => "open",
            Role::Sliver => "sliver",
            Role::Support => "support",
        }
    }
}
