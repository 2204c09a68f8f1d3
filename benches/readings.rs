//! A log of a gigabyte: time beside a bare pass of the CSV library over the same file, and how much memory the reading takes.
//!
//! `cargo bench --bench readings [-- MEGABYTES]`. Two logs are written to the temporary folder and removed again: one as most recorders
//! write it (one of ten signals is new in a row, the rest repeat), one in which every cell of every row changes.

#![allow(clippy::print_stdout, clippy::expect_used, missing_docs)] // a bench reports to a person

use faultbook::book::{Book, shipped};
use faultbook::job::log;
use rustix::time::{ClockId, clock_gettime};
use std::fs::File;
use std::io::{BufReader, BufWriter, Write};
use std::time::Duration;

const HEADINGS: &str = "Time,Engine Coolant Temperature [°C],Intake Manifold Absolute Pressure [kPa],Engine RPM [RPM],Vehicle Speed Sensor [km/h],\
Intake Air Temperature [°C],Air Flow Rate from Mass Flow Sensor [g/s],Absolute Throttle Position [%],Ambient Air Temperature [°C],\
Accelerator Pedal Position D [%],Accelerator Pedal Position E [%]";

fn main() {
    let megabytes = std::env::args().filter_map(|a| a.parse::<u64>().ok()).next().unwrap_or(1024);
    let book = book();
    let folder = tempfile::tempdir().expect("a temporary folder");
    for (name, each) in [("one signal new in a row", false), ("every signal new in every row", true)] {
        let path = folder.path().join("drive.csv");
        write(&path, megabytes << 20, each);
        let size = path.metadata().expect("the file is there").len() >> 20;
        let reused = best(|| reused_record(&path));
        let owned = best(|| owned_records(&path));
        let before = peak_kib();
        let mut rows = 0;
        let ours = best(|| {
            rows = log::read(&book, BufReader::with_capacity(1 << 16, File::open(&path).expect("the file opens")), None)
                .expect("it is a log")
                .rows
        });
        let grown = peak_kib().saturating_sub(before);
        let times = |bare: Duration| ours.as_secs_f64() / bare.as_secs_f64();
        println!("{name}: {size} MiB, {rows} rows");
        println!("  bare pass, one record reused   {reused:>8.2?}");
        println!("  bare pass, a record each row   {owned:>8.2?}");
        println!(
            "  readings                       {ours:>8.2?}  {:.2} times the first, {:.2} times the second",
            times(reused),
            times(owned)
        );
        println!("  peak memory grew by {grown} KiB to {} KiB", peak_kib());
        std::fs::remove_file(&path).expect("the file is removed");
    }
}

/// The best of three runs, in processor time: the machine may be shared.
fn best(mut run: impl FnMut()) -> Duration {
    let once = |_| {
        let start = clock();
        run();
        clock() - start
    };
    (0..3).map(once).min().expect("three runs")
}

/// Processor time of this process.
fn clock() -> Duration {
    let spent = clock_gettime(ClockId::ProcessCPUTime);
    Duration::new(spent.tv_sec.unsigned_abs(), spent.tv_nsec as u32)
}

fn owned_records(path: &std::path::Path) {
    let mut reader = csv::ReaderBuilder::new().flexible(true).buffer_capacity(1 << 16).from_path(path).expect("the file opens");
    assert!(reader.byte_records().map(|row| row.expect("a row").len()).sum::<usize>() > 0);
}

fn reused_record(path: &std::path::Path) {
    let mut reader = csv::ReaderBuilder::new().flexible(true).buffer_capacity(1 << 16).from_path(path).expect("the file opens");
    let mut row = csv::ByteRecord::new();
    let mut cells = 0;
    while reader.read_byte_record(&mut row).expect("a row") {
        cells += row.len();
    }
    assert!(cells > 0);
}

/// A drive made of waves; numbers as recorders print them.
fn write(path: &std::path::Path, bytes: u64, each: bool) {
    let mut out = BufWriter::with_capacity(1 << 20, File::create(path).expect("the file is made"));
    let mut written = 0;
    let mut cells = [89.0, 102.0, 800.0, 0.0, 13.0, 7.5, 83.5, 9.0, 14.1, 14.5];
    let swing = [2.0, 60.0, 900.0, 45.0, 3.0, 30.0, 40.0, 1.0, 40.0, 40.0];
    let middle = [88.0, 150.0, 1700.0, 50.0, 14.0, 40.0, 50.0, 9.0, 50.0, 50.0];
    writeln!(out, "{HEADINGS}").expect("a row is written");
    for row in 0u64.. {
        let time = row as f64 * 0.091;
        for i in 0..cells.len() {
            if each || row % 10 == i as u64 {
                cells[i] = middle[i] + swing[i] * (time / (3.0 + i as f64)).sin();
            }
        }
        let (h, m, s) = ((time / 3600.0) as u64 % 24, (time / 60.0) as u64 % 60, time % 60.0);
        let mut line = format!("{h:02}:{m:02}:{s:06.3}");
        for (i, cell) in cells.iter().enumerate() {
            line += &if matches!(i, 0 | 3) { format!(",{cell:.0}") } else { format!(",{cell:.1}") };
        }
        line.push('\n');
        written += line.len() as u64;
        out.write_all(line.as_bytes()).expect("a row is written");
        if written >= bytes {
            break;
        }
    }
    out.flush().expect("the file is written");
}

fn book() -> Book {
    shipped::book().expect("the book that ships is sound")
}

/// The most memory this process ever held, in KiB (Linux; 0 elsewhere).
fn peak_kib() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|l| l.starts_with("VmHWM:")).unwrap_or_default();
    line.split_whitespace().nth(1).and_then(|n| n.parse().ok()).unwrap_or(0)
}
