//! The journal on disk: appended to the job sheet, synced before the next question, held by one walk at a time.

use super::failure::Failure;
use super::limits::TEXT;
use super::sheet::{Read, entries_from, lost, sheet_in, told};
use crate::disk::{Disk, Held, Kept, Trouble};
use crate::job::{Closed, Entry, Event, JobSheet};
use std::path::{Path, PathBuf};

/// A sheet opened for one walk.
pub struct Journal {
    file: Held<Disk>,
    path: PathBuf,
    book: String,
}

/// A sheet that is held, as it stands on the disk.
pub struct Opened {
    /// Where answers go.
    pub journal: Journal,
    /// The sheet.
    pub sheet: JobSheet,
    /// What is to be said of an entry that was cut off.
    pub told: Option<String>,
}

impl Journal {
    /// Holds the sheet and then reads it: a second walk on it is refused, and none can have written in between.
    pub fn open(path: &Path) -> Result<Opened, Failure> {
        let file = Held::open(Disk, path, TEXT, entries_from).map_err(|e| Failure::unwritten(path, &e))?;
        let Read { sheet, torn } = sheet_in(path, file.text())?;
        let mut journal = Journal { file, path: path.to_path_buf(), book: String::new() };
        let told = torn.map(|at| told(path, journal.file.text(), at));
        if let Some(at) = torn {
            journal.mend(at)?;
        }
        Ok(Opened { journal, sheet, told })
    }

    /// The book that the answers to come are given under.
    pub fn under(&mut self, digest: &str) {
        self.book = digest.chars().take(12).collect();
    }

    /// First figures of the digest of the book in use.
    pub fn book(&self) -> &str {
        &self.book
    }

    /// Appends one answer; it is on the disk when this returns. The sheet is there where another program has changed it meanwhile.
    pub fn append(&mut self, event: &Event) -> Result<(Entry, Option<JobSheet>), Failure> {
        let at = jiff::Timestamp::now().round(jiff::Unit::Second).map_or_else(|_| String::new(), |t| t.to_string());
        let (ask, answer) = event.written();
        let entry = Entry { at, book: self.book.clone(), ask, answer };
        let table =
            toml::to_string(&entry).map_err(|e| Failure::new(format!("the answer can't be written: {e}"), "answer in other words"))?;
        let changed = self.write(&format!("\n[[journal]]\n{table}"))?;
        Ok((entry, changed))
    }

    /// Closes the job today.
    pub fn close(&mut self, closed: Closed) -> Result<Closed, Failure> {
        let closed = Closed { day: today(), ..closed };
        let table = toml::to_string(&closed).map_err(|e| Failure::new(format!("the closing can't be written: {e}"), "close it again"))?;
        self.write(&format!("\n[closed]\n{table}"))?;
        Ok(closed)
    }

    /// Sees to it that every answer is on the disk under the sheet's name; the sheet is there where another program has changed it meanwhile.
    pub fn check(&mut self) -> Result<Option<JobSheet>, Failure> {
        let kept = self.file.check();
        self.changed(kept)
    }

    /// Turns an entry that was cut off into a comment, so that the sheet is whole again and nothing of it is thrown away.
    fn mend(&mut self, at: usize) -> Result<(), Failure> {
        let left = lost(self.file.text(), at);
        let remark = left.iter().map(|line| format!("#   {line}\n")).collect::<String>();
        let mended = self.file.cut(at).map(|()| format!("# An entry was cut off here while it was written:\n{remark}"));
        mended.map_err(|e| Failure::unwritten(&self.path, &e)).and_then(|remark| self.write(&remark).map(drop))
    }

    fn write(&mut self, text: &str) -> Result<Option<JobSheet>, Failure> {
        let kept = self.file.append(text.as_bytes());
        self.changed(kept)
    }

    fn changed(&self, kept: Result<Kept, Trouble>) -> Result<Option<JobSheet>, Failure> {
        match kept {
            Ok(Kept::AsBefore) => Ok(None),
            Ok(Kept::Anew) => Ok(Some(sheet_in(&self.path, self.file.text())?.sheet)),
            Err(trouble) => Err(self.unsaved(&trouble)),
        }
    }

    /// Why an answer was not saved, and where the answers are.
    fn unsaved(&self, trouble: &Trouble) -> Failure {
        let name = self.path.display();
        match trouble {
            Trouble::Io(e) => {
                let why = Failure::writing(&self.path, e);
                Failure::new(why.message, format!("{}; every answer before this one is saved", why.help))
            }
            Trouble::Beside(path) => Failure::new(
                format!(
                    "`{name}` was changed by another program so that the answers of this walk don't fit it; all are saved in `{}`",
                    path.display()
                ),
                "keep of the two files what is right, under the sheet's name, and start the walk again",
            ),
            other => Failure::unwritten(&self.path, other),
        }
    }
}

/// The day by the machine's clock, in UTC: `2026-03-02`.
pub fn today() -> String {
    jiff::Timestamp::now().to_string().chars().take(10).collect()
}
