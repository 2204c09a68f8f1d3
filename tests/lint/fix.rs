//! `--fix` on generated files: it ends, keeps every comment, breaks no line that could be read, and leaves nothing that it could put right.

use super::remarks;
use faultbook::lint::apply;
use faultbook::syntax::{FileId, parse};
use proptest::prelude::*;
use proptest::sample::{select, subsequence};

/// The comments of a text in order, without what stands in quotes.
fn comments(text: &str) -> Vec<String> {
    let document = parse(FileId(0), text).0;
    let clauses = document.blocks.iter().flat_map(|b| &b.clauses);
    let of_clauses = clauses.flat_map(|c| c.leading.iter().copied().chain(c.trailing));
    let of_blocks = document.blocks.iter().flat_map(|b| b.leading.iter().copied().chain(b.trailing));
    let mut all: Vec<_> = of_clauses.chain(of_blocks).chain(document.closing.iter().copied()).collect();
    all.sort();
    all.iter().map(|s| text[s.start as usize..s.end as usize].trim().to_string()).filter(|c| !c.is_empty()).collect()
}

/// Puts right all that can be, as the command does.
fn fixed(files: &[String]) -> Vec<String> {
    let mut now = files.to_vec();
    for _ in 0..10 {
        let named: Vec<(String, &str)> = now.iter().enumerate().map(|(i, t)| (format!("{i}.rules"), t.as_str())).collect();
        let found = remarks(&named.iter().map(|(n, t)| (n.as_str(), *t)).collect::<Vec<_>>()).0;
        let edited: Vec<_> = now.iter().enumerate().map(|(i, t)| apply(FileId(i as u32), t, &found)).collect();
        if edited.iter().all(|e| e.remarks == 0) {
            assert!(found.iter().all(|r| r.edits.is_empty()), "something is promised and never done: {found:?}");
            return now;
        }
        now = edited.into_iter().map(|e| e.text).collect();
    }
    panic!("it does not end:\n{}", now.join("\n--\n"));
}

/// A line's end: sometimes with a comment.
fn end() -> impl Strategy<Value = &'static str> {
    select(vec!["\n", "\n", "  # why\n", " #\n", "\t# \"quoted\", ä\n", "\n  # a line of its own\n", "\n\n"])
}

/// The first so many blocks are access steps, so that those after them can name them.
const ACCESS: usize = 3;

/// A block with something to put right, as like as not: a spelling, a code, prose twice, an allow for nothing, access named in vain.
fn block(n: usize) -> impl Strategy<Value = String> {
    let unit = select(vec!["min", "mins", "minutes"]);
    let access = (unit, subsequence((0..n.min(ACCESS)).collect::<Vec<_>>(), 0..=n.min(ACCESS)), end(), end()).prop_map(
        move |(unit, needs, a, b)| {
            let needs: Vec<String> = needs.iter().map(|m| format!("x{m}")).collect();
            let needs = if needs.is_empty() { String::new() } else { format!("  access   {}{b}", needs.join(" , ")) };
            format!("access x{n} \"X{n}\"{a}  takes 2 {unit}{b}{needs}")
        },
    );
    let tool = (end(), end(), end()).prop_map(move |(a, b, c)| {
        format!(
            "tool t{n} \"T{n}\"\n  note \"n\"{a}  note  \"n\"{b}  allow unused-name because \"r\"\n  allow FB308 because \"no more\"{c}"
        )
    });
    let cause = (select(vec!["p0299", "P0300", "p0301"]), end())
        .prop_map(move |(code, a)| format!("cause c{n} \"C{n}\"\n  prior 1 %{a}  shows {code} 20 %{a}"));
    if n < ACCESS { access.boxed() } else { prop_oneof![access, tool, cause].boxed() }
}

/// Files of one sound book.
fn files() -> impl Strategy<Value = Vec<String>> {
    let blocks: Vec<_> = (0..9).map(block).collect();
    (blocks, 1..4usize, any::<bool>()).prop_map(|(blocks, files, windows)| {
        let share = blocks.len().div_ceil(files);
        let texts = blocks.chunks(share).map(|part| part.concat());
        texts.map(|t| if windows { t.replace('\n', "\r\n") } else { t }).collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn generated_files_keep_their_comments_and_stay_readable(files in files()) {
        for (before, after) in files.iter().zip(fixed(&files)) {
            prop_assert_eq!(comments(&after), comments(before), "{}\n--\n{}", before, &after);
            prop_assert!(parse(FileId(0), &after).1.is_empty(), "{}\n--\n{}", before, &after);
        }
    }
}

/// One unit in two spellings is one remark with places in several files.
#[test]
fn what_stands_in_several_files_is_put_right_in_all() {
    let access = |name: &str, takes: &str| format!("access {name} \"{name}\"\n  takes {takes} # kept\n");
    let files = [access("a", "2 min") + &access("b", "3 min") + &access("c", "4 min"), access("d", "2 mins"), access("e", "2 mins")];
    assert_eq!(fixed(&files).concat(), files.concat().replace("mins", "min"));
}
