//! How far an exact answer may go, and how an answer was reached.

use crate::belief::order::Cost;
use crate::belief::sample::Sampling;

/// How far an exact answer may go, and what takes over past that. Counted in work, never in time, so that the same
/// question has the same answer on every machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Largest table, in bits: a table of `2^width` numbers.
    pub width: u32,
    /// Largest memory for the tables of one sweep, in bytes.
    pub memory_bytes: u64,
    /// Largest number of table entries touched in one sweep, and for the predictions of all findings together.
    pub work: u64,
    /// Number of samples drawn where an exact answer would pass a limit; fewer where so many would take more than about a second.
    pub samples: u32,
    /// Where the drawing starts; the same seed gives the same answer.
    pub seed: u64,
}

impl Limits {
    /// For each step of a walk: a quarter of the work, so that nobody waits at the ramp.
    pub const STEP: Limits = Limits { work: 1_000_000_000, samples: 400, ..Limits::GLANCE };
    /// For what is asked in passing, dozens of times for one page: some 20 ms each.
    pub const GLANCE: Limits = Limits { width: 22, memory_bytes: 512 << 20, work: 50_000_000, samples: 200, seed: 1 };
}

impl Default for Limits {
    /// 22 bits, 512 MiB, 4 thousand million entries (about a second), 1000 samples (about as long).
    fn default() -> Limits {
        Limits { work: 4_000_000_000, samples: 1000, ..Limits::GLANCE }
    }
}

/// Populations of samples; the standard error comes from how far they spread.
const RUNS: u32 = 10;

impl Limits {
    pub(in crate::belief) fn sampling(&self) -> Sampling {
        Sampling { size: (self.samples / RUNS).max(2) as usize, runs: RUNS, seed: self.seed }
    }

    pub(in crate::belief) fn allow(&self, cost: Cost) -> bool {
        let bytes = (cost.kept + 2.0 * cost.peak) * size_of::<f64>() as f64;
        cost.peak <= 2f64.powf(f64::from(self.width)) && bytes <= self.memory_bytes as f64 && cost.work <= self.work as f64
    }
}

/// How an answer was reached.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Method {
    /// Exact to rounding.
    Exact {
        /// Bits of the largest table.
        width: u32,
        /// Table entries touched.
        work: u64,
    },
    /// A limit stood in the way of the exact answer: annealed importance sampling, in several populations.
    Sampled {
        /// Samples drawn, over all populations.
        samples: u32,
        /// How many samples of equal weight would be as good (Kish's effective size, over the populations).
        effective: f64,
        /// Largest standard error of any probability.
        standard_error: f64,
        /// Standard error of P(evidence), as a share of it.
        evidence_error: f64,
    },
}
