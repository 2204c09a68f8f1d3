//! The stated approximation for components too wide to sweep.

mod annealed;
mod chain;
mod core;
mod estimate;

pub use annealed::sampled;
pub use estimate::{Runs, Sampling, Spread, log_mean};
