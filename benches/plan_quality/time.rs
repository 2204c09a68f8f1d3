//! Processor time of this thread: wall time is no measure on a shared machine.

use rustix::time::{ClockId, clock_gettime};

/// Seconds that a piece of work takes, and what it makes.
pub fn timed<T>(work: impl FnOnce() -> T) -> (f64, T) {
    let now = || {
        let t = clock_gettime(ClockId::ThreadCPUTime);
        t.tv_sec as f64 + t.tv_nsec as f64 * 1e-9
    };
    let before = now();
    let made = work();
    (now() - before, made)
}

/// The value at a share of the sorted list, 0 to 1.
pub fn quantile(values: &mut [f64], share: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    values[((values.len() - 1) as f64 * share).round() as usize]
}
