//! Closed jobs counted, and what the workshop's own rules should say.

mod intervals;
mod pages;

use crate::run::scratch;
use std::path::PathBuf;

/// A small book: a root that brings about another cause, a finding of three states, one of two.
const RULES: &str = r#"
book barn "Barn"
trait tractor "Tractor"
trait trailer "Trailer"
symptom slow-lift "Lifts slowly"
sign filter "Return filter"
  states clean, grey, metal
  stray grey 1 %, metal 0.1 %
sign hose "Suction hose"
  states tight, loose
  stray 0.5 %
cause hose-loose "Suction hose loose"
  prior 3 %
  shows slow-lift 60 %
  shows hose 90 %
  brings pump-worn 30 %
cause pump-worn "Pump worn"
  prior 1 %
  shows slow-lift 80 %
  shows filter grey 40 %, metal 20 %
cause axle-dry "Axle dry"
  when trailer
  prior 2 %
  shows slow-lift 5 %
access floor "Floor plate off"
  takes 10 min
check look-hose "Look at the hose"
  takes 5 min
  reveals hose
check open-filter "Open the filter"
  takes 15 min
  access floor
  reveals filter
fix clamp-hose "Renew the clamps"
  takes 20 min
  cures hose-loose
  proof hose tight
fix renew-pump "Renew the pump"
  takes 120 min
  parts 300
  access floor
  cures pump-worn
  proof filter clean
"#;

/// The workshop's own rules.
const OWN: &str = "# Our own.\nbook own \"Own\"\n  over barn\n\namend   cause hose-loose   # seen a lot\n   prior 5 %\n";

/// Answers of a walk as a journal, a quarter of an hour apart.
fn journal(answers: &[(&str, &str)]) -> String {
    let entry = |(i, (ask, answer)): (usize, &(&str, &str))| {
        let (hour, minute) = (8 + i / 4, i % 4 * 15);
        format!(
            "[[journal]]\nat = \"2026-03-02T{hour:02}:{minute:02}:00Z\"\nbook = \"0a1b2c3d4e5f\"\nask = \"{ask}\"\nanswer = \"{answer}\"\n"
        )
    };
    answers.iter().enumerate().map(entry).collect()
}

fn closed(day: &str, causes: &str, cured: bool) -> String {
    format!("[closed]\nday = \"{day}\"\ncauses = [{causes}]\ncured = {cured}\n")
}

/// A folder with the rules, jobs that are closed, and one that is still open.
fn barn(name: &str) -> PathBuf {
    let folder = scratch(name);
    let head = "[vehicle]\nfitted = [\"tractor\"]\nnot-fitted = [\"trailer\"]\n[complaint]\nyes = [\"slow-lift\"]\n";
    let hose = journal(&[("do:look-hose", "done"), ("find:hose", "loose"), ("do:clamp-hose", "done"), ("proof:hose", "tight")]);
    let pump = journal(&[("do:look-hose", "done"), ("find:hose", "tight"), ("do:open-filter", "done"), ("find:filter", "metal")]);
    let both = journal(&[("do:look-hose", "done"), ("find:hose", "loose"), ("do:open-filter", "done"), ("find:filter", "grey")]);
    let jobs = [
        ("a", format!("{head}{hose}{}", closed("2026-01-12", "\"hose-loose\"", true))),
        ("b", format!("{head}{pump}{}", closed("2026-02-03", "\"pump-worn\"", true))),
        ("c", format!("{head}{both}{}", closed("2026-03-02", "\"hose-loose\", \"pump-worn\"", true))),
        ("d", format!("{head}{hose}{}", closed("2025-12-20", "\"hose-loose\"", true))),
        ("e", format!("{head}{}", closed("2026-02-14", "", false))),
        ("f", head.to_string()),
        ("h", format!("{head}{pump}{}", closed("2026-02-20", "\"pump-worn\"", true))),
        ("i", format!("{head}{pump}{}", closed("2026-02-27", "\"pump-worn\"", true))),
        ("g", format!("{head}{}", closed("2026-02-15", "\"valve-stuck\"", true))),
    ];
    std::fs::create_dir(folder.join("jobs")).unwrap();
    for (name, text) in jobs {
        std::fs::write(folder.join(format!("jobs/{name}.toml")), text).unwrap();
    }
    std::fs::write(folder.join("barn.rules"), RULES).unwrap();
    std::fs::write(folder.join("own.rules"), OWN).unwrap();
    folder
}
