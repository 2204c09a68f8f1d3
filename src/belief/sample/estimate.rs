//! Several populations of samples, each with its own estimate, brought together: the mean, and how far they spread.

/// How a part too wide to sweep is sampled.
#[derive(Debug, Clone, Copy)]
pub struct Sampling {
    /// Samples in a population.
    pub size: usize,
    pub runs: u32,
    pub seed: u64,
}

/// How far populations of samples spread.
#[derive(Debug, Clone, Copy)]
pub struct Spread {
    /// Samples drawn, over all populations.
    pub samples: u32,
    /// How many samples of equal weight would be as good.
    pub effective: f64,
    /// Largest standard error of any probability.
    pub standard_error: f64,
    /// Standard error of P(evidence), as a share of it.
    pub evidence_error: f64,
}

impl Spread {
    /// The worse of two.
    pub fn and(self, other: Spread) -> Spread {
        Spread {
            samples: self.samples.min(other.samples),
            effective: self.effective.min(other.effective),
            standard_error: self.standard_error.max(other.standard_error),
            evidence_error: self.evidence_error.hypot(other.evidence_error),
        }
    }
}

/// Estimates of P(evidence), as logarithms, with the probabilities that go with each.
#[derive(Debug, Default)]
pub struct Runs {
    totals: Vec<f64>,
    levels: Vec<Vec<f64>>,
}

impl Runs {
    pub fn add(&mut self, total: f64, levels: impl Iterator<Item = f64>) {
        self.totals.push(total);
        self.levels.push(levels.collect());
    }

    /// ln of the mean estimate, the probabilities weighed by the estimate they go with, and how sure that is. The standard
    /// error is that of a ratio of means.
    pub fn finish(&self, samples: u32) -> (f64, Vec<f64>, Spread) {
        let top = self.totals.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let size = self.levels.first().map_or(0, Vec::len);
        if top == f64::NEG_INFINITY {
            return (top, vec![0.0; size], Spread { samples, effective: 0.0, standard_error: 1.0, evidence_error: 1.0 });
        }
        let weights: Vec<f64> = self.totals.iter().map(|t| (t - top).exp()).collect();
        let (sum, squares) = (weights.iter().sum::<f64>(), weights.iter().map(|w| w * w).sum::<f64>());
        let mean = |i: usize| self.levels.iter().zip(&weights).map(|(l, w)| if *w > 0.0 { l[i] * w } else { 0.0 }).sum::<f64>() / sum;
        let means: Vec<f64> = (0..size).map(mean).collect();
        let runs = weights.len() as f64;
        let uneven = runs * squares / (sum * sum);
        // where one estimate outweighs the others how far these are from it would count for nothing: then all count alike
        let possible = self.totals.iter().map(|t| f64::from(u8::from(*t > f64::NEG_INFINITY)));
        let counts: Vec<f64> = if uneven > runs / 2.0 { possible.collect() } else { weights };
        let counted: f64 = counts.iter().sum();
        let error = |i: usize| {
            let off = self.levels.iter().zip(&counts).filter(|(_, c)| **c > 0.0).map(|(l, c)| (c * (l[i] - means[i])).powi(2));
            (off.sum::<f64>() * runs / (runs - 1.0)).sqrt() / counted
        };
        let standard_error = (0..size).map(error).fold(0.0, f64::max);
        let evidence_error = ((uneven - 1.0).max(0.0) / (runs - 1.0)).sqrt();
        let spread = Spread { samples, effective: f64::from(samples) / uneven, standard_error, evidence_error };
        (log_mean(&self.totals), means, spread)
    }
}

/// ln of the mean of numbers given by their logarithms.
pub fn log_mean(logs: &[f64]) -> f64 {
    let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if top == f64::NEG_INFINITY {
        return top;
    }
    top + (logs.iter().map(|x| (x - top).exp()).sum::<f64>() / logs.len() as f64).ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Found on scans with hundreds of codes: one estimate of ten outweighed the others, and the answer was said to be good to thirteen digits.
    #[test]
    fn one_estimate_that_outweighs_all_is_no_certainty() {
        let mut runs = Runs::default();
        (0..10).for_each(|i| runs.add(if i == 3 { 0.0 } else { -2000.0 }, [if i == 3 { 0.9 } else { 0.1 }].into_iter()));
        let (_, mean, spread) = runs.finish(1000);
        assert!((mean[0] - 0.9).abs() < 1e-9 && spread.effective < 101.0, "{mean:?} {spread:?}");
        assert!(spread.standard_error > 0.1, "{spread:?}");
    }
}
