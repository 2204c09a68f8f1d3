//! What can't be used: the place, what is wrong, what to do, and the exit status that says so.

use super::{faultbook, folder};

/// Files of all kinds that are not what they are taken for.
fn rubbish() -> tempfile::TempDir {
    let picture = [b"\x89PNG\r\n\x1a\n".as_slice(), &[0; 100]].concat();
    let wide: Vec<u8> = "time,rpm\n0,800\n1,900\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
    let zeros = [b"%".as_slice(), &[0; 60]].concat();
    let home = folder(&[
        ("job.toml", b"[complaint]\nyes = [\"low-power\"]\n"),
        ("bytes.toml", &[b'a', b'\n', 0xFF, 0xFE]),
        ("code.toml", b"[scan]\ncodes = [{ code = \"P0299\", status = \"old\" }]\n"),
        ("list.toml", b"[scan]\ncodes = \"P0299\"\n"),
        ("key.toml", b"[complaint]\nword = \"x\"\n"),
        ("open.toml", b"title = \"x\n"),
        ("logs.toml", b"logs = [\"lost.csv\"]\n"),
        ("picture.csv", &picture),
        ("wide.csv", &wide),
        ("zeros.csv", &zeros),
        ("settings/faultbook.toml", b"rules = [\"lost\"]\n"),
        ("settings/job.toml", b""),
        ("money/faultbook.toml", b"rate = \"much\"\n"),
        ("money/job.toml", b""),
        ("empty/readme.txt", b""),
        ("broken/b.rules", b"book b \"B\"\ncause c \"C\n"),
    ]);
    std::fs::create_dir(home.path().join("folder.toml")).unwrap();
    std::fs::create_dir(home.path().join("folder.csv")).unwrap();
    home
}

#[test]
fn every_refusal_names_the_place_and_the_way_out() {
    let home = rubbish();
    let cases: &[(&[&str], &[&str])] = &[
        (&["plan", "jobs.toml"], &["no file or folder `jobs.toml`", "did you mean `job.toml`?"]),
        (&["plan", "lost/job.toml"], &["`lost/job.toml`", "there is no folder `lost` either"]),
        (&["plan", "folder.toml"], &["`folder.toml` is a folder", "name a file in it"]),
        (&["plan", "bytes.toml"], &["`bytes.toml` is not plain text in UTF-8: line 2"]),
        (&["plan", "code.toml"], &["code.toml, line 2: a code in quotes", "history"]),
        (&["plan", "list.toml"], &["list.toml, line 2: a list is wanted here, not the text \"P0299\"", "`[\"one\", \"two\"]`"]),
        (&["plan", "key.toml"], &["key.toml, line 2: `word` has no place here", "did you mean `words`?"]),
        (&["plan", "open.toml"], &["open.toml, line 1", "docs/job-sheet.md"]),
        (&["plan", "logs.toml"], &["`logs` of the sheet: there is no file or folder `lost.csv`", "from the sheet's folder"]),
        (&["plan", "settings/job.toml"], &["faultbook.toml: `rules` names `", "no such folder"]),
        (&["plan", "money/job.toml"], &["faultbook.toml, line 1: a number is wanted here, not the text \"much\"", "such as `60`"]),
        (&["plan", "--rate", "abc"], &["--rate", "an amount of money of 0 or more, such as 60"]),
        (&["plan", "--rate", "-5"], &["`rate` is -5", "0 or more"]),
        (&["plan", "--code", "P299"], &["--code: `P299` is no trouble code", "is it `P0299`?"]),
        (&["plan", "--code", "16683"], &["--code: `16683` is no trouble code", "maker's own number"]),
        (&["plan", "--symptom", "no-power"], &["--symptom: no symptom is named `no-power`", "`low-power`"]),
        (&["plan", "--trait", "steam"], &["--trait: no trait is named `steam`", "explain traits"]),
        (&["plan", "--reading", "boost-2500=52 kg"], &["--reading boost-2500: `kg` is a mass", "`12.5 kPa`"]),
        (&["plan", "job.toml", "--rules", "job.toml"], &["`job.toml` is a sheet or settings, not rules", "`.rules` files"]),
        (&["walk", "grey-van"], &["no job sheet `grey-van`", "`faultbook walk grey-van.toml`"]),
        (&["walk", "lost/x.toml"], &["there is no folder `lost`", "make the folder first"]),
        (&["report", "job.toml", "--out", "lost/x.html"], &["`lost/x.html` can't be written: there is no folder `lost`"]),
        (&["report", "job.toml", "--out", "empty"], &["`empty` is a folder"]),
        (&["readings", "picture.csv"], &["picture.csv: row 1: this is no text", "save the table as CSV"]),
        (&["readings", "zeros.csv"], &["zeros.csv: row 1: this is no text"]),
        (&["readings", "wide.csv"], &["wide.csv: row 1: the log is written in UTF-16"]),
        (&["readings", "folder.csv"], &["`folder.csv` is a folder"]),
        (&["tally", "empty"], &["`empty` holds no job sheets", ".toml"]),
        (&["tally", "job.toml", "--prior-weight", "-3"], &["`--prior-weight` is -3", "more than 0"]),
        (&["test", "broken"], &["broken/b.rules:2", "the closing quote is missing", "the rules can't be used"]),
        (&["lint", "broken", "--most", "x"], &["--most", "a whole number"]),
        (&["explain", "P9999"], &["`P9999` is no trouble code", "0, 1, 2 or 3"]),
        (&["explain", "FB999"], &["no remark on rules has the code `FB999`", "explain lints"]),
        (&["explain", "low-powr"], &["nothing named `low-powr`", "did you mean `low-power`?"]),
        (&["explain", "it whistles"], &["nothing named `it whistles`", "did you mean the symptom `"]),
        (&["provide", "man", "job.toml"], &["`job.toml`", "a file stands where a folder is wanted"]),
    ];
    for (words, said) in cases {
        let done = faultbook(home.path(), words, b"");
        assert_eq!((done.status, done.out.as_str()), (2, ""), "{words:?}: {}", done.err);
        assert!(said.iter().all(|s| done.err.contains(s)), "{words:?}: {}", done.err);
        for inner in ["os error", "untagged", "invalid type", "float literal", "struct ", "panicked"] {
            assert!(!done.err.contains(inner), "{words:?} says `{inner}`: {}", done.err);
        }
    }
}

#[test]
fn what_can_be_understood_is_not_refused() {
    let home = rubbish();
    for words in [
        &["plan", "--code", "p0299-00"][..],
        &["plan", "--code", "P0299 00"],
        &["plan", "--code", "P0299:1C"],
        &["plan", "--code", "PO299"],
        &["plan", "--code", "P0299, P0401"],
        &["plan", "--code", "P1234"],
        &["plan", "--code", "no codes"],
        &["explain", "LOW-POWER"],
        &["explain", "low power"],
        &["explain", "symptom"],
        &["explain", "P0299-00"],
        &["explain", "usually"],
    ] {
        let done = faultbook(home.path(), words, b"");
        assert_eq!(done.status, 0, "{words:?}: {}", done.err);
        if words.concat().contains("299") {
            assert!(done.out.contains("P0299"), "{words:?}: {}", done.out);
        }
    }
}
