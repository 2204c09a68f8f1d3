//! Each code's page: its wrong example fires exactly that code, its right one fires nothing.

use super::{BENCH, remarks};
use faultbook::lint::{codes, page};
use faultbook::report::remarks::{Look, text};
use std::collections::BTreeSet;

/// The text of the block of rules under a heading of a page.
fn example<'p>(page: &'p str, heading: &str) -> &'p str {
    let after = page.split(&format!("\n## {heading}\n")).nth(1).unwrap_or_else(|| panic!("no `## {heading}` in:\n{page}"));
    after.split("```rules\n").nth(1).and_then(|t| t.split("```").next()).unwrap_or_else(|| panic!("no rules under `{heading}` in:\n{page}"))
}

#[test]
fn the_bench_book_has_no_remark() {
    let (found, sources) = remarks(&[BENCH]);
    assert!(found.is_empty(), "{}", text(&found, &sources, Look { width: 100, colour: false }));
}

#[test]
fn wrong_examples_fire_their_code_alone_and_right_ones_nothing() {
    let mut bad = Vec::new();
    for code in codes() {
        let page = page(code.id).unwrap_or_else(|| panic!("`{}` has no page", code.name));
        for (heading, wanted) in [("Wrong", vec![code.id]), ("Right", vec![])] {
            let (found, sources) = remarks(&[BENCH, ("example.rules", example(page, heading))]);
            let fired: BTreeSet<&str> = found.iter().map(|r| r.code.id).collect();
            if fired.into_iter().collect::<Vec<_>>() != wanted {
                bad.push(format!("{} {heading}\n{}", code.name, text(&found, &sources, Look { width: 100, colour: false })));
            }
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n----\n"));
}

/// One golden page for each code: what a person sees of its wrong example.
#[test]
fn wrong_examples_look_as_they_did() {
    for code in codes() {
        let (found, sources) = remarks(&[BENCH, ("example.rules", example(page(code.id).unwrap(), "Wrong"))]);
        let seen = text(&found, &sources, Look { width: 80, colour: false });
        insta::with_settings!({ prepend_module_to_snapshot => false, omit_expression => true, snapshot_path => "golden" }, {
            insta::assert_snapshot!(format!("{}-{}", code.id, code.name), seen);
        });
    }
}
