//! A generated book with the mix of blocks and clauses that the book that ships has, and as good as no remarks.

use std::fmt::Write;

/// Lines of one system of [`system`].
const SYSTEM: usize = 147;

/// Files of systems, one each for ten systems, together about so many lines.
pub fn files(lines: usize) -> Vec<(String, String)> {
    let mut files = vec![("common.rules".to_string(), COMMON.to_string())];
    let systems: Vec<usize> = (0..=lines / SYSTEM).collect();
    for (at, ten) in systems.chunks(10).enumerate() {
        let mut text = String::new();
        ten.iter().for_each(|i| system(&mut text, *i));
        files.push((format!("systems-{at}.rules"), text));
    }
    files
}

const COMMON: &str = "\
book large \"A large book\"
  edition   1
  version   \"1\"
  reviewed  2026-11-25
  keeper    \"a bench\"
  stray     0.4 %
source notebook \"A notebook\"
trait diesel \"Diesel engine\"
  ask       \"Is it a diesel?\"
  excludes  petrol
trait petrol \"Petrol engine\"
  ask       \"Is it a petrol engine?\"
  excludes  diesel
trait turbo \"Turbocharger\"
  ask  \"Does it have a turbocharger?\"
hazard hot-engine \"Hot engine parts\"
  level  care
  do     \"Gloves.\"
access bonnet-open \"Bonnet open\"
  takes  1 min
access cover-off \"Engine cover off\"
  takes   3 min
  access  bonnet-open
tool meter \"Multimeter\"
aftercare clear-codes \"Clear the codes\"
  takes  2 min
";

/// One system: what a technician sees of it, four causes, three checks, three fixes.
fn system(out: &mut String, i: usize) {
    let when = ["diesel", "petrol", "turbo", "turbo and diesel", "petrol or turbo"][i % 5];
    writeln!(out, "\n# System {i}").unwrap();
    writeln!(out, "symptom symptom-{i} \"Symptom {i}\"\n  ask    \"Is there symptom {i}?\"\n  heard  \"words {i}\", \"other words {i}\"\n  stray  0.7 %").unwrap();
    for s in 0..3 {
        writeln!(out, "\nsign sign-{i}-{s} \"Sign {s} of system {i}\"\n  states  sound, worn, broken\n  when    {when}").unwrap();
    }
    for r in 0..2 {
        writeln!(out, "\nreading reading-{i}-{r} \"Reading {r} of system {i}\"\n  unit      kPa\n  accurate  3 %").unwrap();
        writeln!(out, "  band      healthy  80 to 140\n  band      low      below 80\n  band      high     above 140").unwrap();
        writeln!(out, "  when      {when}\n  source    notebook\n  note      \"Full load at 2500 rpm; the maker's figure comes first.\"")
            .unwrap();
    }
    for c in 0..4 {
        cause(out, i, c, when);
    }
    for k in 0..3 {
        writeln!(out, "\ncheck check-{i}-{k} \"Check {k} of system {i}\"\n  takes    {} min\n  access   cover-off", 5 + k).unwrap();
        writeln!(out, "  tool     meter\n  reveals  sign-{i}-{k}, reading-{i}-{}\n  hazard   hot-engine\n  when     {when}", k % 2)
            .unwrap();
        writeln!(out, "  do       \"Look at it from below as well: number {k} of system {i}.\"").unwrap();
    }
    for f in 0..4 {
        writeln!(out, "\nfix fix-{i}-{f} \"Fix {f} of system {i}\"\n  takes   {} min\n  parts   {}\n  access  cover-off", 20 + f, 30 + f)
            .unwrap();
        writeln!(out, "  cures   cause-{i}-{f}\n  proof   sign-{i}-{}\n  then    clear-codes\n  when    {when}", f % 3).unwrap();
    }
}

fn cause(out: &mut String, i: usize, c: usize, when: &str) {
    writeln!(
        out,
        "\ncause cause-{i}-{c} \"Cause {c} of system {i}\"\n  when    {when}\n  prior   {}",
        ["common", "occasional", "rare"][c % 3]
    )
    .unwrap();
    writeln!(out, "  shows   P0{:03X}            usually\n  shows   symptom-{i}        often", 0x100 + (7 * i + c) % 0x300).unwrap();
    if (1..=i).contains(&c) {
        writeln!(out, "  shows   symptom-{}        seldom", i - c).unwrap();
    }
    for s in 0..3 {
        writeln!(out, "  shows   sign-{i}-{s}       worn {}, broken {} %", ["often", "seldom", "rarely"][(s + c) % 3], 3 + c).unwrap();
    }
    writeln!(out, "  shows   reading-{i}-{}    low {}, high {}", c % 2, ["often", "usually"][c / 2], ["seldom", "rarely"][c / 2]).unwrap();
    if c > 0 {
        writeln!(out, "  brings  cause-{i}-{}  occasionally", c - 1).unwrap();
    }
}
