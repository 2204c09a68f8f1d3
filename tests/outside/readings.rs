//! Readings: units and the chance that the true value lies in a band.

use faultbook::book::{FindingKind, Unit};
use faultbook::job::{band_weights, parse_quantity};

/// 1 kPa = 10 mbar = 0.145038 psi = 4.0146 inH2O = 7.50062 mmHg = 0.1 N/cm2 (NIST SP 811, appendix B.8, from memory; the short
/// figures stand in every handbook).
#[test]
fn pressures_convert_as_the_handbooks_say() {
    let kpa = Unit::parse("kPa").unwrap();
    for (unit, one_kpa) in
        [("mbar", 10.0), ("bar", 0.01), ("hPa", 10.0), ("psi", 0.145_037_738), ("mmHg", 7.500_615_8), ("inH2O", 4.014_6), ("Pa", 1000.0)]
    {
        let back = kpa.convert(one_kpa, unit).unwrap();
        assert!((back - 1.0).abs() < 2e-4, "{one_kpa} {unit} is {back} kPa");
    }
}

/// 0 degC = 32 degF, 100 degC = 212 degF by definition; a difference of 18 degF is 10 K.
#[test]
fn temperatures_and_their_differences_are_two_things() {
    let celsius = Unit::parse("degC").unwrap();
    assert!((celsius.convert(212.0, "degF").unwrap() - 100.0).abs() < 1e-9);
    assert!((celsius.convert(32.0, "°F").unwrap()).abs() < 1e-9);
    let kelvin = Unit::parse("K").unwrap();
    assert!((kelvin.convert(18.0, "degF").unwrap() - 10.0).abs() < 1e-9);
    assert!(celsius.convert(3.0, "bar").is_err());
}

/// The normal distribution within one, two and three sigma: 68.27, 95.45, 99.73 % (any table of statistics).
#[test]
fn a_reading_near_a_limit_counts_to_both_sides() {
    let rules = "book b \"B\"\nreading r \"R\"\n  unit V\n  accurate 2 V\n  band ok 9 to 11\n  band low below 9\n  band high above 11\n";
    let book = super::super::book_of(rules);
    let finding = &book.findings[book.findings.find("r").unwrap()];
    let FindingKind::Reading(gauge) = &finding.kind else { panic!("a reading") };
    let close = |a: f64, b: f64| assert!((a - b).abs() < 5e-5, "{a} is not {b}");
    let at = |text: &str| band_weights(finding, gauge, parse_quantity(text, gauge, "test").unwrap());
    close(at("10 V")[0], 0.682_69);
    close(at("9 V")[1], 0.5);
    close(at("9000 mV")[0], 0.477_25);
    close(at("10 V").iter().sum(), 1.0);
}
