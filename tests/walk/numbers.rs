//! What may be typed where a number is asked: a sum, what an instrument shows without one, and what cannot be.

use super::{saved, sheet, walk};
use std::path::PathBuf;

/// The book with a check that asks for a reading of this unit, above 10 of which is wrong.
fn asks(name: &str, unit: &str) -> (PathBuf, String) {
    let (sheet, rules) = sheet(name);
    let more = format!(
        "reading feed \"Voltage at the battery less that at the pump\"\n  unit {unit}\n  band right 0 to 1\n  band short below 0\n  band wrong above 1\n  stray 1 %\n\
         amend cause vanes-stick\n  shows feed wrong 80 %\namend check look-hose\n  reveals feed\n"
    );
    std::fs::write(&rules, std::fs::read_to_string(&rules).unwrap() + &more).unwrap();
    (sheet, rules)
}

/// What the journal keeps of the first reading, and all that was said.
fn kept(name: &str, unit: &str, typed: &str) -> (String, String) {
    let (sheet, rules) = asks(name, unit);
    let done = walk(&sheet, &rules, &format!("0\n0\n1\n0\n1\n1\n1\n{typed}\n"));
    let journal = saved(&sheet)["journal"].as_array().unwrap().clone();
    let found = journal.iter().find(|e| e["ask"].as_str() == Some("find:feed"));
    (found.map_or(String::new(), |e| e["answer"].as_str().unwrap().into()), done.err)
}

#[test]
fn a_sum_is_worked_out() {
    let (kept, said) = kept("numbers-sum", "V", "12.6 - 11,9");
    assert_eq!(kept, "0.7 V", "{said}");
    assert!(said.contains("A sum is worked out: 12.6 - 11.9"), "{said}");
}

/// Nobody works out a share with cold hands: what was read is typed, in the unit of the gauge.
#[test]
fn of_several_values_the_spread_is_worked_out() {
    let read = |name: &str, title: &str, unit: &str, typed: &str| {
        let (sheet, rules) = asks(name, unit);
        let text = std::fs::read_to_string(&rules).unwrap();
        std::fs::write(&rules, text.replace("Voltage at the battery less that at the pump", title)).unwrap();
        let done = walk(&sheet, &rules, &format!("0\n0\n1\n0\n1\n1\n1\n{typed}\n"));
        let journal = saved(&sheet)["journal"].as_array().unwrap().clone();
        let found = journal.iter().find(|e| e["ask"].as_str() == Some("find:feed"));
        (found.map_or(String::new(), |e| e["answer"].as_str().unwrap().into()), done.err)
    };
    let share = "Compression, greatest less least, as a share of the greatest";
    let apart = "Rail pressure, greatest less least";
    let (five, said) = read("numbers-share", share, "%", "10.2 10,5 9.975 bar");
    assert_eq!(five, "5 %", "{said}");
    assert!(said.contains("Type them all"), "{said}");
    assert_eq!(read("numbers-share-alone", share, "%", "8 %").0, "8 %", "worked out by hand");
    assert_eq!(read("numbers-apart", apart, "kPa", "3.1 bar; 3.15 bar, 3.05 bar").0, "10 kPa");
    assert_eq!(read("numbers-apart-sum", apart, "kPa", "325 - 316").0, "9 kPa");
    assert_eq!(read("numbers-frost", apart, "K", "-3 ℃ 2 ℃").0, "5 K");
    assert_eq!(read("numbers-below", apart, "kPa", "325 -316").0, "9 kPa", "a sum, not a pressure below nothing");
    let (none, _) = read("numbers-two-units", apart, "kPa", "3 bar 310 kPa");
    assert!(none.is_empty(), "two units are not compared: {none}");
    assert!(kept("numbers-two", "V", "12.6 11.9").0.is_empty(), "other readings take one number");
}

#[test]
fn an_instrument_without_a_number_is_above_every_limit() {
    for (i, typed) in ["OL", "open circuit", "over range"].iter().enumerate() {
        assert_eq!(kept(&format!("numbers-open-{i}"), "ohm", typed).0, "wrong");
    }
    assert_eq!(kept("numbers-never", "min", "never").0, "wrong");
    let (none, said) = kept("numbers-never-volts", "V", "never");
    assert!(none.is_empty() && said.contains("`never` is no reading"), "only a time is never over: {said}");
    assert_eq!(kept("numbers-state", "V", "short").0, "short", "a state by its name");
}

/// 50 V on a sensor of one volt: a slip, until it is said with a mark.
#[test]
fn what_cannot_be_is_asked_again_at_once() {
    let (none, said) = kept("numbers-slip", "V", "50");
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(none.is_empty() && said.contains("50 V is far above anything that this reading shows (its highest limit is 1 V)"), "{said}");
    assert_eq!(kept("numbers-sure", "V", "50!").0, "50 V");
    assert_eq!(kept("numbers-ohms", "ohm", "50").0, "50 ohm", "a resistance has no end");
    assert_eq!(kept("numbers-lead-off", "V", "12.4").0, "12.4 V", "a lead that is off loses the whole battery");
}

#[test]
fn a_unit_with_one_sign_of_its_own_is_read() {
    assert_eq!(kept("numbers-sign", "kPa", "0.9 ㎪").0, "0.9 kPa");
    assert_eq!(kept("numbers-degrees", "degC", "9 ℃").0, "9 degC");
}
