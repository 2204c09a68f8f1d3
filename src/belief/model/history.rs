//! What was seen, and what was repaired meanwhile.

use super::contradiction::{Contradiction, Why};
use super::network::Network;

/// Chance that a look at what was looked at before is misread, or came and went: an estimate of ours, no source. It keeps what is said twice from
/// being a contradiction.
pub const MISREAD: f64 = 0.002;

/// More repairs on one car are refused: each may be one more level of everything below what it cures.
pub const MOST_REPAIRS: usize = 1000;

/// One look at a finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    /// Index of the finding.
    pub finding: usize,
    /// For each state `0..=K` the probability (0..=1) of what was seen if the finding is in it: 1 at the state seen and 0
    /// elsewhere for a certain look, the weights of the bands for a reading with an accuracy.
    pub weights: Vec<f64>,
    /// In which period it was taken: after so many repairs. Of several looks at one finding the first shows its state; each later one
    /// shows the state of its own period with chance `1 - MISREAD`, else any of the states alike.
    pub period: usize,
}

impl Seen {
    /// A certain look at a finding of `states` states that showed `state`, before any repair.
    pub fn state(finding: usize, state: usize, states: usize) -> Seen {
        let weights = (0..states).map(|k| if k == state { 1.0 } else { 0.0 }).collect();
        Seen { finding, weights, period: 0 }
    }

    /// The same look in another period.
    pub fn in_period(self, period: usize) -> Seen {
        Seen { period, ..self }
    }

    /// The one state that a look without any doubt leaves.
    pub fn sure_state(&self) -> Option<usize> {
        let mut open = (0..self.weights.len()).filter(|&k| self.weights[k] > 0.0);
        let state = open.next().filter(|&k| self.weights[k] >= 1.0)?;
        open.next().is_none().then_some(state)
    }

    /// Refuses what cannot be a look at this network.
    pub(in crate::belief) fn check(&self, network: &Network, periods: usize) -> Result<(), Contradiction> {
        let because = |why| Contradiction::of(self.finding, why);
        let node = network.findings().get(self.finding).ok_or(because(Why::NoSuchFinding))?;
        if self.weights.len() != node.states() {
            return Err(because(Why::WrongStates { given: self.weights.len(), states: node.states() }));
        }
        if self.period > periods {
            return Err(because(Why::NoSuchPeriod { period: self.period, periods }));
        }
        match self.weights.iter().find(|w| !(0.0..=1.0).contains(*w)) {
            Some(&weight) => Err(because(Why::NotAWeight { weight })),
            None => Ok(()),
        }
    }
}

/// What was put right between two periods.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Repair {
    /// The causes it cures, each with the chance (0..=1) that it does where the cause is there. A condition is never cured itself.
    pub cures: Vec<(usize, f64)>,
}

/// What is known of one car: what was seen, and what was repaired meanwhile. Period `t` begins with repair `t - 1`.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct History {
    /// Looks, in any order; several at one finding in one period are looks one after the other.
    pub seen: Vec<Seen>,
    /// Repairs, in order.
    pub repairs: Vec<Repair>,
}

impl From<Vec<Seen>> for History {
    /// What was seen, nothing repaired.
    fn from(seen: Vec<Seen>) -> History {
        History { seen, repairs: vec![] }
    }
}

impl History {
    /// The period now: after all repairs.
    pub fn now(&self) -> usize {
        self.repairs.len()
    }

    /// The causes that a repair before this period was to cure, sure or not.
    pub fn cured(&self, period: usize) -> Vec<usize> {
        self.repairs[..period.min(self.now())].iter().flat_map(|r| &r.cures).map(|(c, _)| *c).collect()
    }

    /// Refuses what cannot have happened to this network.
    pub(in crate::belief) fn check(&self, network: &Network) -> Result<(), Contradiction> {
        let because = |why| Contradiction { findings: vec![], conflict: vec![], why };
        if self.repairs.len() > MOST_REPAIRS {
            return Err(because(Why::TooManyRepairs { most: MOST_REPAIRS }));
        }
        for &(cause, chance) in self.repairs.iter().flat_map(|r| &r.cures) {
            if network.causes().get(cause).is_none_or(|c| c.condition) {
                return Err(because(Why::NotCurable { cause }));
            }
            if !(0.0..=1.0).contains(&chance) {
                return Err(because(Why::NotAChance { chance }));
            }
        }
        self.seen.iter().try_for_each(|s| s.check(network, self.now()))
    }
}
