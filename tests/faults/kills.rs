//! Kills at random moments: of each command that writes, what was said to be written is there, and nothing half-written is.
//!
//! `FAULTBOOK_KILLS` says how many of each command (`tests/faults/long.sh` runs thousands).

use super::made_up::Dice;
use super::{Bench, is_root};
use crate::cli::faultbook;
use rustix::process::{Pid, Signal, kill_process};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

fn kills() -> u64 {
    std::env::var("FAULTBOOK_KILLS").ok().and_then(|n| n.parse().ok()).unwrap_or(12)
}

/// How a run ended, and what it had said by then.
struct Ended {
    killed: bool,
    said: String,
}

/// Runs the program and ends it after so long, as a power cut, a closed terminal or an impatient hand does.
fn run_and_kill(folder: &Path, arguments: &[&str], after: Duration, signal: Signal) -> Ended {
    let mut command = Command::new(env!("CARGO_BIN_EXE_faultbook"));
    command.args(arguments).current_dir(folder).env("NO_COLOR", "1").env("COLUMNS", "200");
    let child = command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap();
    std::thread::sleep(after);
    // where it has ended by itself there is nothing to end; its number is not given to another before it is waited for
    kill_process(Pid::from_child(&child), signal).ok();
    let done = child.wait_with_output().unwrap();
    Ended { killed: done.status.code().is_none(), said: String::from_utf8_lossy(&done.stderr).into_owned() }
}

/// Runs it often, each time ended at another moment of its usual length; `before` and `after` each time get its number.
fn often(bench: &Bench, arguments: &[&str], before: impl Fn(u64), mut after: impl FnMut(u64, &Ended)) {
    before(0);
    let start = Instant::now();
    let whole = faultbook(bench.path(), arguments, b"");
    let mut usual = start.elapsed();
    after(0, &Ended { killed: false, said: whole.err });
    let mut dice = Dice::new(usual.as_nanos() as u64);
    let signals = [Signal::KILL, Signal::KILL, Signal::TERM, Signal::INT, Signal::HUP];
    let mut killed = 0;
    for number in 1..=kills() {
        before(number);
        let moment = usual.mul_f64(dice.below(1200) as f64 / 1000.0);
        let ended = run_and_kill(bench.path(), arguments, moment, signals[dice.below(signals.len())]);
        killed += u64::from(ended.killed);
        // one that ended by itself was shorter than that: on a busy machine the first run says little of the others
        usual = if ended.killed { usual } else { usual.min(moment) };
        after(number, &ended);
    }
    println!("{}: {} runs, {killed} of them killed", arguments[0], kills());
    assert!(killed * 4 > kills(), "{killed} of {} runs were killed: the others were too quick to say anything", kills());
}

#[test]
fn a_walk_that_is_killed_keeps_every_answer_it_took() {
    let bench = Bench::new();
    let notes: Vec<String> = (0..200).map(|n| format!("note number {n} with \"quotes\" and Öl")).collect();
    let head = bench.text("job.toml");
    bench.write("answers", notes.iter().map(|n| format!("n {n}\n")).collect::<String>());
    bench.write("one", "n the last\n");
    let walk = |answers| ["walk", "job.toml", "--rules", "garage.rules", "--answers", answers];
    let mut taken = 0;
    often(
        &bench,
        &walk("answers"),
        |_| bench.write("job.toml", &head),
        |number, ended| {
            let noted = ended.said.matches("Noted.").count();
            let again = faultbook(bench.path(), &walk("one"), b"");
            assert_eq!(again.status, 0, "run {number}: {}\n{}", again.err, bench.text("job.toml"));
            let there = bench.answers("job.toml");
            let (last, there) = there.split_last().unwrap();
            assert_eq!(last, "the last", "run {number}");
            assert!(there.len() >= noted && there == &notes[..there.len()], "run {number}: {noted} noted, {} there", there.len());
            taken += noted;
        },
    );
    println!("walk: {taken} answers taken, none lost");
    assert_eq!(bench.others(), ["answers", "one"]);
}

#[test]
fn rules_that_are_laid_out_are_the_old_or_the_new() {
    let bench = Bench::new();
    std::fs::create_dir(bench.file("rules")).unwrap();
    let names: Vec<String> = (0..12).map(|i| format!("rules/r{i}.rules")).collect();
    let messy = |i: usize| format!("tool t{i}   \"A\"\n{}", " note   \"n\"\n".repeat(200));
    let tidy = |i: usize| format!("tool t{i} \"A\"\n{}", "  note  \"n\"\n".repeat(200));
    often(
        &bench,
        &["fmt", "rules"],
        |_| names.iter().enumerate().for_each(|(i, n)| bench.write(n, messy(i))),
        |number, _| {
            for (i, name) in names.iter().enumerate() {
                let text = bench.text(name);
                assert!(text == messy(i) || text == tidy(i), "run {number}, {name}:\n{text}");
            }
            assert_eq!(faultbook(bench.path(), &["fmt", "rules"], b"").status, 0);
            names.iter().enumerate().for_each(|(i, n)| bench.write(n, messy(i)));
            assert_eq!(faultbook(bench.path(), &["fmt", "rules"], b"").status, 0);
            assert_eq!(std::fs::read_dir(bench.file("rules")).unwrap().count(), names.len(), "run {number}: swept");
        },
    );
}

#[test]
fn rules_that_are_put_right_are_the_old_or_the_new() {
    let bench = Bench::new();
    let old = format!("{}\ncode p0299 \"Small letters\"\n", super::RULES);
    bench.write("own.rules", &old);
    assert_eq!(faultbook(bench.path(), &["lint", "own.rules", "--fix", "--fail-on", "never"], b"").status, 0);
    let new = bench.text("own.rules");
    assert_ne!(old, new, "there is something to put right");
    often(
        &bench,
        &["lint", "own.rules", "--fix", "--fail-on", "never"],
        |_| bench.write("own.rules", &old),
        |number, _| {
            let text = bench.text("own.rules");
            assert!(text == old || text == new, "run {number}:\n{text}");
        },
    );
    bench.write("own.rules", &old);
    faultbook(bench.path(), &["lint", "own.rules", "--fix"], b"");
    assert_eq!(bench.others(), ["own.rules"]);
}

#[test]
fn a_report_and_a_count_are_whole_or_not_there() {
    let bench = Bench::new();
    let answers = format!("{}79\n104\n1\n1\n3\n1\n", crate::walk::TO_THE_PROOF);
    bench.write("answers", answers);
    let walked = faultbook(bench.path(), &["walk", "job.toml", "--rules", "garage.rules", "--answers", "answers"], b"");
    assert!(walked.err.contains("Job closed"), "{}", walked.err);
    for (arguments, name) in [
        (&["report", "job.toml", "--rules", "garage.rules", "--out", "page.html"][..], "page.html"),
        (&["tally", "job.toml", "--rules", "garage.rules", "--prior-weight", "1", "--write", "counted.rules"], "counted.rules"),
    ] {
        let path = bench.file(name);
        assert_eq!(faultbook(bench.path(), arguments, b"").status, 0);
        let whole = bench.text(name);
        often(
            &bench,
            arguments,
            |_| drop(std::fs::remove_file(&path)),
            |number, _| {
                assert!(!path.exists() || bench.text(name) == whole, "run {number}: {name} is not whole");
            },
        );
        std::fs::remove_file(&path).ok();
        assert_eq!(faultbook(bench.path(), arguments, b"").status, 0);
    }
    assert_eq!(bench.others(), ["answers", "counted.rules", "page.html"], "what kills left is swept");
}

/// A disk of 20 pages that fills up while a walk runs; only the administrator can make one.
#[test]
fn a_full_disk_ends_a_walk_with_every_answer_on_it() {
    if !is_root() || !Command::new("unshare").args(["-m", "true"]).status().is_ok_and(|s| s.success()) {
        crate::run::not_here("a disk of its own (the administrator's rights and `unshare`)");
        return;
    }
    let bench = Bench::new();
    std::fs::create_dir(bench.file("disk")).unwrap();
    bench.write("answers", "n a note of some length, so that the disk soon comes to its end\n".repeat(2000));
    let script = "set -e; mount -t tmpfs -o size=80k none disk; cp job.toml disk/; set +e
        \"$0\" walk disk/job.toml --rules garage.rules --answers answers 2> said; echo $? > status
        \"$0\" walk disk/new.toml --rules garage.rules --answers answers 2> said-new; echo $? > status-new
        ls -A disk > left; cp disk/job.toml kept.toml";
    let done = Command::new("unshare").args(["-m", "sh", "-c", script, env!("CARGO_BIN_EXE_faultbook")]).current_dir(bench.path()).output();
    let done = done.unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    let said = bench.text("said");
    assert_eq!(bench.text("status"), "2\n", "{said}");
    assert!(said.contains("every answer before this one is saved"), "{said}");
    assert_eq!(bench.answers("kept.toml").len(), said.matches("Noted.").count());
    assert_eq!((bench.text("status-new").as_str(), bench.text("left").as_str()), ("2\n", "job.toml\n"), "{}", bench.text("said-new"));
}
