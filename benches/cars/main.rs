//! Cars whose truth is known, walked from the customer's words to the close: the measure of the whole tool.
//!
//! `cargo bench --bench cars` prints a line a car and the totals; `-- --json` the same for a program, `-- --walk` every question with its answer.
//! `FAULTBOOK_CARS=1,5-9` walks only these. docs/trial.md says what is counted and how.

#![allow(clippy::print_stdout, clippy::print_stderr, clippy::expect_used, clippy::unwrap_used, clippy::panic, missing_docs)] // a bench reports to a person

mod car;
mod table;
mod truth;
mod walk;

use car::Car;
use faultbook::book::shipped;
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use walk::Walked;

fn main() {
    let flag = |name: &str| std::env::args().any(|a| a == name);
    let chosen = std::env::var("FAULTBOOK_CARS").map_or_else(|_| vec![], |text| numbers(&text));
    let book = shipped::book().expect("the book that ships is sound");
    let cars = car::read(&book, &Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/cars/data"), &chosen);
    let walks = each(&cars, |car| walk::walk(&book, car));
    match (flag("--json"), flag("--walk")) {
        (true, _) => table::json(&cars, &walks),
        (false, true) => cars.iter().zip(&walks).for_each(|(car, walked)| table::dialogue(car, walked)),
        (false, false) => table::lines(&cars, &walks),
    }
}

/// Walks all cars on as many threads as the machine has; the answers come in the order of the cars.
fn each(cars: &[Car], work: impl Fn(&Car) -> Walked + Sync) -> Vec<Walked> {
    let (next, done) = (AtomicUsize::new(0), Mutex::new(Vec::new()));
    let worker = || {
        while let Some(at) = Some(next.fetch_add(1, Ordering::Relaxed)).filter(|at| *at < cars.len()) {
            let walked = work(&cars[at]);
            eprintln!("{}", table::line(&cars[at], &walked));
            done.lock().unwrap().push((at, walked));
        }
    };
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| (0..threads).for_each(|_| drop(scope.spawn(worker))));
    let mut done = done.into_inner().unwrap();
    done.sort_by_key(|(at, _)| *at);
    done.into_iter().map(|(_, walked)| walked).collect()
}

/// `1,5-9` as numbers.
fn numbers(text: &str) -> Vec<usize> {
    let number = |n: &str| n.trim().parse::<usize>().unwrap_or_else(|_| panic!("FAULTBOOK_CARS: `{n}` is no number; write 1,5-9"));
    let range = |part: &str| {
        let (from, to) = part.split_once('-').unwrap_or((part, part));
        number(from)..=number(to)
    };
    text.split(',').flat_map(range).collect()
}
