//! Bytes -> a file, in one step: a broken run leaves the old file or the new one, and a name that nobody reads.

use super::beside::{folder, fresh, sweep};
use super::ledger;
use super::medium::{Medium, write_all};
use super::trouble::{Sort, Trouble};
use std::io;
use std::path::{Path, PathBuf};

/// How often a name is drawn anew where another program takes it away.
const TRIES: usize = 8;

/// Writes a result: a new file, or in the place of one that is no input of this run.
///
/// # Errors
/// [`Trouble::Input`] where the file was read by this run; else what the system says, and nothing is changed.
pub fn put<M: Medium>(medium: &M, path: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    let Some(stands) = medium.stands(path)? else { return put_new(medium, path, bytes) };
    if ledger::is_input(&stands) {
        return Err(Trouble::Input);
    }
    let target = medium.follow(path)?;
    // refuses what is no regular file, and what may not be written
    medium.open(&target, true)?;
    let made = Made::beside(medium, &target, Some(&target), bytes)?;
    made.into_place(&target, |from, to| medium.rename(from, to))
}

/// Writes a file that was not there.
///
/// # Errors
/// `AlreadyExists` where it is there; what stands there is left as it is.
pub fn put_new<M: Medium>(medium: &M, path: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    let made = Made::beside(medium, path, None, bytes)?;
    made.into_place(path, |from, to| medium.publish(from, to)).map_err(|trouble| match trouble {
        Trouble::Io(e) if e.kind() == io::ErrorKind::AlreadyExists && medium.stands(path).is_ok_and(|s| s.is_none()) => {
            Trouble::NoFile(Sort::LostLink)
        }
        other => other,
    })
}

/// Writes new bytes in the place of old ones, unless somebody has changed the file since they were read.
///
/// # Errors
/// [`Trouble::Changed`] where neither the old nor the new bytes stand there.
pub fn exchange<M: Medium>(medium: &M, path: &Path, old: &[u8], new: &[u8]) -> Result<(), Trouble> {
    // a link stays a link: what it points to is replaced
    let target = medium.follow(path)?;
    let most = old.len().max(new.len()) as u64;
    // false where another run has done the same already
    let to_do = || match medium.open(&target, true).and_then(|mut file| medium.read(&mut file, most))? {
        now if now == new => Ok(false),
        now if now == old => Ok(true),
        _ => Err(Trouble::Changed),
    };
    let to_do = || match to_do() {
        Err(Trouble::Long(_)) => Err(Trouble::Changed),
        answer => answer,
    };
    if !to_do()? {
        return Ok(());
    }
    let made = Made::beside(medium, &target, Some(&target), new)?;
    // looked at once more when all is ready, so that hardly any time is left in which a change could be missed
    if to_do()? { made.into_place(&target, |from, to| medium.rename(from, to)) } else { Ok(()) }
}

/// A whole file on the disk that has not got its name yet; taken away again where it never gets it.
struct Made<'m, M: Medium> {
    medium: &'m M,
    path: PathBuf,
    /// Held, so that no other run sweeps it away.
    file: M::File,
    placed: bool,
}

impl<'m, M: Medium> Made<'m, M> {
    fn beside(medium: &'m M, target: &Path, like: Option<&Path>, bytes: &[u8]) -> Result<Self, Trouble> {
        sweep(medium, target);
        for _ in 0..TRIES {
            let path = fresh(medium, target);
            let file = match medium.create(&path, like) {
                Err(Trouble::Io(e)) if e.kind() == io::ErrorKind::AlreadyExists => continue,
                made => made?,
            };
            let mut made = Made { medium, path, file, placed: false };
            if !made.is_ours()? {
                made.placed = true;
                continue;
            }
            write_all(medium, &mut made.file, bytes)?;
            medium.sync(&made.file)?;
            return Ok(made);
        }
        Err(Trouble::Held)
    }

    /// Holds the file; another run may have swept it away before it was held.
    fn is_ours(&self) -> io::Result<bool> {
        Ok(self.medium.lock(&self.file)? && self.medium.stands(&self.path)? == Some(self.medium.identity(&self.file)?))
    }

    fn into_place(mut self, target: &Path, step: impl Fn(&Path, &Path) -> io::Result<()>) -> Result<(), Trouble> {
        step(&self.path, target)?;
        self.placed = true;
        Ok(self.medium.sync_folder(folder(target))?)
    }
}

impl<M: Medium> Drop for Made<'_, M> {
    fn drop(&mut self) {
        if !self.placed {
            self.medium.remove(&self.path).ok();
        }
    }
}
