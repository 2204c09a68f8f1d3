//! The belief room against its definition, against published examples, and against other ways to the same numbers.
#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::float_cmp,
    reason = "helpers of tests may fail, figures are printed, and exact results are exact"
)]
mod edges;
mod enumeration;
mod generate;
mod reference;
