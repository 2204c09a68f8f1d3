//! `lint` as people and scripts meet it.

use super::{Run, faultbook, folder};
use serde_json::Value;
use std::fs;
use std::path::Path;

/// One warning (nothing names the tool), one note (the book is not signed), both of a sound book.
const ODD: &str = "book odd \"Odd\"\n  edition 1\ntool lamp \"Lamp\"\n";
const BROKEN: &str = "tool lamp\n";
const SIGNED: &str = "  version \"1\"\n  reviewed 2026-11-25\n  keeper \"the foreman\"\n";

fn json(run: &Run) -> Value {
    serde_json::from_str(&run.out).unwrap_or_else(|e| panic!("{e}\n{}\n{}", run.out, run.err))
}

fn codes(document: &Value) -> Vec<&str> {
    document["remarks"].as_array().unwrap().iter().map(|r| r["code"].as_str().unwrap()).collect()
}

fn lint(folder: &Path, arguments: &[&str]) -> Run {
    faultbook(folder, &[&["lint"], arguments].concat(), b"")
}

#[test]
fn every_format_has_the_same_status() {
    let folder = folder(&[("odd.rules", ODD.as_bytes()), ("broken.rules", BROKEN.as_bytes())]);
    let formats: [&[&str]; 5] =
        [&["--format", "text"], &["--format", "json"], &["--json"], &["--format", "sarif"], &["--format", "annotations"]];
    for format in formats {
        for (file, fail_on, wanted) in [
            ("odd.rules", "error", 0),
            ("odd.rules", "warning", 1),
            ("odd.rules", "note", 1),
            ("odd.rules", "never", 0),
            ("broken.rules", "error", 1),
            ("broken.rules", "never", 0),
            ("nothing.rules", "error", 2),
        ] {
            let run = lint(folder.path(), &[&[file, "--fail-on", fail_on], format].concat());
            assert_eq!(run.status, wanted, "{file} {fail_on} {format:?}: {}", run.err);
            assert_eq!(run.status == 2, run.out.is_empty());
        }
    }
}

#[test]
fn the_document_has_places_and_keeps_to_its_schema() {
    let folder = folder(&[("odd.rules", ODD.as_bytes())]);
    let run = lint(folder.path(), &["odd.rules", "--json"]);
    let document = json(&run);
    assert_eq!((document["schema"].as_u64(), document["warnings"].as_u64(), document["notes"].as_u64()), (Some(1), Some(1), Some(1)));
    let remark = &document["remarks"][1];
    assert_eq!((remark["code"].as_str(), remark["name"].as_str()), (Some("FB201"), Some("unused-name")));
    let place = &remark["places"][0];
    let at = ["line", "column", "end_line", "end_column", "start_byte", "end_byte"].map(|k| place[k].as_u64().unwrap());
    assert_eq!(at, [3, 6, 3, 10, 32, 36]);
    assert_eq!(&ODD[32..36], "lamp");
    let schema: Value = serde_json::from_str(&faultbook(folder.path(), &["provide", "schema", "lint"], b"").out).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    assert!(validator.is_valid(&document) && !validator.is_valid(&serde_json::json!({ "schema": 1 })));
    assert_eq!(run.err, "1 warning, 1 note\n");
}

#[test]
fn annotations_are_one_line_each_and_escaped() {
    let folder = folder(&[("a,b:c%.rules", b"cause a \"A\"\n  prior 120 %\n")]);
    let run = lint(folder.path(), &["a,b:c%.rules", "--format", "annotations"]);
    let lines: Vec<&str> = run.out.lines().collect();
    let first = "::error file=a%2Cb%3Ac%25.rules,line=2,col=9,endLine=2,endColumn=14,title=FB106 chance-out-of-range::120 %25 is no chance";
    assert!(lines.iter().any(|l| l.starts_with(first)), "{}", run.out);
    assert!(lines.iter().all(|l| l.starts_with("::error file=")), "{}", run.out);
}

#[test]
fn settings_change_severities() {
    let settings = "[lint]\nunused-name = \"error\"\nFB219 = \"off\"\n";
    let folder = folder(&[("rules/odd.rules", ODD.as_bytes()), ("faultbook.toml", settings.as_bytes())]);
    let run = lint(folder.path(), &["rules", "--json"]);
    let document = json(&run);
    assert_eq!((run.status, codes(&document)), (1, vec!["FB201"]));
    assert_eq!(document["remarks"][0]["severity"], "error");
    for (wrong, told) in [("unused-nam = \"off\"", "did you mean `unused-name`?"), ("FB101 = \"note\"", "errors can't be turned down")] {
        fs::write(folder.path().join("faultbook.toml"), format!("[lint]\n{wrong}\n")).unwrap();
        let run = lint(folder.path(), &["rules"]);
        assert!(run.status == 2 && run.err.contains(told), "{}", run.err);
    }
}

#[test]
fn allow_holds_for_its_block_or_its_book() {
    let allow = "  allow unused-name because \"For later.\"\n";
    let whole = format!("book odd \"Odd\"\n  edition 1\n{SIGNED}{allow}tool a \"A\"\ntool b \"B\"\n");
    let single =
        format!("book odd \"Odd\"\n  edition 1\n{SIGNED}tool a \"A\"\n{allow}tool b \"B\"\n{}", allow.replace("unused-name", "FB202"));
    let folder = folder(&[("whole.rules", whole.as_bytes()), ("single.rules", single.as_bytes())]);
    assert_eq!(codes(&json(&lint(folder.path(), &["whole.rules", "--json"]))), Vec::<&str>::new());
    assert_eq!(codes(&json(&lint(folder.path(), &["single.rules", "--json"]))), ["FB201", "FB216"]);
}

#[test]
fn a_baseline_keeps_old_lints_back_and_no_errors() {
    let folder = folder(&[("odd.rules", ODD.as_bytes())]);
    let path = folder.path();
    let run = lint(path, &["odd.rules", "--baseline", "base.json", "--write-baseline", "--json"]);
    assert_eq!((run.status, codes(&json(&run)).len(), json(&run)["known"].as_u64()), (0, 0, Some(2)));
    let written = fs::read_to_string(path.join("base.json")).unwrap();
    assert!(written.contains("FB201 odd.rules: nothing names the tool `lamp`"), "{written}");
    fs::write(path.join("odd.rules"), format!("# moved down\n\n{ODD}tool wedge \"Wedge\"\ncause broken\n")).unwrap();
    let run = lint(path, &["odd.rules", "--baseline", "base.json", "--fail-on", "warning"]);
    assert_eq!(run.status, 1);
    assert!(run.out.contains("FB005") && !run.out.contains("`lamp`"), "{}", run.out);
    fs::write(path.join("odd.rules"), format!("# moved down\n\n{ODD}tool wedge \"Wedge\"\n")).unwrap();
    let run = lint(path, &["odd.rules", "--baseline", "base.json"]);
    assert!(run.out.contains("`wedge`") && !run.out.contains("`lamp`"), "{}", run.out);
    assert_eq!(run.err, "1 warning; 2 known from the baseline\n");
    fs::write(path.join("base.json"), "{}").unwrap();
    let run = lint(path, &["odd.rules", "--baseline", "base.json"]);
    assert!(run.status == 2 && run.err.contains("is no baseline"), "{}", run.err);
}

#[test]
fn fix_puts_right_and_keeps_comments_and_layout() {
    let rules = "book odd \"Odd\"   # mine\n  edition 1\n  version \"1\"\n  reviewed 2026-11-25\n  keeper \"us\"\n  stray 1 %\n  \
        allow no-danger-asked because \"a test\"\naccess a \"A\"\n  takes 1 min\naccess b \"B\"\n  takes   2 mins\n  access  a\n\
        sign s \"S\"\n\
        cause c \"C\"\n  prior 1 %\n  shows   s often\n  shows p0299 seldom # seen once\n  # kept\n  note  \"n\"\n  note  \"n\"   # also kept\n\
        check k \"K\"\n  takes 5 min\n  access   a,  b\n  reveals s\n\
        fix f \"F\"\n  takes 5 min\n  cures c\n  proof s\n  then  w\naftercare w \"W\"\n  allow unused-name because \"once\"\n";
    let folder = folder(&[("odd.rules", rules.as_bytes())]);
    let before = json(&lint(folder.path(), &["odd.rules", "--json"]));
    assert_eq!(codes(&before), ["FB205", "FB218", "FB222", "FB313", "FB216"]);
    let run = lint(folder.path(), &["odd.rules", "--fix", "--json"]);
    assert_eq!(codes(&json(&run)), Vec::<&str>::new(), "{}", run.err);
    assert!(run.err.contains("odd.rules: 5 put right"), "{}", run.err);
    let wanted = rules
        .replace("2 mins", "2 min")
        .replace("p0299", "P0299")
        .replace("  note  \"n\"\n  note  \"n\"   # also kept\n", "  note  \"n\"\n  # also kept\n")
        .replace("a,  b", "b")
        .replace("  allow unused-name because \"once\"\n", "");
    assert_eq!(fs::read_to_string(folder.path().join("odd.rules")).unwrap(), wanted);
}

#[test]
fn the_book_that_ships_is_not_fixed_in_place() {
    let folder = folder(&[]);
    let run = lint(folder.path(), &["--fix"]);
    assert!(run.status == 2 && run.err.contains("can't be changed"), "{}", run.err);
}

#[test]
fn standard_input_stands_alone_or_for_a_file() {
    let folder = folder(&[("rules/a.rules", BROKEN.as_bytes()), ("rules/b.rules", b"source s \"S\"\n  note \"n\"\n")]);
    let run = faultbook(folder.path(), &["lint", "-", "--stdin-name", "draft.rules", "--json"], BROKEN.as_bytes());
    assert_eq!((run.status, json(&run)["remarks"][0]["places"][0]["file"].as_str()), (1, Some("draft.rules")));
    // the editor's unsaved text in the place of the saved one, the rest of its book around it
    let draft = b"reading r \"R\"\n  unit V\n  band ok above 5\n  band low below 5\n  source s\n";
    let run = faultbook(folder.path(), &["lint", "rules", "-", "--stdin-name", "./rules/a.rules", "--json"], draft);
    assert_eq!((run.status, codes(&json(&run))), (0, vec!["FB404"]), "{}", run.out);
    let run = faultbook(folder.path(), &["lint", "rules", "--stdin-name", "x"], b"");
    assert!(run.status == 2 && run.err.contains("add `-`"), "{}", run.err);
}

#[test]
fn several_folders_lie_over_one_another() {
    let over = "book mine \"Mine\"\n  edition 1\n  over odd\namend tool lamp\n  note \"the blue one\"\ntool wedge \"Wedge\"\n";
    let folder = folder(&[("below/odd.rules", ODD.as_bytes()), ("above/mine.rules", over.as_bytes())]);
    let run = lint(folder.path(), &["below", "above", "--json"]);
    assert_eq!(codes(&json(&run)), ["FB219", "FB201", "FB219", "FB201"], "{}", run.out);
}

/// Somebody else's book below one's own is read, but not remarked on.
#[test]
fn the_shipped_book_below_is_not_remarked_on() {
    let mine = format!("book mine \"Mine\"\n  edition 1\n  over faultbook\n{SIGNED}amend cause charge-hose-split\n  prior 2 %\n");
    let folder = folder(&[("mine.rules", mine.as_bytes())]);
    let run = lint(folder.path(), &["mine.rules", "--json"]);
    assert_eq!((run.status, codes(&json(&run))), (0, vec![]), "{}", run.out);
}

/// A page must be at hand above all while the book is broken.
#[test]
fn explain_shows_the_page_of_a_code() {
    let folder = folder(&[("broken.rules", BROKEN.as_bytes())]);
    let explain = |what: &str, more: &[&str]| faultbook(folder.path(), &[&["explain", what], more].concat(), b"");
    let page = explain("fb304", &["--rules", "broken.rules"]);
    assert!(page.status == 0 && page.out.starts_with("FB304 undisturbed-proof\n"), "{}", page.err);
    assert!(page.out.contains("\n    fix renew-strap") && !page.out.contains("```"), "{}", page.out);
    assert_eq!(explain("undisturbed-proof", &[]).out, page.out);
    let document = json(&explain("FB304", &["--json"]));
    assert_eq!((document["severity"].as_str(), document["name"].as_str()), (Some("warning"), Some("undisturbed-proof")));
    let list = explain("lints", &[]).out;
    assert!(list.lines().filter(|l| l.starts_with("FB")).count() >= 89, "{list}");
    let slip = explain("undisturbed-proofs", &[]);
    assert!(slip.status == 2 && slip.err.contains("did you mean `undisturbed-proof`?"), "{}", slip.err);
}

#[test]
fn the_document_has_the_edits_that_fix_would_make() {
    let folder = folder(&[("odd.rules", "symptom dim “Lamps dim”\n".as_bytes())]);
    let document = json(&lint(folder.path(), &["odd.rules", "--json"]));
    let remark = &document["remarks"][0];
    assert_eq!(remark["fixable"], true, "{remark}");
    let edits: Vec<_> = remark["edits"]
        .as_array()
        .unwrap()
        .iter()
        .map(|e| (e["line"].as_u64(), e["column"].as_u64(), e["end_column"].as_u64(), e["text"].as_str()))
        .collect();
    assert_eq!(edits, [(Some(1), Some(13), Some(14), Some("\"")), (Some(1), Some(23), Some(24), Some("\""))]);
}

/// Two amendments of one limit; an empty file; a book that asks nobody about a danger.
#[test]
fn what_silently_counted_before_is_said() {
    let two =
        "book own \"Own\"\n  over faultbook\namend cause charge-hose-split\n  prior 2 %\namend cause charge-hose-split\n  prior 3 %\n";
    let alone = "book own \"Own\"\nsign s \"S\"\ncause c \"C\"\n  prior 1 %\n  shows s 80 %\ncheck k \"K\"\n  takes 1 min\n  reveals s\n";
    let folder = folder(&[("two/own.rules", two.as_bytes()), ("two/empty.rules", b"# nothing yet\n"), ("alone.rules", alone.as_bytes())]);
    let document = json(&lint(folder.path(), &["two", "--json"]));
    let found = codes(&document);
    assert!(found.contains(&"FB230") && found.contains(&"FB231"), "{found:?}");
    let document = json(&lint(folder.path(), &["alone.rules", "--json"]));
    assert!(codes(&document).contains(&"FB317"), "{document}");
}

#[test]
fn explain_reads_the_settings_and_does_not_round() {
    let rules = "book own \"Own\"\n  over faultbook\namend cause charge-hose-split\n  prior 1.5 %\n  shows P0299 97.3 %\n";
    let folder = folder(&[("own/own.rules", rules.as_bytes()), ("faultbook.toml", b"rules = [\"own\"]\n")]);
    for more in [&[][..], &["--json"]] {
        let run = faultbook(folder.path(), &[&["explain", "charge-hose-split", "--whole"], more].concat(), b"");
        assert!(run.out.contains("1.5 % of the vehicles") && run.out.contains("97.3 %"), "{}", run.out);
    }
}
