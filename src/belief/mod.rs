//! The belief room: a network of causes, conditions and findings, and what was seen and repaired on one car, turned into exact probabilities.
//!
//! It knows no text, no files and no money. Results are sums of products of non-negative numbers, so a probability of evidence of 1e-300 is as good
//! as one of 0.3. The one difference taken is that of two whole sweeps, for what a look not yet taken may show; where that would lose digits (a state rarer
//! than 1e-5) the state gets a sweep of its own (`engine::lookahead`). The sampler takes differences too, inside its own error.
//!
//! # The model
//! - A cause is present at intake or absent. With own prior `q` and what brings it about there with strength `s_i` it is present with
//!   probability `1 - (1 - q) * prod(1 - s_i)` (noisy-OR; Pearl 1988). Period `t` begins with the `t`-th repair; a repair cures each of its causes
//!   for certain or with a chance, drawn once for each repair (persistence: Breese & Heckerman 1996).
//! - A condition is there as long as something brings it about: a link from what is there acts for good or not, its own prior stands for what is not
//!   in the network and never ends.
//! - A finding has the states `0` (normal) to `K`. What is there pushes it to state `k` with probability `s_ik`, drawn once for all periods; the stray push does
//!   the same without any cause; in each period the finding is in the highest state of the pushes of what is there then: within one period
//!   `P(F <= k | causes) = P_stray(<= k) * prod over what is there of (1 - sum over l > k of s_il)` (noisy-MAX; Henrion 1989, Díez 1993).
//! - A look gives a weight to each state. Later looks at the same finding are misread with probability [`MISREAD`].
//!
//! # Why this stays a noisy-MAX
//! Everything is there from the intake to its end without a gap, so its end is all there is to know of it, and ends are ordered: a condition's end is the highest
//! of the ends that its acting links carry. A finding's course of states can only fall; courses are ordered period by period, and the finding's course is the
//! highest of all pushes in each period. So one mechanism serves all: nodes with levels, of which the highest that anything pushes to holds.
//!
//! # The way
//! `model` (what may be, what was seen and done) -> `query` (what takes part, as nodes with levels) -> `order` (in which order it is eliminated, with
//! width, work and memory known before a number is computed) -> `eliminate` (the steps forward and back) or, past the limits, `sample` ->
//! `engine` (what is asked). `export` writes a network out for others; `arith` holds the numbers of all.

mod arith;
mod eliminate;
mod engine;
mod export;
mod model;
mod order;
mod query;
mod sample;

pub use engine::{Beliefs, Limits, Method, Outcome, Prepared, weigh, weigh_causes};
pub use export::{TableNode, TableRole, expand};
pub use model::{CauseNode, Contradiction, FindingNode, History, MISREAD, Network, NetworkError, Repair, Seen, Why};
