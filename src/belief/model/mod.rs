//! What may be, and what was seen and done: checked once.

mod contradiction;
mod history;
mod network;

pub use contradiction::{Contradiction, Why};
pub use history::{History, MISREAD, MOST_REPAIRS, Repair, Seen};
pub use network::{CauseNode, FindingNode, Network, NetworkError};
