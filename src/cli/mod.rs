//! The way in from a terminal.
