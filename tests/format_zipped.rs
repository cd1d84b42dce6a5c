//! 3MF, AMF, zip and gz: what is read, what is passed over, what is refused, and that no bytes do harm.

#![allow(clippy::unwrap_used, clippy::expect_used)]

mod zipped;
