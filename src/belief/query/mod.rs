//! What takes part in a query, as nodes with levels: how long things last, what looks tell apart, and the graph of both.

mod build;
mod graph;
mod histories;
mod levels;
mod lives;
mod looks;

pub use build::Query;
pub use graph::{Factor, Graph, Link, Node, Role};
pub use histories::{Grain, Histories};
pub use levels::Levels;
pub use lives::Lives;
pub use looks::{Epoch, epochs};
