//! Paths -> bytes, and bytes -> paths: the one room that opens, locks, appends to and replaces files.
//!
//! What it holds to, whatever else goes on on the machine:
//! - only regular files are opened, and no more of one is read than its limit;
//! - a sheet is locked before it is read, and an answer counts as kept only when it is on the disk under the sheet's own name;
//! - a file is replaced in one step or not at all, by a file that no other program can name beforehand, and never where it was read as input.
//!
//! The work is written against a [`Medium`], so that a made-up one can fail, stop short and crash at every step (`tests/disk`).

mod beside;
mod held;
mod ledger;
mod medium;
mod put;
mod read;
mod real;
mod trouble;

pub use held::{Held, Kept};
pub use medium::{Identity, Medium};
pub use put::{exchange, put, put_new};
pub use read::{open, read, regular_at};
pub use real::Disk;
pub use trouble::{Sort, Trouble};
