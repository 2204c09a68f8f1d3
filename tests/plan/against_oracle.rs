//! The planner against plain enumeration on generated models.

use super::generate::{Like, Random, small};
use super::oracle;
use super::walk_through;
use faultbook::belief::Limits;
use faultbook::plan::{Budget, Model, PlanError, plan};

const PLENTY: Budget = Budget { work: u64::MAX, sets: 400 };

fn compare(model: &Model) -> Option<()> {
    let found = match plan(model, &PLENTY, &Limits::default()) {
        Ok(found) => found,
        Err(PlanError::Contradiction(_) | PlanError::NothingLeft) => return None,
        Err(other) => panic!("{other}"),
    };
    let best = oracle::optimum(model);
    assert!(found.exact, "{model:?}");
    assert!((found.expected_cost - best).abs() < 1e-9, "{} is not the optimum {best}: {model:?}", found.expected_cost);
    walk_through(model, &found.tree);
    Some(())
}

fn compare_many(seed: u64, models: usize, like: Like) {
    let mut random = Random(seed);
    let compared = (0..models).filter_map(|_| compare(&small(&mut random, like))).count();
    assert!(compared * 10 > models * 8, "only {compared} of {models} could be compared");
}

const PLAIN: Like = Like { causes: 3, checks: 2, fixes: 2, access: false, chains: false, three_states: false, order: false };

#[test]
fn plain_models_are_solved_to_the_optimum() {
    compare_many(1, 60, PLAIN);
    compare_many(2, 12, Like { fixes: 3, ..PLAIN });
}

#[test]
fn models_with_access_steps_and_order_are_solved_to_the_optimum() {
    compare_many(3, 60, Like { access: true, order: true, ..PLAIN });
}

#[test]
fn models_with_chains_and_three_states_are_solved_to_the_optimum() {
    compare_many(4, 60, Like { causes: 4, chains: true, three_states: true, ..PLAIN });
}

#[test]
fn models_with_everything_are_solved_to_the_optimum() {
    compare_many(5, 40, Like { causes: 4, fixes: 2, access: true, chains: true, three_states: true, order: true, ..PLAIN });
}
