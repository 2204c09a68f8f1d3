//! On a real terminal of 40 columns, and killed in the middle.

use super::sheet;
use crate::run::root;
use crate::terminal::Terminal;
use std::process::{Command, Stdio};

#[test]
fn a_job_is_walked_at_40_columns_and_survives_a_kill() {
    let (sheet, rules) = sheet("walk-terminal");
    let words = ["walk", sheet.to_str().unwrap(), "--rules", &rules];
    let mut terminal = Terminal::new(40, &root(), &words);
    terminal.wait_for("Fumes inside");
    terminal.say("0", "done about it before");
    terminal.kill();
    let saved = std::fs::read_to_string(&sheet).unwrap();
    assert!(saved.contains("-fumes-inside"), "the answer before the kill is on the disk: {saved}");
    let again = Terminal::new(40, &root(), &words);
    again.wait_for("Resumed after 1 answer.");
    let screen = again.wait_for("done about it before");
    assert!(screen.lines().all(|l| l.chars().count() <= 40), "{screen}");
    let second = Command::new(env!("CARGO_BIN_EXE_faultbook")).args(words).stdin(Stdio::null()).output().unwrap();
    assert_eq!(second.status.code(), Some(2), "two walks on one sheet");
    assert!(String::from_utf8_lossy(&second.stderr).contains("another walk"));
}

/// A hand on Ctrl-C, a terminal that is closed, a machine that is shut down: the walk ends at once, and every answer is there.
#[test]
fn signals_end_a_walk_with_every_answer_saved() {
    use rustix::process::{Signal, kill_process};
    for signal in [Signal::INT, Signal::HUP, Signal::TERM] {
        let (sheet, rules) = sheet("walk-signal");
        let mut terminal = Terminal::new(60, &root(), &["walk", sheet.to_str().unwrap(), "--rules", &rules]);
        terminal.wait_for("Fumes inside");
        terminal.say("n one", "Noted.");
        kill_process(terminal.process(), signal).unwrap();
        assert!(!terminal.end().success());
        assert!(std::fs::read_to_string(&sheet).unwrap().ends_with("answer = \"one\"\n"));
    }
}
