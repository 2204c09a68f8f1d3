//! What is let in: regular files of a bearable size, from where the person pointed.

use super::Bench;
use crate::cli::Run;
use std::io::Read;
use std::os::unix::fs::symlink;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Runs the program, and fails the test where it hangs or fills the memory.
pub fn run(bench: &Bench, arguments: &[&str]) -> Run {
    let mut command = Command::new("sh");
    // 4 GB of addresses are more than any command takes on so little; a device read to its end takes more
    command.args(["-c", "ulimit -v 4000000; exec \"$@\"", "sh", env!("CARGO_BIN_EXE_faultbook")]).args(arguments);
    command.current_dir(bench.path()).env("NO_COLOR", "1").stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    let all = |mut from: Box<dyn Read + Send>| {
        std::thread::spawn(move || {
            let mut bytes = vec![];
            from.read_to_end(&mut bytes).unwrap();
            bytes
        })
    };
    let (out, err) = (all(Box::new(child.stdout.take().unwrap())), all(Box::new(child.stderr.take().unwrap())));
    let start = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        if start.elapsed() > Duration::from_secs(60) {
            child.kill().unwrap();
            panic!("{arguments:?} hangs");
        }
        std::thread::sleep(Duration::from_millis(10));
    };
    let text = |bytes| String::from_utf8(bytes).unwrap();
    Run { status: status.code().unwrap_or(-1), out: text(out.join().unwrap()), err: text(err.join().unwrap()) }
}

pub fn refused(bench: &Bench, arguments: &[&str], words: &[&str]) {
    let done = run(bench, arguments);
    assert_eq!(done.status, 2, "{arguments:?}: {}{}", done.out, done.err);
    assert!(words.iter().all(|w| done.err.contains(w)) && done.err.contains("help: "), "{arguments:?}: {}", done.err);
}

fn fifo(bench: &Bench, name: &str) {
    assert!(Command::new("mkfifo").arg(bench.file(name)).status().unwrap().success());
}

#[test]
fn a_pipe_is_refused_wherever_a_file_is_wanted() {
    let bench = Bench::new();
    std::fs::create_dir_all(bench.file("rules/cases")).unwrap();
    for name in ["pipe.toml", "pipe.csv", "pipe.txt", "rules/cases/pipe.toml"] {
        fifo(&bench, name);
    }
    bench.write("log.toml", "logs = [\"pipe.csv\"]\n");
    bench.write("rules/own.rules", "tool a \"A\"\n");
    for (arguments, name) in [
        (&["plan", "pipe.toml"][..], "pipe.toml"),
        (&["walk", "pipe.toml"], "pipe.toml"),
        (&["report", "pipe.toml"], "pipe.toml"),
        (&["tally", "."], "log.toml"),
        (&["plan", "log.toml"], "pipe.csv"),
        (&["readings", "pipe.csv"], "pipe.csv"),
        (&["walk", "job.toml", "--answers", "pipe.txt"], "pipe.txt"),
        (&["lint", "pipe.txt"], "pipe.txt"),
        (&["test", "rules"], "pipe.toml"),
        (&["report", "job.toml", "--out", "pipe.txt"], "pipe.txt"),
    ] {
        if arguments != ["tally", "."] {
            refused(&bench, arguments, &[name, "is a pipe"]);
        }
    }
    fifo(&bench, "rules/pipe.rules");
    for arguments in [&["lint", "rules"][..], &["fmt", "rules"], &["lint", "rules", "--fix"], &["plan", "job.toml", "--rules", "rules"]] {
        refused(&bench, arguments, &["rules/pipe.rules", "is a pipe"]);
    }
    refused(&bench, &["tally", "."], &["pipe.toml", "is a pipe"]);
}

#[test]
fn a_device_is_refused_and_not_read() {
    let bench = Bench::new();
    for name in ["zero.toml", "zero.csv", "zero.rules"] {
        symlink("/dev/zero", bench.file(name)).unwrap();
    }
    for arguments in [
        &["plan", "zero.toml"][..],
        &["walk", "zero.toml"],
        &["readings", "zero.csv"],
        &["lint", "zero.rules"],
        &["fmt", "zero.rules"],
        &["report", "job.toml", "--out", "zero.toml"],
    ] {
        refused(&bench, arguments, &["zero.", "is a device"]);
    }
}

#[test]
fn what_is_longer_than_its_limit_is_refused_with_the_number() {
    let bench = Bench::new();
    for (name, length) in [("long.toml", 16 << 20), ("long.rules", 16 << 20), ("long.csv", 16 << 30)] {
        // nothing but a length: it takes no room on the disk
        std::fs::File::create(bench.file(name)).unwrap().set_len(length + 1).unwrap();
    }
    refused(&bench, &["plan", "long.toml"], &["`long.toml` is longer than 16 MiB"]);
    refused(&bench, &["walk", "long.toml"], &["`long.toml` is longer than 16 MiB"]);
    refused(&bench, &["lint", "long.rules"], &["`long.rules` is longer than 16 MiB"]);
    refused(&bench, &["fmt", "."], &["`./long.rules` is longer than 16 MiB"]);
    refused(&bench, &["readings", "long.csv"], &["`long.csv` is longer than 16 GiB"]);
}

#[test]
fn a_link_out_of_a_folder_of_rules_is_not_followed() {
    let bench = Bench::new();
    let secret = "tool secret   \"Nobody's business\"\n";
    bench.write("secret.rules", secret);
    std::fs::create_dir(bench.file("rules")).unwrap();
    bench.write("rules/own.rules", "tool a \"A\"\n");
    symlink("own.rules", bench.file("rules/again.rules")).unwrap();
    assert_eq!(run(&bench, &["fmt", "rules"]).status, 0, "a link within the folder is followed");
    symlink("../secret.rules", bench.file("rules/out.rules")).unwrap();
    for arguments in [&["lint", "rules"][..], &["fmt", "rules"], &["lint", "rules", "--fix"], &["test", "rules"]] {
        refused(&bench, arguments, &["`rules/out.rules` is a link that leads out of its folder", "secret.rules"]);
        let done = run(&bench, arguments);
        assert!(!done.err.contains("business") && !done.out.contains("business"), "{}{}", done.out, done.err);
    }
    assert_eq!(bench.text("secret.rules"), secret);
    // named by the person it is theirs to read and to lay out
    assert_eq!(run(&bench, &["fmt", "rules/own.rules", "secret.rules"]).status, 0);
    assert_ne!(bench.text("secret.rules"), secret);
}

#[test]
fn folders_within_folders_end_somewhere() {
    let bench = Bench::new();
    let deep = "d/".repeat(33);
    std::fs::create_dir_all(bench.file(&format!("rules/{deep}"))).unwrap();
    bench.write(&format!("rules/{deep}a.rules"), "tool a \"A\"\n");
    refused(&bench, &["lint", "rules"], &["more than 32 folders deep"]);
}
