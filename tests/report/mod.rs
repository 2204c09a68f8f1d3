//! The three reports of a job: golden pages, what hostile sheets come out as, headings, contrast, the shape of the JSON, pictures.

mod estimated;
mod flat;
mod shape;

use crate::run::{Done, faultbook, root, scratch};
use std::process::Command;

const READERS: [&str; 3] = ["customer", "file", "road"];

/// The report of a sheet beside this file.
fn report(sheet: &str, reader: &str, format: &str) -> Done {
    of(&format!("tests/report/{sheet}.toml"), reader, format)
}

fn of(path: &str, reader: &str, format: &str) -> Done {
    let done = faultbook(&["report", path, "--rules", "tests/report/queue.rules", "--for", reader, "--format", format]);
    assert_eq!(done.status, 0, "{}", done.err);
    done
}

fn sheet_of(reader: &str) -> &'static str {
    if reader == "road" { "open" } else { "closed" }
}

#[test]
fn pages_of_an_example_job() {
    for reader in READERS {
        for format in ["markdown", "html"] {
            insta::assert_snapshot!(format!("{reader}-{format}"), report(sheet_of(reader), reader, format).out);
        }
    }
}

#[test]
fn a_proof_out_of_its_limit_is_not_called_proven() {
    let folder = scratch("report-unproven");
    let text = std::fs::read_to_string(root().join("tests/report/closed.toml")).unwrap();
    let text = text.replace("97 °C", "109 °C").replace("cured = true", "cured = true\nreason = \"the customer had to leave\"");
    std::fs::write(folder.join("job.toml"), text).unwrap();
    let page = of(folder.join("job.toml").to_str().unwrap(), "customer", "markdown").out;
    assert!(page.contains("the repair is not proven in full"), "{page}");
    assert!(page.contains("It showed: 109 °C. Out of its limit: not proven."), "{page}");
    assert!(page.contains("> the customer had to leave"), "the reason stands in the report: {page}");
    assert!(page.contains("Have it read again."), "{page}");
}

#[test]
fn what_was_repaired_before_stands_in_the_file() {
    let folder = scratch("report-repaired-before");
    let text = std::fs::read_to_string(root().join("tests/report/open.toml")).unwrap();
    assert!(text.contains("[complaint]\n"));
    let text = text.replace("[complaint]\n", "[complaint]\nrepaired-before = [\"renew-fan-plug\"]\n");
    std::fs::write(folder.join("job.toml"), text).unwrap();
    let page = of(folder.join("job.toml").to_str().unwrap(), "file", "markdown").out;
    assert!(page.contains("| Repaired before | Renew the plug of the fan |"), "{page}");
}

/// A whole scan reads hundreds of codes that are not there: they are one line, and none is named as if it were stored.
#[test]
fn codes_that_are_not_stored_are_one_line_of_the_file() {
    let folder = scratch("report-whole-scan");
    let sheet = folder.join("job.toml");
    let text = "[vehicle]\nfitted = [\"petrol\"]\n[complaint]\nyes = [\"rough-idle\"]\n[scan]\ncomplete = true\ncodes = [\"P0301\"]\n";
    std::fs::write(&sheet, text).unwrap();
    let done = faultbook(&["report", sheet.to_str().unwrap(), "--for", "file", "--format", "markdown"]);
    let seen = done.out.split("Evidence, in order").nth(1).unwrap().split("\n## ").next().unwrap();
    assert!(seen.contains("P0301: cylinder 1 misfires") && !seen.contains("P0302"), "{seen}");
    assert_eq!(seen.matches("Looked for and not stored: ").count(), 1, "{seen}");
    assert!(seen.lines().count() < 12, "{seen}");
}

#[test]
fn a_file_is_written_as_it_would_be_printed() {
    let folder = scratch("report-out");
    let file = folder.join("r.html");
    let sheet = "tests/report/closed.toml";
    let done = faultbook(&["report", sheet, "--rules", "tests/report/queue.rules", "--out", file.to_str().unwrap()]);
    assert_eq!((done.status, done.out.as_str()), (0, ""), "{}", done.err);
    assert_eq!(std::fs::read_to_string(&file).unwrap(), report("closed", "customer", "html").out);
    let nowhere = folder.join("none/r.html");
    let refused = faultbook(&["report", sheet, "--rules", "tests/report/queue.rules", "--out", nowhere.to_str().unwrap()]);
    assert_eq!(refused.status, 2);
    assert!(refused.err.contains("can't be written") && refused.err.contains("help: make the folder first"), "{}", refused.err);
}

/// Needs chromium.
#[test]
fn pictures_at_phone_and_paper_size() {
    let folder = scratch("report-screens");
    let script = root().join("tests/report/screens.sh");
    let done = Command::new("bash").arg(script).arg(env!("CARGO_BIN_EXE_faultbook")).arg(&folder).output().unwrap();
    if done.status.code() == Some(3) {
        crate::run::not_here("chromium");
        return;
    }
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    for reader in READERS {
        let png = std::fs::read(folder.join(format!("{reader}-phone.png"))).unwrap();
        // PNG (ISO/IEC 15948): width and height stand at byte 16
        let size = |at: usize| u32::from_be_bytes(png[at..at + 4].try_into().unwrap());
        assert_eq!((size(16), size(20)), (390, 844), "{reader}");
        let pdf = std::fs::read(folder.join(format!("{reader}.pdf"))).unwrap();
        // A4 is 210 x 297 mm (ISO 216), 595 x 842 points
        assert!(String::from_utf8_lossy(&pdf).contains("/MediaBox [0 0 59"), "{reader}: not on A4");
        let wide = std::fs::read_to_string(folder.join(format!("{reader}-width.txt"))).unwrap();
        assert_eq!(wide.trim(), "390", "{reader}: the page is wider than the phone");
    }
}
