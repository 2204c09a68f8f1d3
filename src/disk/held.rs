//! A file that grows entry by entry, held by one program, while others may replace it, take it away or write into it.
//!
//! It has a head, which others may edit, and entries after it, which only grow. An entry is kept when three things are seen after the last byte
//! was synced: the name still stands for the file that is held, all that was to stand in it does, and nobody came between.

use super::beside::folder;
use super::medium::{Identity, Medium, write_all};
use super::put::put_new;
use super::trouble::Trouble;
use std::io;
use std::path::{Path, PathBuf};

/// How often another program may come between before the entries are put beside the file.
const TRIES: usize = 16;
/// How many files are put beside one of a name at most.
const BESIDE: usize = 99;

/// What became of the file since the last entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kept {
    /// It is as it was left.
    AsBefore,
    /// Another program replaced it, changed its head or took it away; all entries are in it again, and its text should be read anew.
    Anew,
}

/// A file that is held.
pub struct Held<M: Medium> {
    medium: M,
    path: PathBuf,
    file: M::File,
    /// What was last seen to stand in it.
    text: Vec<u8>,
    most: u64,
    /// The byte where the entries begin.
    head: fn(&[u8]) -> usize,
}

impl<M: Medium> Held<M> {
    /// Holds the file and then reads it, so that nobody can have added to it in between. `head` says at which byte of a text the entries begin.
    ///
    /// # Errors
    /// [`Trouble::Held`] where another program holds it.
    pub fn open(medium: M, path: &Path, most: u64, head: fn(&[u8]) -> usize) -> Result<Held<M>, Trouble> {
        let path = medium.follow(path)?;
        for _ in 0..TRIES {
            let mut file = medium.open(&path, true)?;
            if !medium.lock(&file)? {
                return Err(Trouble::Held);
            }
            if medium.stands(&path)? == Some(medium.identity(&file)?) {
                let text = medium.read(&mut file, most)?;
                return Ok(Held { medium, path, file, text, most, head });
            }
        }
        Err(Trouble::Changed)
    }

    /// What stands in it.
    pub fn text(&self) -> &[u8] {
        &self.text
    }

    /// Cuts it at a byte, for the rest of an entry that was never finished.
    ///
    /// # Errors
    /// What the system says.
    pub fn cut(&mut self, at: usize) -> Result<(), Trouble> {
        self.medium.cut(&self.file, at as u64)?;
        self.text.truncate(at);
        Ok(())
    }

    /// Adds an entry; it is on the disk, under the file's name, when this returns.
    ///
    /// # Errors
    /// [`Trouble::Beside`] where the file was changed so that the entry does not fit any more; else what the system says, and the file is as before.
    pub fn append(&mut self, entry: &[u8]) -> Result<Kept, Trouble> {
        let line = if self.text.last().is_none_or(|b| *b == b'\n') { &b""[..] } else { b"\n" };
        let want = [&self.text, line, entry].concat();
        if want.len() as u64 > self.most {
            return Err(Trouble::Long(self.most));
        }
        self.establish(want)
    }

    /// Sees to it that all entries are on the disk under the file's name.
    ///
    /// # Errors
    /// As [`Held::append`].
    pub fn check(&mut self) -> Result<Kept, Trouble> {
        self.establish(self.text.clone())
    }

    /// Brings the file of this name to hold these entries; the head is whoever's last wrote it.
    fn establish(&mut self, mut want: Vec<u8>) -> Result<Kept, Trouble> {
        let mut kept = Kept::AsBefore;
        let mut synced = false;
        for _ in 0..TRIES {
            if !self.is_there()? {
                kept = Kept::Anew;
                synced = false;
                match self.take_again(&want) {
                    Err(Trouble::Io(e)) if raced(&e) => {}
                    Err(Trouble::Held | Trouble::NoFile(_)) => return Err(self.beside(&want)),
                    done => done?,
                }
                continue;
            }
            let now = self.medium.read(&mut self.file, self.most)?;
            if now == want && synced {
                self.text = want;
                return Ok(kept);
            }
            let Some(joined) = joined(&now, &want, self.head) else { return Err(self.beside(&want)) };
            if joined != want {
                kept = Kept::Anew;
                want = joined;
            }
            self.grow(now.len(), &want)?;
            synced = true;
        }
        Err(self.beside(&want))
    }

    /// Writes what is missing from a byte on, and syncs; where that fails half-way, the file is cut back to where it was.
    fn grow(&mut self, from: usize, want: &[u8]) -> io::Result<()> {
        let missing = want.get(from..).unwrap_or_default();
        let done = write_all(&self.medium, &mut self.file, missing).and_then(|()| self.medium.sync(&self.file));
        // a failed cut leaves an unfinished entry, which reading knows how to leave out
        done.inspect_err(|_| drop(self.medium.cut(&self.file, from as u64)))
    }

    /// Whether the name stands for the file that is held.
    fn is_there(&self) -> io::Result<bool> {
        let own: Identity = self.medium.identity(&self.file)?;
        Ok(self.medium.stands(&self.path)? == Some(own))
    }

    /// Holds the file that has the name now; where there is none, one is made with all that is wanted.
    fn take_again(&mut self, want: &[u8]) -> Result<(), Trouble> {
        if self.medium.stands(&self.path)?.is_none() {
            put_new(&self.medium, &self.path, want)?;
        }
        let file = self.medium.open(&self.path, true)?;
        if !self.medium.lock(&file)? {
            return Err(Trouble::Held);
        }
        self.file = file;
        Ok(self.medium.sync_folder(folder(&self.path))?)
    }

    /// Puts all that was wanted into a file beside, under the first name that is free.
    fn beside(&self, want: &[u8]) -> Trouble {
        let name = self.path.file_name().unwrap_or_default().to_string_lossy();
        for number in 1..=BESIDE {
            let path = self.path.with_file_name(format!("{name}.kept-{number}"));
            match put_new(&self.medium, &path, want) {
                Ok(()) => return Trouble::Beside(path),
                Err(Trouble::Io(e)) if e.kind() == io::ErrorKind::AlreadyExists => {}
                Err(other) => return other,
            }
        }
        Trouble::Changed
    }
}

/// Another program was quicker: look again.
fn raced(error: &io::Error) -> bool {
    matches!(error.kind(), io::ErrorKind::NotFound | io::ErrorKind::AlreadyExists)
}

/// The head that stands there with the entries that are wanted; none where other entries stand there.
fn joined(now: &[u8], want: &[u8], head: fn(&[u8]) -> usize) -> Option<Vec<u8>> {
    if want.starts_with(now) {
        return Some(want.to_vec());
    }
    let (head_now, there) = now.split_at(head(now).min(now.len()));
    let wanted = want.get(head(want)..).unwrap_or_default();
    let line = if head_now.last().is_none_or(|b| *b == b'\n') { &b""[..] } else { b"\n" };
    wanted.starts_with(there).then(|| [head_now, line, wanted].concat())
}
