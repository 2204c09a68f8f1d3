//! The book that ships, and the cars of a workshop under it.

use super::workshop;
use faultbook::bay::{Bay, Progress, Rates};
use faultbook::book::{Book, FindingKind, shipped};
use faultbook::job::{JobSheet, evidence};

/// What an hour costs, and what it costs to hand a car to a specialist.
pub const RATES: Rates = Rates::USUAL;

pub fn book() -> Book {
    shipped::book().expect("the book that ships is sound")
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
    let bay = bay(book, fitted, not_fitted).expect("a vehicle");
    workshop::Book { intake: intake(book, &bay), model: bay.model }
}

/// A vehicle in the bay; nothing where it cannot be.
pub fn bay(book: &Book, fitted: &[&str], not_fitted: &[&str]) -> Option<Bay> {
    let mut sheet = JobSheet::default();
    sheet.vehicle.fitted = fitted.iter().map(ToString::to_string).collect();
    sheet.vehicle.not_fitted = not_fitted.iter().map(ToString::to_string).collect();
    Bay::new(book, &evidence(book, &sheet).ok()?, &Progress::default(), RATES).ok()
}

/// What an intake can hear or scan.
pub fn intake(book: &Book, bay: &Bay) -> Vec<usize> {
    let heard = |f: &usize| matches!(book.findings[bay.car.findings[*f]].kind, FindingKind::Symptom { .. } | FindingKind::Code(_));
    (0..bay.car.findings.len()).filter(heard).collect()
}
