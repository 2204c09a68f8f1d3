//! The journal on disk: appended to the job sheet, synced before the next question, held by one walk at a time.

use super::failure::Failure;
use crate::job::{Closed, Entry, Event};
use std::fs::{File, OpenOptions};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::Path;

/// A sheet opened for one walk.
pub struct Journal {
    file: File,
    name: String,
    book: String,
}

impl Journal {
    /// Opens the sheet and holds it: a second walk on it is refused.
    pub fn open(path: &Path, digest: &str) -> Result<Journal, Failure> {
        let name = path.display().to_string();
        let file = OpenOptions::new().read(true).append(true).open(path).map_err(|e| Failure::writing(path, &e))?;
        if file.try_lock().is_err() {
            return Err(Failure::new(format!("another walk has `{name}` open"), "close the other one first; two would lose answers"));
        }
        let book = digest.chars().take(12).collect();
        Ok(Journal { file, name, book })
    }

    /// First figures of the digest of the book in use.
    pub fn book(&self) -> &str {
        &self.book
    }

    /// Appends one answer; it is on the disk when this returns.
    pub fn append(&mut self, event: &Event) -> Result<Entry, Failure> {
        let at = jiff::Timestamp::now().round(jiff::Unit::Second).map_or_else(|_| String::new(), |t| t.to_string());
        let (ask, answer) = event.written();
        let entry = Entry { at, book: self.book.clone(), ask, answer };
        let table =
            toml::to_string(&entry).map_err(|e| Failure::new(format!("the answer can't be written: {e}"), "answer in other words"))?;
        self.write(&format!("\n[[journal]]\n{table}"))?;
        Ok(entry)
    }

    /// Closes the job today.
    pub fn close(&mut self, closed: Closed) -> Result<Closed, Failure> {
        let closed = Closed { day: jiff::Timestamp::now().to_string().chars().take(10).collect(), ..closed };
        let table = toml::to_string(&closed).map_err(|e| Failure::new(format!("the closing can't be written: {e}"), "close it again"))?;
        self.write(&format!("\n[closed]\n{table}"))?;
        Ok(closed)
    }

    /// Appends and syncs; where that fails half-way the file is cut back, so that nothing that was there is lost.
    fn write(&mut self, text: &str) -> Result<(), Failure> {
        let before = self.file.metadata().map_or(0, |m| m.len());
        let text = if self.ends_in_line() { text.to_string() } else { format!("\n{text}") };
        let done = self.file.write_all(text.as_bytes()).and_then(|()| self.file.sync_data());
        done.map_err(|e| {
            self.file.set_len(before).ok();
            Failure::new(format!("`{}` can't be written: {e}", self.name), "make room on the disk; every answer before this one is saved")
        })
    }

    fn ends_in_line(&mut self) -> bool {
        let mut last = [b'\n'];
        let read = self.file.seek(SeekFrom::End(-1)).and_then(|_| self.file.read_exact(&mut last));
        read.is_err() || last[0] == b'\n'
    }
}
