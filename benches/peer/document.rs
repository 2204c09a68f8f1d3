//! Networks and evidence from the JSON that `networks.py` writes.

use faultbook::belief::{CauseNode, FindingNode, Network, Seen};
use serde_json::Value;

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn index(value: &Value) -> usize {
    usize::try_from(value.as_u64().expect("an index")).expect("small")
}

fn list(value: &Value) -> &[Value] {
    value.as_array().expect("a list")
}

fn numbers(value: &Value) -> Vec<f64> {
    list(value).iter().map(number).collect()
}

/// The network of a document.
pub fn network(document: &Value) -> Network {
    let causes = list(&document["causes"]).iter().map(|c| CauseNode {
        prior: number(&c["prior"]),
        brought_by: list(&c["brought_by"]).iter().map(|l| (index(&l[0]), number(&l[1]))).collect(),
        condition: false,
    });
    let findings = list(&document["findings"]).iter().map(|f| FindingNode {
        stray: numbers(&f["stray"]),
        pushes: list(&f["pushes"]).iter().map(|l| (index(&l[0]), numbers(&l[1]))).collect(),
    });
    Network::new(causes.collect(), findings.collect()).expect("a valid network")
}

/// What was seen by a document.
pub fn seen(document: &Value, net: &Network) -> Vec<Seen> {
    list(&document["seen"]).iter().map(|s| Seen::state(index(&s[0]), index(&s[1]), net.findings()[index(&s[0])].states())).collect()
}
