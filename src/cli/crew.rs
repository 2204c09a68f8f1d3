//! Work on many things at once, on every core.

use super::failure::Failure;
use super::out::{Bar, Out};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;

/// What `work` makes of each item, in their order; the next free core takes the next item.
pub fn each<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync, out: &mut Out) -> Result<Vec<R>, Failure> {
    let workers = std::thread::available_parallelism().map_or(1, usize::from).min(items.len());
    let (next, work, mut bar) = (AtomicUsize::new(0), &work, Bar::new(items.len()));
    let take = || {
        let place = next.fetch_add(1, Ordering::Relaxed);
        items.get(place).map(|item| (place, item))
    };
    let take = &take;
    let (send, news) = mpsc::channel();
    let mut made: Vec<(usize, R)> = Vec::with_capacity(items.len());
    std::thread::scope(|scope| {
        for send in std::iter::repeat_n(send, workers) {
            scope.spawn(move || {
                // the other end is gone where the output could not be written: then nobody waits for the rest
                while take().is_some_and(|(place, item)| send.send((place, work(item))).is_ok()) {}
            });
        }
        for result in news {
            made.push(result);
            bar.step(out)?;
        }
        Ok(())
    })?;
    made.sort_by_key(|(place, _)| *place);
    Ok(made.into_iter().map(|(_, result)| result).collect())
}
