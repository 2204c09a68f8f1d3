//! What people and scripts see of logged drives.

use super::CHANNELS;
use crate::run::{Done, faultbook, faultbook_at, scratch};
use std::path::{Path, PathBuf};

const LOG: &str = "examples/harbour-garage/logs/estate-weak-uphill.csv";
const REAL: &str = "examples/logs/cold-start-drive.csv";
const OWN: &str = r#"
trait diesel "Diesel engine"
  excludes petrol
trait petrol "Petrol engine"
reading boost-2500 "Boost over ambient, full load at 2500 rpm"
  unit kPa
  from manifold-pressure - ambient-pressure while rpm 2300 to 2700 and pedal above 90 for 2 s take median
  band healthy 80 to 140
  band low below 80
  band high above 140
  when diesel
reading idle-speed "Idle speed, warm"
  unit rpm
  accurate 20 rpm
  from rpm while speed below 2 and pedal below 20 and coolant above 70 for 5 s
  band healthy 600 to 800
  band high above 800
  band low below 600
reading idle-vacuum "Manifold pressure at warm idle"
  unit kPa
  from manifold-pressure while rpm 500 to 1000 and speed below 2 for 5 s
  band healthy below 45
  band high above 45
  when petrol
reading rail-idle "Rail pressure at idle"
  unit bar
  from rail-pressure while rpm 600 to 900 for 5 s
  band healthy 200 to 400
  band off below 200, above 400
reading motorway "Charge pressure on the motorway"
  unit kPa
  from manifold-pressure while speed above 120 for 10 s
  band healthy above 110
  band low below 110
reading long-pull "Air at full load for a minute"
  unit g/s
  from air-flow while pedal above 90 for 60 s take mean
  band healthy above 60
  band low below 60
"#;

fn rules(name: &str) -> PathBuf {
    let folder = scratch(name);
    std::fs::write(folder.join("own.rules"), format!("{CHANNELS}{OWN}")).unwrap();
    folder
}

fn readings(columns: usize, rules: &Path, rest: &[&str]) -> Done {
    let done = faultbook_at(columns, &[&["readings", "--rules", rules.to_str().unwrap()], rest].concat());
    assert_eq!(done.status, 0, "{}", done.err);
    let widest = done.out.lines().map(|l| l.chars().count()).max().unwrap_or(0);
    assert!(rest.contains(&"--json") || widest <= columns, "a line of {widest} at {columns} columns\n{}", done.out);
    done
}

#[test]
fn pages_of_a_drive() {
    let rules = rules("readings-pages");
    for columns in [100, 40] {
        insta::assert_snapshot!(format!("drive-{columns}"), readings(columns, &rules, &[LOG, "--trait", "diesel"]).out);
        insta::assert_snapshot!(format!("drive-unknown-{columns}"), readings(columns, &rules, &[REAL]).out);
    }
}

#[test]
fn charts_of_a_drive() {
    let rules = rules("readings-charts");
    for columns in [100, 40] {
        insta::assert_snapshot!(format!("chart-reading-{columns}"), readings(columns, &rules, &[LOG, "--chart", "boost-2500"]).out);
        insta::assert_snapshot!(format!("chart-channel-{columns}"), readings(columns, &rules, &[REAL, "--chart", "coolant"]).out);
    }
}

#[test]
fn a_chart_as_svg_has_its_bands_shaded_and_named() {
    let rules = rules("readings-svg");
    let file = rules.join("boost.svg");
    readings(100, &rules, &[LOG, "--chart", "boost-2500", "--svg", file.to_str().unwrap()]);
    let svg = std::fs::read_to_string(&file).unwrap();
    insta::assert_snapshot!("svg-without-its-curve", svg.lines().filter(|l| !l.contains("stroke-linejoin")).collect::<Vec<_>>().join("\n"));
    assert!(svg.contains("<title>Boost over ambient, full load at 2500 rpm, kPa</title>") && svg.contains("role=\"img\""));
    for band in ["healthy", "low"] {
        assert!(svg.contains(&format!(">{band}</text>")), "{band} is not named");
    }
    assert_eq!(svg.matches("height=\"6\"").count(), 2, "two stretches in which it was taken");
}

#[test]
fn the_document_keeps_to_its_schema() {
    let rules = rules("readings-json");
    let done = readings(100, &rules, &[LOG, REAL, "--trait", "diesel", "--json"]);
    let document: serde_json::Value = serde_json::from_str(&done.out).unwrap();
    let schema: serde_json::Value = serde_json::from_str(&faultbook(&["provide", "schema", "readings"]).out).unwrap();
    if let Err(error) = jsonschema::validate(&schema, &document) {
        panic!("{error} at {}", error.instance_path());
    }
    assert_eq!(document["schema"], 1);
    let log = &document["logs"][0];
    assert_eq!(log["readings"]["boost-2500"]["state"], "low");
    assert!(log["readings"]["boost-2500"]["samples"].as_u64().unwrap() > 100);
    assert!(log["readings"].get("idle-vacuum").is_none(), "a diesel has none");
    assert_eq!(log["not_enough_data"]["rail-idle"]["reason"], "no_channel");
    assert_eq!(log["not_enough_data"]["motorway"]["reason"], "out_of_reach");
    assert_eq!(log["not_enough_data"]["long-pull"]["reason"], "too_short");
    assert_eq!(document["logs"][1]["rows"], 8903);
    let unknown = readings(100, &rules, &[LOG, "--json"]);
    let unknown: serde_json::Value = serde_json::from_str(&unknown.out).unwrap();
    let vacuum = &unknown["logs"][0]["readings"]["idle-vacuum"];
    assert_eq!((&vacuum["state"], &vacuum["unknown_traits"][0]), (&serde_json::Value::Null, &serde_json::json!("petrol")));
}

#[test]
fn a_log_can_come_through_a_pipe() {
    use std::process::{Command, Stdio};
    let rules = rules("readings-pipe");
    let log = std::fs::File::open(crate::run::root().join(LOG)).unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_faultbook"));
    command.args(["readings", "-", "--json", "--rules", rules.to_str().unwrap()]).stdin(Stdio::from(log));
    let output = command.output().unwrap();
    assert!(output.status.success() && String::from_utf8_lossy(&output.stdout).contains("\"rows\": 1251"));
}

#[test]
fn nothing_in_a_log_can_drive_a_terminal_or_a_page() {
    let rules = rules("readings-harmless");
    let log = rules.join("evil.csv");
    let row = "Time,RPM,\x1b[2J\x1b]0;owned\x07Fuel,<script>alert(1)</script>,\u{202E}desrever\n";
    std::fs::write(&log, format!("{row}0.0,800,1,2,3\n0.1,\x1b[31m,1,2,3\n\x1b[5m,,,,\n0.2,810,1,2,3\n")).unwrap();
    let log = log.to_str().unwrap();
    for rest in [&[log][..], &[log, "--json"], &[log, "--chart", "rpm"]] {
        let done = readings(100, &rules, rest);
        assert!(!done.out.contains(['\x1b', '\x07', '\u{202E}']), "{}", done.out.escape_debug());
    }
    let own = "channel rpm \"<script>alert(1)</script> & Co\"\n  unit rpm\n  heading \"RPM\"\n";
    std::fs::write(rules.join("own.rules"), own).unwrap();
    let svg = rules.join("c.svg");
    readings(100, &rules, &[log, "--chart", "rpm", "--svg", svg.to_str().unwrap()]);
    let svg = std::fs::read_to_string(svg).unwrap();
    assert!(svg.contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; Co") && !svg.contains("<script"), "{svg}");
}

#[test]
fn what_cannot_be_used_is_said() {
    let rules = rules("readings-mistakes");
    let said = |rest: &[&str]| {
        let done = faultbook(&[&["readings", "--rules", rules.to_str().unwrap()], rest].concat());
        assert_eq!((done.status, done.out.as_str()), (2, ""), "{rest:?}");
        done.err
    };
    let broken = rules.join("broken.csv");
    std::fs::write(&broken, "once upon a time\n").unwrap();
    let lines = [
        said(&["no-such-log.csv"]),
        said(&[broken.to_str().unwrap()]).replace(rules.to_str().unwrap(), "FOLDER"),
        said(&[LOG, "--chart", "boost-2600"]),
        said(&[LOG, "--chart", "rail-pressure"]),
        said(&[LOG, REAL, "--chart", "rpm", "--svg", "x.svg"]),
        said(&[LOG, "--trait", "diesle"]),
    ];
    insta::assert_snapshot!("mistakes", lines.join("\n"));
}

/// A sheet beside a log, and what `weigh` takes from both.
fn weighed(name: &str, sheet: &str) -> Done {
    let folder = scratch(name);
    std::fs::copy(crate::run::root().join(LOG), folder.join("drive.csv")).unwrap();
    let file = folder.join("job.toml");
    std::fs::write(&file, sheet).unwrap();
    faultbook(&["weigh", file.to_str().unwrap()])
}

#[test]
fn a_sheet_takes_its_readings_from_its_logs() {
    let vehicle = "[vehicle]\nfitted = [\"diesel\", \"turbo\"]\n";
    let from_log = weighed("readings-sheet", &format!("logs = [\"drive.csv\"]\n{vehicle}"));
    assert_eq!(from_log.status, 0, "{}", from_log.err);
    assert!(from_log.out.contains("full load, 1900 to 3000 rpm, diesel: 27 kPa (low)"), "{}", from_log.out);
    let by_hand = weighed("readings-by-hand", &format!("logs = [\"drive.csv\"]\n{vehicle}[readings]\nboost-2500 = \"95 kPa\"\n"));
    assert!(by_hand.out.contains("95 kPa (healthy)") && !by_hand.out.contains("27 kPa"), "{}", by_hand.out);
    let not_said = weighed("readings-not-said", "logs = [\"drive.csv\"]\n");
    assert!(!not_said.out.contains("full load, 1900 to 3000 rpm"), "of an unknown vehicle nothing is judged\n{}", not_said.out);
    let gone = weighed("readings-gone", "logs = [\"other.csv\"]\n");
    assert!(gone.status == 2 && gone.err.contains("other.csv`") && gone.err.contains("`logs` of the sheet"), "{}", gone.err);
}
