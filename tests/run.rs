//! Runs the program as a person would and keeps what it printed.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What a run left.
pub struct Done {
    /// Exit status.
    pub status: i32,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

/// The folder of the project.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_path_buf()
}

/// An empty folder of its own for a test.
pub fn scratch(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::remove_dir_all(&folder).ok();
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// Runs it at 100 columns from the project's folder.
pub fn faultbook(arguments: &[&str]) -> Done {
    faultbook_at(100, arguments)
}

/// Runs it at a width.
pub fn faultbook_at(columns: usize, arguments: &[&str]) -> Done {
    let mut command = Command::new(env!("CARGO_BIN_EXE_faultbook"));
    command.args(arguments).current_dir(root()).env("COLUMNS", columns.to_string()).env("NO_COLOR", "1").stdin(Stdio::null());
    let output = command.output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    Done { status: output.status.code().unwrap_or(-1), out: text(output.stdout), err: text(output.stderr) }
}
