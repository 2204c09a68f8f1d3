//! Variable elimination by an order: folds, tables, and the sweep forward and back over both.

mod fold;
mod numbers;
mod sweep;
mod table;

pub use numbers::{Numbers, Slopes};
pub use sweep::Sweep;
