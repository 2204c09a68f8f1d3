//! What a plan refuses, and questions that once had no answer.

use super::build::Build;
use super::generate::Random;
use super::{walk_through, workshop};
use faultbook::belief::{Limits, Repair};
use faultbook::plan::{ActionKind, Budget, Model, Place, PlanError, Step, plan};

fn solve(model: &Model) -> Result<faultbook::plan::Plan, PlanError> {
    plan(model, &Budget::STEP, &Limits::default())
}

/// One cause with its sign, a check and a fix.
fn one() -> Model {
    let mut build = Build::default();
    let cause = build.cause(0.1, &[]);
    let sign = build.sign(0.01, &[(cause, 0.9)]);
    build.complaint(sign);
    let other = build.sign(0.01, &[(cause, 0.8)]);
    build.check(5.0, &[other]);
    build.fix(50.0, &[cause]);
    build.step(3.0, &[], &[]);
    build.model(300.0)
}

#[test]
fn costs_that_are_none_are_refused() {
    for bad in [-1.0, f64::NAN, f64::INFINITY] {
        let refused = |change: &dyn Fn(&mut Model), place: Place| {
            let mut model = one();
            change(&mut model);
            assert!(matches!(solve(&model), Err(PlanError::BadCost { place: p, .. }) if p == place), "{bad} at {place}");
        };
        refused(&|m| m.actions[1].money = bad, Place::Action(1));
        refused(&|m| m.actions[0].minutes = bad, Place::Action(0));
        refused(&|m| m.access[0].minutes = bad, Place::Access(0));
        refused(&|m| m.rate_per_minute = bad, Place::Job);
        refused(&|m| m.refer_cost = bad, Place::Job);
        let mut model = one();
        model.vain_factor = bad;
        assert!(matches!(solve(&model), Err(PlanError::BadFactor { .. })));
    }
}

#[test]
fn indices_that_name_nothing_are_refused() {
    let refused = |change: &dyn Fn(&mut Model), place: Place| {
        let mut model = one();
        change(&mut model);
        assert!(matches!(solve(&model), Err(PlanError::NoSuch { place: p, index: 9, .. }) if p == place), "at {place}");
    };
    refused(&|m| m.complaint.push(9), Place::Job);
    refused(&|m| m.open.push(9), Place::Job);
    refused(&|m| m.done.push(9), Place::Job);
    refused(&|m| m.history.repairs.push(Repair { cures: vec![(9, 1.0)] }), Place::Job);
    refused(&|m| m.actions[0].access.push(9), Place::Action(0));
    refused(&|m| m.actions[1].after.push(9), Place::Action(1));
    refused(&|m| m.actions[0].kind = ActionKind::Check { reveals: vec![9] }, Place::Action(0));
    refused(&|m| m.actions[1].kind = ActionKind::Fix { cures: vec![(9, 1.0)] }, Place::Action(1));
    refused(&|m| m.access[0].needs.push(9), Place::Access(0));
    refused(&|m| m.access[0].undoes.push(9), Place::Access(0));
}

#[test]
fn cures_that_cannot_be_are_refused() {
    let fix = |cures: Vec<(usize, f64)>| {
        let mut model = one();
        model.actions[1].kind = ActionKind::Fix { cures };
        solve(&model)
    };
    assert!(matches!(fix(vec![(0, 1.5)]), Err(PlanError::BadChance { .. })));
    assert!(matches!(fix(vec![(0, f64::NAN)]), Err(PlanError::BadChance { .. })));
    assert!(matches!(fix(vec![(0, 1.0), (0, 0.5)]), Err(PlanError::CuredTwice { .. })));
    let mut build = Build::default();
    let cause = build.cause(0.1, &[]);
    let condition = build.condition(0.0, &[(cause, 0.9)]);
    let sign = build.sign(0.01, &[(condition, 0.9)]);
    build.complaint(sign);
    build.fix(50.0, &[condition]);
    assert!(matches!(solve(&build.model(300.0)), Err(PlanError::CuresCondition { cause: 1, .. })));
}

/// Of two checks that tell and cost the same, the safer one goes first, wherever it stands.
#[test]
fn among_equals_the_safer_one_goes_first() {
    for safer in 0..2 {
        let mut build = Build::default();
        let causes = [build.cause(0.1, &[]), build.cause(0.1, &[])];
        let sign = build.sign(0.0, &[(causes[0], 1.0), (causes[1], 1.0)]);
        build.complaint(sign);
        for danger in 0..2 {
            let tells = build.sign(0.0, &[(causes[0], 1.0)]);
            let check = build.check(5.0, &[tells]);
            build.actions[check].danger = u8::from(danger != safer);
        }
        for c in causes {
            build.fix(200.0, &[c]);
        }
        assert_eq!(solve(&build.model(1000.0)).unwrap().tree.first().step, Step::Check(safer));
    }
}

/// What was put right is out: of two causes that show alike the other one is left, and the first one's fix is not taken again.
#[test]
fn what_was_cured_is_no_longer_there() {
    let mut build = Build::default();
    let causes = [build.cause(0.2, &[]), build.cause(0.02, &[])];
    let sign = build.sign(0.0, &[(causes[0], 1.0), (causes[1], 1.0)]);
    build.complaint(sign);
    for c in causes {
        build.fix(50.0, &[c]);
    }
    let mut model = build.model(500.0);
    model.history.repairs.push(Repair { cures: vec![(0, 1.0)] });
    model.done.push(0);
    let found = solve(&model).unwrap();
    assert_eq!((found.tree.first().step, found.expected_cost), (Step::Fix(1), 50.0));
}

/// Found on a chain of causes each of which brings two about: the ways through it double with each, and looking for what can be seen never came to an end.
#[test]
fn a_long_braid_of_causes_is_planned() {
    let mut build = Build::default();
    let mut last = [build.cause(0.01, &[]), build.cause(0.01, &[])];
    for _ in 0..60 {
        let by: Vec<(usize, f64)> = last.iter().map(|&c| (c, 0.5)).collect();
        last = [build.cause(0.001, &by), build.cause(0.001, &by)];
    }
    let sign = build.sign(0.01, &[(0, 0.9)]);
    build.complaint(sign);
    build.fix(50.0, &[0]);
    assert!(solve(&build.model(300.0)).is_ok());
}

/// Found on scans with hundreds of codes: the weight of the evidence is less than any float, and the plan said that nothing could be left.
#[test]
fn hundreds_of_abnormal_findings_leave_something_to_do() {
    let mut random = Random(7);
    let book = workshop::book(&mut random, 15, 0.01);
    for abnormal in [100, 160, 300] {
        let mut model = book.model.clone();
        let findings = model.network.findings().len();
        while model.complaint.len() < abnormal {
            let f = random.below(findings);
            if !model.complaint.contains(&f) {
                model.complaint.push(f);
                model.history.seen.push(faultbook::belief::Seen::state(f, 1, model.network.findings()[f].states()));
            }
        }
        let limits = Limits { work: 1_000_000, samples: 50, ..Limits::default() };
        let found = plan(&model, &Budget::STEP, &limits).unwrap();
        assert!(found.tree.first().step != Step::Done, "{abnormal}");
        walk_through(&model, &found.tree);
    }
}

/// A repair that another must come before, which cures nothing that is in question: both are made, and the car is not handed over.
#[test]
fn what_must_come_before_a_repair_is_done_though_it_cures_nothing_here() {
    let mut build = Build::default();
    let causes: Vec<usize> = (0..60).map(|_| build.cause(0.002, &[])).collect();
    let complaint = build.sign(0.001, &causes.iter().map(|c| (*c, 0.8)).collect::<Vec<_>>());
    let tells = build.sign(0.0005, &[(causes[0], 0.95)]);
    build.complaint(complaint);
    build.saw(tells, 1);
    let fixes: Vec<usize> = causes.iter().map(|c| build.fix(if *c == causes[0] { 200.0 } else { 40.0 }, &[*c])).collect();
    build.actions[fixes[0]].after.push(fixes[1]);
    let plan = solve(&build.model(300.0)).unwrap();
    assert_eq!(plan.tree.first().step, Step::Fix(fixes[1]));
    assert_eq!(plan.next[0].step, Step::Fix(fixes[1]), "what is offered first is what the plan begins with");
    assert!(plan.tree.first().expected_cost < 300.0, "{}", plan.tree.first().expected_cost);
}
