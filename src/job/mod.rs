//! Sheet, flags and words -> evidence: what is known of one car.
//!
//! A finding that nobody looked at is unknown, never normal. This room reads no file: it is handed texts.

mod evidence;
mod input;
mod journal;
pub mod log;
mod reading;
mod repaired;
mod sheet;
mod traits;
mod words;

pub use evidence::{Evidence, Heard, Observation, Shown, UnknownCode, evidence};
pub use input::{InputError, harmless};
pub use journal::{Closed, Entry, effective};
pub use reading::{band_weights, parse_quantity};
pub use repaired::heard_repairs;
pub use sheet::{CodeEntry, CodeStatus, Complaint, JobSheet, ReadingEntry, Scan, Vehicle};
pub use traits::settle;
