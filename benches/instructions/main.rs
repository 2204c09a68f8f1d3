//! Does the same queries again and again, for a tool that counts instructions; `benches/instructions/count.py` drives it.
//!
//! `instructions FILE TIMES QUERY`; the queries are `marginals`, `three periods`, `everything` and `look-ahead`.
#![allow(clippy::expect_used, missing_docs, reason = "a bench that talks to a script")]

#[path = "../peer/document.rs"]
mod document;

use faultbook::belief::{History, Limits, Prepared, Repair, weigh};
use serde_json::Value;
use std::hint::black_box;

fn main() {
    let mut arguments = std::env::args().skip(1).filter(|a| a != "--bench");
    let file = arguments.next().expect("a file with a network");
    let times: usize = arguments.next().and_then(|n| n.parse().ok()).expect("how often");
    let query = arguments.next().expect("a query");
    let text = std::fs::read_to_string(file).expect("a readable file");
    let document: Value = serde_json::from_str(&text).expect("JSON");
    let net = document::network(&document);
    let seen = document::seen(&document, &net);
    let limits = Limits::default();
    let now = History::from(seen.clone());
    let mut prepared = Prepared::new(&net, &now, &limits).expect("possible evidence");
    let later = repaired(&now, &prepared.causes());
    let checks: Vec<usize> = (0..net.findings().len()).filter(|&f| seen.iter().all(|s| s.finding != f)).step_by(6).take(100).collect();
    for _ in 0..times {
        match query.as_str() {
            "marginals" => drop(black_box(Prepared::new(&net, &now, &limits).expect("possible evidence").causes())),
            "three periods" => drop(black_box(Prepared::new(&net, &later, &limits).expect("possible evidence").causes())),
            "everything" => drop(black_box(weigh(&net, &now, &limits))),
            _ => checks.iter().for_each(|&f| drop(black_box(prepared.outcomes(f)))),
        }
    }
}

/// The same car after the two likeliest causes were repaired in vain, the second by something that may not hold: what was abnormal still is.
fn repaired(now: &History, causes: &[f64]) -> History {
    let mut order: Vec<usize> = (0..causes.len()).collect();
    order.sort_by(|a, b| causes[*b].total_cmp(&causes[*a]));
    let repairs = vec![Repair { cures: vec![(order[0], 1.0)] }, Repair { cures: vec![(order[1], 0.8)] }];
    let abnormal: Vec<_> = now.seen.iter().filter(|s| s.sure_state() != Some(0)).cloned().collect();
    let again = |period: usize| abnormal.iter().map(move |s| s.clone().in_period(period));
    History { seen: now.seen.iter().cloned().chain(again(1)).chain(again(2)).collect(), repairs }
}
