//! The column of time -> seconds since the log began, never backwards: midnight, jumps of the recorder's clock, rows a little out of order.

use super::cell::{Cell, number, plain};

/// How a log writes time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Writing {
    /// A time of day or a day and time, such as `19:23:27.775` or `2026-03-01T19:23:27Z`.
    Clock,
    /// A number of units of this many seconds.
    Count(f64),
}

/// A step of more than this is a jump of the clock, no pause: half a day.
const HALF_DAY: f64 = 43_200.0;
/// Rows may stand this much out of order, in seconds.
const DISORDER: f64 = 1.0;

/// The time of each row.
#[derive(Debug, Clone)]
pub struct Clock {
    writing: Writing,
    comma: bool,
    typical: f64,
    last: Option<f64>,
    now: f64,
    day: (Vec<u8>, f64),
    /// What stands before the seconds, and how many seconds it means.
    minute: (Vec<u8>, f64),
}

/// One row's time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tick {
    /// Seconds since the log began.
    pub now: f64,
    /// Whether the clock jumped, so that nobody knows how long the step was.
    pub jumped: bool,
}

impl Clock {
    /// A clock at its beginning; `typical` is the usual step in seconds, which stands in for a jump.
    pub fn new(writing: Writing, comma: bool, typical: f64) -> Clock {
        Clock { writing, comma, typical, last: None, now: 0.0, day: (vec![], 0.0), minute: (vec![], 0.0) }
    }

    /// The time of the next row; none where the cell holds no time.
    pub fn tick(&mut self, cell: &[u8]) -> Option<Tick> {
        let raw = self.raw(cell)?;
        let step = self.last.map_or(0.0, |last| raw - last);
        let midnight = self.writing == Writing::Clock && (-86_400.0..-HALF_DAY).contains(&step);
        let (step, jumped) = match step {
            s if midnight => (s + 86_400.0, false),
            s if (0.0..HALF_DAY).contains(&s) => (s, false),
            // a row out of order: time stands still, and the later time stays the one to go on from
            s if (-DISORDER..0.0).contains(&s) => return Some(Tick { now: self.now, jumped: false }),
            _ => (self.typical, true),
        };
        self.last = Some(raw);
        self.now += step;
        Some(Tick { now: self.now, jumped })
    }

    /// Seconds from wherever the log counts.
    fn raw(&mut self, cell: &[u8]) -> Option<f64> {
        if let Writing::Count(unit) = self.writing {
            return match number(cell, self.comma) {
                Cell::Number(n) => Some(n * unit),
                _ => None,
            };
        }
        // within a minute only the seconds differ
        if let Some(seconds) = cell.strip_prefix(&self.minute.0[..]).and_then(|rest| plain(rest, true))
            && !self.minute.0.is_empty()
        {
            return Some(self.minute.1 + seconds);
        }
        let cell = cell.trim_ascii();
        let colon = cell.iter().position(|b| *b == b':')?;
        let start = cell[..colon].iter().rposition(|b| !b.is_ascii_digit()).map_or(0, |at| at + 1);
        let (date, clock) = cell.split_at(start);
        if self.day.0 != date {
            self.day = (date.to_vec(), days(date).unwrap_or(0.0) * 86_400.0);
        }
        let time = self.day.1 + time_of_day(clock)?;
        let seconds = cell.iter().rposition(|b| *b == b':').map(|at| cell.split_at(at + 1));
        if let Some((before, seconds)) = seconds
            && let Some(seconds) = plain(seconds, true)
        {
            self.minute = (before.to_vec(), time - seconds);
        }
        Some(time)
    }
}

/// Whether a cell holds a time with colons.
pub fn is_clock(cell: &[u8]) -> bool {
    Clock::new(Writing::Clock, false, 0.0).raw(cell).is_some()
}

/// Seconds in `19:23:27.775`, `07:23:27 PM` or `23:27.775`; a zone at the end is read past.
fn time_of_day(text: &[u8]) -> Option<f64> {
    let end = text.iter().position(|b| !matches!(b, b'0'..=b'9' | b':' | b'.' | b',')).unwrap_or(text.len());
    let (clock, tail) = text.split_at(end);
    let mut parts = clock.split(|b| *b == b':');
    let mut seconds = 0.0;
    let mut count = 0;
    for part in parts.by_ref().take(3) {
        match number(part, true) {
            Cell::Number(n) if (0.0..100_000.0).contains(&n) => seconds = seconds * 60.0 + n,
            _ => return None,
        }
        count += 1;
    }
    if count < 2 {
        return None;
    }
    let (half, tail) = (12.0 * 3600.0, tail.trim_ascii_start());
    Some(match tail.first().map(u8::to_ascii_lowercase) {
        Some(b'p') if count == 3 && seconds < half => seconds + half,
        Some(b'a') if count == 3 && seconds >= half => seconds - half,
        _ => seconds,
    })
}

/// Days since 1970 of `2026-03-01`, `2026/03/01` or `01.03.2026`; any other writing is ambiguous, and the midnight rule must do.
fn days(date: &[u8]) -> Option<f64> {
    let text = std::str::from_utf8(date).ok()?;
    let digits = |c: char| c.is_ascii_digit();
    let parts: Vec<i16> = text.split(|c| !digits(c)).filter(|p| !p.is_empty()).map(|p| p.parse().ok()).collect::<Option<_>>()?;
    let (year, month, day) = match parts[..] {
        [y, m, d] if y > 999 => (y, m, d),
        [d, m, y] if y > 999 && text.contains('.') => (y, m, d),
        _ => return None,
    };
    let date = jiff::civil::Date::new(year, i8::try_from(month).ok()?, i8::try_from(day).ok()?).ok()?;
    let epoch = jiff::civil::date(1970, 1, 1);
    Some(f64::from(date.since(epoch).ok()?.get_days()))
}
