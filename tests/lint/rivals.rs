//! When one check outdoes another.

use super::{BENCH, remarks};

fn outdone(checks: &str) -> bool {
    let (found, _) = remarks(&[BENCH, ("rivals.rules", checks)]);
    found.iter().any(|r| r.code.name == "outdone-check")
}

/// A look that is quicker but more dangerous is no better: a workshop may want the slower one.
#[test]
fn a_check_with_a_danger_of_its_own_outdoes_none_without() {
    let quick =
        |hazard: &str| format!("check tug-strap \"Tug the earth strap\"\n  takes    1 min\n  access   lifted\n{hazard}  reveals  strap\n");
    assert!(outdone(&quick("")), "it takes less time and reveals as much");
    assert!(!outdone(&quick("  hazard   hot-engine\n")));
}
