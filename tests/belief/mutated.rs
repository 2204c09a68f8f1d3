//! Rules with mistakes of every sort in them, from text to weights: they are refused or weighed, and nothing panics or hangs.
//!
//! `FAULTBOOK_MUTANTS` sets how many (default 400 of a small book, and a hundredth of that of the book that ships).

use faultbook::book::shipped;

use super::generate::Dice;

#[path = "../../fuzz/way.rs"]
mod way;

use way::{End, text_to_weights};

const SMALL: &str = r#"book small "Small"
symptom hot "Runs hot"
  stray 1 %
symptom smell "Sweet smell"
  stray 0.5 %
reading coolant "Coolant"
  unit °C
  accurate 4 °C
  band ok 80 to 105
  band high above 105
  band low below 80
  stray high 1 %, low 1 %
sign hose "Hose"
  states dry, damp, wet
  stray damp 2 %, wet 1 %
cause clamp "Clamp loose"
  prior 1 %
  brings leak 90 %, low 30 %
  shows hose damp 60 %, wet 20 %
cause leak "Leak"
  prior 2 %
  shows hot 50 %
  shows smell usually
  shows hose damp 30 %, wet 60 %
  brings air 40 %
cause air "Air in the circuit"
  prior 0.5 %
  shows hot 70 %
  shows coolant high 60 %, low 10 %
condition low "Level low"
  stray 0.1 %
  shows smell seldom
  brings air often
cause thermostat "Thermostat open"
  prior rare
  shows coolant low 90 %
check look "Look at the hose"
  takes 2 min
  reveals hose
fix tighten "Tighten the clamp"
  takes 5 min
  cures clamp usually, leak
  proof hose dry
"#;

const WORDS: &[&str] = &[
    "0 %",
    "100 %",
    "1e300 %",
    "-5 %",
    "NaN",
    "brings",
    "shows",
    "cause",
    "air",
    "leak",
    "hose",
    "wet 101 %",
    "\"",
    "#",
    "(",
    "\\",
    "always",
    "never",
    "stray",
    "0 to 0",
    "below",
    ",",
    "\u{0}",
    "\u{feff}",
    "é",
    "\t",
    "°C",
    "99999999999999999999",
    "amend",
    "condition",
    "low",
];

/// One change somewhere in the text.
fn mutate(dice: &mut Dice, text: &str) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_string).collect();
    let (at, other) = (dice.below(lines.len()), dice.below(lines.len()));
    match dice.below(6) {
        0 => drop(lines.remove(at)),
        1 => lines.insert(at, lines[other].clone()),
        2 => lines.swap(at, other),
        3 => lines[at] = lines[at].trim_start().to_string(),
        kind => {
            let mut words: Vec<&str> = lines[at].split(' ').collect();
            let place = dice.below(words.len());
            let word = WORDS[dice.below(WORDS.len())];
            if kind == 4 {
                words[place] = word
            } else {
                words.insert(place, word)
            }
            lines[at] = words.join(" ");
        }
    }
    lines.join("\n") + "\n"
}

fn mutants() -> u64 {
    std::env::var("FAULTBOOK_MUTANTS").ok().and_then(|n| n.parse().ok()).unwrap_or(400)
}

#[test]
fn a_small_book_with_mistakes_is_refused_or_weighed() {
    assert_eq!(text_to_weights(&[("small.rules".to_string(), SMALL)], 5), End::Weighed);
    let mut ends = [0; 3];
    for seed in 0..mutants() {
        let mut dice = Dice(seed ^ 0xf0_22);
        let text = (0..1 + dice.below(3)).fold(SMALL.to_string(), |text, _| mutate(&mut dice, &text));
        ends[text_to_weights(&[("small.rules".to_string(), &text)], seed) as usize] += 1;
    }
    println!("refused, impossible, weighed: {ends:?}");
    assert!(ends[0] as u64 * 10 > mutants() && ends[2] as u64 * 10 > mutants(), "{ends:?}");
}

#[test]
fn the_book_that_ships_with_a_mistake_is_refused_or_weighed() {
    for seed in 0..mutants() / 100 {
        let mut dice = Dice(seed ^ 0x5b00);
        let mut files: Vec<(String, &str)> = shipped::files();
        let changed = dice.below(files.len());
        let text = mutate(&mut dice, files[changed].1);
        files[changed].1 = &text;
        text_to_weights(&files, seed);
    }
}
