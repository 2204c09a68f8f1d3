//! Logged drives turned into readings: as text for people, as one document for scripts.

mod document;
mod text;

pub use document::{ReadingsDocument, document};
pub use text::text;

use super::explain::ranges;
use super::words::number;
use crate::book::{Book, Headed, Hold};
use crate::job::log::{Drive, Judged, Lack, judge};

/// One log, read and judged.
pub struct LogPage<'d> {
    /// The name of the file.
    pub name: &'d str,
    /// What was read.
    pub drive: &'d Drive,
    /// The readings that apply.
    pub judged: Vec<Judged<'d>>,
}

impl<'d> LogPage<'d> {
    /// The page of a drive for a vehicle of these traits.
    pub fn new(book: &Book, name: &'d str, drive: &'d Drive, traits: &[Option<bool>]) -> LogPage<'d> {
        LogPage { name, drive, judged: judge(book, drive, traits) }
    }
}

/// Why there is no reading, in words.
pub fn lack(book: &Book, lack: &Lack, needed: f64) -> String {
    match lack {
        Lack::NoChannel(channels) => {
            let titles: Vec<&str> = channels.iter().map(|c| book.channels[*c].title()).collect();
            format!("no column gives {}", titles.join(" or "))
        }
        Lack::OutOfReach(holds) => holds.iter().map(|(hold, least, most)| reach(book, hold, *least, *most)).collect::<Vec<_>>().join("; "),
        Lack::NeverTogether => "its conditions were never met together".into(),
        Lack::TooShort(seconds) => format!("its conditions held for {seconds:.1} s at most, {} s are needed", number(needed)),
        Lack::DriverStill => "nothing that drives it moved meanwhile, so its standing still says nothing".into(),
    }
}

fn reach(book: &Book, hold: &Hold, least: f64, most: f64) -> String {
    let channel = &book.channels[hold.channel];
    let unit = channel.unit.as_ref().map_or("", |u| u.text.as_str());
    let wanted = ranges(&[(hold.low, hold.high)], unit);
    format!("{} went from {} to {} {unit}, {wanted} is needed", channel.title(), number(least), number(most)).replace("  ", " ")
}
