//! A finding whose first state does not look like the normal one.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB224", "abnormal-first", Severity::Warning, check);

/// Words for what is as it should be. Common practice, no source.
const SOUND: &[&str] = &["healthy", "normal", "ok", "good", "fine", "sound", "no", "none", "absent", "clean", "tight", "even", "free", "dry"];

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let sound = |state: &str| SOUND.contains(&state);
    for (_, finding) in subject.book.findings.iter() {
        let (Some(first), Some(other)) = (finding.states.first(), finding.states.iter().skip(1).find(|s| sound(s))) else { continue };
        // `none` of something wanted is a fault: only where the first word is no better
        if sound(first) || matches!(other.as_str(), "none" | "no" | "free" | "dry") {
            continue;
        }
        let message = format!("`{first}` is taken to be the normal state of `{}`, not `{other}`", finding.name());
        let remark = Remark::new(LINT.code, message, finding.head.span, format!("`{first}` stands first"));
        found.push(remark.help(format!("let `{other}` stand first: the first band or state is the normal one")));
    }
}
