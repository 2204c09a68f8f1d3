//! Runs the program as a person would and keeps what it printed.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Once;

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

/// An empty folder of its own for a test: of this run, so that two runs on one machine don't meet. Those of runs that have ended are swept.
pub fn scratch(name: &str) -> PathBuf {
    static SWEPT: Once = Once::new();
    let all = Path::new(env!("CARGO_TARGET_TMPDIR")).join("scratch");
    let own = all.join(std::process::id().to_string());
    SWEPT.call_once(|| {
        let ended = |run: &PathBuf| *run != own && !Path::new("/proc").join(run.file_name().unwrap_or_default()).exists();
        let runs = std::fs::read_dir(&all).into_iter().flatten().filter_map(|e| Some(e.ok()?.path()));
        runs.filter(ended).for_each(|run| drop(std::fs::remove_dir_all(run)));
    });
    let folder = own.join(name);
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

/// Says that something this machine lacks was not tried. Where everything must be tried (`FAULTBOOK_ALL`, as in CI) that is a failure.
pub fn not_here(what: &str) {
    assert!(std::env::var_os("FAULTBOOK_ALL").is_none(), "not tried: this machine lacks {what}");
    println!("NOT TRIED: this machine lacks {what}");
}
