//! Repeatable chance.

/// A small generator with a 64-bit state (splitmix64; Steele, Lea & Flood 2014): the same seed gives the same numbers on
/// every machine.
#[derive(Debug, Clone)]
pub struct Random(pub u64);

impl Random {
    /// Uniform in 0..1.
    pub fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }
}
