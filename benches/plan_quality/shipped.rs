//! The book that ships, and the cars of a workshop under it.

use super::workshop;
use faultbook::bay::{Bay, Progress, Rates};
use faultbook::book::{Book, FindingKind, read, shipped};
use faultbook::job::{JobSheet, evidence};
use faultbook::syntax::{Sources, parse};

/// What an hour costs, and what it costs to hand a car to a specialist.
pub const RATES: Rates = Rates { per_hour: 60.0, refer: 1200.0 };

pub fn book() -> Book {
    let mut sources = Sources::default();
    let mut documents = vec![];
    for (name, text) in shipped::files() {
        let file = sources.add(name, text);
        documents.push(parse(file, &sources.get(file).text).0);
    }
    read(&sources, &[documents]).0.expect("the book that ships is sound")
}

/// The book as two vehicles have it, and what an intake can hear or scan of them.
pub fn books() -> Vec<(&'static str, workshop::Book)> {
    let book = book();
    let vehicles = [
        ("a diesel van", ["diesel", "turbo", "common-rail", "dpf"].as_slice(), ["hybrid", "petrol"].as_slice()),
        ("a petrol car", ["petrol", "air-flow-meter"].as_slice(), ["hybrid", "diesel", "turbo"].as_slice()),
    ];
    vehicles.map(|(name, fitted, not)| (name, vehicle(&book, fitted, not))).into()
}

fn vehicle(book: &Book, fitted: &[&str], not_fitted: &[&str]) -> workshop::Book {
    let mut sheet = JobSheet::default();
    sheet.vehicle.fitted = fitted.iter().map(ToString::to_string).collect();
    sheet.vehicle.not_fitted = not_fitted.iter().map(ToString::to_string).collect();
    let bay = Bay::new(book, &evidence(book, &sheet).expect("evidence"), &Progress::default(), RATES).expect("a model");
    let heard = |f: &usize| matches!(book.findings[bay.car.findings[*f]].kind, FindingKind::Symptom { .. } | FindingKind::Code(_));
    let intake = (0..bay.car.findings.len()).filter(heard).collect();
    workshop::Book { model: bay.model, intake }
}
