//! On a real terminal of 40 columns, and killed in the middle.

use super::sheet;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// On a server of this run's own, so that two runs on one machine don't end each other.
fn tmux(arguments: &[&str]) -> String {
    let server = format!("faultbook-test-{}", std::process::id());
    let done = Command::new("tmux").args(["-L", &server]).args(arguments).output().unwrap();
    String::from_utf8_lossy(&done.stdout).into_owned()
}

/// Waits until the screen shows some words; a slow machine only makes this slower.
fn wait_for(session: &str, words: &str) -> String {
    let start = Instant::now();
    loop {
        let screen = tmux(&["capture-pane", "-p", "-S", "-200", "-t", session]);
        if screen.contains(words) {
            return screen;
        }
        assert!(start.elapsed() < Duration::from_secs(120), "waited for `{words}`:\n{screen}");
        std::thread::sleep(Duration::from_millis(100));
    }
}

#[test]
fn a_job_is_walked_at_40_columns_and_survives_a_kill() {
    if Command::new("tmux").arg("-V").output().is_err() {
        println!("skipped: no tmux on this machine");
        return;
    }
    let (sheet, rules) = sheet("walk-tmux");
    let session = "walk";
    let command = format!("exec {} walk {} --rules {rules}", env!("CARGO_BIN_EXE_faultbook"), sheet.display());
    tmux(&["kill-session", "-t", session]);
    tmux(&["new-session", "-d", "-s", session, "-x", "40", "-y", "30", &command]);
    wait_for(session, "Fumes inside");
    tmux(&["send-keys", "-t", session, "0", "Enter"]);
    wait_for(session, "done about it before");
    let walker = tmux(&["display-message", "-p", "-t", session, "#{pane_pid}"]);
    Command::new("kill").args(["-9", walker.trim()]).status().unwrap();
    let saved = std::fs::read_to_string(&sheet).unwrap();
    assert!(saved.contains("-fumes-inside"), "the answer before the kill is on the disk: {saved}");
    tmux(&["new-session", "-d", "-s", "again", "-x", "40", "-y", "30", &command]);
    let screen = wait_for("again", "Resumed after 1 answer.");
    assert!(screen.lines().all(|l| l.chars().count() <= 40), "{screen}");
    let second = Command::new(env!("CARGO_BIN_EXE_faultbook"))
        .args(["walk", sheet.to_str().unwrap(), "--rules", &rules])
        .stdin(Stdio::null())
        .output()
        .unwrap();
    assert_eq!(second.status.code(), Some(2), "two walks on one sheet");
    assert!(String::from_utf8_lossy(&second.stderr).contains("another walk"));
    tmux(&["kill-server"]);
}
