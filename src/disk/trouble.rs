//! What can be wrong with a file, told apart by what a person does about it.

use std::io;
use std::path::PathBuf;

/// Why a file was not read or not written.
#[derive(Debug, thiserror::Error)]
pub enum Trouble {
    /// The system says no.
    #[error("{0}")]
    Io(#[from] io::Error),
    /// It is no file that holds bytes.
    #[error("it is {}", .0.words())]
    NoFile(Sort),
    /// It holds more bytes than this.
    #[error("it is longer than {0} bytes")]
    Long(u64),
    /// Another program holds it.
    #[error("another program holds it")]
    Held,
    /// It is not as it was when it was read.
    #[error("it was changed meanwhile")]
    Changed,
    /// It was read by this very run.
    #[error("it is read by the same command")]
    Input,
    /// A file put in its place would belong to somebody else.
    #[error("it would change hands")]
    Owner,
    /// Another program changed it so that nothing can be added; all that was to stand in it is in the file named.
    #[error("it was changed meanwhile; all is in {0}")]
    Beside(PathBuf),
}

/// What stands where a file is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sort {
    /// A folder.
    Folder,
    /// A pipe or a socket: reading one waits for somebody to write.
    Pipe,
    /// A device: reading one may never end.
    Device,
    /// A link to nothing.
    LostLink,
}

impl Sort {
    /// As people say it.
    pub fn words(self) -> &'static str {
        match self {
            Sort::Folder => "a folder",
            Sort::Pipe => "a pipe",
            Sort::Device => "a device",
            Sort::LostLink => "a link that leads nowhere",
        }
    }
}
