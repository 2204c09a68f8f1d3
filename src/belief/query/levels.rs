//! The levels of a finding that one look tells apart.
//!
//! A finding seen in state `k` needs two levels (below, and exactly `k`; above is impossible), a normal one needs one,
//! a reading near a limit one for each state it may be in. A level is all that the sweep has to remember of a finding.

use crate::belief::model::FindingNode;

/// How the states of a finding fold into the levels one observation tells apart.
#[derive(Debug, Default)]
pub struct Levels {
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
