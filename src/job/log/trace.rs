//! A curve over time in little memory: the least and greatest value of each of at most 1024 stretches of equal length.

/// The most stretches.
const MOST: usize = 1024;

/// The curve of one reading or channel.
#[derive(Debug, Clone, PartialEq)]
pub struct Trace {
    /// Length of a stretch, seconds.
    pub width: f64,
    /// Least and greatest value of each stretch from the beginning of the log; none where nothing was sampled.
    pub stretches: Vec<Option<(f64, f64)>>,
    /// The first sample and the last.
    pub ends: Option<(f64, f64)>,
}

impl Default for Trace {
    fn default() -> Self {
        Trace { width: 0.05, stretches: vec![], ends: None }
    }
}

impl Trace {
    /// Adds a sample at a time in seconds, 0 or more.
    pub fn add(&mut self, time: f64, value: f64) {
        self.ends = Some(self.ends.map_or((value, value), |(first, _)| (first, value)));
        while time / self.width >= MOST as f64 {
            self.halve();
        }
        let at = (time / self.width) as usize;
        if at >= self.stretches.len() {
            self.stretches.resize(at + 1, None);
        }
        let slot = &mut self.stretches[at];
        *slot = Some(slot.map_or((value, value), |(least, most)| (least.min(value), most.max(value))));
    }

    /// Pairs of stretches become one.
    fn halve(&mut self) {
        self.width *= 2.0;
        let both = |pair: &[Option<(f64, f64)>]| {
            let known = pair.iter().flatten();
            known.copied().reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
        };
        self.stretches = self.stretches.chunks(2).map(both).collect();
    }

    /// Seconds from the beginning of the log to the end of the last stretch.
    pub fn seconds(&self) -> f64 {
        self.stretches.len() as f64 * self.width
    }

    /// Least and greatest value of all.
    pub fn range(&self) -> Option<(f64, f64)> {
        self.stretches.iter().flatten().copied().reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_curve_keeps_its_extremes_in_few_stretches() {
        let mut trace = Trace::default();
        for i in 0..200_000u32 {
            trace.add(f64::from(i) * 0.1, if i == 77_777 { 9.0 } else { f64::from(i % 3) });
        }
        assert!(trace.stretches.len() <= MOST && trace.stretches.len() > MOST / 2 - 1);
        assert_eq!(trace.range(), Some((0.0, 9.0)));
        let peak = trace.stretches.iter().position(|s| s.is_some_and(|(_, most)| most > 8.0)).unwrap();
        assert!((peak as f64 * trace.width - 7777.7).abs() < trace.width);
    }
}
