//! The `beadtally` command.

fn main() {}
