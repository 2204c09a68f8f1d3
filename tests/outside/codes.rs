//! Trouble codes: structure and decoding.
//!
//! Source of `vectors.json`: decoding computed with the PyPI package `obd` 0.7.3 (`parse_dtc`), upper-cased; malformed ones by the
//! structure of SAE J2012 / ISO 15031-6 (from memory).

use faultbook::book::{Definer, Dtc, title, titled};

fn vectors() -> serde_json::Value {
    serde_json::from_str(include_str!("vectors.json")).unwrap()
}

#[test]
fn two_bytes_decode_to_the_code_of_the_reference() {
    let mut count = 0;
    for vector in vectors()["dtc"].as_array().unwrap() {
        let word = u16::from_str_radix(vector["bytes"].as_str().unwrap(), 16).unwrap();
        let code = Dtc::from_bytes(word.to_be_bytes()).unwrap();
        assert_eq!(code.to_string(), vector["code"].as_str().unwrap());
        assert_eq!(Dtc::parse(vector["code"].as_str().unwrap()), Ok(code), "text and bytes agree");
        count += 1;
    }
    assert!(count >= 25, "{count} vectors");
}

#[test]
fn malformed_codes_are_refused() {
    for text in vectors()["malformed"].as_array().unwrap() {
        let text = text.as_str().unwrap();
        assert!(Dtc::parse(text).is_err(), "`{text}` was taken for a code");
    }
}

#[test]
fn codes_are_read_in_either_case_with_an_ending() {
    let p0133 = Dtc::parse("P0133").unwrap();
    assert_eq!(Dtc::parse(" p0133 "), Ok(p0133));
    assert_eq!(Dtc::parse("P0133-00"), Ok(p0133));
    assert_eq!(Dtc::from_bytes([0, 0]), None, "padding is no code");
}

/// Ranges of SAE J2012 (from memory; several public texts agree).
#[test]
fn ranges_belong_to_the_standard_or_the_maker() {
    let definer = |text: &str| Dtc::parse(text).unwrap().definer();
    for standard in ["P0299", "P2463", "P3400", "U0100", "C0035", "B0001", "U3003"] {
        assert_eq!(definer(standard), Definer::Standard, "{standard}");
    }
    for maker in ["P1234", "P3000", "P33FF", "C1234", "B2100", "U1234", "U2001"] {
        assert_eq!(definer(maker), Definer::Maker, "{maker}");
    }
}

#[test]
fn generic_codes_in_common_use_have_a_title() {
    assert!(titled().len() > 1500, "{} titles", titled().len());
    for code in ["P0087", "P0101", "P0171", "P0299", "P0300", "P0304", "P0420", "P0562", "P2002", "P2463", "U0100", "P0A1F"] {
        let title = title(Dtc::parse(code).unwrap());
        assert!(title.is_some_and(|t| t.len() > 8), "{code} has no title");
    }
}

/// The titles `codes/compare.py` expands from the same table; that script sets them against the code list of `obd` 0.7.3.
#[test]
fn titles_expand_as_the_comparing_script_expands_them() {
    let sample = include_str!("codes/sample.tsv");
    let (said, rows) = sample.split_once('\n').unwrap();
    assert!(said.ends_with(&format!(" {} codes in all.", titled().len())), "{} here, {said}", titled().len());
    for (code, expected) in rows.lines().filter_map(|row| row.split_once('\t')) {
        assert_eq!(title(Dtc::parse(code).unwrap()).as_deref(), Some(expected), "{code}");
    }
}
