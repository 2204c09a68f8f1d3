//! The mathematics of the count: laws that hold for every count, and the identity that ties the beta distribution to the binomial.

use faultbook::tally::counted;
use proptest::prelude::*;

/// Pr(X >= a), X binomial of n trials: what the beta distribution function of a and n - a + 1 is for whole numbers (NIST Digital Library of Mathematical
/// Functions, 8.17.5). Summed here term by term, without any function of the program's library.
fn binomial_tail(n: u64, a: u64, x: f64) -> f64 {
    let mut term = (1.0 - x).powi(n as i32);
    let mut below = 0.0;
    for k in 0..a {
        below += term;
        term *= (n - k) as f64 / (k + 1) as f64 * x / (1.0 - x);
    }
    1.0 - below
}

proptest! {
    #[test]
    fn the_mean_lies_between_the_book_and_the_count(p in 0.001f64..0.999, weight in 0.1f64..1000.0, of in 1u64..500, part in 0.0f64..=1.0) {
        let seen = (of as f64 * part) as u64;
        let rate = seen as f64 / of as f64;
        let got = counted(p, weight, seen, of).unwrap();
        prop_assert!(got.mean >= p.min(rate) - 1e-12 && got.mean <= p.max(rate) + 1e-12);
        prop_assert!(0.0 <= got.low && got.low < got.high && got.high <= 1.0);
    }

    #[test]
    fn what_counts_for_it_never_makes_it_less_likely(p in 0.001f64..0.999, weight in 0.1f64..1000.0, of in 0u64..200, part in 0.0f64..=1.0) {
        let seen = (of as f64 * part) as u64;
        let (before, after) = (counted(p, weight, seen, of).unwrap(), counted(p, weight, seen + 1, of + 1).unwrap());
        prop_assert!(after.mean > before.mean && after.low >= before.low - 1e-12 && after.high >= before.high - 1e-12);
    }

    #[test]
    fn counting_in_two_parts_is_counting_at_once(p in 0.01f64..0.99, weight in 1.0f64..300.0, one in (0u64..50, 0u64..50), two in (0u64..50, 0u64..50)) {
        let ((a, b), (c, d)) = (one, two);
        let first = counted(p, weight, a, a + b).unwrap();
        let second = counted(first.mean, weight + (a + b) as f64, c, c + d).unwrap();
        let whole = counted(p, weight, a + c, a + b + c + d).unwrap();
        prop_assert!((second.mean - whole.mean).abs() < 1e-9 && (second.low - whole.low).abs() < 1e-7 && (second.high - whole.high).abs() < 1e-7);
    }

    #[test]
    fn yes_and_no_are_mirrored(p in 0.01f64..0.99, weight in 1.0f64..300.0, seen in 0u64..50, rest in 0u64..50) {
        let (one, other) = (counted(p, weight, seen, seen + rest).unwrap(), counted(1.0 - p, weight, rest, seen + rest).unwrap());
        prop_assert!((one.low - (1.0 - other.high)).abs() < 1e-9 && (one.high - (1.0 - other.low)).abs() < 1e-9);
    }

    #[test]
    fn the_interval_leaves_one_in_twenty_at_either_end(a in 1u64..40, b in 1u64..40, seen in 0u64..40, rest in 0u64..40) {
        let got = counted(a as f64 / (a + b) as f64, (a + b) as f64, seen, seen + rest).unwrap();
        let (shape, n) = (a + seen, a + b + seen + rest - 1);
        prop_assert!((binomial_tail(n, shape, got.low) - 0.05).abs() < 1e-7);
        prop_assert!((binomial_tail(n, shape, got.high) - 0.95).abs() < 1e-7);
    }

    #[test]
    fn no_weight_and_no_count_make_it_fail_or_hang(p in 1e-9f64..=0.999_999, weight in 1e-6f64..1e6, seen in 0u64..1_000_000, rest in 0u64..1_000_000) {
        let got = counted(p, weight, seen, seen + rest);
        prop_assert!(got.is_none_or(|g| g.low <= g.high && g.mean > 0.0 && g.mean < 1.0));
    }
}

#[test]
fn a_flat_prior_and_no_jobs_is_flat() {
    let got = counted(0.5, 2.0, 0, 0).unwrap();
    assert!((got.low - 0.05).abs() < 1e-12 && (got.high - 0.95).abs() < 1e-12);
}
