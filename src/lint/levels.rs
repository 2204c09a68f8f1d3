//! How much each lint matters to this workshop: its own severities over those the lints come with.

use super::{can_be_allowed, code, codes};
use crate::syntax::{Code, Severity, nearest};
use std::collections::{BTreeMap, HashMap};
use std::path::PathBuf;

/// What a workshop may make of a lint.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Level {
    /// Nothing is said.
    Off,
    /// Said with this severity.
    Said(Severity),
}

/// The workshop's severities: everywhere, and others below some folders.
#[derive(Debug, Clone, Default)]
pub struct Levels {
    everywhere: HashMap<&'static str, Level>,
    /// By folder; of two that hold a file, the inner one counts.
    within: BTreeMap<PathBuf, HashMap<&'static str, Level>>,
    /// Where names of files go out from that are not absolute.
    here: PathBuf,
}

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
    /// None changed; names of files go out from a folder.
    pub fn new(here: PathBuf) -> Levels {
        Levels { here, ..Levels::default() }
    }

    /// Sets the level of a code, given by id or name.
    ///
    /// # Errors
    /// [`UnknownCode`] where no lint has it.
    pub fn set(&mut self, id_or_name: &str, level: Level) -> Result<(), UnknownCode> {
        self.everywhere.insert(known(id_or_name)?, level);
        Ok(())
    }

    /// Sets the level of a code for the files below a folder.
    ///
    /// # Errors
    /// [`UnknownCode`] where no lint has it.
    pub fn set_within(&mut self, folder: PathBuf, id_or_name: &str, level: Level) -> Result<(), UnknownCode> {
        self.within.entry(folder).or_default().insert(known(id_or_name)?, level);
        Ok(())
    }

    /// Whether a code is said in some file.
    pub fn anywhere(&self, code: Code) -> bool {
        let said = |levels: &HashMap<_, _>| matches!(levels.get(code.id), Some(Level::Said(_)));
        !matches!(self.everywhere.get(code.id), Some(Level::Off)) || self.within.values().any(said)
    }

    /// The severity of a code in a file; none where it is off.
    pub fn of(&self, code: Code, file: &str) -> Option<Severity> {
        let path = self.here.join(file);
        // a folder sorts before those within it
        let inner = self.within.iter().rev().filter(|(folder, _)| path.starts_with(folder)).find_map(|(_, levels)| levels.get(code.id));
        match inner.or_else(|| self.everywhere.get(code.id)) {
            None => Some(code.severity),
            Some(Level::Said(severity)) => Some(*severity),
            Some(Level::Off) => None,
        }
    }
}

/// The id of a lint, given by id or name.
fn known(id_or_name: &str) -> Result<&'static str, UnknownCode> {
    let Some(code) = code(id_or_name) else {
        let near = nearest(id_or_name, codes().flat_map(|c| [c.id, c.name]));
        return Err(UnknownCode::Nothing(id_or_name.into(), near));
    };
    if can_be_allowed(code) { Ok(code.id) } else { Err(UnknownCode::Error(id_or_name.into())) }
}
