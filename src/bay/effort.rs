//! How much work goes into an assessment: one table for all who ask.

use crate::belief::Limits;
use crate::plan::Budget;

/// How far the answers go. Counted in work, never in time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// For the weights of the causes, and for what the plan is made on.
    pub weigh: Limits,
    /// For what is asked in passing: what speaks for a cause, what would prove it.
    pub glance: Limits,
    /// For the plan.
    pub plan: Budget,
}

impl Effort {
    /// For a page that somebody waits for once: `weigh`, `plan`, `report`.
    pub const PAGE: Effort = Effort { weigh: Limits { work: 4_000_000_000, samples: 1000, ..Limits::GLANCE }, ..Effort::STEP };
    /// For each question of a walk.
    pub const STEP: Effort = Effort { weigh: Limits::STEP, glance: Limits::GLANCE, plan: Budget::PLAN };
    /// For one of many cars: cases, and the comparison of two books.
    pub const MANY: Effort = Effort { plan: Budget { work: 5_000_000, sets: 150 }, ..Effort::PAGE };
    /// Enough to tell first steps apart; a plan proper follows.
    pub const TRIAL: Effort = Effort { weigh: Limits::GLANCE, glance: Limits::GLANCE, plan: Budget { work: 200_000, sets: 60 } };
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_is_weighed_as_far_as_belief_goes_by_default() {
        assert_eq!(Effort::PAGE.weigh, Limits::default());
    }
}
