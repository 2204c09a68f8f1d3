//! The planner against plain enumeration on generated models.
//!
//! `FAULTBOOK_PLANS` sets how many, about (default 500).

use super::generate::{Like, Random, small};
use super::oracle;
use super::walk_through;
use faultbook::belief::Limits;
use faultbook::plan::{Budget, Model, Plan, PlanError, plan};

const PLENTY: Budget = Budget { work: u64::MAX, sets: 400 };

/// The same answer but for the order of the sums.
const SAME: f64 = 1e-9;

fn compare(model: &Model) -> Option<()> {
    let found = match plan(model, &PLENTY, &Limits::default()) {
        Ok(found) => found,
        Err(PlanError::Contradiction(_) | PlanError::NothingLeft) => return None,
        Err(other) => panic!("{other}"),
    };
    let best = oracle::optimum(model);
    assert!(found.exact, "{model:?}");
    assert!((found.expected_cost - best).abs() < SAME, "{} is not the optimum {best}: {model:?}", found.expected_cost);
    own_estimate(model, &found);
    Some(())
}

/// What a plan says of itself is what it costs by definition.
fn own_estimate(model: &Model, found: &Plan) {
    let cost = oracle::cost_of(model, &found.tree);
    assert!((found.expected_cost - cost).abs() < SAME, "it says {} and costs {cost}: {model:?}", found.expected_cost);
    let needed = oracle::needed(model);
    assert!((found.needed - needed).abs() < SAME, "{} is not what is needed, {needed}: {model:?}", found.needed);
    assert!(found.at_least <= found.expected_cost + SAME && needed <= found.at_least + SAME, "{model:?}");
    walk_through(model, &found.tree);
}

fn compare_many(seed: u64, models: usize, like: Like) {
    let models = times(models);
    let mut random = Random(seed);
    let compared = (0..models).filter_map(|_| compare(&small(&mut random, like))).count();
    assert!(compared * 10 > models * if like.half_way { 4 } else { 8 }, "only {compared} of {models} could be compared");
}

/// So many of five hundred, of as many as are asked for.
fn times(models: usize) -> usize {
    let asked = std::env::var("FAULTBOOK_PLANS").ok().and_then(|n| n.parse().ok()).unwrap_or(500);
    (models * asked / 500).max(1)
}

/// Where the work ends long before the optimum is known, what a plan says of itself is still what it costs, and its bound holds.
#[test]
fn plans_cut_short_say_what_they_cost() {
    let mut random = Random(10);
    let (mut short, mut compared) = (0, 0);
    for number in 0..times(120) {
        let half_way = number % 3 == 0;
        let like = Like { causes: 3, access: true, chains: true, chances: true, ties: true, half_way, ..PLAIN };
        let model = small(&mut random, like);
        let budget = Budget { work: [1, 30, 300][number % 3], sets: 400 };
        let Ok(found) = plan(&model, &budget, &Limits::default()) else { continue };
        own_estimate(&model, &found);
        let best = oracle::optimum(&model);
        assert!(found.at_least <= best + SAME && best <= found.expected_cost + SAME, "{} {best} {}", found.at_least, found.expected_cost);
        assert!(!found.exact || found.expected_cost - best < SAME);
        short += usize::from(!found.exact);
        compared += 1;
    }
    assert!(compared * 2 > times(120) && short * 10 > compared, "{short} of {compared} were cut short");
}

const PLAIN: Like = Like::PLAIN;

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
fn models_with_conditions_are_solved_to_the_optimum() {
    compare_many(6, 60, Like { causes: 4, conditions: true, fixes: 3, ..PLAIN });
}

#[test]
fn models_with_fixes_that_may_not_hold_are_solved_to_the_optimum() {
    compare_many(7, 60, Like { chances: true, fixes: 3, conditions: true, ..PLAIN });
}

#[test]
fn models_half_way_through_the_job_are_solved_to_the_optimum() {
    compare_many(8, 60, Like { causes: 4, fixes: 3, half_way: true, conditions: true, ties: true, ..PLAIN });
    compare_many(9, 60, Like { fixes: 3, half_way: true, chances: true, access: true, ties: true, ..PLAIN });
}

#[test]
fn models_with_everything_are_solved_to_the_optimum() {
    compare_many(
        5,
        40,
        Like {
            causes: 4,
            access: true,
            chains: true,
            three_states: true,
            order: true,
            conditions: true,
            chances: true,
            half_way: true,
            ..PLAIN
        },
    );
}
