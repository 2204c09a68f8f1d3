//! The lints an old book had on one day, by their fingerprints, so that only new ones are shown.

use super::Run;
use crate::lint::can_be_allowed;
use crate::syntax::Remark;
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A baseline file.
#[derive(Debug, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Baseline {
    /// Version of this shape.
    pub schema: u32,
    /// Fingerprint of each lint, with its code, file and message for people who look at the file.
    pub lints: IndexMap<String, String>,
}

impl Baseline {
    /// All lints of a run; errors of the language are never in a baseline.
    pub fn of(run: &Run) -> Baseline {
        let lints = run.remarks.iter().zip(&run.fingerprints).filter(|(r, _)| can_be_allowed(r.code));
        let mut lints: IndexMap<String, String> = lints.map(|(r, f)| (f.clone(), told(r, run))).collect();
        lints.sort_by(|a, b, c, d| (b, a).cmp(&(d, c)));
        Baseline { schema: 1, lints }
    }

    /// Whether it has a remark.
    pub fn has(&self, remark: &Remark, fingerprint: &str) -> bool {
        can_be_allowed(remark.code) && self.lints.contains_key(fingerprint)
    }
}

fn told(remark: &Remark, run: &Run) -> String {
    let file = remark.span().map_or("", |s| run.sources.get(s.file).name.as_str());
    format!("{} {file}: {}", remark.code.id, remark.message)
}
