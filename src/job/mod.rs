//! Sheet, flags and words -> evidence: what is known of one car.
//!
//! A finding that nobody looked at is unknown, never normal. This room reads no file: it is handed texts.

mod codes;
mod evidence;
mod hearing;
mod input;
mod journal;
pub mod log;
mod observation;
mod reader;
mod reading;
mod sheet;
mod strip;
mod toml_words;
mod traits;
mod typed;

pub use codes::{NoCode, given_codes, typed_codes};
pub use evidence::{Evidence, Period, evidence};
pub use hearing::{Heard, heard_repairs, symptoms_like};
pub use input::{InputError, harmless, harmless_name};
pub use journal::{Choice, Closed, Disposal, Entry, Event, Known, Left, Listed, Look, Signed, Subject, Taken, Ticked, effective};
pub use observation::{Observation, Shown, UnknownCode};
pub use reading::{band_weights, parse_quantity};
pub use sheet::{CodeEntry, CodeStatus, Complaint, Done, JobSheet, ReadingEntry, Scan, Vehicle};
pub use strip::stripped;
pub use toml_words::toml_mistake;
pub use traits::{known_traits, settle};
pub use typed::{Typed, typed_reading};
