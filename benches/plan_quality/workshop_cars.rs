//! Cars with faults, each repaired by the plan and by simple orders of work: what that costs on average. Every order meets the same cars, and
//! what a finding shows on a car is the same for all (common random numbers).

use super::generate::Random;
use super::job::{Ended, Job};
use super::orders::{ORDERS, by};
use super::shipped;
use super::workshop::{Book, Truth, asked, book, intake};
use faultbook::plan::Model;

/// Cars tried of each kind, unless `FAULTBOOK_CARS` says otherwise.
const CARS: usize = 400;
/// Systems of 20 causes.
const SYSTEMS: usize = 15;
/// Abnormal and normal findings known at intake, at most.
const KNOWN: (usize, usize) = (4, 6);

pub fn run() {
    let size = SYSTEMS * 20;
    let few = |book: &Book, truth: &Truth, random: &mut Random| intake(book, truth, random, KNOWN.0, KNOWN.1);
    let generated = book(&mut Random(31), SYSTEMS, 0.01);
    try_all(&format!("{size} causes, cars with a fault, a short intake"), &generated, Truth::faulty, few);
    let generated = book(&mut Random(31), SYSTEMS, 0.001);
    try_all(&format!("{size} causes, cars as the book draws them, half of all asked"), &generated, Truth::drawn, asked);
    for (name, book) in shipped::books() {
        try_all(&format!("the shipped book, {name}, cars with a fault, a short intake"), &book, Truth::faulty, few);
    }
}

fn try_all(
    what: &str,
    book: &Book,
    truth: fn(&mut Random, &faultbook::belief::Network) -> Truth,
    intake: impl Fn(&Book, &Truth, &mut Random) -> Option<Model>,
) {
    let cars = std::env::var("FAULTBOOK_CARS").ok().and_then(|n| n.parse().ok()).unwrap_or(CARS);
    let mut random = Random(77);
    let (mut walked, mut printed, mut others) = (vec![], vec![], vec![vec![]; ORDERS.len()]);
    while walked.len() < cars {
        let truth = truth(&mut random, &book.model.network);
        let Some(car) = intake(book, &truth, &mut random) else { continue };
        walked.push(Job::new(&car, &truth).walked());
        printed.push(Job::new(&car, &truth).printed());
        for (costs, (_, order)) in others.iter_mut().zip(ORDERS) {
            costs.push(by(order, Job::new(&car, &truth)));
        }
    }
    println!("{what}: mean cost of {cars} cars, and what the walk costs less (95 % interval)");
    println!("  {:22} {}", "walk", ends(&walked));
    line("plan as printed", &printed, &walked);
    ORDERS.iter().zip(&others).for_each(|((name, _), costs)| line(name, costs, &walked));
}

/// Mean cost, repairs in vain a car, share handed over.
fn ends(of: &[Ended]) -> String {
    let n = of.len() as f64;
    let cost = of.iter().map(|e| e.cost).sum::<f64>() / n;
    let vain = of.iter().map(|e| e.vain).sum::<usize>() as f64 / n;
    let handed = 100.0 * of.iter().filter(|e| e.handed_over).count() as f64 / n;
    format!("{cost:7.1}, {vain:.2} repairs in vain, {handed:3.0} % handed over")
}

fn mean(of: &[f64]) -> f64 {
    of.iter().sum::<f64>() / of.len() as f64
}

fn line(name: &str, ended: &[Ended], walked: &[Ended]) {
    let saved: Vec<f64> = ended.iter().zip(walked).map(|(other, walked)| other.cost - walked.cost).collect();
    let (other, less) = (mean(&ended.iter().map(|e| e.cost).collect::<Vec<_>>()), mean(&saved));
    let spread = saved.iter().map(|s| (s - less).powi(2)).sum::<f64>() / (saved.len() - 1) as f64;
    let half = 1.96 * (spread / saved.len() as f64).sqrt();
    let share = |money: f64| 100.0 * money / other;
    println!("  {name:22} {}   {:.1} % ({:.1} to {:.1} %)", ends(ended), share(less), share(less - half), share(less + half));
}
