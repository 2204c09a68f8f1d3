//! All integration tests in one binary.

// a panic in a helper of a test is a failed test, as in the test itself
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod belief;
mod cli;
mod codes;
mod plan;
mod readings;
mod syntax;
