//! Two books -> what changed in meaning, and what that does to the plans of known cars.
//!
//! It compares checked books, so that layout, order and comments do not count.

mod effects;
mod facts;
mod window;

pub use effects::{Car, Effect, Outcome, effect};
pub use facts::{Change, changes};
