//! What nobody should feed a linter, and somebody will.

use super::{faultbook, folder};
use serde_json::Value;

fn lint(name: &str, bytes: &[u8], more: &[&str]) -> (i32, Value, String) {
    let folder = folder(&[(name, bytes)]);
    let run = faultbook(folder.path(), &[&["lint", name, "--json"], more].concat(), b"");
    (run.status, serde_json::from_str(&run.out).unwrap_or_default(), run.err)
}

fn codes(document: &Value) -> Vec<&str> {
    document["remarks"].as_array().unwrap().iter().map(|r| r["code"].as_str().unwrap()).collect()
}

#[test]
fn binary_files_are_named_and_not_read() {
    let noise: Vec<u8> = (0..200_000u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    for bytes in [noise.as_slice(), b"\xff\xfe", b"cause a \"A\"\0\n", b"\x1b[31m"] {
        let (status, document, _) = lint("a.rules", bytes, &[]);
        assert_eq!((status, codes(&document)), (1, vec!["FB008"]));
    }
    let folder = folder(&[("a.rules", &noise), ("b.rules", b"tool\n")]);
    let run = faultbook(folder.path(), &["lint", "."], b"");
    assert!(run.out.contains("FB008") && run.out.contains("FB005") && run.out.len() < 5_000, "{}", run.out);
    assert!(!run.out.contains('\u{1b}'));
}

#[test]
fn half_a_block_gets_a_remark_and_no_more() {
    let whole = "cause a \"A\"\n  prior 1 %\n  shows b often\nsign b \"B\"\n  states no, yes\n";
    for end in 0..whole.len() {
        let (status, document, err) = lint("a.rules", &whole.as_bytes()[..end], &[]);
        assert!(status <= 1 && document["schema"] == 1, "{end}: {err}");
    }
    let (_, document, _) = lint("a.rules", b"cause a \"A\"\n  shows", &[]);
    assert_eq!(codes(&document), ["FB001"]);
}

/// What stands in a line that can't be read is not missing as well.
#[test]
fn one_slip_gets_one_remark() {
    let reading = "reading r \"R\"\n  unit \n  band ok above 5\n  band low below 5\n";
    let untitled = "source s\nreading r \"R\"\n  unit V\n  band ok above 5\n  band low below 5\n  source s\n";
    for (text, code) in [
        ("cause a \"A\"\n  prior often often\n", "FB001"),
        (reading, "FB001"),
        (untitled, "FB005"),
        ("cause a \"A\"\n  prior somtimes\n", "FB105"),
        ("cause a \"A\"\n  prior 200 %\n", "FB106"),
        ("cause a \"A\"\n  prior 1 %\namend cause a\n  prior 200 %\n", "FB106"),
        ("cause a \"A\"\n  prior 1 %\namend cause a\n  prior 2 %%\n", "FB001"),
        ("cause a \"A\"\n  prior 1 %\n  allow FB301\n", "FB001"),
    ] {
        assert_eq!(codes(&lint("a.rules", text.as_bytes(), &[]).1), [code], "{text}");
    }
}

#[test]
fn deep_nesting_is_refused_in_words() {
    let deep = [
        format!("trait a \"A\"\n  when {}a{}\n", "(".repeat(100_000), ")".repeat(100_000)),
        format!("trait a \"A\"\n  when {}a\n", "not (".repeat(100_000)),
        format!("reading r \"R\"\n  unit V\n  band a above 1\n  band b below 1\n  from {}1\n", "1 + ".repeat(200_000)),
        format!("reading r \"R\"\n  unit V\n  band a above 1\n  band b below 1\n  from {}\n", "(".repeat(2_000_000)),
    ];
    for text in deep {
        let (status, document, err) = lint("a.rules", text.as_bytes(), &[]);
        assert_eq!((status, codes(&document)[0]), (1, "FB001"), "{err}");
        let message = document["remarks"][0]["message"].as_str().unwrap();
        assert!(message.contains("nested too deep") || message.contains("too long"), "{message}");
    }
}

#[test]
fn nesting_that_people_write_is_read() {
    let when = format!("{}a{}", "(".repeat(20), ")".repeat(20));
    let (_, document, _) = lint("a.rules", format!("trait a \"A\"\n  ask \"?\"\ntrait b \"B\"\n  when {when}\n").as_bytes(), &[]);
    assert!(!codes(&document).contains(&"FB001"), "{document}");
}

#[test]
fn ten_thousand_errors_are_counted_and_the_first_shown() {
    let text: String = (0..10_000).map(|i| format!("cause {i}\n")).collect();
    let (status, document, err) = lint("a.rules", text.as_bytes(), &[]);
    assert_eq!((status, document["errors"].as_u64(), document["left_out"].as_u64()), (1, Some(10_000), Some(9_500)));
    assert_eq!(document["remarks"].as_array().unwrap().len(), 500);
    assert_eq!(err, "10000 errors; 9500 not shown (`--most 0` shows all)\n");
    let (_, document, _) = lint("a.rules", text.as_bytes(), &["--most", "0"]);
    assert_eq!(document["remarks"].as_array().unwrap().len(), 10_000);
    let folder = folder(&[("a.rules", text.as_bytes())]);
    for (format, mark) in [("text", "\nerror FB001 broken-line"), ("annotations", "\n::error"), ("sarif", "\"ruleId\"")] {
        let run = faultbook(folder.path(), &["lint", "a.rules", "--format", format, "--most", "20"], b"");
        assert_eq!(format!("\n{}", run.out).matches(mark).count(), 20, "{format}");
    }
}

#[test]
fn a_line_without_end_is_named_and_not_drawn() {
    let text = format!("cause a \"A\"\n  shows {}\n", "x ".repeat(300_000));
    let folder = folder(&[("a.rules", text.as_bytes())]);
    let run = faultbook(folder.path(), &["lint", "a.rules"], b"");
    assert_eq!(run.status, 1);
    assert!(run.out.len() < 2_000 && run.out.contains("a.rules:2:"), "{}", run.out.len());
}
