//! The windows of the book's readings, opened and shut as a drive goes by.
//!
//! A window is looked at only when one of its channels changes. Between two looks the value stands, and the samples in between are counted
//! from the channels' own counters; that is what keeps a gigabyte quick.

use super::signals::{Cut, Signals, TAIL};
use super::tally::Tally;
use crate::book::{Book, Finding, Hold, Id, Take, Window};
use std::collections::VecDeque;

/// More pieces than this are never held back, however the clock stands.
const MOST_PIECES: usize = 65_536;
/// The stretches that are kept to be shown.
const MOST_STRETCHES: usize = 500;

/// What a window gave.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// The value, in the reading's unit.
    pub value: f64,
    /// Samples it was taken of.
    pub samples: u64,
    /// The least sample, in the reading's unit.
    pub least: f64,
    /// The greatest.
    pub most: f64,
    /// Seconds the window stood open, all stretches together.
    pub seconds: f64,
    /// From when to when it stood open, in seconds since the log began; the first 500.
    pub stretches: Vec<(f64, f64)>,
}

/// Why a window gave nothing: not enough data, never a fault.
#[derive(Debug, Clone, PartialEq)]
pub enum Lack {
    /// Channels it needs are not in the log.
    NoChannel(Vec<Id<crate::book::Channel>>),
    /// Conditions that the whole drive never met, each with the least and greatest value seen.
    OutOfReach(Vec<(Hold, f64, f64)>),
    /// Each condition was met, never all together.
    NeverTogether,
    /// It held for so many seconds at most.
    TooShort(f64),
    /// Nothing that drives the reading moved meanwhile, so its standing still says nothing.
    DriverStill,
}

/// One window at work.
pub struct Gatherer<'b> {
    /// The reading it belongs to.
    pub finding: Id<Finding>,
    window: &'b Window,
    per_second: f64,
    inputs: Vec<usize>,
    names_engine: bool,
    open: Option<Run>,
    shut: Option<Run>,
    total: Tally,
    widest: f64,
    longest_kept: f64,
    seconds: f64,
    stretches: Vec<(f64, f64)>,
    longest: Option<f64>,
    driver_still: bool,
}

/// One stretch of time in which the conditions hold.
struct Run {
    since: f64,
    until: f64,
    value: f64,
    from: f64,
    marks: Vec<u64>,
    tail: VecDeque<Piece>,
    tally: Tally,
    drivers: Vec<f64>,
    driven: bool,
}

/// A stretch in which the value stood.
#[derive(Clone, Copy)]
struct Piece {
    from: f64,
    to: f64,
    value: f64,
    count: u64,
}

impl<'b> Gatherer<'b> {
    /// The gatherer of a reading that has a window.
    pub fn of(book: &'b Book, finding: Id<Finding>, signals: &Signals) -> Option<Gatherer<'b>> {
        let gauge = book.findings[finding].gauge()?;
        let window = gauge.window.as_ref()?;
        let holds = || window.holds.iter().map(|h| h.channel.index());
        let mut inputs: Vec<usize> = window.formula.channels().iter().map(|c| c.index()).collect();
        if inputs.is_empty() {
            inputs = holds().collect();
        }
        let engine = signals.engine();
        Some(Gatherer {
            finding,
            window,
            per_second: if window.take == Take::Duration { gauge.unit.convert(1.0, "s").unwrap_or(1.0) } else { 1.0 },
            names_engine: engine.is_none() || holds().any(|h| Some(h) == engine),
            inputs,
            open: None,
            shut: None,
            total: Tally::new(window.take == Take::Median),
            widest: 0.0,
            longest_kept: 0.0,
            seconds: 0.0,
            stretches: vec![],
            longest: None,
            driver_still: false,
        })
    }

    /// The channels it looks at, each once.
    pub fn channels(&self) -> Vec<usize> {
        let mut all: Vec<usize> = self.inputs.clone();
        all.extend(self.window.holds.iter().map(|h| h.channel.index()));
        all.sort_unstable();
        all.dedup();
        all
    }

    /// Looks at the channels as they stand in this row.
    pub fn look(&mut self, signals: &Signals) {
        let value = self.value(signals);
        match (self.open.as_mut(), value) {
            (Some(run), Some(value)) => {
                run.flush(signals, &self.inputs);
                run.value = value;
                run.driven |= moved(&run.drivers, self.window, signals);
            }
            (Some(run), None) => {
                run.flush(signals, &self.inputs);
                run.until = signals.before;
                self.shut = self.open.take();
            }
            (None, Some(value)) => {
                self.keep_shut();
                self.open = Some(Run::new(value, self.window, signals, &self.inputs));
            }
            (None, None) => {}
        }
    }

    /// The value where the window stands open.
    fn value(&self, signals: &Signals) -> Option<f64> {
        let inside = |h: &Hold| {
            let value = signals.slot(h.channel.index()).value;
            h.low <= value && value <= h.high
        };
        if !signals.ready() || !self.window.holds.iter().all(inside) {
            return None;
        }
        if !self.names_engine && signals.stands() {
            return None;
        }
        Some(self.window.formula.value(&|c| signals.value(c))).filter(|v| v.is_finite())
    }

    /// What comes after the cut does not count.
    pub fn cut(&mut self, cut: Cut, signals: &Signals) {
        let until = self.last_moment(cut);
        if let Some(run) = self.open.take() {
            self.keep_shut();
            self.shut = Some(run);
            if let Some(run) = &mut self.shut {
                run.flush(signals, &self.inputs);
                run.until = signals.before;
            }
        }
        if let Some(run) = &mut self.shut {
            run.trim(until);
        }
        self.keep_shut();
    }

    /// The log ends: the last row counts too, as far as the cut lets it.
    pub fn finish(&mut self, cut: Cut, signals: &Signals) {
        let until = self.last_moment(cut);
        if let Some(run) = &mut self.open {
            run.flush_to(signals.now, signals, &self.inputs, true);
            run.until = signals.now;
        }
        if let Some(run) = self.open.take() {
            self.keep_shut();
            self.shut = Some(run);
        }
        if let Some(run) = &mut self.shut {
            run.trim(until);
        }
        self.keep_shut();
    }

    fn last_moment(&self, cut: Cut) -> f64 {
        if matches!(self.window.take, Take::Median | Take::Duration) { cut.until } else { cut.careful }
    }

    /// A run that nothing can shorten any more is kept, where it lasted.
    fn keep_shut(&mut self) {
        let Some(mut run) = self.shut.take() else { return };
        run.tail.drain(..).for_each(|p| run.tally.add(p.value, p.count));
        let lasted = (run.until - run.since).max(0.0);
        if run.tally.count == 0 {
            return;
        }
        self.longest = Some(self.longest.map_or(lasted, |l| l.max(lasted)));
        if lasted + 1e-9 < self.window.seconds {
            return;
        }
        if self.window.take == Take::Spread && !run.driven {
            self.driver_still = true;
            return;
        }
        self.total.merge(&run.tally);
        self.widest = self.widest.max(run.tally.most - run.tally.least);
        self.longest_kept = self.longest_kept.max(lasted);
        self.seconds += lasted;
        if self.stretches.len() < MOST_STRETCHES {
            self.stretches.push((run.since, run.until));
        }
    }

    /// What came of it.
    pub fn result(&self, signals: &Signals) -> Result<Taken, Lack> {
        if self.total.count == 0 {
            return Err(self.lack(signals));
        }
        let total = &self.total;
        let value = match self.window.take {
            Take::Median => total.median(),
            Take::Mean => total.mean(),
            Take::Least => total.least,
            Take::Most => total.most,
            Take::First => total.first,
            Take::Last => total.last,
            Take::Spread => self.widest,
            Take::Duration => self.longest_kept * self.per_second,
        };
        Ok(Taken {
            value,
            samples: total.count,
            least: total.least,
            most: total.most,
            seconds: self.seconds,
            stretches: self.stretches.clone(),
        })
    }

    fn lack(&self, signals: &Signals) -> Lack {
        let formula = self.window.formula.channels();
        let mut missing = formula;
        missing.extend(self.window.holds.iter().map(|h| h.channel));
        missing.retain(|c| signals.slot(c.index()).least.is_nan());
        missing.sort();
        missing.dedup();
        if !missing.is_empty() {
            return Lack::NoChannel(missing);
        }
        if self.driver_still {
            return Lack::DriverStill;
        }
        if let Some(longest) = self.longest {
            return Lack::TooShort(longest);
        }
        let seen = |h: &Hold| (signals.slot(h.channel.index()).least, signals.slot(h.channel.index()).most);
        let beyond = self.window.holds.iter().filter(|h| seen(h).1 < h.low || seen(h).0 > h.high);
        let beyond: Vec<_> = beyond.map(|h| (*h, seen(h).0, seen(h).1)).collect();
        if beyond.is_empty() { Lack::NeverTogether } else { Lack::OutOfReach(beyond) }
    }
}

/// Whether any channel that a condition names has moved since the run began.
fn moved(start: &[f64], window: &Window, signals: &Signals) -> bool {
    start.is_empty() || start.iter().zip(&window.holds).any(|(was, h)| (signals.slot(h.channel.index()).value - was).abs() > 0.0)
}

impl Run {
    fn new(value: f64, window: &Window, signals: &Signals, inputs: &[usize]) -> Run {
        let drivers: Vec<f64> = match window.take {
            Take::Spread => window.holds.iter().map(|h| signals.slot(h.channel.index()).value).collect(),
            _ => vec![],
        };
        Run {
            since: signals.now,
            until: signals.now,
            value,
            from: signals.now,
            marks: inputs.iter().map(|i| signals.given_before(*i)).collect(),
            tail: VecDeque::new(),
            tally: Tally::new(window.take == Take::Median),
            driven: drivers.is_empty(),
            drivers,
        }
    }

    /// Counts the samples since the last look, up to the row before this one.
    fn flush(&mut self, signals: &Signals, inputs: &[usize]) {
        self.flush_to(signals.before, signals, inputs, false);
        self.from = signals.now;
    }

    fn flush_to(&mut self, to: f64, signals: &Signals, inputs: &[usize], this_row: bool) {
        let mut count = 0;
        for (mark, input) in self.marks.iter_mut().zip(inputs) {
            let given = signals.given_before(*input) + u64::from(this_row && signals.given_now(*input));
            count = count.max(given - *mark);
            *mark = given;
        }
        if count > 0 {
            self.tail.push_back(Piece { from: self.from, to: to.max(self.from), value: self.value, count });
        }
        while self.tail.front().is_some_and(|p| p.to < to - TAIL) || self.tail.len() > MOST_PIECES {
            if let Some(piece) = self.tail.pop_front() {
                self.tally.add(piece.value, piece.count);
            }
        }
    }

    /// Drops what was sampled after a moment; of a piece that goes on past it, the share of time before it stays.
    fn trim(&mut self, until: f64) {
        self.until = self.until.min(until);
        while let Some(piece) = self.tail.pop_back() {
            if piece.from > until {
                continue;
            }
            let whole = piece.to - piece.from;
            let share = if piece.to <= until || whole <= 0.0 { 1.0 } else { (until - piece.from) / whole };
            let count = (piece.count as f64 * share).round() as u64;
            self.tail.push_back(Piece { to: piece.to.min(until), count, ..piece });
            return;
        }
    }
}
