//! One car in the bay: what applies to it, what may be done about it, and the plan of least expected cost, all in the book's own terms.
//!
//! It ties the book to the plain numbers of `belief` and `plan`, and computes nothing itself. `act` and `progress` are what may be done and what was;
//! `reach` is what a repair can change; `model` puts the car into the planner's numbers; `assessment` is all that is believed and planned of it, worked out by `free`, `hazards`, `meanwhile`, `proving`,
//! `questions`, `repairs` and `speaks`; `words` says it.

mod act;
mod assessment;
mod effort;
mod free;
mod hazards;
mod meanwhile;
mod model;
mod progress;
mod proving;
mod questions;
mod reach;
mod repairs;
mod sleep;
mod speaks;
mod words;

pub use act::Act;
pub use assessment::{Assessment, Misfit};
pub use effort::Effort;
pub use hazards::Raised;
pub use model::Bay;
pub use progress::{Later, Progress, Rates};
pub use proving::{Unproven, readable};
pub use questions::{Decides, Question, Why};
pub use reach::{can_change, with_conditions};
pub use repairs::{Repair, aftercare, aftercare_of};
pub use speaks::Speaks;
pub use words::{band_words, estimate_words, how_strongly, need_words, proof_asks, proof_wants, proof_words, state_words};
