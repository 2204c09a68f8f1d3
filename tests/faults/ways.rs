//! The bodies of the fuzz targets, run on stable over mutated seeds: `FAULTBOOK_MUTANTS` sets how many of each.

use super::made_up::Dice;
use crate::run::root;
use faultbook::book::shipped;

#[path = "../../fuzz/ways.rs"]
mod bodies;

use bodies::{RULES, Seeds, WAYS};

/// Words of the language, of sheets, of keys and of logs, put in where a byte alone would hardly make them.
const WORDS: &[&str] = &[
    "\n",
    " ",
    "\"",
    "#",
    "\\\n",
    "[[journal]]\n",
    "[closed]\n",
    "answer = ",
    "= \"",
    "cause x \"X\"\n",
    "  shows ",
    "  brings ",
    "prior 5 %",
    "1e300",
    "-1",
    "NaN",
    "0",
    "1",
    "2",
    "9",
    "x",
    "b",
    "P0299",
    "102.4 kPa",
    ",",
    ";",
    "\t",
    "\u{0}",
    "\u{FFFD}",
    "\u{202E}",
    "汽",
    "back\n",
    "symptom:no-pull yes\n",
    "do:look-hose done\n",
    "find:hose split\n",
    "fix:renew-hose done\n",
    "gone yes\n",
    "note ",
    "--rules",
    "--",
    "amend ",
];

fn seeds(kind: Seeds) -> Vec<Vec<u8>> {
    let text = |list: &[&str]| list.iter().map(|t| t.as_bytes().to_vec()).collect::<Vec<_>>();
    match kind {
        Seeds::Rules => {
            shipped::files().iter().filter(|(_, t)| t.len() < 6000).map(|(_, t)| t.as_bytes().to_vec()).chain(text(&[RULES])).collect()
        }
        Seeds::Cases => shipped::cases().iter().step_by(9).map(|(_, t)| t.as_bytes().to_vec()).collect(),
        Seeds::Sheets => {
            let folder = root().join("examples/harbour-garage/jobs");
            std::fs::read_dir(folder).unwrap().map(|e| std::fs::read(e.unwrap().path()).unwrap()).collect()
        }
        Seeds::Answers => text(&[
            "it is gutless\n0\n0\n1\n0\n1\n1\n2\n1\n79\n104\n1\n1\n3\n1\n",
            "danger:fumes safe\ncomplaint it is gutless\nsymptom:no-pull yes\ncodes P0299\nscan yes\ndo:look-hose done\nfind:hose split\nback \n",
            "P0299 P0401\n96 kPa\n1.04 bar\n1 2\n-1\nw\nq\n",
        ]),
        Seeds::Logs => text(&[
            "Time (s),Engine RPM (rpm),Manifold pressure (kPa)\n0,2500,150\n1,2510,151\n2,2490,152\n3,2500,150\n",
            "time;Engine RPM\n00:00:01,5;2500\n00:00:02,5;2400\n",
        ]),
        Seeds::Arguments => text(&["plan\n--code\nP0299\njob.toml\n--json", "walk\njob.toml\n--answers\na", "lint\nrules\n--most\n0"]),
    }
}

fn mutated(dice: &mut Dice, seed: &[u8]) -> Vec<u8> {
    let mut bytes = seed.to_vec();
    for _ in 0..1 + dice.below(6) {
        let at = dice.below(bytes.len() + 1);
        let to = (at + dice.below(40)).min(bytes.len());
        match dice.below(5) {
            0 => drop(bytes.splice(at..at, WORDS[dice.below(WORDS.len())].bytes())),
            1 => drop(bytes.drain(at..to)),
            2 => bytes.truncate(at),
            3 => {
                let part = bytes[at..to].to_vec();
                bytes.splice(at..at, part);
            }
            _ => drop(bytes.splice(at..at, [dice.bits() as u8])),
        }
    }
    bytes
}

#[test]
fn no_bytes_break_any_way_in() {
    let most: usize = std::env::var("FAULTBOOK_MUTANTS").ok().and_then(|n| n.parse().ok()).unwrap_or(60);
    for (name, way, kind) in WAYS {
        let seeds = seeds(*kind);
        assert!(!seeds.is_empty(), "{name}");
        seeds.iter().for_each(|seed| way(seed));
        let mut dice = Dice::new(name.len() as u64);
        for number in 0..most {
            let bytes = mutated(&mut dice, &seeds[number % seeds.len()]);
            let held = std::panic::catch_unwind(|| way(&bytes));
            assert!(held.is_ok(), "{name}, number {number}: {:?}", String::from_utf8_lossy(&bytes));
        }
    }
}
