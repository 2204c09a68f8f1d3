//! One drive in the layouts of many recorders: the same readings must come out.

use super::real_drive::LOG;
use super::{book_with, drive, taken};
use faultbook::book::Book;
use faultbook::job::log::{Drive, Fate, Shape, Writing, read};
use std::sync::LazyLock;

static BOOK: LazyLock<Book> = LazyLock::new(|| {
    let idle = "while rpm 700 to 1000 and speed below 1 and coolant above 80 for 5 s";
    book_with(&[
        ("idle-air", "g/s", &format!("air-flow {idle}")),
        ("idle-least", "kPa", &format!("manifold-pressure {idle} take least")),
        ("pull", "kPa", "manifold-pressure while rpm above 1800 and pedal above 30 for 0.5 s take most"),
        ("warm-up", "s", "coolant while coolant below 60 and rpm above 0 take duration"),
        ("over-outside", "K", "intake-temp - ambient-temp while speed above 40 for 10 s take mean"),
    ])
});

/// The file as rows of cells, with every row's seconds since midnight.
fn table() -> (Vec<&'static str>, Vec<(f64, Vec<&'static str>)>) {
    let mut lines = LOG.lines().map(|l| l.split(',').collect::<Vec<_>>());
    let head = lines.next().unwrap();
    let seconds = |time: &str| time.split(':').fold(0.0, |s, part| s * 60.0 + part.parse::<f64>().unwrap());
    (head, lines.map(|row| (seconds(row[0]), row)).collect())
}

/// Writes the file anew, with these cells of time and this between cells and rows.
fn written(time_heading: &str, time: impl Fn(f64, &str) -> String, between: &str, end: &str, cell: impl Fn(&str) -> String) -> String {
    let (head, rows) = table();
    let mut out = [vec![time_heading.to_string()], head[1..].iter().map(|h| h.to_string()).collect()].concat().join(between) + end;
    for (seconds, row) in rows {
        let cells: Vec<String> = row[1..].iter().map(|c| cell(c)).collect();
        out += &(time(seconds, row[0]) + between + &cells.join(between) + end);
    }
    out
}

fn clock(_: f64, text: &str) -> String {
    text.into()
}

fn same(text: &str, wanted: &Drive, what: &str) {
    let got = drive(&BOOK, text);
    assert_eq!(got.readings.len(), wanted.readings.len());
    assert_eq!(got.rows, wanted.rows, "{what}");
    for (a, b) in got.readings.iter().zip(&wanted.readings) {
        let (a, b) = (a.result.as_ref().expect(what), b.result.as_ref().expect(what));
        assert_eq!((a.samples, a.stretches.len()), (b.samples, b.stretches.len()), "{what}");
        assert!((a.value - b.value).abs() < 1e-6, "{what}: {} is not {}", a.value, b.value);
    }
}

#[test]
fn delimiters_decimals_line_ends_and_times() {
    let wanted = drive(&BOOK, LOG);
    assert!(wanted.readings.iter().all(|r| r.result.is_ok()), "{:?}", wanted.readings);
    let comma = |c: &str| c.replace('.', ",");
    same(&written("Time", |_, t| t.replace('.', ","), ";", "\r\n", comma), &wanted, "semicolons and decimal commas");
    same(&format!("\u{FEFF}{}", written("Time", clock, ";", "\n", comma)), &wanted, "byte order mark");
    same(&format!("sep=;\r\n{}", written("Time", clock, ";", "\r\n", comma)), &wanted, "delimiter in the first line");
    same(&written("Timestamp", clock, "\t", "\n", str::to_string), &wanted, "tabs");
    same(&written("Time", clock, ",", "\n", |c| format!("\"{}\"", c.replace('.', ","))), &wanted, "quoted decimal commas");
    same(&written("time (s)", |s, _| format!("{:.3}", s - 60_000.0), ",", "\n", str::to_string), &wanted, "seconds");
    same(&written("Time [ms]", |s, _| format!("{:.0}", s * 1000.0), ";", "\n", str::to_string), &wanted, "milliseconds");
    same(&written("time", |s, _| format!("{:.0}", (s - 60_000.0) * 1000.0), ";", "\n", str::to_string), &wanted, "bare milliseconds");
    same(&written("Timestamp", |s, _| format!("{:.3}", 1.7e9 + s), ",", "\n", str::to_string), &wanted, "seconds since 1970");
    same(&written("Timestamp", |_, t| format!("2026-03-01T{t}+01:00"), ",", "\n", str::to_string), &wanted, "ISO 8601");
    same(&written("Date Time", |_, t| format!("01.03.2026 {t}"), ";", "\n", str::to_string), &wanted, "day first");
}

#[test]
fn a_drive_past_midnight_goes_on() {
    let wanted = drive(&BOOK, LOG);
    let late = |s: f64, _: &str| {
        let s = (s + 4.5 * 3600.0) % 86_400.0;
        format!("{:02}:{:02}:{:06.3}", (s / 3600.0) as u32, (s / 60.0) as u32 % 60, s % 60.0)
    };
    same(&written("Time", late, ",", "\n", str::to_string), &wanted, "time of day");
    let half = |s: f64, t: &str| {
        let hour: u32 = t[..2].parse().unwrap();
        let _ = s;
        format!("{}{} PM", hour - 12, &t[2..])
    };
    same(&written("Time", half, ",", "\n", str::to_string), &wanted, "twelve hours");
}

#[test]
fn headings_in_other_words_and_units() {
    let wanted = drive(&BOOK, LOG);
    let text = LOG
        .replacen("Engine Coolant Temperature [°C]", "COOLANT TEMPERATURE(Â°C)", 1)
        .replacen("Intake Air Temperature [°C]", "intake_air_temperature_degC", 1)
        .replacen("Ambient Air Temperature [°C]", "Ambient air temp.", 1)
        .replacen("Engine RPM [RPM]", "Engine Speed (1/min)", 1)
        .replacen("Vehicle Speed Sensor [km/h]", "Vehicle Speed / km/h", 1);
    let latin: Vec<u8> = text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect();
    let text = text.replacen("Ambient air temp.", "Ambient Air Temperature", 1);
    same(&text, &wanted, "headings");
    // the one-sign forms of Unicode (charts 2100 and 3300)
    let signs = LOG.replacen("Engine Coolant Temperature [°C]", "Engine Coolant Temperature(℃)", 1);
    let signs = signs.replacen("Intake Air Temperature [°C]", "Intake Air Temperature [℃]", 1).replacen("[kPa]", "[㎪]", 1);
    same(&signs, &wanted, "one sign for a unit");
    let drive = drive(&BOOK, latin);
    let unknown: Vec<&str> = drive.columns.iter().filter(|c| c.fate == Fate::Unknown).map(|c| c.heading.as_str()).collect();
    assert_eq!(unknown, ["Ambient air temp."]);
    // 1 bar = 100 kPa exactly (SI brochure, table 8)
    let (_, rows) = table();
    let mut bar = String::from("Time,Engine RPM,MAP (bar),Accelerator Pedal Position D [%]\n");
    for (_, row) in rows {
        let pressure = row[2].parse::<f64>().map_or(String::new(), |p| format!("{:.4}", p / 100.0));
        bar += &format!("{},{},{pressure},{}\n", row[0], row[3], row[9]);
    }
    let drive = super::drive(&BOOK, bar);
    let pull = taken(&BOOK, &wanted, "pull").value;
    assert!((taken(&BOOK, &drive, "pull").value - pull).abs() < 1e-9);
}

#[test]
fn lines_before_the_headings_and_units_below_them() {
    let wanted = drive(&BOOK, LOG);
    let (head, _) = table();
    let bare: Vec<&str> = head.iter().map(|h| h.split(" [").next().unwrap()).collect();
    let units: Vec<&str> = head.iter().map(|h| h.split(['[', ']']).nth(1).unwrap_or("hh:mm:ss")).collect();
    let rows = LOG.split_once('\n').unwrap().1;
    same(&format!("Recorded on a test drive\nrecorder:,7\n\n{}\n{}\n{rows}", bare.join(","), units.join(",")), &wanted, "preamble");
}

#[test]
fn a_row_for_each_sample() {
    let wanted = drive(&BOOK, LOG);
    let (head, rows) = table();
    let mut long = String::from("Time;Parameter;Value;Unit\n");
    for (_, row) in rows {
        for (name, value) in head.iter().zip(&row).skip(1).filter(|(_, v)| !v.is_empty()) {
            let (name, unit) = name.split_once(" [").unwrap();
            long += &format!("{};{name};{};{}\n", row[0], value.replace('.', ","), unit.trim_end_matches(']'));
        }
    }
    let got = drive(&BOOK, &long);
    assert_eq!(got.shape, Shape::Long);
    assert!(got.columns.iter().all(|c| c.fate.gives().is_some()), "{:?}", got.columns);
    for name in ["idle-air", "idle-least", "pull", "warm-up", "over-outside"] {
        let (a, b) = (taken(&BOOK, &got, name), taken(&BOOK, &wanted, name));
        assert!((a.value - b.value).abs() <= 0.01 * b.value.abs(), "{name}: {} is not {}", a.value, b.value);
        assert!(a.samples.abs_diff(b.samples) <= 2, "{name}: {} and {}", a.samples, b.samples);
    }
}

#[test]
fn one_signal_a_row_and_rare_signals_between() {
    let wanted = drive(&BOOK, LOG);
    let (head, rows) = table();
    let mut sparse = head.join(",") + "\n";
    for (i, (_, row)) in rows.iter().enumerate() {
        let given = |at: usize| if at == 8 { i % 40 == 0 } else { i % 4 == at % 4 };
        let cells: Vec<&str> = row[1..].iter().enumerate().map(|(at, c)| if given(at + 1) { *c } else { "" }).collect();
        sparse += &format!("{},{}\n", row[0], cells.join(","));
    }
    let got = drive(&BOOK, &sparse);
    for name in ["idle-air", "pull", "warm-up", "over-outside"] {
        let (a, b) = (taken(&BOOK, &got, name), taken(&BOOK, &wanted, name));
        assert!((a.value - b.value).abs() <= 0.02 * b.value.abs(), "{name}: {} is not {}", a.value, b.value);
    }
    assert!(taken(&BOOK, &got, "idle-air").samples < taken(&BOOK, &wanted, "idle-air").samples / 3);
}

#[test]
fn headings_repeated_in_the_middle_are_no_rows() {
    let (head, rows) = table();
    let mut text = String::new();
    for (i, (_, row)) in rows.iter().enumerate() {
        if i % 2000 == 0 {
            text += &(head.join(",") + "\n");
        }
        text += &(row.join(",") + "\n");
    }
    let got = drive(&BOOK, &text);
    assert_eq!((got.headings_again, got.rows, got.bad_rows.count), (4, 8903, 0));
    let (a, b) = (taken(&BOOK, &got, "idle-air").value, taken(&BOOK, &drive(&BOOK, LOG), "idle-air").value);
    assert!((a - b).abs() < 0.1, "{a} is not {b}");
}

#[test]
fn what_the_book_does_not_know_is_said() {
    let text = "Time,Engine RPM [RPM],Fuel economy,MAP [V],RPM\n0.0,800,3,1.5,801\n0.1,810,x,1.5,811\nend,,,,\n0.2,8a0,,,\n";
    let drive = drive(&BOOK, text);
    let fates: Vec<&Fate> = drive.columns.iter().map(|c| &c.fate).collect();
    assert!(matches!(fates[..], [Fate::Gives { unit_said: true, .. }, Fate::Unknown, Fate::WrongUnit(_, _), Fate::Again(..)]), "{fates:?}");
    assert_eq!(drive.time_guessed, Some(Writing::Count(1.0)));
    assert_eq!((drive.bad_rows.count, drive.bad_rows.first.as_ref().map(|f| f.0)), (1, Some(4)));
    assert_eq!(drive.bad_cells.first, Some((5, "8a0".to_string())));
}

#[test]
fn what_is_no_log_is_refused_with_the_place() {
    let refused = |bytes: &[u8]| read(&BOOK, bytes, None).expect_err("no log").message;
    assert_eq!(refused(b""), "the log is empty");
    assert_eq!(refused(b"\xEF\xBB\xBF \n"), "the log is empty");
    assert_eq!(refused(b"\xFF\xFET\0i\0m\0e\0"), "the log is written in UTF-16");
    assert!(refused(b"once upon a time\nthere was a car\n").starts_with("no row of headings"));
    assert!(refused(b"rpm,speed\n800,0\n").starts_with("no row of headings"));
}
