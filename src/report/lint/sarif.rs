//! A lint run as SARIF 2.1.0 (OASIS, "Static Analysis Results Interchange Format"): with the rules' own pages, and fingerprints
//! that do not know line numbers. It is valid whether or not the files could be read.

use super::{Run, pages, region, severity_word};
use crate::lint::{codes, page};
use crate::report::escaped_path;
use crate::syntax::{Code, Edit, Label, Remark, Sources};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// The base of the files in the book that ships.
const SHIPPED: &str = "SHIPPED";
/// Where the program is described.
const INFORMATION: &str = "https://example.org/faultbook";

/// The whole log.
pub fn log(run: &Run) -> Value {
    let shown: Vec<(&Remark, &str)> = run.shown().collect();
    let rules: Vec<Code> = codes().collect();
    let results: Vec<Value> = shown.iter().map(|(remark, fingerprint)| result(remark, fingerprint, &rules, run.sources)).collect();
    json!({
        "$schema": "https://json.schemastore.org/sarif-2.1.0.json",
        "version": "2.1.0",
        "runs": [{
            "tool": { "driver": {
                "name": "faultbook",
                "informationUri": INFORMATION,
                "semanticVersion": env!("CARGO_PKG_VERSION"),
                "rules": rules.iter().map(rule).collect::<Vec<_>>(),
            }},
            "columnKind": "unicodeCodePoints",
            "originalUriBaseIds": { SHIPPED: { "description": { "text": "The rules inside the program; `faultbook provide rules FOLDER` writes them out." } } },
            "invocations": [invocation(run)],
            "results": results,
        }],
    })
}

/// Broken rules are a result; the run itself went well.
fn invocation(run: &Run) -> Value {
    let mut notes = Vec::new();
    if run.left_out() > 0 {
        notes.push(json!({ "level": "note", "message": { "text": format!("{} more remarks are not shown", run.left_out()) } }));
    }
    json!({ "executionSuccessful": true, "toolExecutionNotifications": notes })
}

fn rule(code: &Code) -> Value {
    let page = page(code.id).unwrap_or_default();
    json!({
        "id": code.id,
        "name": code.name,
        "shortDescription": { "text": pages::summary(*code) },
        "fullDescription": { "text": pages::why(*code) },
        "help": { "text": page, "markdown": page },
        "defaultConfiguration": { "level": severity_word(code.severity) },
    })
}

fn result(remark: &Remark, fingerprint: &str, rules: &[Code], sources: &Sources) -> Value {
    let help = remark.help.as_ref().map(|h| format!("; {h}")).unwrap_or_default();
    let mut result = json!({
        "ruleId": remark.code.id,
        "ruleIndex": rules.iter().position(|c| *c == remark.code),
        "level": severity_word(remark.severity),
        "message": { "text": format!("{}{help}", remark.message) },
        "locations": remark.labels.iter().take(1).map(|l| location(l, sources)).collect::<Vec<_>>(),
        "partialFingerprints": { "faultbook/v1": fingerprint },
    });
    let related: Vec<Value> = remark.labels.iter().skip(1).map(|l| location(l, sources)).collect();
    if !related.is_empty() {
        result["relatedLocations"] = related.into();
    }
    if !remark.edits.is_empty() {
        result["fixes"] = json!([fix(remark, sources)]);
    }
    result
}

fn location(label: &Label, sources: &Sources) -> Value {
    let [line, column, end_line, end_column] = region(label.span, sources);
    json!({
        "physicalLocation": {
            "artifactLocation": artifact(&sources.get(label.span.file).name),
            "region": { "startLine": line, "startColumn": column, "endLine": end_line, "endColumn": end_column },
        },
        "message": { "text": label.text },
    })
}

fn fix(remark: &Remark, sources: &Sources) -> Value {
    let mut changes: BTreeMap<String, Vec<Value>> = BTreeMap::new();
    for edit in &remark.edits {
        changes.entry(sources.get(edit.span.file).name.clone()).or_default().push(replacement(edit, sources));
    }
    let changes: Vec<Value> =
        changes.into_iter().map(|(file, edits)| json!({ "artifactLocation": artifact(&file), "replacements": edits })).collect();
    json!({ "description": { "text": remark.help.as_deref().unwrap_or(&remark.message) }, "artifactChanges": changes })
}

fn replacement(edit: &Edit, sources: &Sources) -> Value {
    let [line, column, end_line, end_column] = region(edit.span, sources);
    json!({
        "deletedRegion": { "startLine": line, "startColumn": column, "endLine": end_line, "endColumn": end_column },
        "insertedContent": { "text": edit.text },
    })
}

/// A file. Those of the book that ships lie in the program: their paths go out from a base that has no place on this machine (3.4.4).
fn artifact(name: &str) -> Value {
    match name.strip_prefix("<shipped>/") {
        Some(path) => json!({ "uri": uri(path), "uriBaseId": SHIPPED }),
        None => json!({ "uri": uri(name) }),
    }
}

/// A path as a relative or absolute URI reference: forward slashes.
pub fn uri(path: &str) -> String {
    let path = path.replace('\\', "/");
    let escaped = escaped_path(path.strip_prefix("./").unwrap_or(&path));
    if path.starts_with('/') { format!("file://{escaped}") } else { escaped }
}
