//! What the room asks of a file system, small enough to be made up in a test.

use super::Trouble;
use std::io;
use std::path::{Path, PathBuf};

/// Which file a name stands for: two names with one identity are one file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Identity {
    /// The device it lies on.
    pub device: u64,
    /// Its number there.
    pub number: u64,
}

/// A file system, or something that behaves like one.
pub trait Medium {
    /// An open file.
    type File;

    /// Opens the regular file of that name; for writing, what is written goes to its end.
    fn open(&self, path: &Path, write: bool) -> Result<Self::File, Trouble>;
    /// Makes a file that was not there, with the owner and rights of `like`.
    fn create(&self, path: &Path, like: Option<&Path>) -> Result<Self::File, Trouble>;
    /// Which file the name stands for now, all links followed; none where there is nothing.
    fn stands(&self, path: &Path) -> io::Result<Option<Identity>>;
    /// Which file this is.
    fn identity(&self, file: &Self::File) -> io::Result<Identity>;
    /// Holds the file until it is closed; false where another program holds it.
    fn lock(&self, file: &Self::File) -> io::Result<bool>;
    /// All its bytes, from the first; more than `most` is [`Trouble::Long`].
    fn read(&self, file: &mut Self::File, most: u64) -> Result<Vec<u8>, Trouble>;
    /// Writes some of these bytes at its end, and says how many.
    fn write(&self, file: &mut Self::File, bytes: &[u8]) -> io::Result<usize>;
    /// Cuts it to a length.
    fn cut(&self, file: &Self::File, length: u64) -> io::Result<()>;
    /// What was written is on the disk when this returns.
    fn sync(&self, file: &Self::File) -> io::Result<()>;
    /// Puts a file in the place of another, in one step.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// Gives a file a name that must be free: `AlreadyExists` where it is not.
    fn publish(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// Takes a name away.
    fn remove(&self, path: &Path) -> io::Result<()>;
    /// Names given and taken away in the folder are on the disk when this returns.
    fn sync_folder(&self, folder: &Path) -> io::Result<()>;
    /// The names in a folder.
    fn names(&self, folder: &Path) -> io::Result<Vec<PathBuf>>;
    /// The path with all links followed.
    fn follow(&self, path: &Path) -> io::Result<PathBuf>;
    /// A number that nobody can foretell.
    fn draw(&self) -> u64;
}

/// Writes all bytes at the end.
pub fn write_all<M: Medium>(medium: &M, file: &mut M::File, mut bytes: &[u8]) -> io::Result<()> {
    while !bytes.is_empty() {
        match medium.write(file, bytes) {
            Ok(0) => return Err(io::ErrorKind::WriteZero.into()),
            Ok(n) => bytes = bytes.get(n..).unwrap_or_default(),
            Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
            Err(e) => return Err(e),
        }
    }
    Ok(())
}
