//! What can't be judged is not enough data, never a fault: pauses, frozen values, stopped engines, still sensors.

use super::{book_with, drive, result, taken};
use faultbook::book::Book;
use faultbook::job::log::{Drive, Lack, read};
use proptest::prelude::*;
use std::io::{BufReader, Read};
use std::sync::LazyLock;

/// A log made of rows of numbers, ten a second, in these columns.
struct Recorder {
    text: String,
    time: f64,
    columns: usize,
}

impl Recorder {
    fn new(headings: &str) -> Recorder {
        Recorder { text: format!("Time [s],{headings}\n"), time: 0.0, columns: headings.split(',').count() }
    }

    /// Seconds of rows, made from the time since they began.
    fn run(mut self, seconds: f64, row: impl Fn(f64) -> Vec<f64>) -> Recorder {
        for i in 0..(seconds * 10.0).round() as u32 {
            let cells: Vec<String> = row(f64::from(i) / 10.0).iter().map(|v| format!("{v:.2}")).collect();
            assert_eq!(cells.len(), self.columns);
            self.text += &format!("{:.1},{}\n", self.time, cells.join(","));
            self.time += 0.1;
        }
        self
    }

    fn pause(mut self, seconds: f64) -> Recorder {
        self.time += seconds;
        self
    }
}

/// A little unrest, as every live signal has.
fn jitter(t: f64) -> f64 {
    (t * 37.0).sin()
}

const IDLE: &str = "Engine RPM [RPM],Fuel Rail Pressure [bar],Control Module Voltage [V],Air Flow Rate [g/s]";

fn idle(t: f64) -> Vec<f64> {
    vec![800.0 + 5.0 * jitter(t), 300.0 + jitter(t), 14.1 + 0.02 * jitter(t), 8.0 + 0.1 * jitter(t)]
}

#[test]
fn a_pause_with_the_same_values_on_both_sides_is_not_steady() {
    let book = book_with(&[("rail", "bar", "rail-pressure while rpm 700 to 900 for 30 s take median")]);
    let steady = Recorder::new(IDLE).run(50.0, idle);
    assert!(result(&book, &drive(&book, steady.text), "rail").is_ok());
    let broken = Recorder::new(IDLE).run(20.0, idle).pause(60.0).run(20.0, idle);
    let drive = drive(&book, broken.text);
    assert!(matches!(result(&book, &drive, "rail"), Err(Lack::TooShort(s)) if (17.0..=20.0).contains(s)), "{:?}", drive.readings);
    assert_eq!((drive.pauses.breaks, drive.pauses.longest.round()), (1, 60.0));
}

#[test]
fn rows_that_repeat_for_a_minute_are_stale() {
    let book = book_with(&[
        ("rail", "bar", "rail-pressure while rpm 700 to 900 for 30 s take median"),
        ("short", "bar", "rail-pressure while rpm 700 to 900 for 5 s take median"),
    ]);
    let frozen = Recorder::new(IDLE).run(20.0, idle).run(60.0, |_| idle(19.9)).run(20.0, idle);
    let drive = drive(&book, frozen.text);
    assert!(matches!(result(&book, &drive, "rail"), Err(Lack::TooShort(s)) if *s < 21.0), "{:?}", drive.readings);
    // two stretches of 20 s at ten a second, less what it takes to trust the recorder again
    let short = taken(&book, &drive, "short");
    assert!((370..=400).contains(&short.samples), "{}", short.samples);
    assert!((55.0..62.0).contains(&drive.pauses.still), "{}", drive.pauses.still);
}

#[test]
fn an_engine_switched_off_is_no_fault() {
    let windows: &[(&str, &str, &str)] = &[
        ("charge", "V", "module-voltage take least"),
        ("rail-least", "bar", "rail-pressure take least"),
        ("rail-spread", "bar", "rail-pressure while rpm 700 to 1000 for 5 s take spread"),
        ("air", "g/s", "air-flow for 5 s take least"),
        ("rest", "V", "module-voltage while rpm below 50 for 5 s take median"),
    ];
    let book = book_with(windows);
    let off = |t: f64| vec![0.0, 250.0 * (-t / 5.0).exp(), 12.5 + 0.01 * jitter(t), 0.0];
    let log = Recorder::new(IDLE).run(30.0, idle).run(40.0, off).run(30.0, idle);
    let drive = drive(&book, log.text);
    assert!(taken(&book, &drive, "charge").value > 14.0);
    assert!(taken(&book, &drive, "rail-least").value > 298.0);
    assert!(taken(&book, &drive, "rail-spread").value < 3.0);
    assert!(taken(&book, &drive, "air").value > 7.5);
    assert!((taken(&book, &drive, "rest").value - 12.5).abs() < 0.02, "asked for at rest, it is given");
    assert_eq!(drive.pauses.stops, 1);
}

#[test]
fn a_recorder_left_on_after_the_stop_shows_nothing() {
    let book = book_with(&[("key-on", "bar", "rail-pressure while rpm below 50 for 2 s take median")]);
    // contact is lost while the pressure still stands: the last values go on and on
    let log = Recorder::new(IDLE).run(30.0, idle).run(60.0, |_| vec![0.0, 290.0, 12.5, 0.0]);
    let drive = drive(&book, log.text);
    assert!(result(&book, &drive, "key-on").is_err(), "{:?}", drive.readings);
}

#[test]
fn an_engine_not_yet_started_may_stand_still() {
    let book = book_with(&[("key-on", "bar", "rail-pressure while rpm below 50 for 20 s take median")]);
    let log = Recorder::new(IDLE).run(60.0, |_| vec![0.0, 0.0, 12.4, 0.0]);
    assert!(taken(&book, &drive(&book, log.text), "key-on").value.abs() < 1e-9);
}

#[test]
fn cranking_can_be_read() {
    let book = book_with(&[("cranking", "V", "module-voltage while rpm 60 to 350 for 0.3 s take least")]);
    let crank = |t: f64| vec![200.0 + 10.0 * jitter(t), 150.0, 9.8 + 0.1 * jitter(t), 1.0];
    let log = Recorder::new(IDLE).run(5.0, |_| vec![0.0, 0.0, 12.4, 0.0]).run(1.5, crank).run(30.0, idle);
    assert!((taken(&book, &drive(&book, log.text), "cranking").value - 9.7).abs() < 0.02);
}

#[test]
fn a_sensor_that_stands_while_its_driver_moves_is_a_reading() {
    let book = book_with(&[("air-moves", "g/s", "air-flow while rpm 700 to 3500 and pedal above 5 for 5 s take spread")]);
    let headings = "Engine RPM [RPM],Accelerator Pedal Position D [%],Air Flow Rate [g/s]";
    let sweep = |air: fn(f64) -> f64| {
        Recorder::new(headings).run(20.0, move |t| vec![1500.0 + 700.0 * (t / 3.0).sin(), 20.0 + 5.0 * (t / 3.0).sin(), air(t)])
    };
    let live = taken(&book, &drive(&book, sweep(|t| 20.0 + 15.0 * (t / 3.0).sin()).text), "air-moves").value;
    assert!((live - 30.0).abs() < 0.1, "{live}");
    let drive_dead = drive(&book, sweep(|_| 12.0).text);
    let dead = taken(&book, &drive_dead, "air-moves");
    assert!(dead.value.abs() < 1e-9 && dead.samples > 150);
    // the driver stands too: its standing still says nothing
    let still = Recorder::new(headings).run(12.0, |_| vec![1500.0, 20.0, 12.0]);
    assert_eq!(result(&book, &drive(&book, still.text), "air-moves"), &Err(Lack::DriverStill));
}

#[test]
fn why_there_is_no_reading() {
    let book = book_with(&[
        ("no-column", "kPa", "manifold-pressure - ambient-pressure while rpm above 500 take median"),
        ("too-slow", "bar", "rail-pressure while rpm above 2000 take median"),
        ("never-both", "bar", "rail-pressure while rpm above 1500 and air-flow below 9 take median"),
        ("too-short", "bar", "rail-pressure while rpm above 1500 for 30 s take median"),
    ]);
    let log = Recorder::new(IDLE).run(10.0, idle).run(5.0, |t| vec![1800.0 + jitter(t), 500.0, 14.1, 30.0]).run(10.0, idle);
    let drive = drive(&book, log.text);
    let ids = |names: &[&str]| names.iter().map(|n| book.channels.find(n).unwrap()).collect::<Vec<_>>();
    assert_eq!(result(&book, &drive, "no-column"), &Err(Lack::NoChannel(ids(&["manifold-pressure", "ambient-pressure"]))));
    match result(&book, &drive, "too-slow") {
        Err(Lack::OutOfReach(holds)) => {
            assert!((holds[0].2 - 795.0).abs() < 1.0 && (holds[0].1..=1801.0).contains(&1799.0) || holds[0].2 > 1790.0)
        }
        other => panic!("{other:?}"),
    }
    assert_eq!(result(&book, &drive, "never-both"), &Err(Lack::NeverTogether));
    assert!(matches!(result(&book, &drive, "too-short"), Err(Lack::TooShort(s)) if (4.5..5.1).contains(s)));
}

#[test]
fn jumps_of_the_clock_part_the_drive() {
    let book = book_with(&[("rail", "bar", "rail-pressure while rpm 700 to 900 for 15 s take median")]);
    let first = Recorder::new(IDLE).run(20.0, idle).text;
    let back = first.clone() + first.split_once('\n').unwrap().1;
    let got = drive(&book, back);
    assert_eq!((got.pauses.jumps, got.pauses.breaks, got.bad_rows.count), (1, 1, 0));
    assert!((got.seconds - 39.9).abs() < 0.2, "{}", got.seconds);
    assert!(taken(&book, &got, "rail").stretches.len() == 2);
    // two rows that change places are no jump
    let mut lines: Vec<&str> = first.lines().collect();
    lines.swap(60, 61);
    let swapped = drive(&book, lines.join("\n"));
    assert_eq!((swapped.pauses.jumps, swapped.pauses.breaks, swapped.rows), (0, 0, 200));
}

#[test]
fn a_quote_or_a_line_that_never_ends_is_refused_in_little_memory() {
    let book = book_with(&[]);
    let endless = |head: &'static str, filler: u8| head.as_bytes().chain(std::io::repeat(filler));
    for (head, filler) in
        [("Time,Engine RPM\n0.1,800\n0.2,\"8", b'7'), ("Time,Engine RPM\n0.1,800\n0.2,8", b'8'), ("", b'\n'), ("Time,RPM\n\"", b'\n')]
    {
        let log = endless(head, filler).take(1 << 26);
        if let Err(error) = read(&book, BufReader::new(log), None) {
            let expected = ["a line of a megabyte", "no row of headings", "the log is empty"];
            assert!(expected.iter().any(|e| error.message.contains(e)), "{error}");
        }
    }
}

fn sound(drive: &Drive) {
    for reading in &drive.readings {
        if let Ok(taken) = &reading.result {
            assert!(taken.value.is_finite() && taken.samples > 0 && taken.least <= taken.most && taken.seconds >= 0.0, "{taken:?}");
        }
    }
}

static ANY: LazyLock<Book> = LazyLock::new(|| {
    book_with(&[
        ("any", "rpm", "rpm take median"),
        ("spread", "rpm", "rpm while speed above 0 take spread"),
        ("quotient", "count", "rpm / speed for 1 s take mean"),
        ("held", "s", "rpm while rpm above 0 take duration"),
    ])
});

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..2000)) {
        if let Ok(drive) = read(&ANY, &bytes[..], None) { sound(&drive) }
    }

    #[test]
    fn no_cells_make_it_panic(cells in prop::collection::vec("[-0-9.,:eE+ \"\u{b0}aNn;]{0,9}", 0..200), width in 2usize..5, between in prop::sample::select(vec![",", ";", "\t"])) {
        let mut text = ["Time", "RPM", "Speed", "Load"][..width.min(4)].join(between) + "\n";
        for row in cells.chunks(width) { text += &(row.join(between) + "\n"); }
        if let Ok(drive) = read(&ANY, text.as_bytes(), None) { sound(&drive) }
    }
}
