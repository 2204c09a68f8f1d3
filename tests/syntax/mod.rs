//! The rule language as text.
mod format;
pub mod messy;
mod slips;
