//! The walk: from intake to a job proven and handed over, one question at a time.
//!
//! What is asked next follows from the sheet with its journal alone, so that a walk can be stopped, resumed, taken back and tested; a session keeps how
//! far it is folded. This room asks and understands answers; it prints nothing and writes no file.

mod ask;
mod car;
mod changed;
mod closing;
mod dangers;
mod handover;
mod intake;
mod leftovers;
mod older;
mod outcome;
mod proof;
mod proofs;
mod proving;
mod reply;
mod session;
mod standing;
mod steps;
mod unheard;

pub use ask::{Ask, Free, Reply, Several};
pub use older::without_place;
pub use outcome::{Leftover, Outcome, Worth};
pub use proof::{FixDone, Proof};
pub use reply::{understand, valid};
pub use session::{Session, Summary, Trouble};
pub use standing::Standing;
