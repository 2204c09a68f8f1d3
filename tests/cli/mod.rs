//! The program as people and scripts meet it: streams, files, exit status.
mod bad_input;
mod documents;
mod fmt;
mod help;
mod lint;
mod lint_bad_input;
mod provide;
mod review;
mod waits;

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

/// What a run left behind.
pub struct Run {
    pub status: i32,
    pub out: String,
    pub err: String,
}

/// Runs the program in a folder, with words on standard input.
pub fn faultbook(folder: &Path, arguments: &[&str], input: &[u8]) -> Run {
    let mut command = Command::new(env!("CARGO_BIN_EXE_faultbook"));
    command.args(arguments).current_dir(folder).env("NO_COLOR", "1").env("COLUMNS", "100");
    let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    // a program that stops before it has read everything closes the pipe: that is its right
    child.stdin.take().unwrap().write_all(input).ok();
    let done = child.wait_with_output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    Run { status: done.status.code().unwrap(), out: text(done.stdout), err: text(done.stderr) }
}

/// A folder of its own with these files in it.
pub fn folder(files: &[(&str, &[u8])]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (name, bytes) in files {
        let path = folder.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, bytes).unwrap();
    }
    folder
}
