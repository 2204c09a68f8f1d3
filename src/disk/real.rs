//! The file system of the machine.

use super::medium::{Identity, Medium};
use super::trouble::{Sort, Trouble};
use std::fs::{self, File, Metadata, OpenOptions};
use std::hash::{BuildHasher, Hasher, RandomState};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

/// The file system of the machine.
#[derive(Debug, Clone, Copy, Default)]
pub struct Disk;

impl Medium for Disk {
    type File = File;

    fn open(&self, path: &Path, write: bool) -> Result<File, Trouble> {
        // looked at before it is opened, because opening a device can set it going, and after, because the name may stand for another by then
        regular(&fs::metadata(path)?)?;
        let mut options = OpenOptions::new();
        options.read(true).append(write);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::custom_flags(&mut options, rustix::fs::OFlags::NONBLOCK.bits() as i32);
        #[cfg(windows)]
        windows::to_its_end(&mut options, write);
        let file = options.open(path)?;
        regular(&file.metadata()?)?;
        Ok(file)
    }

    fn create(&self, path: &Path, like: Option<&Path>) -> Result<File, Trouble> {
        let like = like.map(fs::metadata).transpose()?;
        let mut options = OpenOptions::new();
        options.read(true).append(true).create_new(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, if like.is_some() { 0o600 } else { 0o666 });
        #[cfg(windows)]
        windows::to_its_end(&mut options, true);
        let file = options.open(path)?;
        let alike = like.map_or(Ok(()), |like| take_after(&file, &like));
        alike.inspect_err(|_| drop(fs::remove_file(path)))?;
        Ok(file)
    }

    fn stands(&self, path: &Path) -> io::Result<Option<Identity>> {
        match named(path) {
            Ok(identity) => Ok(Some(identity)),
            Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(e) => Err(e),
        }
    }

    fn identity(&self, file: &File) -> io::Result<Identity> {
        identity(file)
    }

    fn lock(&self, file: &File) -> io::Result<bool> {
        match file.try_lock() {
            Ok(()) => Ok(true),
            Err(fs::TryLockError::WouldBlock) => Ok(false),
            Err(fs::TryLockError::Error(e)) => Err(e),
        }
    }

    fn read(&self, file: &mut File, most: u64) -> Result<Vec<u8>, Trouble> {
        let mut bytes = Vec::new();
        file.seek(SeekFrom::Start(0))?;
        file.take(most.saturating_add(1)).read_to_end(&mut bytes)?;
        if bytes.len() as u64 > most { Err(Trouble::Long(most)) } else { Ok(bytes) }
    }

    fn write(&self, file: &mut File, bytes: &[u8]) -> io::Result<usize> {
        #[cfg(windows)]
        file.seek(SeekFrom::End(0))?;
        file.write(bytes)
    }

    fn cut(&self, file: &File, length: u64) -> io::Result<()> {
        file.set_len(length)
    }

    fn sync(&self, file: &File) -> io::Result<()> {
        file.sync_data()
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    fn publish(&self, from: &Path, to: &Path) -> io::Result<()> {
        // a second name for the same file fails where there is one; systems without second names are asked first
        match fs::hard_link(from, to) {
            Ok(()) => fs::remove_file(from),
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists => Err(e),
            Err(_) if fs::symlink_metadata(to).is_ok() => Err(io::ErrorKind::AlreadyExists.into()),
            Err(_) => fs::rename(from, to),
        }
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        match File::open(folder).and_then(|f| f.sync_all()) {
            // some systems know no such thing for folders, and do it by themselves
            Err(e) if matches!(e.kind(), io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported | io::ErrorKind::PermissionDenied) => {
                Ok(())
            }
            done => done,
        }
    }

    fn names(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        fs::read_dir(folder)?.map(|entry| entry.map(|e| PathBuf::from(e.file_name()))).collect()
    }

    fn follow(&self, path: &Path) -> io::Result<PathBuf> {
        fs::canonicalize(path)
    }

    fn draw(&self) -> u64 {
        // keyed by the system's random numbers
        RandomState::new().build_hasher().finish()
    }
}

/// Refuses what is no regular file.
pub fn regular(meta: &Metadata) -> Result<(), Trouble> {
    let kind = meta.file_type();
    if kind.is_file() {
        return Ok(());
    }
    Err(Trouble::NoFile(if kind.is_dir() {
        Sort::Folder
    } else if is_pipe(kind) {
        Sort::Pipe
    } else {
        Sort::Device
    }))
}

#[cfg(unix)]
fn is_pipe(kind: fs::FileType) -> bool {
    use std::os::unix::fs::FileTypeExt;
    kind.is_fifo() || kind.is_socket()
}

#[cfg(not(unix))]
fn is_pipe(_: fs::FileType) -> bool {
    false
}

#[cfg(unix)]
fn named(path: &Path) -> io::Result<Identity> {
    Ok(of(&fs::metadata(path)?))
}

#[cfg(unix)]
fn identity(file: &File) -> io::Result<Identity> {
    Ok(of(&file.metadata()?))
}

#[cfg(unix)]
fn of(meta: &Metadata) -> Identity {
    use std::os::unix::fs::MetadataExt;
    Identity { device: meta.dev(), number: meta.ino() }
}

#[cfg(windows)]
use windows::{identity, named};

#[cfg(windows)]
mod windows {
    use super::{File, Identity, OpenOptions, Path, io};
    use std::os::windows::fs::OpenOptionsExt;

    /// Reading and writing. Whoever may only add to a file can't cut it there either; what is written is put at the end by `write`, and while
    /// the file is held nobody else gets at it.
    const READ_AND_WRITE: u32 = 0xC000_0000;
    /// Without it a folder can't be opened.
    const EVEN_A_FOLDER: u32 = 0x0200_0000;

    pub fn to_its_end(options: &mut OpenOptions, write: bool) {
        if write {
            options.access_mode(READ_AND_WRITE);
        }
    }

    pub fn named(path: &Path) -> io::Result<Identity> {
        identity(&OpenOptions::new().access_mode(0).custom_flags(EVEN_A_FOLDER).open(path)?)
    }

    pub fn identity(file: &File) -> io::Result<Identity> {
        let known = winapi_util::file::information(file)?;
        Ok(Identity { device: known.volume_serial_number(), number: known.file_index() })
    }
}

/// Gives a new file the owner and the rights of an old one.
#[cfg(unix)]
fn take_after(file: &File, like: &Metadata) -> Result<(), Trouble> {
    use rustix::fs::{Gid, Mode, Uid, fchmod, fchown};
    use std::os::unix::fs::MetadataExt;
    let own = file.metadata()?;
    if (own.uid(), own.gid()) != (like.uid(), like.gid()) {
        let (user, group) = (Uid::from_raw(like.uid()), Gid::from_raw(like.gid()));
        fchown(file, Some(user), Some(group)).map_err(|_| Trouble::Owner)?;
    }
    Ok(fchmod(file, Mode::from_raw_mode(like.mode() & 0o7777)).map_err(io::Error::from)?)
}

#[cfg(not(unix))]
fn take_after(file: &File, like: &Metadata) -> Result<(), Trouble> {
    Ok(file.set_permissions(like.permissions())?)
}
