//! Books of the size a workshop has, cars that come in with a fault from them, and what their checks would show.

use super::build::Build;
use super::generate::Random;
use faultbook::belief::Network;
use faultbook::plan::Model;

/// Causes in one system of the car.
const CAUSES: usize = 20;

/// A book and what a car shows at intake.
pub struct Book {
    /// The model without evidence.
    pub model: Model,
    /// The findings that an intake can hear, ask or scan.
    pub intake: Vec<usize>,
}

/// A book of so many systems with 20 causes and some 39 findings each; what an intake hears strays so much.
pub fn book(random: &mut Random, systems: usize, stray: f64) -> Book {
    let mut build = Build::default();
    let mut intake = Vec::new();
    let ramp = build.step(8.0, &[], &[]);
    for c in 0..systems * CAUSES {
        let first = c / CAUSES * CAUSES;
        let chained = c > first && random.chance(0.25);
        let parents = if chained { vec![(first + random.below(c - first), random.between(0.2, 0.7))] } else { vec![] };
        let prior = 0.0002 * 20f64.powf(random.unit());
        build.cause(prior, &parents);
    }
    for _ in 0..systems.div_ceil(4) * 5 {
        let links = (0..40).map(|_| random.below(systems.min(20) * CAUSES)).collect();
        intake.push(sign(&mut build, random, links, (0.2, 0.8), (0.2 * stray, 2.0 * stray)));
    }
    for system in 0..systems {
        add_system(&mut build, random, system * CAUSES, ramp, stray, &mut intake);
    }
    let mut model = build.model(900.0);
    model.rate_per_minute = 1.5;
    model.vain_factor = 2.0;
    Book { model, intake }
}

fn add_system(build: &mut Build, random: &mut Random, first: usize, ramp: usize, stray: f64, intake: &mut Vec<usize>) {
    let cover = build.step(random.between(4.0, 15.0).round(), &[], &[]);
    let under = build.step(random.between(5.0, 12.0).round(), &[ramp], &[]);
    let access = |random: &mut Random| match random.below(6) {
        0 => vec![cover],
        1 => vec![under],
        2 => vec![ramp],
        _ => vec![],
    };
    for _ in 0..10 {
        let links = (0..6).map(|_| first + random.below(CAUSES)).collect();
        intake.push(sign(build, random, links, (0.4, 0.95), (0.1 * stray, stray)));
    }
    for _ in 0..8 {
        let reading = reading(build, random, first);
        let check = build.check(random.between(2.0, 15.0).round(), &[reading]);
        build.actions[check].access = access(random);
    }
    for cause in first..first + CAUSES {
        let mut links = vec![cause];
        links.extend((0..random.below(2)).map(|_| first + random.below(CAUSES)));
        let direct = sign(build, random, links, (0.85, 0.99), (0.001, 0.02));
        let place = access(random);
        let check = build.check(random.between(5.0, 40.0).round(), &[direct]);
        build.actions[check].access = place.clone();
        let fix = build.fix((5.0 * 80f64.powf(random.unit())).round(), &[cause]);
        build.actions[fix].minutes = random.between(10.0, 90.0).round();
        build.actions[fix].access = place;
    }
}

fn sign(build: &mut Build, random: &mut Random, mut links: Vec<usize>, strength: (f64, f64), stray: (f64, f64)) -> usize {
    links.sort_unstable();
    links.dedup();
    let links: Vec<(usize, f64)> = links.into_iter().map(|c| (c, random.between(strength.0, strength.1))).collect();
    let stray = random.between(stray.0, stray.1);
    build.sign(stray, &links)
}

fn reading(build: &mut Build, random: &mut Random, first: usize) -> usize {
    let mut causes: Vec<usize> = (0..5).map(|_| first + random.below(CAUSES)).collect();
    causes.sort_unstable();
    causes.dedup();
    let pushes: Vec<(usize, [f64; 2])> = causes
        .into_iter()
        .map(|c| {
            let (total, low) = (random.between(0.5, 0.95), if random.chance(0.5) { 0.9 } else { 0.1 });
            (c, [total * low, total * (1.0 - low)])
        })
        .collect();
    let links: Vec<(usize, &[f64])> = pushes.iter().map(|(c, p)| (*c, p.as_slice())).collect();
    build.finding(&[random.between(0.002, 0.02), random.between(0.002, 0.02)], &links)
}

/// What is really the matter with one car. Every draw of it falls the same however often it is asked for.
pub struct Truth {
    /// What is present at intake, conditions too.
    pub present: Vec<usize>,
    /// What was present of itself.
    own: Vec<usize>,
    seed: u64,
}

/// What a draw of a car is for.
#[derive(Clone, Copy)]
enum Draw {
    Link,
    Push,
    Cure,
    Misread,
}

impl Truth {
    /// Faults as often as the network says: none in many cars.
    pub fn drawn(random: &mut Random, network: &Network) -> Truth {
        Truth::with(None, random, network)
    }

    /// One fault for certain, likely ones more often, and perhaps more.
    pub fn faulty(random: &mut Random, network: &Network) -> Truth {
        let causes = network.causes();
        let prior = |c: usize| if causes[c].condition { 0.0 } else { causes[c].prior };
        let total: f64 = (0..causes.len()).map(prior).sum();
        let mut left = random.unit() * total;
        let certain = (0..causes.len()).find(|&c| {
            left -= prior(c);
            left <= 0.0
        });
        Truth::with(certain, random, network)
    }

    /// This fault alone, with what it brings about.
    pub fn only(cause: usize, random: &mut Random, network: &Network) -> Truth {
        Truth::brought(vec![cause], random, network)
    }

    fn with(certain: Option<usize>, random: &mut Random, network: &Network) -> Truth {
        let causes = network.causes();
        let own = (0..causes.len()).filter(|&c| certain == Some(c) || random.chance(causes[c].prior)).collect();
        Truth::brought(own, random, network)
    }

    /// These causes, with what they bring about.
    fn brought(own: Vec<usize>, random: &mut Random, network: &Network) -> Truth {
        let mut truth = Truth { present: vec![], own, seed: random.next() };
        truth.present = truth.grown(truth.own.clone(), network, |_| true);
        truth
    }

    /// With what these bring about, of what is wanted.
    fn grown(&self, mut present: Vec<usize>, network: &Network, wanted: impl Fn(usize) -> bool) -> Vec<usize> {
        let mut next = 0;
        while next < present.len() {
            let parent = present[next];
            for &child in network.brought_by(parent).iter().filter(|&&c| wanted(c)) {
                let strength = network.causes()[child].brought_by.iter().find(|(p, _)| *p == parent).map_or(0.0, |(_, s)| *s);
                if !present.contains(&child) && self.draw(Draw::Link, parent, child).chance(strength) {
                    present.push(child);
                }
            }
            next += 1;
        }
        present.sort_unstable();
        present
    }

    /// What of the present is left after a fix: conditions end with what brings them about, and what else was brought about stays.
    pub fn after(&self, network: &Network, present: &[usize], act: usize, cures: &[(usize, f64)]) -> Vec<usize> {
        let condition = |c: usize| network.causes()[c].condition;
        let cured = |c: usize| cures.iter().any(|&(cause, chance)| cause == c && self.draw(Draw::Cure, act, c).chance(chance));
        let mut left: Vec<usize> = present.iter().copied().filter(|&c| !condition(c) && !cured(c)).collect();
        left.extend(self.own.iter().copied().filter(|&c| condition(c)));
        self.grown(left, network, condition)
    }

    /// The state of a finding with these causes present.
    pub fn shows(&self, network: &Network, finding: usize, present: &[usize]) -> usize {
        let node = &network.findings()[finding];
        let pushes = node.pushes.iter().filter(|(c, _)| present.contains(c)).map(|(c, p)| (*c, p));
        let pushed = |(cause, push): (usize, &Vec<f64>)| pushed(&mut self.draw(Draw::Push, finding, cause), push);
        [(usize::MAX, &node.stray)].into_iter().chain(pushes).map(pushed).max().unwrap_or(0)
    }

    /// What a later look at a finding shows.
    pub fn shows_again(&self, network: &Network, finding: usize, period: usize, present: &[usize]) -> usize {
        let mut draw = self.draw(Draw::Misread, finding, period);
        if draw.chance(0.002) { draw.below(network.findings()[finding].states()) } else { self.shows(network, finding, present) }
    }

    fn draw(&self, what: Draw, a: usize, b: usize) -> Random {
        let mut random = Random(self.seed ^ (what as u64) << 60 ^ (a as u64) << 30 ^ (b as u64).wrapping_mul(0x9E37_79B9));
        random.next();
        random
    }
}

fn pushed(random: &mut Random, push: &[f64]) -> usize {
    let mut left = random.unit();
    for (k, p) in push.iter().enumerate() {
        left -= p;
        if left < 0.0 {
            return k + 1;
        }
    }
    0
}

/// A car at intake where every finding is asked for with an even chance, whatever it shows. Nothing where none is abnormal.
pub fn asked(book: &Book, truth: &Truth, random: &mut Random) -> Option<Model> {
    let mut model = book.model.clone();
    let asked: Vec<usize> = book.intake.iter().copied().filter(|_| random.chance(0.5)).collect();
    let shown = asked.into_iter().map(|f| (f, truth.shows(&model.network, f, &truth.present))).collect();
    know(&mut model, shown)
}

/// A car at intake: up to so many of its abnormal findings and of its normal ones are known. Nothing where none is abnormal.
pub fn intake(book: &Book, truth: &Truth, random: &mut Random, abnormal: usize, normal: usize) -> Option<Model> {
    scanned(book, &[], truth, random, abnormal, normal)
}

/// As [`intake`], after a scan that told of each of these findings whether it is there.
pub fn scanned(book: &Book, scan: &[usize], truth: &Truth, random: &mut Random, abnormal: usize, normal: usize) -> Option<Model> {
    let mut model = book.model.clone();
    let scan = scan.iter().map(|&f| (f, truth.shows(&model.network, f, &truth.present))).collect::<Vec<_>>();
    let (mut bad, mut good) = (vec![], vec![]);
    for &f in &book.intake {
        let state = truth.shows(&model.network, f, &truth.present);
        if state > 0 { bad.push((f, state)) } else { good.push((f, 0)) }
    }
    bad.truncate(abnormal);
    for _ in 0..normal.min(good.len()) {
        let chosen = random.below(good.len());
        bad.push(good.swap_remove(chosen));
    }
    bad.extend(scan);
    know(&mut model, bad)
}

/// The car with these findings in these states; nothing where none is abnormal.
fn know(model: &mut Model, shown: Vec<(usize, usize)>) -> Option<Model> {
    let states = |f: usize| model.network.findings()[f].states();
    model.history.seen = shown.iter().map(|&(f, k)| faultbook::belief::Seen::state(f, k, states(f))).collect();
    model.complaint = shown.iter().filter(|(_, k)| *k > 0).map(|s| s.0).collect();
    (!model.complaint.is_empty()).then(|| model.clone())
}
