//! The next step on a book of workshop size, and the same car on a book a hundred times as large.

use super::generate::Random;
use super::time::{quantile, timed};
use super::workshop::{Truth, book, intake};
use faultbook::belief::Limits;
use faultbook::plan::{Budget, Model, plan};

/// Cars timed.
const CARS: usize = 15;

pub fn run() {
    println!("next step, 8 abnormal and 10 normal findings known");
    for systems in [15, 1500] {
        let mut random = Random(21);
        let book = book(&mut random, systems, 0.01);
        let cars: Vec<Model> = std::iter::from_fn(|| {
            let truth = Truth::faulty(&mut random, &book.model.network);
            Some(intake(&book, &truth, &mut random, 8, 10))
        })
        .flatten()
        .filter(|car| car.complaint.len() == 8)
        .take(CARS)
        .collect();
        let network = &book.model.network;
        print!("  {:6} causes, {:6} findings:", network.causes().len(), network.findings().len());
        for (name, budget) in [("next step", Budget::STEP), ("plan", Budget::PLAN)] {
            let mut seconds: Vec<f64> = cars.iter().map(|car| timed(|| plan(car, &budget, &Limits::default())).0).collect();
            print!("  {name} {:.1} ms (worst {:.1})", quantile(&mut seconds, 0.5) * 1e3, quantile(&mut seconds, 1.0) * 1e3);
        }
        println!();
    }
}
