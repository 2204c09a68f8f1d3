//! Blocks -> the checked book: names resolved, units made canonical, words turned to numbers, graphs without loops.
//!
//! Nothing after this room parses a string of a rule file. It never reads a file itself: it is handed texts.

mod bands;
mod build;
mod clauses;
mod code_table;
pub mod codes;
mod dtc;
mod findings;
mod graphs;
mod layers;
mod names;
mod need;
mod read;
mod scales;
pub mod shipped;
mod stack;
mod table;
mod types;
mod units;
mod window;

pub use code_table::{Definer, title, titled};
pub use dtc::{Dtc, DtcError};
pub use need::Need;
pub use read::read;
pub use scales::{CHANCED, in_percent};
pub use table::{Id, Table};
pub use types::*;
pub use units::{COUNT, Dimension, Unit, UnitError, minutes};
pub use window::{Formula, Hold, Sign, Take, Window};
