//! Which files this process has read: none of them is overwritten by a result.

use super::Identity;
use std::collections::BTreeSet;
use std::sync::{Mutex, PoisonError};

static READ: Mutex<BTreeSet<Identity>> = Mutex::new(BTreeSet::new());

/// Notes a file as input.
pub fn note(identity: Identity) {
    READ.lock().unwrap_or_else(PoisonError::into_inner).insert(identity);
}

/// Whether the file was read.
pub fn is_input(identity: &Identity) -> bool {
    READ.lock().unwrap_or_else(PoisonError::into_inner).contains(identity)
}
