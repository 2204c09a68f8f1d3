//! Numbers that stand for larger things.

/// A bijection that spreads every bit (the finaliser of SplitMix64; Steele, Lea & Flood 2014).
pub fn mix(mut n: u64) -> u64 {
    n = (n ^ (n >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    n = (n ^ (n >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    n ^ (n >> 31)
}
