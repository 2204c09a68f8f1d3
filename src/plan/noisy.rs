//! Noisy-MAX in positive arithmetic: the highest of several independent pushes (Henrion 1989, Díez 1993).

/// The probability of each state, from normal on, when one more push may come; `push` gives its chance for states `1..`.
pub fn raise(states: &mut [f64], push: &[f64]) {
    for k in (0..states.len()).rev() {
        states[k] = raised(states, push, k);
    }
}

/// Probability of state `k` when one more push may come.
pub fn raised(states: &[f64], push: &[f64], k: usize) -> f64 {
    let above: f64 = push[k..].iter().sum();
    let up = if k == 0 { 0.0 } else { states[..k].iter().sum::<f64>() * push[k - 1] };
    states[k] * (1.0 - above).max(0.0) + up
}

#[cfg(test)]
mod tests {
    use super::raise;

    /// Published: A has three states, B = b2 pushes (.5, .5, 0), C = c1 (.1, .8, .1): together (.05, .85, .1). Vendor's answer in a public
    /// forum thread on noisy-MAX, a1 < a2 < a3, no leak.
    #[test]
    fn two_pushes_make_the_published_mixture() {
        let mut states = [1.0, 0.0, 0.0];
        raise(&mut states, &[0.5, 0.0]);
        raise(&mut states, &[0.8, 0.1]);
        let published = [0.05, 0.85, 0.1];
        assert!(states.iter().zip(published).all(|(s, p)| (s - p).abs() < 1e-15), "{states:?}");
    }
}
