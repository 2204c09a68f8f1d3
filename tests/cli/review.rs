//! What a repository of rules needs in its reviews: what changed, in the forms that build servers and code hosts read.

use super::{faultbook, folder};
use serde_json::Value;
use std::path::Path;
use std::process::Command;

const OLD: &str = "book own \"Own\"\n  version   \"1\"\n  reviewed  2026-11-25\n  keeper    \"the foreman\"\n\ntool lamp \"Lamp\"\n\ntool mirror \"Mirror\"\n";

fn git(folder: &Path, words: &[&str]) {
    let own = ["-c", "user.name=Nobody", "-c", "user.email=nobody@example.org", "-c", "commit.gpgsign=false"];
    let done = Command::new("git").args(own).args(words).current_dir(folder).output().unwrap();
    assert!(done.status.success(), "{words:?}: {}", String::from_utf8_lossy(&done.stderr));
}

/// A repository with one commit; names of files with a space and a letter of another alphabet in them.
fn repository() -> tempfile::TempDir {
    let folder = folder(&[("rules/own book.rules", OLD.as_bytes())]);
    git(folder.path(), &["init", "-q"]);
    git(folder.path(), &["add", "."]);
    git(folder.path(), &["commit", "-q", "-m", "one"]);
    folder
}

fn remarks(folder: &Path, words: &[&str]) -> Vec<String> {
    let run = faultbook(folder, &[&["lint", "rules", "--json"], words].concat(), b"");
    let document: Value = serde_json::from_str(&run.out).unwrap_or_else(|e| panic!("{e}: {}", run.err));
    document["remarks"].as_array().unwrap().iter().map(|r| r["message"].as_str().unwrap().to_string()).collect()
}

#[test]
fn only_what_changed_since_a_revision_is_remarked_on() {
    let folder = repository();
    let (path, here) = (folder.path().join("rules/own book.rules"), folder.path());
    assert_eq!(remarks(here, &[]).len(), 2);
    assert_eq!(remarks(here, &["--since", "HEAD"]), Vec::<String>::new());
    std::fs::write(&path, format!("# ours\n{OLD}\ntool hook \"Hook\"\n")).unwrap();
    std::fs::write(folder.path().join("rules/prüfen.rules"), "tool brush \"Brush\"\n").unwrap();
    assert_eq!(remarks(here, &["--since", "HEAD"]), ["nothing names the tool `hook`", "nothing names the tool `brush`"]);
    git(here, &["add", "."]);
    git(here, &["commit", "-q", "-m", "two"]);
    assert_eq!(remarks(here, &["--since", "HEAD"]), Vec::<String>::new());
    assert_eq!(remarks(here, &["--since", "HEAD~1"]).len(), 2);
    // an error counts, wherever the change was that made it
    std::fs::write(&path, format!("{OLD}\ncheck look \"Look\"\n  takes 1 min\n  tool mirror\n  reveals nowhere\n")).unwrap();
    git(here, &["commit", "-q", "-a", "-m", "three"]);
    assert_eq!(remarks(here, &["--since", "HEAD"]), ["nothing is named `nowhere`"]);
    let run = faultbook(here, &["lint", "rules", "--since", "--output=x"], b"");
    assert!(run.status == 2 && !here.join("x").exists(), "{}", run.err);
    let run = faultbook(here, &["lint", "rules", "--since", "nowhere"], b"");
    assert!(run.status == 2 && run.err.contains("`nowhere` is no revision"), "{}", run.err);
}

#[test]
fn quiet_says_nothing_beside_the_result_and_colour_is_as_asked() {
    let folder = folder(&[("own.rules", OLD.as_bytes())]);
    let run = faultbook(folder.path(), &["lint", "own.rules", "--quiet"], b"");
    assert_eq!((run.status, run.err.as_str()), (0, ""));
    assert!(run.out.contains("nothing names the tool") && !run.out.contains('\u{1b}'));
    for words in [&["fmt", "--check", "-q", "own.rules"][..], &["test", "-q", "own.rules"], &["compare", "-q", "own.rules", "own.rules"]] {
        let run = faultbook(folder.path(), words, b"");
        assert_eq!((run.status, run.err.as_str()), (0, ""), "{words:?}");
    }
    let run = faultbook(folder.path(), &["lint", "nowhere", "--quiet"], b"");
    assert!(run.status == 2 && run.err.contains("there is no file"), "a failure is told: {}", run.err);
    let run = faultbook(folder.path(), &["--color", "always", "lint", "own.rules"], b"");
    assert!(run.out.contains("\u{1b}["), "{}", run.out);
    let run = faultbook(folder.path(), &["lint", "own.rules", "--color", "never"], b"");
    assert!(!run.out.contains('\u{1b}'));
}

/// The XML is read by a parser that takes no broken one; the list has what a code-quality report needs (GitLab, "Code Quality report format":
/// description, check_name, fingerprint, location.path, location.lines.begin, severity).
#[test]
fn build_servers_and_code_hosts_read_it() {
    let folder = folder(&[("a<b&\"c\".rules", b"tool lamp \"Lamp\"\n  allow nonsense because \"x\"\n"), ("z.rules", OLD.as_bytes())]);
    let run = faultbook(folder.path(), &["lint", ".", "--format", "checkstyle"], b"");
    let xml = &run.out;
    assert!(xml.starts_with("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<checkstyle"), "{xml}");
    assert!(xml.contains("<file name=\"./a&lt;b&amp;&quot;c&quot;.rules\">") && xml.contains("severity=\"warning\""), "{xml}");
    assert_eq!((xml.matches("<file ").count(), xml.matches("</file>").count()), (2, 2), "{xml}");
    assert!(xml.lines().filter(|l| l.contains("<error ")).all(|l| l.trim().ends_with("/>") && l.matches('"').count() == 10), "{xml}");
    let run = faultbook(folder.path(), &["lint", ".", "--format", "code-quality"], b"");
    let list: Vec<Value> = serde_json::from_str(&run.out).unwrap();
    assert_eq!(list.len(), xml.matches("<error ").count());
    for issue in &list {
        assert!(["description", "check_name", "fingerprint"].iter().all(|k| issue[k].as_str().is_some_and(|t| !t.is_empty())), "{issue}");
        assert!(["info", "minor", "major", "critical", "blocker"].contains(&issue["severity"].as_str().unwrap()));
        assert!(issue["location"]["lines"]["begin"].as_u64() >= Some(1) && !issue["location"]["path"].as_str().unwrap().starts_with("./"));
    }
    let prints: std::collections::BTreeSet<&str> = list.iter().map(|i| i["fingerprint"].as_str().unwrap()).collect();
    assert_eq!(prints.len(), list.len(), "each is known by its own");
}

#[test]
fn a_folder_has_severities_of_its_own() {
    let settings = "[lint]\nunused-name = \"note\"\n[lint-in.\"rules/drafts\"]\nunused-name = \"off\"\n[lint-in.\"rules/drafts/hot\"]\nFB201 = \"error\"\n";
    let files: [(&str, &[u8]); 4] = [
        ("faultbook.toml", settings.as_bytes()),
        ("rules/own.rules", OLD.as_bytes()),
        ("rules/drafts/a.rules", b"tool hook \"Hook\"\n"),
        ("rules/drafts/hot/b.rules", b"tool brush \"Brush\"\n"),
    ];
    let folder = folder(&files);
    let run = faultbook(folder.path(), &["lint", "rules", "--json"], b"");
    let document: Value = serde_json::from_str(&run.out).unwrap();
    let told = document["remarks"].as_array().unwrap().iter().map(|r| (r["severity"].as_str().unwrap(), r["message"].as_str().unwrap()));
    let mut told: Vec<_> = told.map(|(s, m)| format!("{s}: {m}")).collect();
    told.sort();
    assert_eq!(
        told,
        ["error: nothing names the tool `brush`", "note: nothing names the tool `lamp`", "note: nothing names the tool `mirror`"]
    );
    assert_eq!(run.status, 1);
    std::fs::write(folder.path().join("faultbook.toml"), "[lint-in.\"rules\"]\nunused-nam = \"off\"\n").unwrap();
    let run = faultbook(folder.path(), &["lint", "rules"], b"");
    assert!(run.status == 2 && run.err.contains("did you mean `unused-name`?"), "{}", run.err);
}

#[test]
fn a_review_shows_what_the_change_does_to_plans() {
    let amended = |percent: u8| format!("book own \"Own\"\n  over  faultbook\n\namend cause charge-hose-split\n  prior  {percent} %\n");
    let files = [
        ("old/own.rules", amended(1)),
        ("new/own.rules", amended(40)),
        ("job.toml", "title = \"Van | grey\"\n[scan]\ncodes = [\"P0299\"]\n".into()),
    ];
    let files: Vec<(&str, &[u8])> = files.iter().map(|(n, t)| (*n, t.as_bytes())).collect();
    let folder = folder(&files);
    let run = faultbook(folder.path(), &["compare", "old", "new", "--job", "job.toml", "--format", "markdown", "--fail-on", "plans"], b"");
    assert_eq!(run.status, 1, "{}", run.err);
    assert!(
        run.out.contains("- **cause charge-hose-split**: prior: 1 % → 40 %") && run.out.contains("1 of 1 cars get another plan"),
        "{}",
        run.out
    );
    let options = pulldown_cmark::Options::ENABLE_TABLES;
    let cells = pulldown_cmark::Parser::new_ext(&run.out, options)
        .filter(|e| matches!(e, pulldown_cmark::Event::End(pulldown_cmark::TagEnd::TableCell)))
        .count();
    assert_eq!(cells, 8, "a head and a row of four: {}", run.out);
    let same = faultbook(folder.path(), &["compare", "new", "new", "--format", "markdown", "--fail-on", "meaning"], b"");
    assert!(same.status == 0 && same.out.contains("Nothing, in meaning."), "{}", same.out);
    let plain = faultbook(folder.path(), &["compare", "old", "new", "--fail-on", "meaning"], b"");
    assert_eq!(plain.status, 1);
}

/// What each `--json` prints keeps to the schema that the program provides for it.
#[test]
fn every_document_keeps_to_its_schema() {
    let job = "title = \"Van\"\n[complaint]\nyes = [\"low-power\"]\n[scan]\ncodes = [\"P0299\"]\n";
    let folder = folder(&[("van.toml", job.as_bytes()), ("own.rules", OLD.as_bytes())]);
    let tried: [(&str, &[&str]); 11] = [
        ("explain", &["explain", "P0299", "--json"]),
        ("explain", &["explain", "symptoms", "--json"]),
        ("explain", &["explain", "FB201", "--json"]),
        ("walk", &["walk", "van.toml", "--json"]),
        ("report-customer", &["report", "van.toml", "--for", "customer", "--json"]),
        ("report-file", &["report", "van.toml", "--for", "file", "--json"]),
        ("report-road", &["report", "van.toml", "--for", "road", "--json"]),
        ("plan", &["plan", "van.toml", "--json"]),
        ("weigh", &["weigh", "van.toml", "--json"]),
        ("lint", &["lint", "own.rules", "--json"]),
        ("compare", &["compare", "own.rules", "own.rules", "--json"]),
    ];
    for (name, words) in tried {
        let schema = serde_json::from_str(&faultbook(folder.path(), &["provide", "schema", name], b"").out).unwrap();
        let run = faultbook(folder.path(), words, b"q\n");
        let document: Value = serde_json::from_str(&run.out).unwrap_or_else(|e| panic!("{words:?}: {e}: {}{}", run.out, run.err));
        jsonschema::validator_for(&schema).unwrap().validate(&document).unwrap_or_else(|e| panic!("{words:?}: {e}"));
        assert!(!jsonschema::is_valid(&schema, &serde_json::json!({ "schema": 1 })), "{name}: a schema that takes anything holds nothing");
    }
}

/// A shell asks the program, which knows the names of the book: what a line of it may end in.
#[test]
fn shells_are_offered_the_names_of_the_book() {
    let folder = folder(&[("own/own.rules", OLD.as_bytes()), ("faultbook.toml", b"")]);
    let offered = |words: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_faultbook"));
        command.arg("--").args(words).current_dir(folder.path()).env("COMPLETE", "fish");
        String::from_utf8(command.output().unwrap().stdout).unwrap()
    };
    assert!(offered(&["faultbook", "plan", "--symptom", "low-p"]).lines().any(|l| l.starts_with("low-power\t")), "with its title");
    assert!(offered(&["faultbook", "plan", "--sign", "charge-hose="]).lines().any(|l| l.starts_with("charge-hose=split")));
    assert!(offered(&["faultbook", "explain", "charge-hose-sp"]).contains("charge-hose-split"));
    assert!(offered(&["faultbook", "explain", "FB20"]).contains("FB201"));
    assert!(!offered(&["faultbook", "plan", "--trait", "charge"]).contains("charge-hose"));
    // the rules that the settings name are the book here
    std::fs::write(folder.path().join("faultbook.toml"), "rules = [\"own\"]\n").unwrap();
    assert_eq!(offered(&["faultbook", "plan", "--symptom", "low-p"]), "");
    assert!(offered(&["faultbook", "explain", "mir"]).starts_with("mirror\t"));
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let run = faultbook(folder.path(), &["provide", "completions", shell], b"");
        assert!(run.status == 0 && run.out.contains("COMPLETE") && run.out.contains("faultbook"), "{shell}: {}{}", run.out, run.err);
    }
}
