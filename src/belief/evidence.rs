//! What was seen and what was repaired meanwhile, and the levels of a finding that one look tells apart.
//!
//! A finding seen in state `k` needs two levels (below, and exactly `k`; above is impossible), a normal one needs one,
//! a reading near a limit one for each state it may be in. A level is all that the sweep has to remember of a finding.

use super::contradiction::{Contradiction, Why};
use super::network::{FindingNode, Network};

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
    pub(super) fn check(&self, network: &Network, periods: usize) -> Result<(), Contradiction> {
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
    pub(super) fn check(&self, network: &Network) -> Result<(), Contradiction> {
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

/// How the states of a finding fold into the levels one observation tells apart.
#[derive(Debug, Default)]
pub(super) struct Levels {
    /// The highest state of each level, rising.
    pub tops: Vec<usize>,
    /// The weight of each level.
    pub weights: Vec<f64>,
}

impl Levels {
    /// States of weight 0 side by side are one level; those above the last state that counts are dropped altogether.
    /// Empty when no state counts.
    pub fn set(&mut self, weights: &[f64]) {
        self.tops.clear();
        self.weights.clear();
        let last = weights.iter().rposition(|&w| w > 0.0).map_or(0, |k| k + 1);
        for (k, &weight) in weights[..last].iter().enumerate() {
            if weight <= 0.0 && self.weights.last().is_some_and(|&w| w <= 0.0) {
                self.tops.pop();
            } else {
                self.weights.push(weight);
            }
            self.tops.push(k);
        }
    }

    /// The levels of one observation.
    pub fn of(weights: &[f64]) -> Levels {
        let mut levels = Levels::default();
        levels.set(weights);
        levels
    }

    /// How many states are left open.
    pub fn open(&self) -> usize {
        self.weights.iter().filter(|&&w| w > 0.0).count()
    }

    /// The share of pushes that lands on each level. The lowest level takes what is left of 1, pushes that go nowhere
    /// included; pushes above the last level are left out.
    pub fn split<'a>(&'a self, pushes: &'a [f64]) -> impl Iterator<Item = f64> + 'a {
        (0..self.tops.len()).map(move |level| match level {
            0 => (1.0 - pushes[self.tops[0]..].iter().sum::<f64>()).max(0.0),
            _ => pushes[self.tops[level - 1]..self.tops[level]].iter().sum(),
        })
    }

    /// Spreads the weight of each level back over the states of its finding. Levels of several states have weight 0.
    pub fn spread(&self, by_level: impl Iterator<Item = f64>, node: &FindingNode) -> Vec<f64> {
        let mut states = vec![0.0; node.states()];
        for (&top, value) in self.tops.iter().zip(by_level) {
            states[top] = value;
        }
        states
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn levels_keep_what_an_observation_tells_apart() {
        let tops = |w: &[f64]| Levels::of(w).tops;
        assert_eq!(tops(&[1.0, 0.0, 0.0]), [0]);
        assert_eq!(tops(&[0.0, 0.0, 1.0, 0.0]), [1, 2]);
        assert_eq!(tops(&[0.2, 0.0, 0.8]), [0, 1, 2]);
        assert_eq!(tops(&[0.0, 0.0]), Vec::<usize>::new());
        let split: Vec<f64> = Levels::of(&[0.0, 0.0, 1.0, 0.0]).split(&[0.1, 0.2, 0.3]).collect();
        assert_eq!(split, [0.5, 0.2]);
    }
}
