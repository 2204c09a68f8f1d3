//! The walk: from intake to a job proven and handed over, one question at a time.
//!
//! A session is a value: the sheet with its journal. What is asked next follows from it alone, so that a walk can be stopped, resumed, taken
//! back and tested. This room asks and understands answers; it prints nothing and writes no file.

mod ask;
mod closing;
mod intake;
mod older;
mod proofs;
mod proving;
mod reply;
mod standing;
mod steps;
mod summary;
mod unheard;

pub use ask::{Ask, Free, Reply, Several};
pub use older::without_place;
pub use proofs::{FixDone, Proof};
pub use reply::{Said, understand};
pub use standing::Standing;
pub use steps::next;
pub use summary::{Summary, summary};
