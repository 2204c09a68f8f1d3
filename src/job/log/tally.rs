//! Many samples in little memory: how many, least, most, mean, first, last, and their median.

use std::collections::BTreeMap;

/// As many different values are counted exactly; recorders print far fewer.
const EXACT: usize = 4096;

/// Samples counted.
#[derive(Debug, Clone, Default)]
pub struct Tally {
    /// How many.
    pub count: u64,
    /// The least; meaningless while there is none.
    pub least: f64,
    /// The greatest.
    pub most: f64,
    /// The first.
    pub first: f64,
    /// The last.
    pub last: f64,
    sum: f64,
    by_value: BTreeMap<i64, u64>,
    /// Width of the steps in which values are counted; 0 while exact.
    step: f64,
    ordered: bool,
}

impl Tally {
    /// An empty one; `ordered` where its median will be asked for.
    pub fn new(ordered: bool) -> Tally {
        Tally { ordered, ..Tally::default() }
    }

    /// Adds `count` samples of one value.
    pub fn add(&mut self, value: f64, count: u64) {
        if count == 0 {
            return;
        }
        if self.count == 0 {
            (self.least, self.most, self.first) = (value, value, value);
        }
        self.least = self.least.min(value);
        self.most = self.most.max(value);
        self.last = value;
        self.count += count;
        self.sum += value * count as f64;
        if self.ordered {
            self.count_value(value, count);
        }
    }

    /// Adds the samples of a later one.
    pub fn merge(&mut self, later: &Tally) {
        if later.count == 0 {
            return;
        }
        if self.count == 0 {
            (self.least, self.most, self.first) = (later.least, later.most, later.first);
        }
        self.least = self.least.min(later.least);
        self.most = self.most.max(later.most);
        self.last = later.last;
        self.count += later.count;
        self.sum += later.sum;
        while self.step < later.step {
            self.coarsen();
        }
        later.by_value.iter().for_each(|(key, count)| self.count_value(value_of(*key), *count));
    }

    /// The arithmetic mean.
    pub fn mean(&self) -> f64 {
        self.sum / self.count as f64
    }

    /// The middle sample, or half-way between the two middle ones. Beyond 4096 different values it is right to 1/4096 of least to most.
    pub fn median(&self) -> f64 {
        let at = |rank: u64| {
            let mut passed = 0;
            let hit = self.by_value.iter().find(|(_, n)| {
                passed += **n;
                passed > rank
            });
            hit.map_or(self.last, |(key, _)| value_of(*key))
        };
        if self.count == 0 {
            return self.last;
        }
        let middle = (at((self.count - 1) / 2) + at(self.count / 2)) / 2.0;
        middle.clamp(self.least, self.most)
    }

    fn count_value(&mut self, value: f64, count: u64) {
        let rounded = if self.step > 0.0 { (value / self.step).round() * self.step } else { value };
        *self.by_value.entry(key_of(rounded)).or_default() += count;
        while self.by_value.len() > EXACT {
            self.coarsen();
        }
    }

    /// Doubles the steps, or begins with steps that leave half as many values as are counted exactly.
    fn coarsen(&mut self) {
        let first = (self.most - self.least) / (EXACT / 2) as f64;
        self.step = if self.step > 0.0 { self.step * 2.0 } else { first.max(f64::MIN_POSITIVE) };
        for (key, count) in std::mem::take(&mut self.by_value) {
            let rounded = (value_of(key) / self.step).round() * self.step;
            *self.by_value.entry(key_of(rounded)).or_default() += count;
        }
    }
}

/// Bits of a number in the order of the numbers (the order of IEEE 754 totalOrder).
fn key_of(value: f64) -> i64 {
    let bits = (value + 0.0).to_bits() as i64;
    bits ^ (((bits >> 63) as u64) >> 1) as i64
}

fn value_of(key: i64) -> f64 {
    f64::from_bits((key ^ (((key >> 63) as u64) >> 1) as i64) as u64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sorted_median(values: &[f64]) -> f64 {
        let mut sorted = values.to_vec();
        sorted.sort_by(f64::total_cmp);
        (sorted[(sorted.len() - 1) / 2] + sorted[sorted.len() / 2]) / 2.0
    }

    proptest! {
        #[test]
        fn the_median_is_that_of_the_sorted_samples(values in prop::collection::vec(-1e6f64..1e6, 1..300), split in 0usize..300) {
            let (mut whole, mut left, mut right) = (Tally::new(true), Tally::new(true), Tally::new(true));
            for (i, v) in values.iter().enumerate() {
                whole.add(*v, 1);
                if i < split { left.add(*v, 1) } else { right.add(*v, 1) }
            }
            left.merge(&right);
            let wanted = sorted_median(&values);
            prop_assert!((whole.median() - wanted).abs() < 1e-9);
            prop_assert!((left.median() - wanted).abs() < 1e-9);
            prop_assert_eq!(left.count, values.len() as u64);
            prop_assert_eq!((left.first, left.last), (values[0], values[values.len() - 1]));
        }
    }

    #[test]
    fn many_different_values_keep_memory_small_and_the_median_near() {
        let mut tally = Tally::new(true);
        // a multiplicative sequence that visits 100003 values in a scrambled order
        let values: Vec<f64> = (0..100_003u64).map(|i| (i * 7919 % 100_003) as f64 / 7.0).collect();
        values.iter().for_each(|v| tally.add(*v, 1));
        assert!(tally.by_value.len() <= EXACT);
        let spread = tally.most - tally.least;
        assert!((tally.median() - sorted_median(&values)).abs() <= spread / 4096.0, "{}", tally.median());
    }
}
