//! Products of many small numbers, which no float holds.

/// Below this, and above its inverse, a product is put aside as its logarithm.
const SMALL: f64 = 1e-150;

/// The logarithm of a product of numbers of 0 or more; minus infinity where one is 0.
pub fn ln_product(factors: impl Iterator<Item = f64>) -> f64 {
    let (mut aside, mut product) = (0.0, 1.0);
    for factor in factors {
        product *= factor;
        if !(SMALL..=1.0 / SMALL).contains(&product) {
            aside += f64::ln(product);
            product = 1.0;
        }
    }
    aside + f64::ln(product)
}

#[cfg(test)]
mod tests {
    use super::ln_product;

    #[test]
    fn hundreds_of_small_numbers_have_a_logarithm() {
        assert!((ln_product((0..400).map(|_| 1e-3)) + 400.0 * 1e3f64.ln()).abs() < 1e-9);
        assert!((ln_product((0..400).map(|_| 1e3)) - 400.0 * 1e3f64.ln()).abs() < 1e-9);
        assert!(ln_product([0.5, 0.0].into_iter()).is_infinite());
    }
}
