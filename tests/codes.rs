//! The code table as the program expands it, against the titles that `tests/outside/codes/compare.py` expands from the same file;
//! that script sets the same titles against an outside table of codes (the package `obd` 0.7.3).

use faultbook::book::{Dtc, title, titled};

const SAMPLE: &str = include_str!("outside/codes/sample.tsv");

#[test]
fn every_sampled_code_has_the_title_the_script_gives_it() {
    let rows: Vec<(&str, &str)> = SAMPLE.lines().skip(1).filter_map(|l| l.split_once('\t')).collect();
    assert!(rows.len() > 50);
    for (code, expected) in rows {
        let found = title(Dtc::parse(code).unwrap());
        assert_eq!(found.as_deref(), Some(expected), "{code}");
    }
}

#[test]
fn no_code_is_lost_or_made_up_on_the_way() {
    let said = SAMPLE.lines().next().unwrap();
    assert!(said.ends_with(&format!(" {} codes in all.", titled().len())), "{} here, {said}", titled().len());
}
