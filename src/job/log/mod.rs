//! A logged drive -> readings, through the windows of the book; streamed, whatever recorder wrote it.
//!
//! What can't be judged is not enough data, never a fault. This room opens no file: it is handed a stream.

mod cell;
mod clock;
mod gather;
mod heading;
mod judge;
mod layout;
mod reader;
mod row;
mod signals;
mod tally;
mod trace;

pub use clock::Writing;
pub use gather::{Lack, Taken};
pub use judge::{Judged, Verdict, judge};
pub use reader::read;
pub use signals::Pauses;
pub use trace::Trace;

use crate::book::{Book, Channel, Finding, Formula, Id};

/// A logged drive, read.
#[derive(Debug, Clone, PartialEq)]
pub struct Drive {
    /// Rows with a time.
    pub rows: u64,
    /// From the first row to the last, in seconds.
    pub seconds: f64,
    /// How it is laid out.
    pub shape: Shape,
    /// How time was taken to be written, where nothing says it.
    pub time_guessed: Option<Writing>,
    /// Its columns, or the names of its samples, in the order they were met.
    pub columns: Vec<Column>,
    /// The readings of the book that have a window, in the book's order.
    pub readings: Vec<DriveReading>,
    /// What could not be believed.
    pub pauses: Pauses,
    /// How often the headings were repeated.
    pub headings_again: u64,
    /// Rows that could not be read.
    pub bad_rows: Unread,
    /// Cells that could not be read.
    pub bad_cells: Unread,
    /// The curve that was asked for.
    pub trace: Option<Trace>,
}

/// How a log is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// A column for each signal.
    Wide,
    /// A row for each sample.
    Long,
}

/// A column of a log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// Its heading.
    pub heading: String,
    /// What became of it.
    pub fate: Fate,
}

/// What became of a column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fate {
    /// It gives a channel.
    Gives {
        /// The channel.
        channel: Id<Channel>,
        /// Whether its unit was said; if not, it is taken to be the channel's.
        unit_said: bool,
    },
    /// It means a channel, in a unit that can't be that of it.
    WrongUnit(Id<Channel>, String),
    /// It means a channel that the column of this heading gives already.
    Again(Id<Channel>, String),
    /// The book knows no such heading.
    Unknown,
}

impl Fate {
    /// The channel it gives.
    pub fn gives(&self) -> Option<Id<Channel>> {
        match self {
            Fate::Gives { channel, .. } => Some(*channel),
            _ => None,
        }
    }
}

/// What a drive says of one reading.
#[derive(Debug, Clone, PartialEq)]
pub struct DriveReading {
    /// The reading.
    pub finding: Id<Finding>,
    /// What its window gave, or why it gave nothing.
    pub result: Result<Taken, Lack>,
}

/// Rows or cells that could not be read.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Unread {
    /// How many.
    pub count: u64,
    /// The line and the text of the first.
    pub first: Option<(u64, String)>,
}

impl Unread {
    fn add(&mut self, line: u64, text: &str) {
        self.count += 1;
        self.first.get_or_insert_with(|| (line, text.chars().take(40).collect()));
    }
}

/// The curve to keep of a drive.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Traced {
    /// What the window of a reading works out, whether open or not.
    Reading(Id<Finding>),
    /// A channel.
    Channel(Id<Channel>),
}

impl Traced {
    /// What is drawn; none for a reading without a window.
    pub fn formula(self, book: &Book) -> Option<Formula> {
        match self {
            Traced::Reading(id) => book.findings[id].gauge()?.window.as_ref().map(|w| w.formula.clone()),
            Traced::Channel(id) => Some(Formula::Channel(id)),
        }
    }
}
