//! Cars whose truth is known, walked from the customer's words to the close: the measure of the whole tool.
//!
//! `cargo bench --bench cars` prints a line a car and the totals; `-- --json` the same for a program, `-- --walk` every question with its answer.
//! `FAULTBOOK_CARS=1,5-9` walks only these, `FAULTBOOK_RULES=rules` walks them through the rules of a folder: no build between a rule and what it does.
//! `FAULTBOOK_TRUTHS=folder` takes the cars from elsewhere. docs/trial.md says what is counted and how.

#![allow(clippy::print_stdout, clippy::print_stderr, clippy::expect_used, clippy::unwrap_used, clippy::panic, missing_docs)] // a bench reports to a person

mod car;
mod table;
mod truth;
mod walk;

use car::Car;
use faultbook::book::{Book, read, shipped};
use faultbook::syntax::{Sources, parse};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use walk::Walked;

fn main() {
    let flag = |name: &str| std::env::args().any(|a| a == name);
    let chosen = std::env::var("FAULTBOOK_CARS").map_or_else(|_| vec![], |text| numbers(&text));
    let book = std::env::var_os("FAULTBOOK_RULES").map_or_else(shipped::book, |folder| of(Path::new(&folder))).expect("the book is sound");
    let cars =
        std::env::var_os("FAULTBOOK_TRUTHS").map_or_else(|| Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/cars/data"), PathBuf::from);
    let cars = car::read(&book, &cars, &chosen);
    let walks = each(&cars, |car| walk::walk(&book, car));
    match (flag("--json"), flag("--walk")) {
        (true, _) => table::json(&cars, &walks),
        (false, true) => cars.iter().zip(&walks).for_each(|(car, walked)| table::dialogue(car, walked)),
        (false, false) => table::lines(&cars, &walks),
    }
}

/// The book in the `*.rules` files below a folder.
fn of(folder: &Path) -> Option<Book> {
    let mut files = vec![];
    below(folder, &mut files);
    files.sort();
    let mut sources = Sources::default();
    let mut document = |path: &PathBuf| {
        let text = std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        parse(sources.add(path.display().to_string(), &text), &text).0
    };
    let documents = files.iter().map(&mut document).collect();
    read(&sources, &[documents]).0
}

fn below(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display())) {
        let path = entry.unwrap().path();
        match path.is_dir() {
            true => below(&path, files),
            false if path.extension().is_some_and(|e| e == "rules") => files.push(path),
            false => {}
        }
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
