//! In which order the nodes of a graph are eliminated, and what that takes: width, work and memory are known before a number is computed.

mod greedy;
mod planner;
mod reduce;
mod schedule;
mod steps;

pub use planner::Planner;
pub use steps::{Cost, Order, Step, components};
