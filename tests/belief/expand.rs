//! The network written out as tables says the same as the definition: the tables are multiplied and summed, nothing else.

use faultbook::belief::{History, Network, Seen, TableNode, TableRole, expand};

use super::generate::{Dice, Shape, history, network};
use super::reference::answer;

/// P(evidence) and P(each cause present, evidence), summed over all states of all variables, one variable after the other.
fn sum(nodes: &[TableNode], evidence: &[(usize, usize)]) -> (f64, Vec<f64>) {
    let mut states = vec![0; nodes.len()];
    let mut joint = vec![0.0; nodes.len()];
    let total = add(nodes, evidence, 0, 1.0, &mut states, &mut joint);
    (total, joint)
}

fn add(nodes: &[TableNode], evidence: &[(usize, usize)], at: usize, weight: f64, states: &mut [usize], joint: &mut [f64]) -> f64 {
    let Some(node) = nodes.get(at) else {
        states.iter().zip(joint).filter(|(state, _)| **state == 1).for_each(|(_, joint)| *joint += weight);
        return weight;
    };
    let row = node.parents.iter().fold(0, |row, &p| row * nodes[p].states + states[p]);
    let mut total = 0.0;
    for state in 0..node.states {
        let p = node.rows[row][state];
        if p > 0.0 && evidence.iter().all(|&(v, seen)| v != at || state == seen) {
            states[at] = state;
            total += add(nodes, evidence, at + 1, weight * p, states, joint);
        }
    }
    total
}

fn evidence_of(nodes: &[TableNode], history: &History) -> Vec<(usize, usize)> {
    let seen: &[Seen] = &history.seen;
    let state = |node: &TableNode| match node.role {
        TableRole::Reading => Some(1),
        TableRole::Finding(_, Some(place)) => seen[place].sure_state(),
        _ => None,
    };
    nodes.iter().enumerate().filter_map(|(v, node)| Some((v, state(node)?))).collect()
}

fn compare(net: &Network, seen: &History, whole: bool) -> bool {
    let nodes = expand(net, seen, whole).expect("it fits");
    assert!(
        nodes
            .iter()
            .all(|n| n.parents.len() <= 2 && n.rows.iter().all(|r| r.len() == n.states && (r.iter().sum::<f64>() - 1.0).abs() < 1e-9))
    );
    let truth = answer(net, seen);
    let (total, joint) = sum(&nodes, &evidence_of(&nodes, seen));
    assert!((total - truth.evidence).abs() < 1e-12, "{total} is not {}", truth.evidence);
    for (node, joint) in nodes.iter().zip(joint).filter(|_| truth.evidence > 1e-9) {
        let cured = |c: usize| seen.cured(seen.now()).contains(&c);
        if let TableRole::Cause(c) = node.role
            && node.states == 2
            && !cured(c)
        {
            assert!((joint / total - truth.causes[c]).abs() < 1e-9);
        }
    }
    truth.evidence > 1e-9
}

#[test]
fn the_tables_say_what_the_definition_says() {
    let mut possible = 0;
    for seed in 0..150 {
        let mut dice = Dice(seed ^ 0xb1f);
        let shape = Shape { causes: 3, findings: 3, chains: 0.4, links: 0.6, states: 3, sure: 0.1, conditions: 0.3 };
        let net = network(&mut dice, shape);
        let seen = history(&mut dice, &net, 0.3);
        possible += usize::from(compare(&net, &seen, seed % 2 == 0));
    }
    assert!(possible > 75, "{possible}");
}
