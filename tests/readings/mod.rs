//! Logged drives: windows of the book, the reader of logs, and the readings that come out.

mod layouts;
mod pages;
mod real_drive;
mod trust;
mod window;

use faultbook::book::{Book, Id, read, shipped};
use faultbook::job::log::{self, Drive, Lack, Taken, Traced};
use faultbook::syntax::{Document, Remark, Sources, parse};

/// The channels that ship with the book.
pub const CHANNELS: &str = include_str!("../../rules/common/channels.rules");

/// The book of one text, and the remarks on it.
pub fn book_of(text: &str) -> (Option<Book>, Vec<Remark>) {
    book_of_files(&[("test.rules".into(), text.into())])
}

/// The book that ships.
pub fn shipped_book() -> Book {
    let files: Vec<(String, String)> = shipped::files().into_iter().map(|(n, t)| (n, t.to_string())).collect();
    let (book, remarks) = book_of_files(&files);
    book.unwrap_or_else(|| panic!("{remarks:?}"))
}

fn book_of_files(files: &[(String, String)]) -> (Option<Book>, Vec<Remark>) {
    let mut sources = Sources::default();
    let (mut documents, mut remarks): (Vec<Document>, Vec<Remark>) = (vec![], vec![]);
    for (name, text) in files {
        let file = sources.add(name, text);
        let (document, found) = parse(file, &sources.get(file).text);
        documents.push(document);
        remarks.extend(found);
    }
    let (book, found) = read(&sources, &[documents]);
    remarks.extend(found);
    (book, remarks)
}

/// A book of the shipped channels and of readings `NAME UNIT: WINDOW`.
pub fn book_with(readings: &[(&str, &str, &str)]) -> Book {
    let mut text = CHANNELS.to_string();
    for (name, unit, from) in readings {
        text += &format!("\nreading {name} \"{name}\"\n  unit {unit}\n  from {from}\n  band low below 0\n  band high above 0\n");
    }
    let (book, remarks) = book_of(&text);
    book.unwrap_or_else(|| panic!("{remarks:?}"))
}

/// The drive in a log.
pub fn drive(book: &Book, log: impl AsRef<[u8]>) -> Drive {
    log::read(book, log.as_ref(), None).unwrap_or_else(|e| panic!("{e}"))
}

/// The drive in a log, with a curve.
pub fn traced(book: &Book, log: impl AsRef<[u8]>, channel: &str) -> Drive {
    let channel = book.channels.find(channel).expect("the channel is in the book");
    log::read(book, log.as_ref(), Some(Traced::Channel(channel))).unwrap_or_else(|e| panic!("{e}"))
}

/// What a reading came to.
pub fn result<'d>(book: &Book, drive: &'d Drive, name: &str) -> &'d Result<Taken, Lack> {
    let id: Id<_> = book.findings.find(name).expect("the reading is in the book");
    let reading = drive.readings.iter().find(|r| r.finding == id).expect("the reading has a window");
    &reading.result
}

/// What a reading came to, where it came to something.
pub fn taken<'d>(book: &Book, drive: &'d Drive, name: &str) -> &'d Taken {
    result(book, drive, name).as_ref().unwrap_or_else(|lack| panic!("{name}: {lack:?}"))
}
