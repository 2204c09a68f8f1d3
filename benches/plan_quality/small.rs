//! Generated models small enough to solve by plain enumeration: what the plan costs, over the optimum.

use super::generate::{Like, Random, small};
use super::oracle;
use super::time::{quantile, timed};
use faultbook::belief::Limits;
use faultbook::plan::{Budget, Model, plan};

/// Models of each kind.
const MODELS: usize = 60;
/// The optimum where enumeration takes too long: the planner without a limit, which tests hold against enumeration.
const PLENTY: Budget = Budget { work: u64::MAX, sets: 400 };

pub fn run() {
    let plain = Like::PLAIN;
    println!("plan within a next step's budget over the optimum, generated models");
    line("3 causes, 4 actions; enumerated", 11, plain, oracle::optimum);
    line(
        "4 causes, 4 actions, access, chains; enumerated",
        12,
        Like { causes: 4, access: true, chains: true, three_states: true, ..plain },
        oracle::optimum,
    );
    line("5 causes, 7 actions, access, order", 13, Like { causes: 5, checks: 4, fixes: 3, access: true, order: true, ..plain }, unlimited);
    line(
        "5 causes, 7 actions, chains, three states",
        14,
        Like { causes: 5, checks: 4, fixes: 3, chains: true, three_states: true, ..plain },
        unlimited,
    );
    line(
        "6 causes, 8 actions, access, chains",
        15,
        Like { causes: 6, checks: 4, fixes: 4, access: true, chains: true, ..plain },
        unlimited,
    );
    let later = Like { causes: 4, fixes: 3, conditions: true, ..plain };
    line("4 causes, 5 actions, conditions; enumerated", 16, later, oracle::optimum);
    line("the same, fixes that may not hold; enumerated", 17, Like { chances: true, ..later }, oracle::optimum);
    line(
        "the same half-way, access, ties; enumerated",
        18,
        Like { causes: 4, half_way: true, access: true, ties: true, ..later },
        oracle::optimum,
    );
    line(
        "6 causes, 9 actions, conditions, fixes that may not hold",
        19,
        Like { causes: 6, checks: 4, fixes: 5, chances: true, ..later },
        unlimited,
    );
}

fn unlimited(model: &Model) -> f64 {
    let found = plan(model, &PLENTY, &Limits::default()).expect("what was planned can be planned");
    assert!(found.exact);
    found.expected_cost
}

fn line(name: &str, seed: u64, like: Like, optimum: fn(&Model) -> f64) {
    let mut random = Random(seed);
    let (mut ratios, mut seconds) = (vec![], vec![]);
    for _ in 0..MODELS {
        let model = small(&mut random, like);
        let (time, planned) = timed(|| plan(&model, &Budget::STEP, &Limits::default()));
        if let Ok(planned) = planned {
            ratios.push(planned.expected_cost / optimum(&model));
            seconds.push(time);
        }
    }
    let (n, mean) = (ratios.len(), ratios.iter().sum::<f64>() / ratios.len() as f64);
    let (worst, median) = (quantile(&mut ratios, 1.0), quantile(&mut seconds, 0.5) * 1e3);
    println!("  {name:48} {n:3} models: mean {mean:.6}, worst {worst:.6}; {median:.2} ms");
}
