//! A log, row by row, in memory that does not grow with it.

use super::cell::{Cell, decode, number};
use super::clock::{Clock, Tick};
use super::gather::Gatherer;
use super::heading::{Headings, Meaning};
use super::layout::{Columns, Layout, Long, sniff};
use super::row::{Difference, Row, Rows};
use super::signals::{Cut, Signals};
use super::trace::Trace;
use super::{Column, Drive, DriveReading, Fate, Shape, Traced, Unread};
use crate::book::{Book, Channel, Formula, Id};
use crate::job::InputError;
use std::collections::HashMap;
use std::io::{self, BufRead, Cursor, Read};

/// The first part of a log, by which its layout is told.
const HEAD: u64 = 256 * 1024;
/// A step of more than this many usual steps, and of more than two seconds, is a pause.
const PAUSE_STEPS: f64 = 5.0;
const LEAST_PAUSE: f64 = 2.0;
/// No sensor of a vehicle reads more, in any unit.
const LARGEST: f64 = 1e12;
/// The most names of samples that a long log is let have.
const MOST_NAMES: usize = 4096;

/// Reads a log against a book.
pub fn read(book: &Book, mut input: impl BufRead, traced: Option<Traced>) -> Result<Drive, InputError> {
    let mut head = Vec::new();
    input.by_ref().take(HEAD).read_to_end(&mut head).map_err(|e| unreadable(&e, 1))?;
    let whole = (head.len() as u64) < HEAD;
    let layout = sniff(&head, whole)?;
    let mut feed = Feed::new(book, &layout, traced);
    let mut rows = Rows::new(Cursor::new(head).chain(input), layout.delimiter);
    let mut skip = layout.skip;
    while let Some(difference) = rows.next(feed.columns.time).map_err(|e| unreadable(&e, rows.line))? {
        if skip > 0 {
            skip -= 1;
            continue;
        }
        feed.row(&rows, &difference);
    }
    Ok(feed.finish())
}

fn unreadable(error: &io::Error, line: u64) -> InputError {
    InputError::new(
        format!("line {line}"),
        format!("the log can't be read on: {error}"),
        "check the file and its disk, or cut it before this line",
    )
}

/// A column that gives a channel.
#[derive(Debug, Clone, Copy)]
struct Given {
    channel: usize,
    factor: f64,
    offset: f64,
}

/// The work in progress.
struct Feed<'b> {
    headings: Headings<'b>,
    layout: Layout,
    columns: Columns,
    wide: Vec<(usize, Given)>,
    names: HashMap<Vec<u8>, Option<Given>>,
    seen: Vec<Column>,
    clock: Clock,
    pause: f64,
    signals: Signals,
    gatherers: Vec<Gatherer<'b>>,
    users: Vec<Vec<u32>>,
    due: Vec<u32>,
    is_due: Vec<bool>,
    trace: Option<(Formula, Vec<Id<Channel>>, Trace)>,
    rows: u64,
    fresh: bool,
    begun: bool,
    headings_again: u64,
    bad_rows: Unread,
    bad_cells: Unread,
    key: Vec<u8>,
}

impl<'b> Feed<'b> {
    fn new(book: &'b Book, layout: &Layout, traced: Option<Traced>) -> Feed<'b> {
        let signals = Signals::new(book);
        let gatherers: Vec<Gatherer> = book.findings.iter().filter_map(|(id, _)| Gatherer::of(book, id, &signals)).collect();
        let formula = traced.and_then(|t| t.formula(book));
        let mut feed = Feed {
            headings: Headings::new(book),
            columns: layout.columns.clone(),
            wide: vec![],
            names: HashMap::new(),
            seen: vec![],
            clock: Clock::new(layout.writing, layout.comma, layout.step),
            pause: LEAST_PAUSE.max(PAUSE_STEPS * layout.step),
            due: vec![],
            is_due: vec![false; gatherers.len()],
            users: vec![vec![]; book.channels.len()],
            trace: formula.map(|f| (f.clone(), f.channels(), Trace::default())),
            layout: layout.clone(),
            signals,
            gatherers,
            rows: 0,
            fresh: true,
            begun: false,
            headings_again: 0,
            bad_rows: Unread::default(),
            bad_cells: Unread::default(),
            key: vec![],
        };
        feed.map();
        feed
    }

    /// Finds out what each column means; in a long layout that is told by the samples.
    fn map(&mut self) {
        self.wide.clear();
        self.fresh = true;
        (0..self.users.len()).for_each(|channel| self.signals.hush(channel));
        if self.columns.long.is_none() {
            let (headings, time) = (self.columns.headings.clone(), self.columns.time);
            for (at, heading) in headings.cells().enumerate().filter(|(at, _)| *at != time) {
                let unit = self.layout.units.as_ref().map(|u| u.cell(at).to_vec());
                if let Some(given) = self.meet(heading, unit.as_deref()) {
                    self.wide.push((at, given));
                }
            }
        }
        self.find_users();
    }

    /// Learns a heading; what it gives, where the book knows it and nothing else gives it.
    fn meet(&mut self, heading: &[u8], unit: Option<&[u8]>) -> Option<Given> {
        let meaning = self.headings.meaning(heading, unit);
        let heading = decode(heading);
        if heading.is_empty() {
            return None;
        }
        let (fate, given) = match meaning {
            Meaning::Unknown => (Fate::Unknown, None),
            Meaning::WrongUnit(channel, unit) => (Fate::WrongUnit(channel, unit), None),
            Meaning::Channel { channel, factor, offset, unit_said } => {
                let given = Given { channel: channel.index(), factor, offset };
                match self.seen.iter().find(|c| c.fate.gives() == Some(channel) && c.heading != heading) {
                    Some(first) => (Fate::Again(channel, first.heading.clone()), None),
                    None => (Fate::Gives { channel, unit_said }, Some(given)),
                }
            }
        };
        if !self.seen.iter().any(|c| c.heading == heading) && self.seen.len() < MOST_NAMES {
            self.seen.push(Column { heading, fate });
        }
        given
    }

    /// Only windows whose every channel is in the log need be looked at.
    fn find_users(&mut self) {
        self.users.iter_mut().for_each(Vec::clear);
        let there = |channel: &usize| self.seen.iter().any(|c| c.fate.gives().is_some_and(|g| g.index() == *channel));
        for (at, gatherer) in self.gatherers.iter().enumerate() {
            let channels = gatherer.channels();
            if channels.iter().all(there) {
                channels.iter().for_each(|c| self.users[*c].push(at as u32));
            }
        }
    }

    fn row<R>(&mut self, rows: &Rows<R>, difference: &Difference) {
        let Some(tick) = self.clock.tick(rows.row.cell(self.columns.time)) else {
            self.no_time(&rows.row, rows.line);
            return;
        };
        self.rows += 1;
        match self.columns.long {
            None => {
                self.begin(tick);
                self.wide_row(rows, difference);
                self.end();
            }
            Some(long) => {
                if let Some(given) = self.signal(&rows.row, long) {
                    self.long_row(rows.row.cell(long.value), given, tick, rows.line);
                }
            }
        }
    }

    fn begin(&mut self, tick: Tick) {
        if let Some(cut) = self.signals.begin(tick.now, tick.jumped, self.pause) {
            self.fresh = true;
            self.cut(cut);
        }
        self.begun = true;
    }

    fn end(&mut self) {
        self.begun = false;
        if let Some(cut) = self.signals.end() {
            self.cut(cut);
        }
        self.look();
    }

    /// Samples of one moment are one row, as they are in a wide layout; the next moment ends it.
    fn long_row(&mut self, cell: &[u8], given: Given, tick: Tick, line: u64) {
        let joins = self.begun && !tick.jumped && tick.now <= self.signals.now && !self.signals.given_now(given.channel);
        if !joins {
            if self.begun {
                self.end();
            }
            self.begin(tick);
        }
        if let Some(value) = self.value(cell, given, line) {
            self.signals.sample(given.channel, value);
        }
    }

    /// A row without a time: the headings once more, as they or others, or nothing that can be read.
    fn no_time(&mut self, row: &Row, line: u64) {
        self.fresh = true;
        let Some(columns) = Columns::of(row) else {
            if row.cells().any(|c| !c.trim_ascii().is_empty()) {
                self.bad_rows.add(line, &decode(row.cell(self.columns.time)));
            }
            return;
        };
        if self.begun {
            self.end();
        }
        self.headings_again += 1;
        if !columns.headings.same_cells(&self.columns.headings) {
            self.columns = columns;
            self.names.clear();
            self.map();
        }
        let cut = self.signals.restart();
        self.cut(cut);
    }

    /// Cells that stand as they stood give what they gave.
    fn wide_row<R>(&mut self, rows: &Rows<R>, difference: &Difference) {
        let time = self.columns.time;
        for at in 0..self.wide.len() {
            let (column, given) = self.wide[at];
            let stands = matches!(difference, Difference::Cells(cells) if column > time && !cells.contains(&column));
            if !stands || self.fresh {
                match self.value(rows.row.cell(column), given, rows.line) {
                    Some(value) => self.signals.give(given.channel, value),
                    None => self.signals.hush(given.channel),
                }
            }
        }
        self.fresh = false;
    }

    /// What a sample of a long layout gives.
    fn signal(&mut self, row: &Row, long: Long) -> Option<Given> {
        let (name, unit) = (row.cell(long.name), long.unit.map(|u| row.cell(u)));
        self.key.clear();
        self.key.extend_from_slice(name);
        self.key.push(0);
        self.key.extend_from_slice(unit.unwrap_or_default());
        if let Some(given) = self.names.get(&self.key) {
            return *given;
        }
        if self.names.len() >= MOST_NAMES {
            return None;
        }
        let given = self.meet(name, unit);
        self.names.insert(self.key.clone(), given);
        self.find_users();
        given
    }

    /// The value of a cell in the channel's unit.
    fn value(&mut self, cell: &[u8], given: Given, line: u64) -> Option<f64> {
        match number(cell, self.layout.comma) {
            Cell::Number(n) if n.abs() < LARGEST => Some(n * given.factor + given.offset),
            Cell::Empty => None,
            _ => {
                self.bad_cells.add(line, &decode(cell));
                None
            }
        }
    }

    /// Looks at every window that a changed channel belongs to.
    fn look(&mut self) {
        for channel in &self.signals.changed {
            for at in &self.users[*channel] {
                if !std::mem::replace(&mut self.is_due[*at as usize], true) {
                    self.due.push(*at);
                }
            }
        }
        for at in self.due.drain(..) {
            self.is_due[at as usize] = false;
            self.gatherers[at as usize].look(&self.signals);
        }
        if let Some((formula, channels, trace)) = &mut self.trace
            && channels.iter().any(|c| self.signals.given_now(c.index()))
        {
            let value = formula.value(&|c| self.signals.value(c));
            if value.is_finite() {
                trace.add(self.signals.now, value);
            }
        }
    }

    fn cut(&mut self, cut: Cut) {
        self.gatherers.iter_mut().for_each(|g| g.cut(cut, &self.signals));
    }

    fn finish(mut self) -> Drive {
        if self.begun {
            self.end();
        }
        let cut = self.signals.finish();
        self.gatherers.iter_mut().for_each(|g| g.finish(cut, &self.signals));
        let readings = self.gatherers.iter().map(|g| DriveReading { finding: g.finding, result: g.result(&self.signals) }).collect();
        Drive {
            rows: self.rows,
            seconds: self.signals.now,
            shape: if self.columns.long.is_some() { Shape::Long } else { Shape::Wide },
            time_guessed: self.layout.writing_guessed.then_some(self.layout.writing),
            columns: self.seen,
            readings,
            pauses: self.signals.pauses,
            headings_again: self.headings_again,
            bad_rows: self.bad_rows,
            bad_cells: self.bad_cells,
            trace: self.trace.map(|(_, _, trace)| trace),
        }
    }
}
