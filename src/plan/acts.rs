//! Actions and access steps in the form the search works with.

use super::model::{Action, ActionKind, Model};

/// An action.
pub struct Act {
    /// Money for time and spending, access not counted.
    pub cost: f64,
    /// Money that is counted on top where it is a fix and cures nothing.
    pub vain: f64,
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
    /// Cures these causes, each with a chance.
    Fix(Vec<(usize, f64)>),
}

impl Act {
    /// All actions of a model; `idle` has for each the chance that none of the causes is there that it cures beside those of the model.
    pub fn all(model: &Model, idle: &[f64]) -> Vec<Act> {
        let awaited = |a: usize| model.actions.iter().any(|other| other.after.contains(&a));
        model.actions.iter().enumerate().map(|(a, action)| act(action, awaited(a), model, idle[a])).collect()
    }

    /// Whether it is a fix.
    pub fn is_fix(&self) -> bool {
        matches!(self.does, Does::Fix(_))
    }

    /// The causes that it may cure, each with the chance that it does.
    pub fn cures(&self) -> &[(usize, f64)] {
        match &self.does {
            Does::Fix(cures) => cures,
            Does::Check(_) => &[],
        }
    }

    /// Whether it is a fix for any of these causes.
    pub fn cures_any(&self, causes: &[usize]) -> bool {
        self.cures().iter().any(|(c, _)| causes.contains(c))
    }
}

fn act(action: &Action, awaited: bool, model: &Model, idle: f64) -> Act {
    let does = match &action.kind {
        ActionKind::Check { reveals } => Does::Check(reveals.clone()),
        ActionKind::Fix { cures } => Does::Fix(cures.iter().copied().filter(|(_, chance)| *chance > 0.0).collect()),
    };
    let cost = action.minutes * model.rate_per_minute + action.money;
    Act { cost, vain: (model.vain_factor - 1.0) * cost * idle, access: action.access.clone(), after: action.after.clone(), awaited, does }
}
