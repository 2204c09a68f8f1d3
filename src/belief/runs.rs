//! Several populations of samples, each with its own estimate, brought together: the mean, and how far they spread.

use super::solve::Spread;

/// Estimates of P(evidence), as logarithms, with the probabilities that go with each.
#[derive(Debug, Default)]
pub(super) struct Runs {
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
            return (top, vec![0.0; size], Spread { effective: 0.0, standard_error: 1.0, evidence_error: 1.0 });
        }
        let weights: Vec<f64> = self.totals.iter().map(|t| (t - top).exp()).collect();
        let (sum, squares) = (weights.iter().sum::<f64>(), weights.iter().map(|w| w * w).sum::<f64>());
        let mean = |i: usize| self.levels.iter().zip(&weights).map(|(l, w)| if *w > 0.0 { l[i] * w } else { 0.0 }).sum::<f64>() / sum;
        let means: Vec<f64> = (0..size).map(mean).collect();
        let runs = weights.len() as f64;
        let error = |i: usize| {
            let off = self.levels.iter().zip(&weights).filter(|(_, w)| **w > 0.0).map(|(l, w)| (w * (l[i] - means[i])).powi(2));
            (off.sum::<f64>() * runs / (runs - 1.0)).sqrt() / sum
        };
        let standard_error = (0..size).map(error).fold(0.0, f64::max);
        let uneven = runs * squares / (sum * sum);
        let evidence_error = ((uneven - 1.0).max(0.0) / (runs - 1.0)).sqrt();
        let spread = Spread { effective: f64::from(samples) / uneven, standard_error, evidence_error };
        (log_mean(&self.totals), means, spread)
    }
}

/// ln of the mean of numbers given by their logarithms.
pub(super) fn log_mean(logs: &[f64]) -> f64 {
    let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if top == f64::NEG_INFINITY {
        return top;
    }
    top + (logs.iter().map(|x| (x - top).exp()).sum::<f64>() / logs.len() as f64).ln()
}
