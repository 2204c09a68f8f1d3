//! Times the belief room on networks from a file: one JSON document a line in, one a line out.
//!
//! `cargo bench --bench peer -- FILE RUNS`; `benches/peer/compare.py` does it all.
#![allow(clippy::print_stdout, clippy::expect_used, missing_docs, reason = "a bench that talks to a script")]

mod document;

use document::{network, seen};
use faultbook::belief::{History, Limits, Method, Prepared, weigh};
use rustix::time::{ClockId, clock_gettime};
use serde_json::{Value, json};

/// Processor time of this thread in milliseconds: what other programs take of the machine does not count.
fn now() -> f64 {
    let time = clock_gettime(ClockId::ThreadCPUTime);
    time.tv_sec as f64 * 1e3 + time.tv_nsec as f64 / 1e6
}

/// Median of some runs, in milliseconds.
fn median(runs: usize, mut run: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..runs.max(1))
        .map(|_| {
            let start = now();
            run();
            now() - start
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn measure(document: &Value, runs: usize) -> Value {
    let net = network(document);
    let limits = Limits::default();
    let seen = seen(document, &net);
    let marginals = || {
        let mut prepared = Prepared::new(&net, &History::from(seen.to_vec()), &limits).expect("possible evidence");
        let causes = prepared.causes();
        (causes, prepared.log_evidence(), prepared.method())
    };
    let (causes, log_evidence, method) = marginals();
    let prepare = median(runs, || drop(Prepared::new(&net, &History::from(seen.to_vec()), &limits)));
    let all = median(runs, || drop(marginals()));
    let everything = median(runs.min(5), || drop(weigh(&net, &History::from(seen.to_vec()), &limits)));
    let checks: Vec<usize> = (0..net.findings().len()).filter(|&f| seen.iter().all(|s| s.finding != f)).step_by(6).take(100).collect();
    let mut prepared = Prepared::new(&net, &History::from(seen.to_vec()), &limits).expect("possible evidence");
    let look_ahead = median(runs.min(9), || checks.iter().for_each(|&f| drop(prepared.outcomes(f))));
    let width = match method {
        Method::Exact { width, .. } => json!(width),
        Method::Sampled { .. } => json!("sampled"),
    };
    json!({
        "causes": causes, "log_evidence": log_evidence, "width": width,
        "prepare_ms": prepare, "marginals_ms": all, "everything_ms": everything,
        "look_ahead_ms": look_ahead, "checks": checks.len(),
    })
}

fn main() {
    let mut arguments = std::env::args().skip(1).filter(|a| a != "--bench");
    let file = arguments.next().expect("a file of networks");
    let runs = arguments.next().and_then(|n| n.parse().ok()).unwrap_or(9);
    let text = std::fs::read_to_string(file).expect("a readable file");
    for line in text.lines() {
        let document: Value = serde_json::from_str(line).expect("JSON");
        println!("{}", measure(&document, runs));
    }
}
