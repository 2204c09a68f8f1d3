//! `when`: for which vehicles a block is, in three-valued logic, since a trait may not be known.

use super::table::Id;
use super::types::Trait;
use serde::{Deserialize, Serialize};

/// A condition on traits, resolved.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[allow(missing_docs)]
pub enum Need {
    Always,
    Has(Id<Trait>),
    Not(Box<Need>),
    All(Vec<Need>),
    Any(Vec<Need>),
}

impl Need {
    /// Whether it holds for a vehicle of these traits (by number of trait); none where an unknown trait decides.
    pub fn holds(&self, traits: &[Option<bool>]) -> Option<bool> {
        match self {
            Need::Always => Some(true),
            Need::Has(id) => traits.get(id.index()).copied().flatten(),
            Need::Not(inner) => inner.holds(traits).map(|b| !b),
            Need::All(parts) => all(parts.iter().map(|p| p.holds(traits))),
            Need::Any(parts) => all(parts.iter().map(|p| p.holds(traits).map(|b| !b))).map(|b| !b),
        }
    }

    /// Whether a block stays in: only a condition that is known not to hold takes it out.
    pub fn keeps(&self, traits: &[Option<bool>]) -> bool {
        self.holds(traits) != Some(false)
    }

    /// The traits it names.
    pub fn traits(&self) -> Vec<Id<Trait>> {
        match self {
            Need::Always => vec![],
            Need::Has(id) => vec![*id],
            Need::Not(inner) => inner.traits(),
            Need::All(parts) | Need::Any(parts) => parts.iter().flat_map(Need::traits).collect(),
        }
    }
}

/// False if any is false, unknown if any is unknown, else true.
fn all(parts: impl Iterator<Item = Option<bool>>) -> Option<bool> {
    let mut known = Some(true);
    for part in parts {
        match part {
            Some(false) => return Some(false),
            None => known = None,
            Some(true) => {}
        }
    }
    known
}
