//! How much each lint matters to this workshop: its own severities over those the lints come with.

use super::{can_be_allowed, code, codes};
use crate::syntax::{Code, Severity, nearest};
use std::collections::HashMap;

/// What a workshop may make of a lint.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Level {
    /// Nothing is said.
    Off,
    /// Said with this severity.
    Said(Severity),
}

/// The workshop's severities.
#[derive(Debug, Clone, Default)]
pub struct Levels(HashMap<&'static str, Level>);

/// A code that can't be given a level.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum UnknownCode {
    /// No remark has it.
    #[error("no remark has the code `{0}`{suggestion}", suggestion = .1.as_ref().map_or(String::new(), |n| format!("; did you mean `{n}`?")))]
    Nothing(String, Option<String>),
    /// It is an error of the language.
    #[error("`{0}` is an error of the language, and errors can't be turned down")]
    Error(String),
}

impl Levels {
    /// Sets the level of a code, given by id or name.
    ///
    /// # Errors
    /// [`UnknownCode`] where no lint has it.
    pub fn set(&mut self, id_or_name: &str, level: Level) -> Result<(), UnknownCode> {
        let Some(code) = code(id_or_name) else {
            let near = nearest(id_or_name, codes().flat_map(|c| [c.id, c.name]));
            return Err(UnknownCode::Nothing(id_or_name.into(), near));
        };
        if !can_be_allowed(code) {
            return Err(UnknownCode::Error(id_or_name.into()));
        }
        self.0.insert(code.id, level);
        Ok(())
    }

    /// The severity of a code here; none where it is off.
    pub fn of(&self, code: Code) -> Option<Severity> {
        match self.0.get(code.id) {
            None => Some(code.severity),
            Some(Level::Said(severity)) => Some(*severity),
            Some(Level::Off) => None,
        }
    }
}
