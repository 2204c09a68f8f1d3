//! Regular files -> bytes, up to a limit.

use super::ledger;
use super::medium::Medium;
use super::real::{self, Disk};
use super::trouble::Trouble;
use std::fs::{self, File};
use std::io;
use std::path::Path;

/// Opens a regular file of at most so many bytes to read; it counts as input from now on.
///
/// # Errors
/// [`Trouble::NoFile`] for pipes, devices and folders, [`Trouble::Long`] above the limit.
pub fn open(path: &Path, most: u64) -> Result<File, Trouble> {
    let file = Disk.open(path, false)?;
    if file.metadata()?.len() > most {
        return Err(Trouble::Long(most));
    }
    ledger::note(Disk.identity(&file)?);
    Ok(file)
}

/// Whether a regular file stands there; nothing is opened.
///
/// # Errors
/// As [`open`], and where there is nothing.
pub fn regular_at(path: &Path) -> Result<(), Trouble> {
    real::regular(&fs::metadata(path)?)
}

/// All bytes of a regular file, read until nothing changed meanwhile, three times at most.
///
/// # Errors
/// As [`open`], and where it never stands still.
pub fn read(path: &Path, most: u64) -> Result<Vec<u8>, Trouble> {
    let stamp = |file: &File| file.metadata().and_then(|m| Ok((m.len(), m.modified()?)));
    let mut file = open(path, most)?;
    let mut before = stamp(&file)?;
    for _ in 0..3 {
        let bytes = Disk.read(&mut file, most)?;
        let after = stamp(&file)?;
        if before == after && bytes.len() as u64 == after.0 {
            return Ok(bytes);
        }
        before = after;
    }
    Err(Trouble::Io(io::Error::other("it changes while it is read")))
}
