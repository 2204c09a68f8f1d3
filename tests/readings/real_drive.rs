//! A real drive against values worked out independently of this project, from the file alone.
//!
//! Source of the drive: Weber (2023), Automotive OBD-II Dataset, DOI 10.35097/1130, CC BY 4.0 (examples/logs/README.md).

use super::{book_with, drive, result, shipped_book, taken, traced};
use faultbook::job::log::{Lack, Shape};
use faultbook::job::{band_weights, settle};

/// The file.
pub const LOG: &str = include_str!("../../examples/logs/cold-start-drive.csv");

fn near(got: f64, wanted: f64, within: f64) {
    assert!((got - wanted).abs() <= within, "{got} is not {wanted}");
}

#[test]
fn every_row_and_the_whole_time_is_read() {
    let book = book_with(&[]);
    let drive = drive(&book, LOG);
    assert_eq!((drive.rows, drive.shape), (8903, Shape::Wide));
    near(drive.seconds, 1204.985, 1e-6);
    assert_eq!(drive.columns.len(), 10, "all but the time");
    assert!(drive.columns.iter().all(|c| c.fate.gives().is_some()), "{:?}", drive.columns);
    assert_eq!((drive.pauses.breaks, drive.pauses.jumps, drive.bad_rows.count, drive.bad_cells.count), (0, 0, 0, 0));
    assert_eq!(drive.pauses.stops, 1);
}

#[test]
fn channels_span_what_they_span() {
    let book = book_with(&[]);
    for (channel, least, most) in [
        ("rpm", 188.0, 2785.0),
        ("manifold-pressure", 36.0, 231.0),
        ("air-flow", 6.91, 83.55),
        ("speed", 0.0, 91.0),
        ("coolant", 16.0, 91.0),
    ] {
        let trace = traced(&book, LOG, channel).trace.expect("a curve was asked for");
        assert_eq!(trace.range(), Some((least, most)), "{channel}");
    }
}

#[test]
fn coolant_warms_up_at_the_times_it_does() {
    // the first moment at each temperature is one step after the last moment below it; the largest step of the file is 0.498 s
    for (temperature, seconds) in [(40, 263.3), (60, 526.2), (70, 685.4), (80, 818.2), (88, 892.4), (90, 927.7)] {
        let below = format!("coolant while coolant below {temperature} and rpm above 0 for 200 s take duration");
        let book = book_with(&[("warm-up", "s", &below)]);
        near(taken(&book, &drive(&book, LOG), "warm-up").value, seconds, 0.5);
    }
    let book =
        book_with(&[("first", "degC", "coolant take first"), ("most", "degC", "coolant take most"), ("last", "degC", "coolant take last")]);
    let drive = drive(&book, LOG);
    for (name, value) in [("first", 16.0), ("most", 91.0), ("last", 89.0)] {
        near(taken(&book, &drive, name).value, value, 0.0);
    }
}

#[test]
fn warm_idle_has_its_medians() {
    let idle = "while speed 0 to 0 and rpm 700 to 1000 and pedal-e above 0";
    let names = [("rpm", "rpm"), ("manifold-pressure", "kPa"), ("air-flow", "g/s"), ("coolant", "degC")];
    let windows: Vec<(String, &str, String)> = names.iter().map(|(n, u)| (format!("{n}-idle"), *u, format!("{n} {idle}"))).collect();
    let windows: Vec<(&str, &str, &str)> = windows.iter().map(|(n, u, w)| (n.as_str(), *u, w.as_str())).collect();
    let book = book_with(&windows);
    let drive = drive(&book, LOG);
    for ((name, _, _), median) in windows.iter().zip([800.0, 102.0, 7.55, 89.0]) {
        let taken = taken(&book, &drive, name);
        near(taken.value, median, 1e-9);
        assert_eq!(taken.samples, 482, "the idle rows in which every signal has appeared");
    }
}

#[test]
fn a_shutting_throttle_at_the_stop_is_no_reading() {
    let book = book_with(&[
        ("least", "kPa", "manifold-pressure while rpm 700 to 1000 take least"),
        ("slowest", "rpm", "rpm take least"),
        ("key-on", "kPa", "manifold-pressure while rpm below 300 take median"),
    ]);
    let drive = drive(&book, LOG);
    assert!(taken(&book, &drive, "least").value > 90.0, "36 kPa is the shut throttle");
    assert!(taken(&book, &drive, "slowest").value > 700.0, "188 rpm is the stop");
    assert!(matches!(result(&book, &drive, "key-on"), Err(Lack::NeverTogether)));
}

#[test]
fn nothing_is_wrong_with_this_car() {
    let book = shipped_book();
    let drive = drive(&book, LOG);
    let words = |list: &[&str]| list.iter().map(|w| w.to_string()).collect::<Vec<_>>();
    let traits = settle(&book, &words(&["diesel", "turbo"]), &[]).unwrap();
    let mut judged = 0;
    for reading in &drive.readings {
        let finding = &book.findings[reading.finding];
        let (Ok(taken), Some(gauge)) = (&reading.result, finding.gauge()) else { continue };
        if finding.head.when.holds(&traits) == Some(true) {
            let weights = band_weights(finding, gauge, taken.value);
            assert!(weights[0] > 0.9, "`{}` came out as {} {}: {weights:?}", finding.head.name, taken.value, gauge.unit.text);
            judged += 1;
        }
    }
    assert!(judged >= 3, "only {judged} readings could be judged");
}
