//! The engine against exact rational arithmetic: relative error of P(evidence) down to 1e-30 and below.

use faultbook::belief::{History, Limits, Network, Seen, weigh};
use num_bigint::BigInt;
use num_rational::BigRational;

use super::generate::{Dice, Shape, network};

fn exact(x: f64) -> BigRational {
    BigRational::from_float(x).expect("a finite number")
}

fn one() -> BigRational {
    BigRational::from_integer(BigInt::from(1))
}

fn zero() -> BigRational {
    BigRational::from_integer(BigInt::from(0))
}

/// `1 - sum` of some pushes.
fn rest(pushes: &[f64]) -> BigRational {
    pushes.iter().fold(one(), |rest, &p| rest - exact(p))
}

/// P(a finding in a state | these causes present).
fn finding_given(net: &Network, seen: (usize, usize), state: usize) -> BigRational {
    let finding = &net.findings()[seen.0];
    let at_most = |k: usize| {
        let pushing = finding.pushes.iter().filter(|(c, _)| state >> c & 1 == 1);
        pushing.fold(rest(&finding.stray[k..]), |product, (_, push)| product * rest(&push[k..]))
    };
    match seen.1 {
        0 => at_most(0),
        k => at_most(k) - at_most(k - 1),
    }
}

/// The definition, summed exactly: P(evidence), and P(evidence, each cause present).
fn answer(net: &Network, seen: &[(usize, usize)]) -> (BigRational, Vec<BigRational>) {
    let causes = net.causes();
    let (mut evidence, mut joint) = (zero(), vec![zero(); causes.len()]);
    for state in 0..1usize << causes.len() {
        let present = |c: usize| state >> c & 1 == 1;
        let mut weight = one();
        for (c, cause) in causes.iter().enumerate() {
            let brought = cause.brought_by.iter().filter(|(p, _)| present(*p));
            let absent = brought.fold(rest(&[cause.prior]), |product, (_, s)| product * rest(&[*s]));
            weight *= if present(c) { one() - absent } else { absent };
        }
        seen.iter().for_each(|&s| weight *= finding_given(net, s, state));
        (0..causes.len()).filter(|&c| present(c)).for_each(|c| joint[c] += &weight);
        evidence += weight;
    }
    (evidence, joint)
}

/// A rational as a double, however small: both sides are shifted until they fit.
fn ratio(a: &BigRational, b: &BigRational) -> f64 {
    let ratio = a / b;
    let scale = BigInt::from(1u64 << 62);
    let scaled: BigInt = (ratio * BigRational::from_integer(scale)).to_integer();
    scaled.to_string().parse::<f64>().expect("a number") / (1u64 << 62) as f64
}

#[test]
fn probabilities_of_1e_30_keep_nine_digits() {
    let (mut worst, mut smallest) = (0.0f64, 0.0f64);
    for seed in 0..25 {
        let mut dice = Dice(seed ^ 0x7a7104);
        let shape = Shape { causes: 5, findings: 18, chains: 0.3, links: 0.4, states: 3, sure: 0.0, conditions: 0.0 };
        let net = rare(&network(&mut dice, shape), [1e-2, 1e-4, 1e-6][dice.below(3)]);
        let states: Vec<(usize, usize)> =
            (0..18).map(|f| (f, (dice.below(4) > 0) as usize * (1 + dice.below(net.findings()[f].states() - 1)))).collect();
        let seen: Vec<Seen> = states.iter().map(|&(f, s)| Seen::state(f, s, net.findings()[f].states())).collect();
        let beliefs = weigh(&net, &History::from(seen.to_vec()), &Limits::default()).expect("possible");
        let (evidence, joint) = answer(&net, &states);
        // The engine's P(evidence) as a rational: its mantissa and power of two taken apart, so that nothing underflows.
        let log2 = beliefs.log_evidence / std::f64::consts::LN_2;
        let whole = log2.floor();
        let power = BigRational::new(BigInt::from(1), BigInt::from(1) << (-whole as usize));
        let found = exact((log2 - whole).exp2()) * power;
        worst = worst.max((ratio(&found, &evidence) - 1.0).abs());
        smallest = smallest.min(beliefs.log_evidence);
        for (c, joint) in joint.iter().enumerate() {
            let truth = ratio(joint, &evidence);
            assert!((beliefs.causes[c] - truth).abs() < 1e-12, "seed {seed} cause {c}: {} is not {truth}", beliefs.causes[c]);
        }
    }
    println!("largest relative error {worst:e}, smallest P(evidence) {:e}", smallest.exp());
    assert!(worst < 1e-9);
    assert!(smallest < 1e-30f64.ln(), "the smallest was only {:e}", smallest.exp());
}

/// The same network with priors and strays made rare.
fn rare(net: &Network, by: f64) -> Network {
    let (mut causes, mut findings) = (net.causes().to_vec(), net.findings().to_vec());
    causes.iter_mut().for_each(|c| c.prior *= by);
    findings.iter_mut().flat_map(|f| &mut f.stray).for_each(|p| *p *= by);
    Network::new(causes, findings).expect("still valid")
}
