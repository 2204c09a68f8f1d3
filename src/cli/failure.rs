//! What stops a command before it has a result: the message, and what to do.

use std::fmt;

/// Input or arguments that can't be used: exit status 2.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failure {
    /// What is wrong, with the place.
    pub message: String,
    /// What to do.
    pub help: String,
}

impl Failure {
    /// A failure with its way out.
    pub fn new(message: impl Into<String>, help: impl Into<String>) -> Self {
        Failure { message: message.into(), help: help.into() }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "error: {}\n  help: {}", self.message, self.help)
    }
}
