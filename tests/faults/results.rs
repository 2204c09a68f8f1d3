//! What is written: in one step, beside nobody's files, never over what was read.

use super::{Bench, is_root};
use crate::cli::faultbook;
use std::os::unix::fs::{MetadataExt, PermissionsExt, symlink};
use std::process::{Command, Stdio};

const MESSY: &str = "tool a   \"A\"\n";
const TIDY: &str = "tool a \"A\"\n";

#[test]
fn files_of_other_names_are_nobodys_scratch() {
    let bench = Bench::new();
    bench.write("a.rules", MESSY);
    bench.write("a.rules.new", "mine");
    bench.write("b.rules", MESSY);
    bench.write("target", "mine too");
    symlink("target", bench.file("b.rules.new")).unwrap();
    assert_eq!(faultbook(bench.path(), &["fmt", "a.rules", "b.rules"], b"").status, 0);
    assert_eq!((bench.text("a.rules").as_str(), bench.text("b.rules").as_str()), (TIDY, TIDY));
    assert_eq!((bench.text("a.rules.new").as_str(), bench.text("target").as_str()), ("mine", "mine too"));
    assert!(!bench.file("b.rules").is_symlink() && bench.file("b.rules.new").is_symlink());
    assert_eq!(bench.others(), ["a.rules", "a.rules.new", "b.rules", "b.rules.new", "target"], "nothing is left beside them");
}

#[test]
fn owner_rights_and_links_stay() {
    let bench = Bench::new();
    std::fs::create_dir(bench.file("rules")).unwrap();
    bench.write("rules/a.rules", MESSY);
    std::fs::set_permissions(bench.file("rules/a.rules"), std::fs::Permissions::from_mode(0o640)).unwrap();
    symlink("a.rules", bench.file("rules/link.rules")).unwrap();
    if is_root() {
        std::os::unix::fs::chown(bench.file("rules/a.rules"), Some(1234), Some(4321)).unwrap();
    }
    let before = std::fs::metadata(bench.file("rules/a.rules")).unwrap();
    assert_eq!(faultbook(bench.path(), &["fmt", "rules/link.rules"], b"").status, 0);
    assert_eq!(bench.text("rules/a.rules"), TIDY);
    assert!(bench.file("rules/link.rules").is_symlink());
    let after = std::fs::metadata(bench.file("rules/a.rules")).unwrap();
    assert_eq!((before.uid(), before.gid(), before.mode()), (after.uid(), after.gid(), after.mode()));
}

#[test]
fn no_result_is_written_over_an_input() {
    let bench = Bench::new();
    let log: String = (0..400).map(|i| format!("{},{}\n", f64::from(i) / 10.0, 800 + i)).collect();
    bench.write("drive.csv", format!("Time (s),Engine RPM (rpm)\n{log}"));
    bench.write("a.rules", TIDY);
    std::fs::hard_link(bench.file("job.toml"), bench.file("same.toml")).unwrap();
    symlink("job.toml", bench.file("link.toml")).unwrap();
    let before = ["job.toml", "drive.csv", "a.rules", "garage.rules"].map(|n| bench.text(n));
    for arguments in [
        &["report", "job.toml", "--rules", "garage.rules", "--out", "job.toml"][..],
        &["report", "job.toml", "--rules", "garage.rules", "--out", "same.toml"],
        &["report", "job.toml", "--rules", "garage.rules", "--out", "./link.toml"],
        &["report", "job.toml", "--rules", "garage.rules", "--out", "garage.rules"],
        &["readings", "drive.csv", "--chart", "rpm", "--svg", "drive.csv"],
        &["lint", "a.rules", "--baseline", "a.rules", "--write-baseline"],
    ] {
        let done = faultbook(bench.path(), arguments, b"");
        assert_eq!(done.status, 2, "{arguments:?}: {}", done.err);
        assert!(done.err.contains("is read by this command, and would be overwritten"), "{arguments:?}: {}", done.err);
    }
    assert_eq!(before, ["job.toml", "drive.csv", "a.rules", "garage.rules"].map(|n| bench.text(n)));
}

#[test]
fn a_result_that_does_not_fit_leaves_the_old_one() {
    let bench = Bench::new();
    bench.write("page.html", "the old page");
    let program = env!("CARGO_BIN_EXE_faultbook");
    let limited = |words: &str| {
        // a limit on the size of files stands for a full disk: the write fails half-way in the same manner, on any machine
        let command = format!("trap '' XFSZ; ulimit -f 1; exec '{program}' {words}");
        Command::new("sh").args(["-c", &command]).current_dir(bench.path()).stdin(Stdio::null()).output().unwrap()
    };
    let done = limited("report job.toml --rules garage.rules --out page.html");
    assert_eq!(done.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&done.stderr).contains("`page.html` can't be written"));
    assert_eq!(bench.text("page.html"), "the old page");
    assert_eq!(limited("report job.toml --rules garage.rules --out new.html").status.code(), Some(2));
    assert_eq!(bench.others(), ["page.html"], "nothing half-written is left");
    assert_eq!(faultbook(bench.path(), &["report", "job.toml", "--rules", "garage.rules", "--out", "page.html"], b"").status, 0);
    assert!(bench.text("page.html").starts_with("<!DOCTYPE html>"));
}

#[test]
fn two_at_once_lay_out_the_same_files() {
    let bench = Bench::new();
    for _ in 0..20 {
        for i in 0..10 {
            bench.write(&format!("r{i}.rules"), MESSY);
        }
        let start = || {
            let mut command = Command::new(env!("CARGO_BIN_EXE_faultbook"));
            command.args(["fmt", "."]).current_dir(bench.path()).stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap()
        };
        for child in [start(), start(), start()] {
            let done = child.wait_with_output().unwrap();
            assert_eq!(done.status.code(), Some(0), "{}", String::from_utf8_lossy(&done.stderr));
        }
        assert!((0..10).all(|i| bench.text(&format!("r{i}.rules")) == TIDY));
    }
    assert_eq!(bench.others().len(), 10);
}

#[test]
fn a_read_only_file_stays_as_it_is() {
    if is_root() {
        // the administrator may write everything; what is tried here is tried by everybody else
        return;
    }
    let bench = Bench::new();
    bench.write("a.rules", MESSY);
    std::fs::set_permissions(bench.file("a.rules"), std::fs::Permissions::from_mode(0o444)).unwrap();
    assert_eq!(faultbook(bench.path(), &["fmt", "a.rules"], b"").status, 2);
    assert_eq!(bench.text("a.rules"), MESSY);
}
