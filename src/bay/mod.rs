//! One car in the bay: what applies to it, what may be done about it, and the plan of least expected cost, all in the book's own terms.
//!
//! It ties the book to the plain numbers of `belief` and `plan`, and computes nothing itself.

mod hazards;
mod model;
mod proving;
mod questions;
mod repairs;
mod speaks;
mod words;

pub use hazards::{Raised, dangers};
pub use model::{Act, Bay, Later, Progress, Rates};
pub use proving::{Unproven, readable, unproven, unproven_complaint};
pub use questions::{Decides, Question, Why, questions};
pub use repairs::{Repair, aftercare, aftercare_of, repairs};
pub use speaks::{Speaks, speaks};
pub use words::{band_words, estimate_words, how_strongly, need_words, proof_words};
