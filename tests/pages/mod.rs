//! Golden pages: what people see, at 100 and at 40 columns.

use crate::run::{faultbook, faultbook_at, scratch};

const JOBS: &[&str] = &["van-no-pull", "estate-hunting-idle", "hatchback-flat-again"];

fn sheet(job: &str) -> String {
    format!("examples/harbour-garage/jobs/{job}.toml")
}

#[test]
fn plans_of_the_example_jobs() {
    for job in JOBS {
        for columns in [100, 40] {
            let done = faultbook_at(columns, &["plan", &sheet(job)]);
            assert_eq!(done.status, 0, "{}", done.err);
            let widest = done.out.lines().map(|l| l.chars().count()).max().unwrap_or(0);
            assert!(widest <= columns, "{job}: a line of {widest} at {columns} columns");
            insta::assert_snapshot!(format!("plan-{job}-{columns}"), done.out);
        }
    }
}

#[test]
fn weights_of_an_example_job() {
    for columns in [100, 40] {
        let done = faultbook_at(columns, &["weigh", &sheet("van-no-pull")]);
        insta::assert_snapshot!(format!("weigh-van-no-pull-{columns}"), done.out);
    }
}

#[test]
fn the_network_of_a_job() {
    let folder = scratch("graph");
    std::fs::write(folder.join("fan.rules"), FAN).unwrap();
    let rules = folder.to_str().unwrap();
    for format in ["bif", "dot"] {
        let seen = ["--symptom", "runs-hot", "--reading", "coolant=104 °C", "--format", format];
        let done = faultbook(&[&["graph", "--rules", rules][..], &seen].concat());
        assert_eq!(done.status, 0, "{}", done.err);
        insta::assert_snapshot!(format!("graph-{format}"), done.out);
    }
    let whole = faultbook(&["graph", "--rules", rules, "--whole", "--format", "dot"]);
    assert!(whole.out.contains("Fan fuse") && whole.out.contains("Horn"), "{}", whole.out);
}

/// A chain of causes, a finding with two of them, a reading near its limit, and what has nothing to do with it.
const FAN: &str = r#"book fan "Fan"
symptom runs-hot "Runs hot in traffic"
  stray 1 %
symptom horn "Horn silent"
reading coolant "Coolant temperature"
  unit °C
  accurate 4 °C
  band ok 80 to 105
  band high above 105
  band low below 80
  stray high 1 %, low 1 %
cause fuse "Fan fuse blown"
  prior 1 %
  shows horn 50 %
  brings fan 95 %
cause fan "Fan \"stands\""
  prior 2 %
  shows runs-hot 80 %
  shows coolant high 60 %
cause thermostat "Thermostat stuck open"
  prior 2 %
  shows coolant low 90 %
cause radiator "Radiator clogged"
  prior 0.5 %
  shows runs-hot 60 %
  shows coolant high 40 %
"#;

#[test]
fn a_network_needs_a_job_and_a_format_that_exist() {
    let bad = faultbook(&["graph", "--format", "xml"]);
    assert_eq!((bad.status, bad.out.as_str()), (2, ""));
    assert!(bad.err.contains("`xml`") || bad.err.contains("'xml'"), "{}", bad.err);
    assert!(bad.err.contains("bif") && bad.err.contains("dot"));
    let none = faultbook(&["graph", "no-such-job.toml"]);
    assert_eq!((none.status, none.out.as_str()), (2, ""));
    assert!(none.err.contains("`no-such-job.toml`"), "{}", none.err);
    let wrong = faultbook(&["graph", "--code", "P299"]);
    assert_eq!((wrong.status, wrong.out.as_str()), (2, ""));
    assert!(wrong.err.contains("P299"), "{}", wrong.err);
}

#[test]
fn explanations() {
    for name in ["charge-hose-split", "filter-pressure-3000", "P0299", "P1234", "exhaust-in-cabin"] {
        let done = faultbook(&["explain", name]);
        assert_eq!(done.status, 0, "{}", done.err);
        insta::assert_snapshot!(format!("explain-{name}"), done.out);
    }
}

#[test]
fn remarks_on_broken_rules() {
    let folder = scratch("broken");
    std::fs::write(folder.join("broken.rules"), BROKEN).unwrap();
    for columns in [100, 40] {
        let done = faultbook_at(columns, &["lint", folder.to_str().unwrap()]);
        assert_eq!(done.status, 1);
        let page = done.out.replace(folder.to_str().unwrap(), "FOLDER");
        insta::assert_snapshot!(format!("lint-broken-{columns}"), format!("{page}{}", done.err));
    }
}

/// One mistake of each sort that a beginner makes.
const BROKEN: &str = r#"book mine "Mine"
symptom no-pull "No pull"
  heard "gutless
reading boost "Boost"
  unit kPa
  band ok 80 to 140
  band low below 75
  band high above 130
cause hose "Hose split"
  pror common
  shows boost lo usually
  shows no-pul oftn
  shows P0299 120 %
  brings vanes usually
cause vanes "Vanes stick"
  prior rare
  brings hose seldom
  parts 4
check look "Look"
  takes 5
  reveals boost
fixx renew "Renew"
  cures hose
"#;

#[test]
fn mistakes_in_evidence_come_out_at_once() {
    let done =
        faultbook(&["weigh", "--code", "P299", "--symptom", "low-powr", "--reading", "filter-pressure-idle=7 V", "--trait", "turbos"]);
    assert_eq!(done.status, 2);
    assert_eq!(done.out, "");
    insta::assert_snapshot!("mistakes-in-evidence", done.err);
}
