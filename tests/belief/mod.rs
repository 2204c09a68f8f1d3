//! The belief room against its definition, against published examples, and against other ways to the same numbers.
#![allow(clippy::print_stdout, clippy::float_cmp, reason = "figures are printed, and exact results are exact")]

mod edges;
mod enumeration;
mod expand;
mod generate;
mod mutated;
mod properties;
mod published;
mod rational;
mod reference;
mod subset_sum;
mod wide;
