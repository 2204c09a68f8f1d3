//! The numbers of a graph that a sweep works on, and the derivatives it leaves.

use crate::belief::arith::Number;
use crate::belief::query::Graph;

/// The numbers of a graph that one sweep may change.
#[derive(Debug, Clone, PartialEq)]
pub struct Numbers<T> {
    pub start: Vec<T>,
    pub weight: Vec<T>,
    pub push: Vec<T>,
}

impl<T> Default for Numbers<T> {
    fn default() -> Self {
        Numbers { start: Vec::new(), weight: Vec::new(), push: Vec::new() }
    }
}

impl<T: Number> Numbers<T> {
    /// The numbers of a graph, its factors worked in.
    pub fn of(graph: &Graph) -> Numbers<T> {
        let all = |numbers: &[f64]| numbers.iter().map(|&x| T::of(x)).collect();
        let (start, weight, push) = (all(&graph.start), all(&graph.weight), all(&graph.push));
        let mut numbers = Numbers { start, weight, push };
        for factor in &graph.factors {
            let slot = graph.nodes[factor.node].at + factor.level;
            numbers.weight[slot] = numbers.weight[slot] * T::of(factor.by);
        }
        numbers
    }
}

/// Derivatives of P(evidence) by the numbers of a graph.
#[derive(Debug, Clone)]
pub struct Slopes<T> {
    pub start: Vec<T>,
    pub weight: Vec<T>,
}

impl<T> Default for Slopes<T> {
    fn default() -> Self {
        Slopes { start: Vec::new(), weight: Vec::new() }
    }
}
