//! Intervals of counted jobs against a reference library. Source of the numbers: SciPy 1.17.1 (PyPI), `scipy.stats.beta.ppf`, written by beta.py beside this.

use faultbook::tally::counted;

const QUANTILES: &str = include_str!("beta.tsv");

#[test]
fn intervals_are_those_of_the_reference_library() {
    let mut worst: f64 = 0.0;
    for line in QUANTILES.lines() {
        let columns: Vec<f64> = line.split('\t').map(|c| c.parse().unwrap()).collect();
        let [p, weight, seen, of, low, high] = columns[..] else { panic!("six columns: {line}") };
        let got = counted(p, weight, seen as u64, of as u64).unwrap();
        // quantiles below 1e-12 are nothing to anybody, and no two libraries agree on them
        for (ours, theirs) in [(got.low, low), (got.high, high)] {
            let off = (ours - theirs).abs() / theirs.max(1e-12);
            assert!(off < 1e-6, "{line}: {ours} is off by {off}");
            worst = worst.max(off);
        }
    }
    println!("{} quantiles, worst relative difference {worst:e}", 2 * QUANTILES.lines().count());
}
