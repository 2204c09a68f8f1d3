//! All the evidence weighed in one call.

use super::contradiction::Contradiction;
use super::evidence::History;
use super::network::Network;
use super::order::Cost;
use super::prepared::Prepared;
use super::sweep::Sampling;

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
    /// Number of samples drawn where an exact answer would pass a limit.
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
    pub(super) fn sampling(&self) -> Sampling {
        Sampling { size: (self.samples / RUNS).max(2) as usize, runs: RUNS, seed: self.seed }
    }

    pub(super) fn allow(&self, cost: Cost) -> bool {
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

/// What the evidence says.
#[derive(Debug, Clone, PartialEq)]
pub struct Beliefs {
    /// ln P(evidence).
    pub log_evidence: f64,
    /// For each cause, the probability that it is present.
    pub causes: Vec<f64>,
    /// Probability that none of the network's causes is present.
    pub unlisted: f64,
    /// For each finding, the probability of each state: a prediction where it was not seen, else the state it was in when
    /// it was seen last. Empty where only the causes were asked for.
    pub findings: Vec<Vec<f64>>,
    /// How the answer was reached.
    pub method: Method,
}

/// Weighs the evidence: every cause and every finding.
///
/// The definition is the sum over all states of all causes of their probability times the likelihood of each observation
/// (module docs). Past the limits a stated approximation takes over; `method` says which.
///
/// # Errors
/// [`Contradiction`] when the evidence has probability 0, or an observation does not fit the network.
pub fn weigh(network: &Network, history: &History, limits: &Limits) -> Result<Beliefs, Contradiction> {
    let mut prepared = Prepared::new(network, history, limits)?;
    let causes = of_causes(&mut prepared);
    let findings = (0..network.findings().len()).map(|f| prepared.finding(f)).collect();
    Ok(Beliefs { findings, method: prepared.method(), ..causes })
}

/// The same without the findings: to predict each of them is most of the work.
///
/// # Errors
/// As [`weigh`].
pub fn weigh_causes(network: &Network, history: &History, limits: &Limits) -> Result<Beliefs, Contradiction> {
    Ok(of_causes(&mut Prepared::new(network, history, limits)?))
}

fn of_causes(prepared: &mut Prepared) -> Beliefs {
    let causes = prepared.causes();
    let (log_evidence, unlisted) = (prepared.log_evidence(), prepared.unlisted());
    Beliefs { log_evidence, causes, unlisted, findings: vec![], method: prepared.method() }
}
