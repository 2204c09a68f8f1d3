//! One look at a finding, and a code that the book has no rule for.

use super::sheet::CodeStatus;
use crate::book::{Finding, Id};

/// One finding seen.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    /// The finding.
    pub finding: Id<Finding>,
    /// How much each state counts, 0..=1; 1 for the state where it is certain.
    pub weights: Vec<f64>,
    /// As it was seen.
    pub shown: Shown,
}

/// How a finding was seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shown {
    /// In this state.
    State(usize),
    /// As this number, in the reading's unit.
    Value(f64),
}

/// A code without a rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownCode {
    /// The code.
    pub code: String,
    /// Its title or what its structure says.
    pub title: String,
    /// Its status.
    pub status: CodeStatus,
}

impl Observation {
    /// The state that counts most.
    pub fn likeliest_state(&self) -> usize {
        match self.shown {
            Shown::State(state) => state,
            Shown::Value(_) => (0..self.weights.len()).fold(0, |best, k| if self.weights[k] > self.weights[best] { k } else { best }),
        }
    }

    /// Whether it is anything but normal.
    pub fn abnormal(&self) -> bool {
        self.likeliest_state() > 0
    }
}
