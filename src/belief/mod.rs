//! The belief room: a network of causes and findings, and what is known of one car, turned into exact probabilities.
//!
//! It knows no text, no files and no money, and it never subtracts two probabilities: every result is a sum of
//! products of non-negative numbers, so a probability of evidence of 1e-300 is as good as one of 0.3.
//!
//! # The model
//! - A cause is present or absent. With own prior `q` and present parents `i` of strength `s_i` it is present with
//!   probability `1 - (1 - q) * prod(1 - s_i)` (noisy-OR; Pearl 1988).
//! - A finding has the states `0` (normal) to `K`. Each present cause pushes it to state `k` with probability `s_ik`,
//!   the stray push does the same without any cause, and the finding is the highest state it was pushed to:
//!   `P(F <= k | causes) = P_stray(<= k) * prod over present causes of (1 - sum over l > k of s_il)`
//!   (noisy-MAX; Henrion 1989, Díez 1993).
//! - An observation gives a weight to each state; its likelihood is `sum over k of weight_k * P(F = k | causes)`, where
//!   causes already cured when it was taken count as absent for that finding's own pushes.
//!
//! # The way
//! `network` (what may be) and `evidence` (what was seen) -> `graph` (what takes part) -> `fold` and `order` (in which
//! order it is swept, with width, work and memory known before a number is computed; `greedy`, `schedule`) -> `sweep` (the
//! `table` steps, forward and back) or, past the limits, `annealed` samples (`walk`, `runs`) -> `solve`, `swept` and
//! `lookahead` (what is asked of it) -> `prepared` and `weigh` (the answers). `expand` writes a network out for others.

mod annealed;
mod contradiction;
mod evidence;
mod expand;
mod fold;
mod graph;
mod greedy;
mod lives;
mod lookahead;
mod looks;
mod network;
mod number;
mod order;
mod prepared;
mod random;
mod runs;
mod schedule;
mod solve;
mod sweep;
mod swept;
mod table;
mod walk;
mod weigh;

pub use contradiction::{Contradiction, Why};
pub use evidence::{History, MISREAD, Repair, Seen};
pub use expand::{TableNode, TableRole, expand};
pub use network::{CauseNode, FindingNode, Network, NetworkError};
pub use prepared::{Outcome, Prepared};
pub use weigh::{Beliefs, Limits, Method, weigh, weigh_causes};
