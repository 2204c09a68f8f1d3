//! Faultbook.

pub mod belief;
