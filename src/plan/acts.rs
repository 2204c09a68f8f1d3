//! Actions and access steps in the form the search works with.

use super::model::{Action, ActionKind, Model};

/// An action.
pub struct Act {
    /// Money for time and spending, access not counted.
    pub cost: f64,
    /// Access steps.
    pub access: Vec<usize>,
    /// Actions that must have been done.
    pub after: Vec<usize>,
    /// Whether another action waits for this one.
    pub awaited: bool,
    /// What it does.
    pub does: Does,
}

/// What an action does.
pub enum Does {
    /// Reads these findings.
    Check(Vec<usize>),
    /// Cures these causes.
    Fix(Vec<usize>),
}

impl Act {
    /// All actions of a model.
    pub fn all(model: &Model) -> Vec<Act> {
        let awaited = |a: usize| model.actions.iter().any(|other| other.after.contains(&a));
        model.actions.iter().enumerate().map(|(a, action)| act(action, awaited(a), model.rate_per_minute)).collect()
    }

    /// Whether it is a fix.
    pub fn is_fix(&self) -> bool {
        matches!(self.does, Does::Fix(_))
    }

    /// The causes that it cures.
    pub fn cures(&self) -> &[usize] {
        match &self.does {
            Does::Fix(cures) => cures,
            Does::Check(_) => &[],
        }
    }

    /// Whether it is a fix for any of these causes.
    pub fn cures_any(&self, causes: &[usize]) -> bool {
        self.cures().iter().any(|c| causes.contains(c))
    }
}

fn act(action: &Action, awaited: bool, rate: f64) -> Act {
    let does = match &action.kind {
        ActionKind::Check { reveals } => Does::Check(reveals.clone()),
        ActionKind::Fix { cures } => Does::Fix(cures.clone()),
    };
    Act { cost: action.minutes * rate + action.money, access: action.access.clone(), after: action.after.clone(), awaited, does }
}
