//! What goes wrong on a real machine: files that are none, names that move, disks that fill up, kills at any moment.

mod doors;
mod histories;
mod kills;
mod limits;
mod made_up;
mod people;
mod results;
mod sheets;
mod torn;
mod ways;

use crate::walk::RULES;
use std::path::{Path, PathBuf};

/// A sheet and a book of its own, in a folder that ends with the test.
pub struct Bench {
    pub folder: tempfile::TempDir,
}

impl Bench {
    pub fn new() -> Bench {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("garage.rules"), RULES).unwrap();
        std::fs::write(folder.path().join("job.toml"), "title = \"A van\"\n\n[complaint]\nwords = \"it is gutless\"\n").unwrap();
        Bench { folder }
    }

    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    pub fn file(&self, name: &str) -> PathBuf {
        self.path().join(name)
    }

    pub fn text(&self, name: &str) -> String {
        std::fs::read_to_string(self.file(name)).unwrap()
    }

    pub fn write(&self, name: &str, text: impl AsRef<[u8]>) {
        std::fs::write(self.file(name), text).unwrap();
    }

    /// Names in the folder that were not put there by [`Bench::new`].
    pub fn others(&self) -> Vec<String> {
        let names = std::fs::read_dir(self.path()).unwrap().map(|e| e.unwrap().file_name().to_string_lossy().into_owned());
        let mut names: Vec<String> = names.filter(|n| n != "garage.rules" && n != "job.toml").collect();
        names.sort();
        names
    }

    /// The answers in a sheet.
    pub fn answers(&self, name: &str) -> Vec<String> {
        let table: toml::Table = self.text(name).parse().unwrap_or_else(|e| panic!("{e}:\n{}", self.text(name)));
        let entries = table.get("journal").map_or(vec![], |j| j.as_array().unwrap().clone());
        entries.iter().map(|e| e["answer"].as_str().unwrap().to_string()).collect()
    }
}

/// Whether this run may do what only the system's administrator may.
pub fn is_root() -> bool {
    rustix::process::geteuid().is_root()
}
