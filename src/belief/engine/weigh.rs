//! All the evidence weighed in one call.

use super::limits::{Limits, Method};
use super::prepared::Prepared;
use crate::belief::model::{Contradiction, History, Network};

/// What the evidence says, about now.
#[derive(Debug, Clone, PartialEq)]
pub struct Beliefs {
    /// ln P(evidence): of all looks, those of every period.
    pub log_evidence: f64,
    /// For each cause and condition, the probability that it is there now.
    pub causes: Vec<f64>,
    /// Probability that none of the network's causes was there at intake.
    pub unlisted: f64,
    /// For each finding, the probability of each state now. Empty where only the causes were asked for.
    pub findings: Vec<Vec<f64>>,
    /// How the answer was reached.
    pub method: Method,
}

/// Weighs the evidence: every cause and every finding.
///
/// The definition is the sum over all draws of all causes, links, repairs and pushes of their probability times the likelihood of the looks
/// (module docs). Past the limits a stated approximation takes over; `method` says which.
///
/// # Errors
/// [`Contradiction`] when the evidence has probability 0, or an observation does not fit the network.
pub fn weigh(network: &Network, history: &History, limits: &Limits) -> Result<Beliefs, Contradiction> {
    let mut prepared = Prepared::new(network, history, limits)?;
    let causes = of_causes(&mut prepared);
    let findings = (0..network.findings().len()).map(|f| prepared.finding(f).into_iter().map(|p| p.min(1.0)).collect()).collect();
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
    // the last bit of a sum may lie above one
    let causes = prepared.causes().into_iter().map(|p| p.min(1.0)).collect();
    let (log_evidence, unlisted) = (prepared.log_evidence(), prepared.unlisted());
    Beliefs { log_evidence, causes, unlisted, findings: vec![], method: prepared.method() }
}
