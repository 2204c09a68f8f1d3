//! The way from text to weights, shared by the fuzz target and the test of mutated rules.

use faultbook::belief::{Limits, Method, weigh};
use faultbook::book::{Book, read};
use faultbook::car::Car;
use faultbook::job::{Evidence, Observation, Shown};
use faultbook::syntax::{Sources, parse};

/// How far the way was gone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// The text is no sound book.
    Refused,
    /// The evidence is impossible by the book.
    Impossible,
    /// All weights were worked out.
    Weighed,
}

/// Small enough that no text of a few kilobytes takes long.
const LIMITS: Limits = Limits { width: 10, memory_bytes: 1 << 22, work: 1_000_000, samples: 20, seed: 1 };

/// Reads the files as one book, makes up evidence from the seed, and weighs it.
///
/// # Panics
/// When a weight is no probability: that is what fuzzing looks for.
pub fn text_to_weights(files: &[(String, &str)], seed: u64) -> End {
    let mut sources = Sources::default();
    let mut documents = Vec::new();
    for (name, text) in files {
        let file = sources.add(name.clone(), *text);
        documents.push(parse(file, text).0);
    }
    let Some(book) = read(&sources, &[documents]).0 else { return End::Refused };
    let Ok(car) = Car::new(&book, &evidence(&book, seed)) else { return End::Refused };
    let Ok(beliefs) = weigh(&car.network, &car.history, &LIMITS) else { return End::Impossible };
    let sure = |p: &f64| (0.0..=1.0 + 1e-9).contains(p);
    assert!(beliefs.causes.iter().all(sure) && sure(&beliefs.unlisted), "{beliefs:?}");
    let exact = matches!(beliefs.method, Method::Exact { .. });
    for states in &beliefs.findings {
        let sum: f64 = states.iter().sum();
        assert!(states.iter().all(sure) && (!exact || (sum - 1.0).abs() < 1e-6), "{states:?}");
    }
    End::Weighed
}

/// About every third finding seen, at most twenty, each in a state that the seed gives.
fn evidence(book: &Book, seed: u64) -> Evidence {
    let mut bits = seed;
    let mut next = |below: usize| {
        bits = bits.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (bits >> 33) as usize % below
    };
    let mut seen = Vec::new();
    for (finding, node) in book.findings.iter() {
        if seen.len() < 20 && next(3) == 0 {
            let state = next(node.states.len());
            let weights = (0..node.states.len()).map(|k| if k == state { 1.0 } else { 0.0 }).collect();
            seen.push(Observation { finding, weights, shown: Shown::State(state) });
        }
    }
    let traits = vec![None; book.traits.len()];
    Evidence {
        traits,
        seen,
        periods: vec![],
        asleep: false,
        slept: vec![],
        unknown_codes: vec![],
        to_ask: vec![],
        to_settle: vec![],
        heard: vec![],
        circumstances: vec![],
        unheard: String::new(),
        near: vec![],
        repaired: vec![],
        left_out: vec![],
    }
}
