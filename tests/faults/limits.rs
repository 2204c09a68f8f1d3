//! Each limit has a number, and a message that says it; what is just below it comes out in bearable time. docs/reliability.md lists them.

use super::Bench;
use super::doors::{refused, run};
use faultbook::book::{FindingKind, Headed};
use std::fmt::Write;

/// Some text for each number.
fn many(n: usize, line: impl Fn(usize) -> String) -> String {
    (0..n).fold(String::new(), |mut all, i| {
        all.push_str(&line(i));
        all
    })
}

#[test]
fn a_sheet_holds_so_much() {
    let bench = Bench::new();
    bench.write("words.toml", format!("[complaint]\nwords = \"{}\"\n", "no power ".repeat(120_000)));
    refused(&bench, &["plan", "words.toml"], &["[complaint] words: 1080000 characters, and 20000 are the most"]);
    bench.write("codes.toml", format!("[scan]\ncodes = [{}]\n", "\"P0299\", ".repeat(10_001)));
    refused(&bench, &["weigh", "codes.toml"], &["[scan] codes: 10001 codes, and 10000 are the most"]);
    bench.write("answers", format!("n {}\n", "x".repeat(10_001)));
    refused(&bench, &["walk", "job.toml", "--answers", "answers"], &["answers: line 1 is longer than 10000 characters"]);
    bench.write("just.toml", format!("[complaint]\nwords = \"{}\"\n", "no power ".repeat(2000)));
    assert_eq!(run(&bench, &["weigh", "just.toml", "--rules", "garage.rules"]).status, 0);
}

/// A scan of every code that the book ties to something: what 900 of them push one cause by is smaller than the smallest number, so that no sample
/// counted, and the search for the code that contradicts the others took a sample of all of it for each.
#[test]
fn a_scan_of_every_code_is_answered_with_an_estimate() {
    let bench = Bench::new();
    let book = crate::shipped();
    let codes: Vec<String> =
        book.findings.iter().filter(|(_, f)| matches!(f.kind, FindingKind::Code(_))).map(|(_, f)| format!("\"{}\"", f.name())).collect();
    assert!(codes.len() > 600, "{}", codes.len());
    bench.write("all.toml", format!("[scan]\ncodes = [{}]\n", codes.join(", ")));
    let done = run(&bench, &["weigh", "all.toml"]);
    assert_eq!(done.status, 0, "{}", done.err);
    assert!(done.out.contains("Too much is open for an exact answer"), "{}", done.out);
}

#[test]
fn a_clause_holds_so_much() {
    let bench = Bench::new();
    let sum = |terms: usize| {
        let sum = vec!["rpm"; terms].join(" + ");
        format!(
            "book b \"B\"\nchannel rpm \"Speed\"\n  unit rpm\n  heading \"RPM\"\nreading r \"R\"\n  unit rpm\n  from {sum}\n  band low below 5\n  band high 5 and above\n"
        )
    };
    // twice the work for each term more, before
    bench.write("sum.rules", sum(600));
    let done = run(&bench, &["lint", "sum.rules"]);
    assert!(done.status < 2, "{}", done.err);
    for (rules, words) in [
        (sum(1000), "4000 characters at most"),
        (format!("sign s \"S\"\n  states {}\n", many(101, |i| format!("s{i}, ")).trim_end_matches(", ")), "100 at most"),
        (format!("sign s \"S\"\n  when {}a{}\n", "(".repeat(33), ")".repeat(33)), "32 within each other at most"),
    ] {
        bench.write("much.rules", rules);
        let done = run(&bench, &["lint", "much.rules"]);
        assert!(done.status == 1 && done.out.contains(words), "{}{}", done.out, done.err);
    }
}

/// A network of 100 causes for each of 40 findings with 100 states: written down it would take gigabytes.
#[test]
fn a_network_too_large_to_write_is_refused_with_its_size() {
    let bench = Bench::new();
    let states: String = many(100, |i| format!("s{i}, ")).trim_end_matches(", ").into();
    let mut rules = String::from("book b \"B\"\n  stray 1 %\n");
    (0..40).for_each(|f| writeln!(rules, "sign f{f} \"F{f}\"\n  states {states}").unwrap());
    for c in 0..100 {
        writeln!(rules, "cause c{c} \"C{c}\"\n  prior 1 %\n{}", many(40, |f| format!("  shows f{f} s1 50 %\n"))).unwrap();
    }
    bench.write("wide.rules", rules);
    let words = ["graph", "--rules", "wide.rules", "--sign", "f0=s1"];
    refused(&bench, &[&words[..], &["--whole"]].concat(), &["numbers to write down, and 2000000 are the most"]);
    assert_eq!(run(&bench, &["graph", "--rules", "garage.rules", "--whole", "--symptom", "no-pull"]).status, 0);
}

#[test]
fn many_bad_lines_are_summarised() {
    let bench = Bench::new();
    bench.write("bad.rules", many(100_000, |i| format!("nonsense {i}\n")));
    for words in [&["plan", "job.toml", "--rules", "bad.rules"][..], &["fmt", "bad.rules"], &["tally", "job.toml", "--rules", "bad.rules"]]
    {
        let done = run(&bench, words);
        assert!(
            done.err.len() < 20_000 && done.err.contains("and 99980 more: `faultbook lint` shows them"),
            "{words:?}: {}",
            done.err.len()
        );
    }
    let done = run(&bench, &["lint", "bad.rules", "--most", "0", "--json"]);
    assert_eq!((done.status, done.out.matches("\"FB002\"").count()), (1, 100_000), "all of them where all are asked for");
}

/// The square of the number of lines took minutes.
#[test]
fn long_files_and_long_chains_come_out() {
    let bench = Bench::new();
    bench.write("notes.rules", format!("tool a \"A\"\n{}", " note   \"n\"\n".repeat(90_000)));
    bench.write("blocks.rules", many(20_000, |i| format!("tool t{i}   \"T{i}\"\n")));
    assert_eq!(run(&bench, &["fmt", "notes.rules", "blocks.rules"]).status, 0);
    assert_eq!(bench.text("notes.rules"), format!("tool a \"A\"\n{}", "  note  \"n\"\n".repeat(90_000)));
    bench.write("notes.rules", format!("tool a \"A\"\n{}", " note   \"n\"\n".repeat(90_000)));
    assert!(run(&bench, &["fmt", "notes.rules", "--check"]).out.contains("the first difference is in line 2"));
    let chain = |kind: &str, clause: &str, more: &str| {
        let link = |i: usize| {
            if i == 0 { String::new() } else { format!("  {clause} x{}{}\n", i - 1, if clause == "brings" { " 50 %" } else { "" }) }
        };
        format!("book b \"B\"\n{}", many(5000, |i| format!("{kind} x{i} \"X{i}\"\n{more}{}", link(i))))
    };
    bench.write("access.rules", chain("access", "access", "  takes 1 min\n"));
    bench.write("brings.rules", chain("cause", "brings", "  prior 1 %\n"));
    for name in ["access.rules", "brings.rules"] {
        let done = run(&bench, &["lint", name, "--most", "1"]);
        assert!(done.status < 2, "{name}: {}", done.err);
    }
}

/// However slight a strength is, what it alone explains is explained by it; and no probability lies above one.
#[test]
fn slight_strengths_count_and_probabilities_end_at_one() {
    let bench = Bench::new();
    for strength in ["1e-3", "1e-15", "1e-30", "1e-300"] {
        bench.write("tiny.rules", format!("book b \"B\"\nsymptom s \"S\"\ncause c \"C\"\n  prior 1 %\n  shows s {strength} %\n"));
        let done = run(&bench, &["weigh", "--rules", "tiny.rules", "--symptom", "s", "--json"]);
        let document: serde_json::Value = serde_json::from_str(&done.out).unwrap_or_else(|e| panic!("{strength}: {e}: {}", done.err));
        assert_eq!(document["causes"]["c"], 1.0, "{strength}: {document}");
    }
    /// All numbers in a value.
    fn numbers(value: &serde_json::Value) -> Vec<f64> {
        match value {
            serde_json::Value::Object(map) => map.values().flat_map(numbers).collect(),
            other => other.as_f64().into_iter().collect(),
        }
    }
    for causes in (1..40).step_by(3) {
        let rules = many(causes, |c| format!("cause c{c} \"C{c}\"\n  prior {}.3 %\n  shows s 99.9 %\n  shows t{} 97 %\n", c % 7, c % 3));
        let signs = many(3, |t| format!("symptom t{t} \"T{t}\"\n  stray 0.1 %\n"));
        bench.write("many.rules", format!("book b \"B\"\nsymptom s \"S\"\n{signs}{rules}"));
        let done = run(&bench, &["weigh", "--rules", "many.rules", "--symptom", "s", "--symptom", "t0", "--json"]);
        let document: serde_json::Value = serde_json::from_str(&done.out).unwrap_or_else(|e| panic!("{e}: {}", done.err));
        let found = [numbers(&document["causes"]), numbers(&document["findings"])].concat();
        assert!(!found.is_empty() && found.iter().all(|p| (0.0..=1.0).contains(p)), "{found:?}");
    }
}

/// A name that drives a terminal, and one that looks like a message.
#[test]
fn names_of_files_come_out_harmless() {
    let bench = Bench::new();
    std::fs::create_dir(bench.file("rules")).unwrap();
    let name = "rules/a\u{1b}]0;owned\u{7}\n::error::x\u{202e}.rules";
    bench.write(name, "cause c \"C\n");
    bench.write("job\u{1b}[31m.toml", "");
    for words in [
        &["lint", "rules"][..],
        &["lint", "rules", "--json"],
        &["lint", "rules", "--format", "sarif"],
        &["lint", "rules", "--format", "annotations"],
        &["fmt", "rules"],
        &["fmt", "rules", "--check", "--json"],
        &["test", "rules"],
        &["plan", "job.toml", "--rules", "rules"],
        &["plan", "job\u{1b}[31m.toml", "--rules", "garage.rules"],
        &["plan", "lost\u{1b}[31m.toml"],
        &["report", "job\u{1b}[31m.toml", "--rules", "garage.rules", "--out", "lost\u{1b}[31m/x"],
        &["tally", "job\u{1b}[31m.toml", "--rules", "garage.rules"],
    ] {
        let done = run(&bench, words);
        let all = done.out + &done.err;
        assert!(!all.contains('\u{1b}') && !all.contains('\u{7}') && !all.contains('\u{202e}'), "{words:?}: {all:?}");
        assert!(!all.contains("\n::error::x"), "{words:?}: {all:?}");
    }
}
