//! Book + evidence -> one car: a plain network of the causes and findings that apply to it, with the numbers to go back to the book.
//!
//! It computes no probability and plans nothing.

use crate::belief::{CauseNode, FindingNode, History, Network, NetworkError, Seen};
use crate::book::{Book, Cause, Finding, Id};
use crate::job::{Evidence, Observation};

/// A cause that was put right before the car came is this much as common as the book says: a part just renewed is seldom the fault, but it may be
/// the wrong one, badly fitted, or faulty from new; where a fix cures with a chance, so much nearer to what the book says. An estimate of ours, no source. What brings the cause about brings it back as before.
const REPAIRED: f64 = 0.25;

/// One car.
#[derive(Debug, Clone)]
pub struct Car {
    /// The network of what applies to it.
    pub network: Network,
    /// What was seen, and what was repaired meanwhile.
    pub history: History,
    /// The causes of the network, by their numbers in the book.
    pub causes: Vec<Id<Cause>>,
    /// The findings of the network, by their numbers in the book.
    pub findings: Vec<Id<Finding>>,
    cause_index: Vec<Option<usize>>,
    finding_index: Vec<Option<usize>>,
}

impl Car {
    /// Keeps what applies to a vehicle of these traits. A checked book always gives a sound network; an error would be a fault of this program.
    pub fn new(book: &Book, evidence: &Evidence) -> Result<Car, NetworkError> {
        let keeps = |need: &crate::book::Need| need.keeps(&evidence.traits);
        let causes: Vec<_> = book.causes.iter().filter(|(_, c)| keeps(&c.head.when)).map(|(id, _)| id).collect();
        let findings: Vec<_> = book.findings.iter().filter(|(_, f)| keeps(&f.head.when)).map(|(id, _)| id).collect();
        let cause_index = inverse(book.causes.len(), causes.iter().map(|c| c.index()));
        let finding_index = inverse(book.findings.len(), findings.iter().map(|f| f.index()));
        let cures = || evidence.repaired.iter().flat_map(|f| &book.fixes[*f].cures);
        let surest = |id: &Id<Cause>| cures().filter(|(c, _)| c == id).map(|(_, chance)| *chance).fold(0.0, f64::max);
        let prior = |id: &Id<Cause>| book.causes[*id].prior * (1.0 - surest(id) * (1.0 - REPAIRED));
        let nodes = causes
            .iter()
            .map(|id| CauseNode { prior: prior(id), brought_by: vec![], condition: book.causes[*id].is_condition() })
            .collect();
        let network = network(book, nodes, &causes, &findings, &cause_index, &finding_index)?;
        let mut car = Car { network, history: History::default(), causes, findings, cause_index, finding_index };
        car.history.seen = evidence.seen.iter().filter_map(|o| car.seen(o, 0)).collect();
        Ok(car)
    }

    /// The number of a cause in the network; none where it does not apply.
    pub fn cause(&self, id: Id<Cause>) -> Option<usize> {
        self.cause_index[id.index()]
    }

    /// The number of a finding in the network; none where it does not apply.
    pub fn finding(&self, id: Id<Finding>) -> Option<usize> {
        self.finding_index[id.index()]
    }

    /// An observation as the network takes it, made after so many repairs.
    pub fn seen(&self, observation: &Observation, period: usize) -> Option<Seen> {
        Some(Seen { finding: self.finding(observation.finding)?, weights: observation.weights.clone(), period })
    }
}

fn inverse(len: usize, kept: impl Iterator<Item = usize>) -> Vec<Option<usize>> {
    let mut index = vec![None; len];
    for (position, number) in kept.enumerate() {
        index[number] = Some(position);
    }
    index
}

fn network(
    book: &Book,
    mut nodes: Vec<CauseNode>,
    causes: &[Id<Cause>],
    findings: &[Id<Finding>],
    cause_index: &[Option<usize>],
    finding_index: &[Option<usize>],
) -> Result<Network, NetworkError> {
    let mut outcomes: Vec<FindingNode> =
        findings.iter().map(|id| FindingNode { stray: book.findings[*id].stray.clone(), pushes: vec![] }).collect();
    for (at, id) in causes.iter().enumerate() {
        let cause = &book.causes[*id];
        for (other, chance) in &cause.brings {
            if let Some(index) = cause_index[other.index()] {
                nodes[index].brought_by.push((at, *chance));
            }
        }
        for shows in &cause.shows {
            if let Some(index) = finding_index[shows.finding.index()] {
                outcomes[index].pushes.push((at, shows.push.clone()));
            }
        }
    }
    Network::new(nodes, outcomes)
}
