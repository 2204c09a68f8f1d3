//! Random planning models, the same for the same seed.

use super::build::Build;
use faultbook::belief::Repair;
use faultbook::plan::{ActionKind, Model};

/// SplitMix64 (Steele, Lea & Flood 2014).
pub struct Random(pub u64);

impl Random {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From 0 to 1.
    pub fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + self.unit() * (high - low)
    }

    pub fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }

    pub fn chance(&mut self, p: f64) -> bool {
        self.unit() < p
    }
}

/// What a generated model is like.
#[derive(Clone, Copy)]
pub struct Like {
    pub causes: usize,
    pub checks: usize,
    pub fixes: usize,
    pub access: bool,
    pub chains: bool,
    pub three_states: bool,
    pub order: bool,
    /// Some nodes are conditions.
    pub conditions: bool,
    /// Some fixes may not hold.
    pub chances: bool,
    /// Something was done, and did not cure, before the plan begins.
    pub half_way: bool,
    /// Costs are alike, and some actions dangerous.
    pub ties: bool,
}

impl Like {
    /// Causes, signs, and checks and fixes for nothing but their price.
    pub const PLAIN: Like = Like {
        causes: 3,
        checks: 2,
        fixes: 2,
        access: false,
        chains: false,
        three_states: false,
        order: false,
        conditions: false,
        chances: false,
        half_way: false,
        ties: false,
    };
}

/// A small model with one or two complaints.
pub fn small(random: &mut Random, like: Like) -> Model {
    let mut build = Build::default();
    for c in 0..like.causes {
        let chained = like.chains && c > 0 && random.chance(0.4);
        let parents = if chained { vec![(random.below(c), random.between(0.2, 0.9))] } else { vec![] };
        if like.conditions && c > 0 && (c + 1 == like.causes || random.chance(0.25)) {
            let brought: Vec<(usize, f64)> = links(random, c, 0.6).into_iter().map(|p| (p, random.between(0.3, 1.0))).collect();
            build.condition(if random.chance(0.5) { 0.0 } else { random.between(0.001, 0.05) }, &brought);
        } else {
            build.cause(random.between(0.01, 0.3), &parents);
        }
    }
    let curable: Vec<usize> = (0..like.causes).filter(|c| !build.is_condition(*c)).collect();
    for _ in 0..1 + random.below(2) {
        let finding = finding(&mut build, random, like, 0.8);
        build.complaint(finding);
    }
    if random.chance(0.5) {
        let finding = finding(&mut build, random, like, 0.4);
        build.saw(finding, 0);
    }
    let steps: Vec<usize> = if like.access { (0..2).map(|i| step(&mut build, random, i)).collect() } else { vec![] };
    for _ in 0..like.checks {
        let mut reveals = vec![finding(&mut build, random, like, 0.5)];
        if random.chance(0.15) {
            reveals.push(finding(&mut build, random, like, 0.5));
        }
        let check = build.check(random.between(1.0, 20.0).round(), &reveals);
        furnish(&mut build, random, like, check, &steps);
    }
    for f in 0..like.fixes {
        let mut cures = vec![curable[f % curable.len()]];
        if random.chance(0.2) {
            cures.push(curable[random.below(curable.len())]);
            cures.sort_unstable();
            cures.dedup();
        }
        let price = if like.ties { 20.0 * (1 + random.below(3)) as f64 } else { random.between(20.0, 300.0).round() };
        let fix = build.fix(price, &cures);
        if like.chances && random.chance(0.5) {
            build.loosen(fix, random.between(0.3, 0.95));
        }
        furnish(&mut build, random, like, fix, &steps);
    }
    let half_way = like.half_way.then(|| half_way(&mut build, random));
    let refer = if random.chance(0.3) { random.between(1.0, 60.0).round() } else { random.between(60.0, 800.0).round() };
    let mut model = build.model(refer);
    model.vain_factor = [1.0, 2.0, 2.0, 3.5][random.below(4)];
    if let Some((done, repairs, open)) = half_way {
        (model.done, model.history.repairs, model.open) = (done, repairs, open);
    }
    model
}

/// Something done: a fix that did not cure and what was read after it, or a check; and some access that is open.
fn half_way(build: &mut Build, random: &mut Random) -> (Vec<usize>, Vec<Repair>, Vec<usize>) {
    let first = |build: &Build, fix: bool| build.actions.iter().position(|a| matches!(a.kind, ActionKind::Fix { .. }) == fix);
    let open = (0..build.access.len()).filter(|_| random.chance(0.4)).collect();
    let (mut done, mut repairs) = (vec![], vec![]);
    let reveals =
        |build: &Build, a: usize| if let ActionKind::Check { reveals } = &build.actions[a].kind { reveals.clone() } else { vec![] };
    if let Some(check) = first(build, false).filter(|_| random.chance(0.6)) {
        for f in reveals(build, check) {
            let states = build.states(f);
            build.saw(f, random.below(states));
        }
        done.push(check);
    }
    if let Some(fix) = first(build, true) {
        let ActionKind::Fix { cures } = build.actions[fix].kind.clone() else { return (done, repairs, open) };
        repairs.push(Repair { cures });
        done.push(fix);
        let again: Vec<usize> = build.seen.iter().map(|s| s.finding).filter(|_| random.chance(0.4)).collect();
        for f in again {
            let states = build.states(f);
            let like_before = build.seen.iter().find(|s| s.finding == f).and_then(|s| s.sure_state());
            let state = like_before.filter(|_| random.chance(0.6)).unwrap_or_else(|| random.below(states));
            build.saw_later(f, state, 1);
        }
    }
    (done, repairs, open)
}

fn finding(build: &mut Build, random: &mut Random, like: Like, link: f64) -> usize {
    let states = if like.three_states && random.chance(0.5) { 2 } else { 1 };
    let push = |random: &mut Random| -> Vec<f64> {
        let total = if random.chance(0.2) { 1.0 } else { random.between(0.3, 0.98) };
        let first = random.unit();
        if states == 1 { vec![total] } else { vec![total * first, total * (1.0 - first)] }
    };
    let pushes: Vec<(usize, Vec<f64>)> = links(random, like.causes, link).into_iter().map(|c| (c, push(random))).collect();
    let stray: Vec<f64> = (0..states).map(|_| if random.chance(0.3) { 0.0 } else { random.between(0.001, 0.05) }).collect();
    let links: Vec<(usize, &[f64])> = pushes.iter().map(|(c, p)| (*c, p.as_slice())).collect();
    build.finding(&stray, &links)
}

fn links(random: &mut Random, causes: usize, link: f64) -> Vec<usize> {
    (0..causes).filter(|_| random.chance(link)).collect()
}

fn step(build: &mut Build, random: &mut Random, index: usize) -> usize {
    let needs = if index > 0 && random.chance(0.5) { vec![index - 1] } else { vec![] };
    let undoes = if index > 0 && needs.is_empty() && random.chance(0.3) { vec![index - 1] } else { vec![] };
    build.step(random.between(2.0, 25.0).round(), &needs, &undoes)
}

fn furnish(build: &mut Build, random: &mut Random, like: Like, action: usize, steps: &[usize]) {
    let mut access: Vec<usize> = steps.iter().copied().filter(|_| random.chance(0.4)).collect();
    // nothing needs two steps of which one closes the other
    let undone: Vec<usize> = access.iter().flat_map(|&x| build.access[x].undoes.clone()).collect();
    access.retain(|x| !undone.contains(x));
    build.actions[action].access = access;
    if like.ties && random.chance(0.5) {
        build.actions[action].danger = random.below(4) as u8;
    }
    if like.order && action > 0 && random.chance(0.25) {
        build.actions[action].after = vec![random.below(action)];
    }
}
