//! The rules' own tests: a case is a job sheet with what must come out of it.
//!
//! It judges; it never prints and reads no file.

mod case;
mod coverage;
mod drive;
mod verdict;
mod why;

pub use case::{Case, Expect, parse, schema};
pub use coverage::{Coverage, coverage};
pub use drive::{Driven, drive, likeliest, with_conditions as with_likely_conditions};
pub use verdict::{Miss, Verdict, judge};
pub use why::Why;
