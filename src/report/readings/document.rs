//! `readings --json`.

use super::{LogPage, lack};
use crate::book::{Book, Headed};
use crate::job::log::{Drive, Fate, Lack, Shape, Taken, Unread, Verdict};
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::Serialize;

/// What logged drives say.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ReadingsDocument {
    /// Version of this shape.
    pub schema: u32,
    /// The logs, in the order given.
    pub logs: Vec<LogDocument>,
}

/// One log.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LogDocument {
    /// The file.
    pub log: String,
    /// Rows with a time.
    pub rows: u64,
    /// From the first row to the last.
    pub seconds: f64,
    /// `wide` (a column for each signal) or `long` (a row for each sample).
    pub layout: &'static str,
    /// The readings it gives, by name.
    pub readings: IndexMap<String, ReadingDocument>,
    /// The readings it can't give, with the reason in a word and in a sentence.
    pub not_enough_data: IndexMap<String, LackDocument>,
    /// Every column, or name of a sample.
    pub columns: Vec<ColumnDocument>,
    /// What in it could not be believed.
    pub pauses: PausesDocument,
    /// Rows that could not be read.
    pub rows_unread: u64,
    /// Cells that could not be read.
    pub cells_unread: u64,
}

/// One reading.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ReadingDocument {
    /// The value, in `unit`.
    pub value: f64,
    /// The unit of the reading.
    pub unit: String,
    /// The likeliest state; null where it may not be judged.
    pub state: Option<String>,
    /// How much each state counts, where it may be judged.
    pub weights: IndexMap<String, f64>,
    /// Traits that must be known before it may be judged.
    pub unknown_traits: Vec<String>,
    /// Samples it was taken of.
    pub samples: u64,
    /// The least sample.
    pub least: f64,
    /// The greatest sample.
    pub most: f64,
    /// How long the conditions held, seconds.
    pub seconds: f64,
    /// How many times they held.
    pub stretches: usize,
}

/// Why there is no reading.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LackDocument {
    /// `no_channel`, `out_of_reach`, `never_together`, `too_short` or `driver_still`.
    pub reason: &'static str,
    /// The same in words.
    pub words: String,
    /// Channels that no column gives.
    pub channels: Vec<String>,
}

/// One column.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ColumnDocument {
    /// Its heading.
    pub heading: String,
    /// The channel it gives or means.
    pub channel: Option<String>,
    /// `gives`, `wrong_unit`, `again` (another column gives the channel already) or `unknown`.
    pub fate: &'static str,
    /// Whether its unit was taken to be the channel's, because nothing says it.
    pub unit_assumed: bool,
}

/// What in a log could not be believed.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PausesDocument {
    /// Breaks of the recording: pauses, jumps of the clock, repeated headings.
    pub breaks: u64,
    /// The longest pause, seconds.
    pub longest: f64,
    /// Jumps of the clock.
    pub clock_jumps: u64,
    /// Repeated headings.
    pub headings_again: u64,
    /// Seconds in which nothing moved although the engine ran or had run.
    pub frozen: f64,
    /// How often the engine stopped.
    pub engine_stops: u64,
}

/// The document for scripts.
pub fn document(book: &Book, pages: &[LogPage]) -> ReadingsDocument {
    ReadingsDocument { schema: 1, logs: pages.iter().map(|p| log(book, p)).collect() }
}

fn log(book: &Book, page: &LogPage) -> LogDocument {
    let (mut readings, mut lacks) = (IndexMap::new(), IndexMap::new());
    for judged in &page.judged {
        let name = book.findings[judged.finding].name().to_string();
        match &judged.verdict {
            Verdict::Stands(taken, weights) => {
                readings.insert(name, reading(book, judged.finding, taken, weights, vec![]));
            }
            Verdict::Open(taken, open) => {
                let open = open.iter().map(|t| book.traits[*t].name().to_string()).collect();
                readings.insert(name, reading(book, judged.finding, taken, &[], open));
            }
            Verdict::Lacks(why) => {
                lacks.insert(name, lack_document(book, judged.finding, why));
            }
        }
    }
    let drive = page.drive;
    LogDocument {
        log: page.name.into(),
        rows: drive.rows,
        seconds: drive.seconds,
        layout: if drive.shape == Shape::Wide { "wide" } else { "long" },
        readings,
        not_enough_data: lacks,
        columns: columns(book, drive),
        pauses: pauses(drive),
        rows_unread: count(&drive.bad_rows),
        cells_unread: count(&drive.bad_cells),
    }
}

fn count(unread: &Unread) -> u64 {
    unread.count
}

fn reading(book: &Book, id: crate::book::Id<crate::book::Finding>, taken: &Taken, weights: &[f64], open: Vec<String>) -> ReadingDocument {
    let finding = &book.findings[id];
    let best = (0..weights.len()).reduce(|best, k| if weights[k] > weights[best] { k } else { best });
    ReadingDocument {
        value: taken.value,
        unit: finding.gauge().map_or(String::new(), |g| g.unit.text.clone()),
        state: best.map(|k| finding.states[k].clone()),
        weights: finding.states.iter().cloned().zip(weights.iter().copied()).collect(),
        unknown_traits: open,
        samples: taken.samples,
        least: taken.least,
        most: taken.most,
        seconds: taken.seconds,
        stretches: taken.stretches.len(),
    }
}

fn lack_document(book: &Book, id: crate::book::Id<crate::book::Finding>, why: &Lack) -> LackDocument {
    let needed = book.findings[id].gauge().and_then(|g| g.window.as_ref()).map_or(0.0, |w| w.seconds);
    let (reason, channels) = match why {
        Lack::NoChannel(channels) => ("no_channel", channels.iter().map(|c| book.channels[*c].name().to_string()).collect()),
        Lack::OutOfReach(_) => ("out_of_reach", vec![]),
        Lack::NeverTogether => ("never_together", vec![]),
        Lack::TooShort(_) => ("too_short", vec![]),
        Lack::DriverStill => ("driver_still", vec![]),
    };
    LackDocument { reason, words: lack(book, why, needed), channels }
}

fn columns(book: &Book, drive: &Drive) -> Vec<ColumnDocument> {
    let one = |heading: &String, fate: &Fate| {
        let (fate, channel, unit_assumed) = match fate {
            Fate::Gives { channel, unit_said } => ("gives", Some(*channel), !unit_said),
            Fate::WrongUnit(channel, _) => ("wrong_unit", Some(*channel), false),
            Fate::Again(channel, _) => ("again", Some(*channel), false),
            Fate::Unknown => ("unknown", None, false),
        };
        let channel = channel.map(|c| book.channels[c].name().to_string());
        ColumnDocument { heading: heading.clone(), channel, fate, unit_assumed }
    };
    drive.columns.iter().map(|c| one(&c.heading, &c.fate)).collect()
}

fn pauses(drive: &Drive) -> PausesDocument {
    PausesDocument {
        breaks: drive.pauses.breaks,
        longest: drive.pauses.longest,
        clock_jumps: drive.pauses.jumps,
        headings_again: drive.headings_again,
        frozen: drive.pauses.still,
        engine_stops: drive.pauses.stops,
    }
}
