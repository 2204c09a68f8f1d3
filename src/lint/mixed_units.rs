//! Limits of one reading in more than one unit.

use super::prelude::*;
use crate::book::{Dimension, Unit};
use crate::syntax::{Quantity, Range};

pub const LINT: Lint = Lint::texts("FB204", "mixed-units", Severity::Warning, check);

fn check(texts: &Texts, found: &mut Vec<Remark>) {
    for block in texts.own_blocks().filter(|b| b.kind.value == Kind::Reading) {
        let Some(own) = block.clauses.iter().find_map(|c| if let Value::Unit(word) = &c.value { Some(word) } else { None }) else { continue };
        let limits = block.clauses.iter().filter_map(|c| if let Value::Band { ranges, .. } = &c.value { Some(ranges) } else { None });
        for limit in limits.flatten().flat_map(ends) {
            let Some(unit) = limit.unit.as_ref().filter(|u| u.value != own.value && !same(&u.value, &own.value)) else { continue };
            let message = format!("`{}` is read in `{}`, but this limit is in `{}`", block.name.value, own.value, unit.value);
            let remark = Remark::new(LINT.code, message, unit.span, "another unit").and(own.span, "read in this one");
            found.push(remark.help(format!("work the limit out in `{}`, so that it can be compared with its source at a glance", own.value)));
        }
    }
}

/// The limits of a range.
pub fn ends(range: &Range) -> Vec<&Quantity> {
    match range {
        Range::Below(end) | Range::Above(end) => vec![end],
        Range::Between(low, high) => vec![low, high],
    }
}

/// Whether two spellings mean one unit. Plain numbers have names, such as `lambda`, that say more than a unit.
pub fn same(one: &str, other: &str) -> bool {
    let (Ok(one), Ok(two)) = (Unit::parse(one), Unit::parse(other)) else { return false };
    let equal = |number: f64| one.convert(number, other).is_ok_and(|n| (n - number).abs() < 1e-9);
    one.dimension == two.dimension && one.dimension != Dimension::Count && equal(0.0) && equal(1.0)
}
