//! A sheet that somebody else replaces, edits or removes while a walk runs on it; one that is held; one that was torn.

use super::Bench;
use crate::cli::faultbook;
use crate::terminal::Terminal;
use std::process::{Command, Stdio};

const WALK: [&str; 4] = ["walk", "job.toml", "--rules", "garage.rules"];

fn walk(bench: &Bench) -> Terminal {
    let terminal = Terminal::new(200, bench.path(), &WALK);
    terminal.wait_for("Fumes inside");
    terminal
}

/// Saves as editors and synchronisers do: a new file takes the name of the old one.
fn save(bench: &Bench, text: &str) {
    bench.write("job.saved", text);
    std::fs::rename(bench.file("job.saved"), bench.file("job.toml")).unwrap();
}

#[test]
fn a_sheet_that_is_replaced_loses_no_answer() {
    let bench = Bench::new();
    let mut terminal = walk(&bench);
    terminal.say("n one", "Noted.");
    let older = bench.text("job.toml");
    terminal.say("n two", "Noted.");
    terminal.say("n three", "Noted.");
    save(&bench, &older);
    terminal.say("n four", "is read anew; 4 answers stand in it");
    save(&bench, &bench.text("job.toml"));
    terminal.say("n five", "is read anew; 5 answers stand in it");
    terminal.say("q", "Saved with 5 answers.");
    assert_eq!(terminal.end().code(), Some(0));
    assert_eq!(bench.answers("job.toml"), ["one", "two", "three", "four", "five"]);
}

#[test]
fn a_sheet_that_is_replaced_before_it_is_left_is_seen_to() {
    let bench = Bench::new();
    let before = bench.text("job.toml");
    let mut terminal = walk(&bench);
    terminal.say("n one", "Noted.");
    save(&bench, &before);
    terminal.say("q", "Saved with 1 answer.");
    assert_eq!(bench.answers("job.toml"), ["one"]);
}

#[test]
fn a_sheet_that_is_removed_is_written_again() {
    let bench = Bench::new();
    let mut terminal = walk(&bench);
    terminal.say("n one", "Noted.");
    std::fs::remove_file(bench.file("job.toml")).unwrap();
    terminal.say("n two", "changed or removed");
    terminal.say("q", "Saved with 2 answers.");
    assert_eq!(bench.answers("job.toml"), ["one", "two"]);
    assert!(bench.text("job.toml").starts_with("title = \"A van\""));
}

#[test]
fn a_head_that_is_edited_counts_and_the_answers_too() {
    for rename in [true, false] {
        let bench = Bench::new();
        let mut terminal = walk(&bench);
        terminal.say("n one", "Noted.");
        let edited = bench.text("job.toml").replace("A van", "The van of today");
        if rename {
            save(&bench, &edited)
        } else {
            bench.write("job.toml", &edited)
        }
        terminal.say("n two", "is read anew; 2 answers stand in it");
        terminal.say("q", "Saved with 2 answers.");
        assert_eq!(bench.answers("job.toml"), ["one", "two"]);
        assert!(bench.text("job.toml").contains("The van of today"));
    }
}

#[test]
fn a_sheet_that_no_longer_fits_is_left_alone_and_the_answers_stand_beside_it() {
    let bench = Bench::new();
    let mut terminal = walk(&bench);
    terminal.say("n one", "Noted.");
    let other = bench.text("job.toml").replace("\"one\"", "\"another\"");
    save(&bench, &other);
    let shown = terminal.say("n two", "all are saved in `");
    assert_eq!(terminal.end().code(), Some(2));
    assert!(!shown.contains("Saved with"), "{shown}");
    assert_eq!(bench.answers("job.toml"), ["another"]);
    assert_eq!(bench.answers("job.toml.kept-1"), ["one", "two"]);
    // a second time the first file is not touched
    let mut terminal = walk(&bench);
    terminal.say("n three", "Noted.");
    std::fs::remove_file(bench.file("job.toml")).unwrap();
    std::fs::create_dir(bench.file("job.toml")).unwrap();
    terminal.say("n four", "all are saved in `");
    assert_eq!(terminal.end().code(), Some(2));
    assert_eq!(bench.answers("job.toml.kept-1"), ["one", "two"]);
    assert_eq!(bench.answers("job.toml.kept-2"), ["another", "three", "four"]);
}

/// The log that the sheet names is not there: who looks for it before he holds the sheet says so.
#[test]
fn a_sheet_is_held_before_it_is_read() {
    let bench = Bench::new();
    bench.write("job.toml", "logs = [\"lost.csv\"]\n");
    let held = std::fs::File::open(bench.file("job.toml")).unwrap();
    held.lock().unwrap();
    let done = faultbook(bench.path(), &WALK, b"");
    assert_eq!(done.status, 2);
    assert!(done.err.contains("another walk has `job.toml` open"), "{}", done.err);
}

#[test]
fn two_walks_begun_at_once_never_both_run() {
    for _ in 0..10 {
        let bench = Bench::new();
        std::fs::remove_file(bench.file("job.toml")).unwrap();
        bench.write("answers", "n one\nn two\nn three\n".repeat(5));
        let start = || {
            let mut command = Command::new(env!("CARGO_BIN_EXE_faultbook"));
            command.args(WALK).args(["--answers", "answers"]).current_dir(bench.path());
            command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap()
        };
        let ended = [start(), start(), start()].map(|child| child.wait_with_output().unwrap());
        let walked = ended.iter().filter(|done| done.status.code() == Some(0)).count();
        let refused = ended.iter().filter(|done| String::from_utf8_lossy(&done.stderr).contains("another walk has")).count();
        assert!(walked >= 1 && walked + refused == 3, "{ended:?}");
        assert_eq!(bench.answers("job.toml"), ["one", "two", "three"].repeat(5 * walked));
    }
}

#[test]
fn a_full_disk_at_the_start_leaves_no_sheet() {
    let bench = Bench::new();
    let command = format!("trap '' XFSZ; ulimit -f 0; exec '{}' walk new.toml --rules garage.rules", env!("CARGO_BIN_EXE_faultbook"));
    let done = Command::new("sh").args(["-c", &command]).current_dir(bench.path()).stdin(Stdio::null()).output().unwrap();
    assert_eq!(done.status.code(), Some(2), "{}", String::from_utf8_lossy(&done.stderr));
    assert_eq!(bench.others(), [""; 0]);
}

#[test]
fn a_torn_entry_is_told_left_out_and_kept_as_a_comment() {
    let bench = Bench::new();
    assert_eq!(faultbook(bench.path(), &[&WALK[..], &["--answers", "-x"]].concat(), b"").status, 2);
    bench.write("answers", "n one\nn a long note that is cut off\n");
    assert_eq!(faultbook(bench.path(), &[&WALK[..], &["--answers", "answers"]].concat(), b"").status, 0);
    let whole = bench.text("job.toml");
    let torn = &whole[..whole.find(" is cut off").unwrap()];
    bench.write("job.toml", torn);
    for command in ["plan", "weigh", "report"] {
        let done = faultbook(bench.path(), &[command, "job.toml", "--rules", "garage.rules", "--symptom", "no-pull"], b"");
        assert_eq!(done.status, 0, "{command}: {}", done.err);
        assert!(done.err.contains("The last entry of `job.toml` was cut off") && done.err.contains("a long note that"), "{}", done.err);
    }
    assert_eq!(bench.text("job.toml"), torn, "who only reads writes nothing");
    bench.write("answers", "n two\n");
    let done = faultbook(bench.path(), &[&WALK[..], &["--answers", "answers"]].concat(), b"");
    assert_eq!(done.status, 0, "{}", done.err);
    assert!(done.err.contains("was cut off while it was written") && done.err.contains("Resumed after 1 answer."), "{}", done.err);
    assert_eq!(bench.answers("job.toml"), ["one", "two"]);
    assert!(bench.text("job.toml").contains("#   answer = \"a long note that\n"), "{}", bench.text("job.toml"));
}

#[test]
fn a_byte_that_is_no_text_does_not_end_a_walk() {
    let bench = Bench::new();
    let mut terminal = walk(&bench);
    terminal.line(b"n gr\xfcn");
    terminal.wait_for("could not be read as text");
    terminal.say("n green", "Noted.");
    terminal.say("q", "Saved with 1 answer.");
    assert_eq!(terminal.end().code(), Some(0));
    assert_eq!(bench.answers("job.toml"), ["green"]);
}
