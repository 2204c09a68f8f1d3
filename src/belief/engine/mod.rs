//! What is asked: evidence weighed, exactly or sampled, and all questions after that.

mod calibrated;
mod conflict;
mod limits;
mod lookahead;
mod prepared;
mod problem;
mod weigh;

pub use limits::{Limits, Method};
pub use lookahead::Outcome;
pub use prepared::Prepared;
pub use weigh::{Beliefs, weigh, weigh_causes};
