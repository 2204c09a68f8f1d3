//! The four operations on a table over the open nodes, and their transposes for the way back.
//!
//! A table is a plain slice; the axis of a node is given by the number of entries below it (`low`) and its levels.

use super::number::Number;

/// A new axis on top: entry times start of each level.
pub(super) fn open<T: Number>(table: &mut Vec<T>, start: &[T]) {
    let size = table.len();
    for &p in &start[1..] {
        table.extend_from_within(..size);
        let top = table.len() - size;
        table[top..].iter_mut().for_each(|x| *x = *x * p);
    }
    table[..size].iter_mut().for_each(|x| *x = *x * start[0]);
}

/// Transpose of [`open`].
pub(super) fn unopen<T: Number>(table: &mut Vec<T>, start: &[T]) {
    let size = table.len() / start.len();
    let (low, high) = table.split_at_mut(size);
    low.iter_mut().for_each(|x| *x = *x * start[0]);
    for (part, &p) in high.chunks_exact(size).zip(&start[1..]) {
        low.iter_mut().zip(part).for_each(|(x, &y)| *x = *x + y * p);
    }
    table.truncate(size);
}

/// Multiplies each level of an axis by its weight; its own transpose.
pub(super) fn weigh<T: Number>(table: &mut [T], low: usize, weights: &[T]) {
    for (part, &w) in table.chunks_exact_mut(low).zip(weights.iter().cycle()) {
        part.iter_mut().for_each(|x| *x = *x * w);
    }
}

/// Sums an axis out, each level by its weight.
pub(super) fn close<T: Number>(table: &mut Vec<T>, low: usize, weights: &[T]) {
    let levels = weights.len();
    for block in 0..table.len() / (low * levels) {
        for i in 0..low {
            let from = block * low * levels + i;
            let sum = weights.iter().enumerate().fold(T::ZERO, |sum, (j, &w)| sum + table[from + j * low] * w);
            table[block * low + i] = sum;
        }
    }
    table.truncate(table.len() / levels);
}

/// Transpose of [`close`]: the axis comes back, each level carrying its weight.
pub(super) fn unclose<T: Number>(table: &mut Vec<T>, low: usize, weights: &[T]) {
    let (levels, size) = (weights.len(), table.len());
    table.resize(size * levels, T::ZERO);
    for block in (0..size / low).rev() {
        for i in (0..low).rev() {
            let value = table[block * low + i];
            for (j, &w) in weights.iter().enumerate().rev() {
                table[(block * levels + j) * low + i] = value * w;
            }
        }
    }
}

/// Runs a step on every group of entries that differ only in the level of `to`, where the cause `from` is present. The
/// step gets the table, the first entry of a run of neighbours, and the length of the run.
fn groups<T: Number>(table: &mut [T], from: usize, to: usize, levels: usize, mut step: impl FnMut(&mut [T], usize)) {
    let run = from.min(to);
    let (outer, inner) = if from > to { (2 * from, to * levels) } else { (to * levels, 2 * from) };
    let span = if from > to { (from, 2 * from) } else { (0, to) };
    for block in table.chunks_exact_mut(outer) {
        for at in (span.0..span.1).step_by(inner) {
            let at = if from > to { at } else { at + from };
            step(&mut block[at..at + (levels - 1) * to + run], run);
        }
    }
}

/// The highest of what was reached and what the cause pushes to: `new_j = old_j P(push <= j) + old_{<j} P(push = j)`.
pub(super) fn push<T: Number>(table: &mut [T], from: usize, to: usize, push: &[T]) {
    groups(table, from, to, push.len(), |group, run| {
        for j in (0..push.len()).rev() {
            let (below, here) = group.split_at_mut(j * to);
            let reach = push[..=j].iter().fold(T::ZERO, |sum, &p| sum + p);
            here[..run].iter_mut().for_each(|x| *x = *x * reach);
            for i in 0..j {
                let old = &below[i * to..i * to + run];
                here.iter_mut().zip(old).for_each(|(x, &y)| *x = *x + y * push[j]);
            }
        }
    });
}

/// Transpose of [`push`].
pub(super) fn unpush<T: Number>(table: &mut [T], from: usize, to: usize, push: &[T]) {
    groups(table, from, to, push.len(), |group, run| {
        for j in 0..push.len() {
            let (here, above) = group.split_at_mut((j + 1) * to - (to - run) * usize::from(j + 1 == push.len()));
            let here = &mut here[j * to..j * to + run];
            let reach = push[..=j].iter().fold(T::ZERO, |sum, &p| sum + p);
            here.iter_mut().for_each(|x| *x = *x * reach);
            for (k, &p) in push.iter().enumerate().skip(j + 1) {
                let old = &above[(k - j - 1) * to..(k - j - 1) * to + run];
                here.iter_mut().zip(old).for_each(|(x, &y)| *x = *x + y * p);
            }
        }
    });
}
