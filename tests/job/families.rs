//! A reading that counts codes: how many of a family are stored is one fact, and the single codes don't count again beside it.

use faultbook::book::{Book, Headed};
use faultbook::job::{CodeEntry, JobSheet, evidence};

const RULES: &str = r#"
book pumps "Pumps"
reading pump-codes "Codes of single pumps"
  unit count
  counts P1001, P1002, P1003
  band none below 0.5
  band one 0.5 to 1.5
  band several above 1.5
cause pump-worn "One pump worn"
  prior 3 %
  shows pump-codes one 80 %
  shows P1001 20 %
cause feed-lost "Feed of all pumps lost"
  prior 1 %
  shows pump-codes several 80 %
"#;

/// What is seen with these codes, by name and state.
fn seen(book: &Book, codes: &[&str], complete: bool) -> Vec<(String, String)> {
    let mut sheet = JobSheet::default();
    sheet.scan.codes = codes.iter().map(|c| CodeEntry::Plain((*c).into())).collect();
    sheet.scan.complete = complete;
    let found = evidence(book, &sheet).unwrap();
    assert!(found.unknown_codes.is_empty(), "a code that is counted is known: {:?}", found.unknown_codes);
    let one = |o: &faultbook::job::Observation| {
        let row = &book.findings[o.finding];
        (row.name().to_string(), row.states[o.likeliest_state()].clone())
    };
    found.seen.iter().map(one).collect()
}

#[test]
fn codes_of_a_family_are_one_fact() {
    let book = crate::layered(&[("pumps.rules".into(), RULES)]);
    let counted = |state: &str| vec![("pump-codes".to_string(), state.to_string())];
    assert_eq!(seen(&book, &["P1001"], false), counted("one"));
    assert_eq!(seen(&book, &["P1002-1C", "p1003"], true), counted("several"));
    assert_eq!(seen(&book, &[], true), counted("none"));
    assert_eq!(seen(&book, &[], false), vec![], "none typed is not none stored");
}
