//! Doubles with an exponent of their own, for the rare query whose probability lies below what a double can hold.

use std::ops::{Add, Mul};

use super::number::Number;
use crate::belief::model::MOST_REPAIRS;

/// `mantissa * 2^exponent`, the mantissa 0 or in 1..2.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wide {
    mantissa: f64,
    exponent: i64,
}

/// Exponent of zero: below every other, and far enough from the end of the type that sums of two stay inside.
const NOTHING: i64 = i64::MIN / 4;

impl Wide {
    /// Brings a mantissa that is 0 or a normal double back to 1..2.
    fn normal(mantissa: f64, exponent: i64) -> Wide {
        if mantissa == 0.0 {
            return Wide::ZERO;
        }
        let bits = mantissa.to_bits();
        let shift = i64::from((bits >> 52) as u32 & 0x7ff) - 1023;
        let mantissa = f64::from_bits(bits & !(0x7ff << 52) | (1023 << 52));
        Wide { mantissa, exponent: exponent + shift }
    }
}

impl Add for Wide {
    type Output = Wide;
    fn add(self, other: Wide) -> Wide {
        let (big, small) = if self.exponent >= other.exponent { (self, other) } else { (other, self) };
        let gap = big.exponent - small.exponent;
        if gap > 60 || small.mantissa == 0.0 {
            return big;
        }
        let scale = f64::from_bits(((1023 - gap) as u64) << 52);
        Wide::normal(big.mantissa + small.mantissa * scale, big.exponent)
    }
}

impl Mul for Wide {
    type Output = Wide;
    fn mul(self, other: Wide) -> Wide {
        Wide::normal(self.mantissa * other.mantissa, self.exponent + other.exponent)
    }
}

impl Number for Wide {
    const ZERO: Wide = Wide { mantissa: 0.0, exponent: NOTHING };
    const ONE: Wide = Wide { mantissa: 1.0, exponent: 0 };
    const ONES: &'static [Wide] = &[Wide::ONE; MOST_REPAIRS + 2];
    fn of(value: f64) -> Wide {
        // A subnormal has no exponent field of its own: lift it into the normal range first.
        if value < f64::MIN_POSITIVE { Wide::normal(value * 2f64.powi(200), -200) } else { Wide::normal(value, 0) }
    }
    fn is_zero(self) -> bool {
        self.mantissa <= 0.0
    }
    fn ln(self) -> f64 {
        self.mantissa.ln() + self.exponent as f64 * std::f64::consts::LN_2
    }
    fn share(self, total: Wide) -> f64 {
        let gap = (self.exponent - total.exponent).clamp(-1100, 1023);
        self.mantissa / total.mantissa * 2f64.powi(gap as i32)
    }
    fn safe(self) -> bool {
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wide_agrees_with_doubles_and_outlives_them() {
        let (a, b) = (Wide::of(0.3), Wide::of(1e-310));
        assert!(((a + b).ln() - 0.3f64.ln()).abs() < 1e-15);
        assert!(((a * a + a).ln() - 0.39f64.ln()).abs() < 1e-15);
        assert!((b.ln() - 1e-310f64.ln()).abs() < 1e-12);
        let tiny = (0..400).fold(Wide::ONE, |x, _| x * Wide::of(0.015));
        assert!((tiny.ln() - 400.0 * 0.015f64.ln()).abs() < 1e-9);
        assert!(((tiny * a).share(tiny) - 0.3).abs() < 1e-15);
        assert!(Wide::ZERO.share(tiny) < f64::MIN_POSITIVE);
        assert!((Wide::ZERO * a + Wide::ZERO).ln() < f64::MIN);
    }
}
