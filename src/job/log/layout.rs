//! The head of a log -> how it is laid out: delimiter, decimal sign, the row of headings, where time stands and how it is written.

use super::cell::{Cell, decode, number};
use super::clock::{Clock, Writing, is_clock};
use super::heading::key;
use super::row::Row;
use crate::book::Unit;
use crate::job::InputError;

/// How many rows at the top may stand before the headings.
const PREAMBLE: usize = 60;
/// Headings of the column of time, by key.
const TIMES: &[&str] = &[
    "time",
    "timestamp",
    "datetime",
    "seconds",
    "second",
    "elapsed",
    "elapsedtime",
    "millis",
    "milliseconds",
    "times",
    "timems",
    "timesec",
    "timeofday",
    "devicetime",
    "logtime",
    "sampletime",
    "recordtime",
    "t",
    "clock",
    "localtime",
    "utc",
    "timeutc",
    "zeit",
    "uhrzeit",
    "zeitstempel",
];
/// Headings of a long layout, by key: the name of a sample, its value, its unit.
const NAMES: &[&str] = &["name", "signal", "channel", "parameter", "quantity", "sensor", "pid", "label", "item", "measurement", "variable"];
const VALUES: &[&str] = &["value", "reading", "val", "data", "result"];
const UNITS: &[&str] = &["unit", "units", "uom"];

/// How a log is laid out.
#[derive(Debug, Clone)]
pub struct Layout {
    /// Between the cells.
    pub delimiter: u8,
    /// Whether decimals are written with a comma.
    pub comma: bool,
    /// How time is written.
    pub writing: Writing,
    /// Whether the unit of time was worked out from the numbers, because nothing says it.
    pub writing_guessed: bool,
    /// The usual step between rows, in seconds, more than 0.
    pub step: f64,
    /// Rows before the first row of data.
    pub skip: usize,
    /// Where what stands.
    pub columns: Columns,
    /// A row of units under the headings.
    pub units: Option<Row>,
}

/// The columns that one row of headings names.
#[derive(Debug, Clone)]
pub struct Columns {
    /// The headings.
    pub headings: Row,
    /// The column of time.
    pub time: usize,
    /// Name, value and unit, where every row is one sample.
    pub long: Option<Long>,
}

/// The columns of a long layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Long {
    /// The name of the sample.
    pub name: usize,
    /// Its value.
    pub value: usize,
    /// Its unit.
    pub unit: Option<usize>,
}

impl Columns {
    /// The columns that a row of headings names; none where the row is no such row.
    pub fn of(row: &Row) -> Option<Columns> {
        let keys: Vec<(String, String)> = row.cells().map(|cell| (key(&decode(cell)), bare_key(&decode(cell)))).collect();
        let find = |words: &[&str]| words.iter().find_map(|w| keys.iter().position(|(whole, bare)| whole == w || bare == w));
        let time = find(TIMES)?;
        let named = row.cells().filter(|c| !c.is_empty() && number(c, false) == Cell::Other && !is_clock(c)).count();
        if named < 2 {
            return None;
        }
        let long = find(NAMES).zip(find(VALUES)).map(|(name, value)| Long { name, value, unit: find(UNITS) });
        Some(Columns { headings: row.clone(), time, long })
    }
}

/// The key of a heading without a unit in brackets.
fn bare_key(heading: &str) -> String {
    key(heading.split(['[', '(', '{']).next().unwrap_or(heading))
}

/// Works the layout out from the first part of a log; `whole` where that is all of it.
pub fn sniff(head: &[u8], whole: bool) -> Result<Layout, InputError> {
    let text = readable(head)?;
    let (hint, text) = delimiter_hint(text);
    let tried: Vec<u8> = hint.map_or_else(|| b",;\t|".to_vec(), |d| vec![d]);
    let best = tried.into_iter().filter_map(|d| candidate(text, d, whole)).max_by_key(|(_, _, columns)| columns.headings.len());
    let Some((delimiter, rows, columns)) = best else {
        return Err(InputError::new(
            "row 1",
            format!("no row of headings among the first {PREAMBLE}"),
            "name the columns in the first row, one of them `Time`, with commas, semicolons or tabs between",
        ));
    };
    let top = rows.iter().position(|r| r.same_cells(&columns.headings)).unwrap_or(0);
    let units = rows.get(top + 1).filter(|r| is_units(r)).cloned();
    let skip = top + 1 + usize::from(units.is_some()) + usize::from(hint.is_some());
    let data = &rows[(top + 1 + usize::from(units.is_some())).min(rows.len())..];
    let comma = decimal_comma(data, &columns, delimiter);
    let (writing, guessed) = writing(data, &columns, units.as_ref(), comma);
    let step = typical_step(data, columns.time, writing, comma);
    Ok(Layout { delimiter, comma, writing, writing_guessed: guessed, step, skip, columns, units })
}

fn readable(head: &[u8]) -> Result<&[u8], InputError> {
    let start = &head[..head.len().min(200)];
    let zeros = |first: usize| start.iter().skip(first).step_by(2).filter(|b| **b == 0).count();
    // text in UTF-16 has its zeros in every other place
    let wide =
        head.starts_with(&[0xFF, 0xFE]) || head.starts_with(&[0xFE, 0xFF]) || zeros(0).max(zeros(1)) > 8 * zeros(0).min(zeros(1)) + 8;
    if wide {
        return Err(InputError::new("row 1", "the log is written in UTF-16", "save it as UTF-8 text"));
    }
    if start.contains(&0) {
        let help = "save the table as CSV: a picture, an archive or a sheet of an office program can't be read as a log";
        return Err(InputError::new("row 1", "this is no text", help));
    }
    let text = head.strip_prefix(&[0xEF, 0xBB, 0xBF]).unwrap_or(head);
    if text.trim_ascii().is_empty() {
        return Err(InputError::new("row 1", "the log is empty", "choose a log with a row of headings and rows of samples"));
    }
    Ok(text)
}

/// Spreadsheets may write `sep=;` in the first line.
fn delimiter_hint(text: &[u8]) -> (Option<u8>, &[u8]) {
    let Some(rest) = text.strip_prefix(b"sep=") else { return (None, text) };
    match rest {
        [delimiter, b'\r', b'\n', after @ ..] | [delimiter, b'\n', after @ ..] => (Some(*delimiter), after),
        _ => (None, text),
    }
}

/// The rows under one delimiter, with the best row of headings among the first.
fn candidate(text: &[u8], delimiter: u8, whole: bool) -> Option<(u8, Vec<Row>, Columns)> {
    let mut lines: Vec<&[u8]> = text.split(|b| *b == b'\n').collect();
    if !whole && lines.len() > 1 {
        lines.pop();
    }
    let rows = lines.into_iter().filter(|l| !l.is_empty() && *l != b"\r").take(2000).map(|l| Row::of(l, delimiter));
    let rows: Vec<Row> = rows.collect();
    let mut found = rows.iter().take(PREAMBLE).filter_map(Columns::of);
    let columns = found.next()?;
    Some((delimiter, rows, columns))
}

fn is_units(row: &Row) -> bool {
    let cells: Vec<String> = row.cells().map(decode).filter(|c| !c.is_empty()).collect();
    let unit = |c: &String| {
        let bare = c.trim_matches(|c: char| "[](){}".contains(c));
        bare == "-" || Unit::parse(bare).is_ok() || matches!(bare, "ms" | "hh:mm:ss" | "°C" | "°F")
    };
    let numbers = row.cells().any(|c| matches!(number(c, true), Cell::Number(_)) || is_clock(c));
    !numbers && cells.len() > 1 && cells.iter().filter(|c| unit(c)).count() * 3 >= cells.len() * 2
}

/// Decimals stand with a comma where some cell has one and none has a full stop.
fn decimal_comma(data: &[Row], columns: &Columns, delimiter: u8) -> bool {
    let cells = || data.iter().flat_map(|r| r.cells().enumerate().filter(|(i, _)| *i != columns.time).map(|(_, c)| c));
    let has = |sign: u8| cells().any(|c| c.contains(&sign) && c.iter().all(|b| b.is_ascii_digit() || *b == sign || *b == b'-'));
    has(b',') && (delimiter != b',' || !has(b'.'))
}

/// How time is written: by colons, by the unit in the heading, or by the size of the numbers.
fn writing(data: &[Row], columns: &Columns, units: Option<&Row>, comma: bool) -> (Writing, bool) {
    let times: Vec<&[u8]> = data.iter().map(|r| r.cell(columns.time)).take(500).collect();
    if times.iter().filter(|c| is_clock(c)).count() * 2 > times.len() {
        return (Writing::Clock, false);
    }
    let heading = decode(columns.headings.cell(columns.time));
    let under = units.map(|u| decode(u.cell(columns.time))).unwrap_or_default();
    let said = [heading.split(['[', '(', '{']).nth(1).unwrap_or("").to_string(), under];
    let said: Vec<String> = said.iter().map(|s| key(s)).filter(|s| !s.is_empty()).collect();
    let unit = said.first().map(String::as_str).or(match key(&heading).as_str() {
        "millis" | "milliseconds" | "timems" => Some("ms"),
        "seconds" | "second" | "timesec" => Some("s"),
        _ => None,
    });
    match unit {
        Some("ms" | "msec" | "millis" | "milliseconds") => (Writing::Count(1e-3), false),
        Some("us" | "µs" | "usec" | "microseconds") => (Writing::Count(1e-6), false),
        Some("min" | "minutes") => (Writing::Count(60.0), false),
        Some("s" | "sec" | "secs" | "seconds") => (Writing::Count(1.0), false),
        _ => (Writing::Count(by_size(&times, comma)), true),
    }
}

/// Seconds to one unit of a bare number: counted since 1970 it tells by its size; else whole numbers far apart are milliseconds.
fn by_size(times: &[&[u8]], comma: bool) -> f64 {
    let numbers: Vec<f64> = times.iter().filter_map(|c| if let Cell::Number(n) = number(c, comma) { Some(n) } else { None }).collect();
    let whole = numbers.iter().all(|n| n.fract().abs() < f64::EPSILON);
    match numbers.first().copied().unwrap_or(0.0) {
        first if first >= 1e17 => 1e-9,
        first if first >= 1e14 => 1e-6,
        first if first >= 1e11 => 1e-3,
        first if first >= 1e8 => 1.0,
        _ if whole && median_step(&numbers).is_some_and(|s| s >= 20.0) => 1e-3,
        _ => 1.0,
    }
}

fn typical_step(data: &[Row], time: usize, writing: Writing, comma: bool) -> f64 {
    let mut clock = Clock::new(writing, comma, 0.0);
    let times: Vec<f64> = data.iter().filter_map(|r| clock.tick(r.cell(time))).map(|t| t.now).collect();
    median_step(&times).unwrap_or(1.0)
}

/// The median of the steps forward.
fn median_step(times: &[f64]) -> Option<f64> {
    let mut steps: Vec<f64> = times.windows(2).map(|w| w[1] - w[0]).filter(|s| *s > 0.0).collect();
    steps.sort_by(f64::total_cmp);
    steps.get(steps.len() / 2).copied()
}
