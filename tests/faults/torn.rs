//! A sheet cut at every byte of its last entry, as a power cut leaves it: it is read, and the walk goes on with it.

use super::Bench;
use crate::cli::faultbook;

#[test]
fn a_walk_goes_on_from_any_torn_entry() {
    let bench = Bench::new();
    let walk = |answers| ["walk", "job.toml", "--rules", "garage.rules", "--answers", answers];
    bench.write("answers", "n one\n");
    bench.write("more", "n ends in 汽车\n");
    bench.write("last", "n last\n");
    faultbook(bench.path(), &walk("answers"), b"");
    let before = std::fs::read(bench.file("job.toml")).unwrap();
    faultbook(bench.path(), &walk("more"), b"");
    let whole = std::fs::read(bench.file("job.toml")).unwrap();
    assert!(whole.starts_with(&before) && whole.len() > before.len() + 80);
    let every = if std::env::var_os("FAULTBOOK_KILLS").is_some() { 1 } else { 5 };
    for end in (before.len() + 1..whole.len()).step_by(every).chain([whole.len() - 3, whole.len() - 2, whole.len() - 1]) {
        for zeros in [0, 7] {
            bench.write("job.toml", [&whole[..end], &vec![0; zeros]].concat());
            let done = faultbook(bench.path(), &walk("last"), b"");
            assert_eq!(done.status, 0, "cut at {end}: {}", done.err);
            let there = bench.answers("job.toml");
            assert!(there == ["one", "last"] || there == ["one", "ends in 汽车", "last"], "cut at {end}: {there:?}");
            assert!(std::fs::read(bench.file("job.toml")).unwrap().starts_with(&before), "cut at {end}");
        }
    }
}
