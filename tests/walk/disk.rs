//! What stands on the disk when the disk is full.

use super::{saved, sheet};
use std::process::{Command, Stdio};

/// A limit on the size of files stands for a full disk: the write fails half-way in the same manner, on any machine.
#[test]
fn a_full_disk_loses_nothing() {
    let (sheet, rules) = sheet("walk-full");
    let answers = sheet.with_extension("answers");
    std::fs::write(&answers, "n a note of some length, so that the file soon comes to its end\n".repeat(40)).unwrap();
    let program = env!("CARGO_BIN_EXE_faultbook");
    let command =
        format!("trap '' XFSZ; ulimit -f 2; '{program}' walk '{}' --rules '{rules}' --answers '{}'", sheet.display(), answers.display());
    let done = Command::new("sh").args(["-c", &command]).stdin(Stdio::null()).output().unwrap();
    let said = String::from_utf8_lossy(&done.stderr);
    assert_eq!(done.status.code(), Some(2), "{said}");
    assert!(said.contains("every answer before this one is saved"), "{said}");
    let kept = saved(&sheet)["journal"].as_array().unwrap().len();
    assert_eq!(kept, said.matches("Noted.").count(), "each answer that was taken is there, and the sheet is whole");
    assert!(kept > 2);
}
