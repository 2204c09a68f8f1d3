//! The operations on a table over the open nodes, and their transposes for the way back.
//!
//! A table is a plain slice; the axis of a node is given by the number of entries below it (`low`) and its levels. Tables
//! of two levels are by far the most common and have loops of their own.

use crate::belief::arith::{Join, Number};

/// A new axis on top: entry times start of each level.
pub fn open<T: Number>(table: &mut Vec<T>, start: &[T]) {
    let size = table.len();
    for &p in &start[1..] {
        let top = table.len();
        table.extend_from_within(..size);
        table[top..].iter_mut().for_each(|x| *x = *x * p);
    }
    table[..size].iter_mut().for_each(|x| *x = *x * start[0]);
}

/// Transpose of [`open`].
pub fn unopen<T: Number>(table: &mut Vec<T>, start: &[T]) {
    let size = table.len() / start.len();
    let (low, high) = table.split_at_mut(size);
    low.iter_mut().for_each(|x| *x = *x * start[0]);
    for (part, &p) in high.chunks_exact(size).zip(&start[1..]) {
        low.iter_mut().zip(part).for_each(|(x, &y)| *x = *x + y * p);
    }
    table.truncate(size);
}

/// Multiplies each level of an axis by its weight; its own transpose.
pub fn weigh<T: Number>(table: &mut [T], low: usize, weights: &[T]) {
    for (part, &w) in table.chunks_exact_mut(low).zip(weights.iter().cycle()) {
        part.iter_mut().for_each(|x| *x = *x * w);
    }
}

/// Sums an axis out, each level by its weight; `spare` is only room.
pub fn close<T: Number>(table: &mut Vec<T>, spare: &mut Vec<T>, low: usize, weights: &[T]) {
    spare.clear();
    for block in table.chunks_exact(low * weights.len()) {
        let at = spare.len();
        spare.extend(block[..low].iter().map(|&x| x * weights[0]));
        for (part, &w) in block.chunks_exact(low).zip(weights).skip(1) {
            spare[at..].iter_mut().zip(part).for_each(|(x, &y)| *x = *x + y * w);
        }
    }
    std::mem::swap(table, spare);
}

/// Transpose of [`close`]: the axis comes back, each level carrying its weight.
pub fn unclose<T: Number>(table: &mut Vec<T>, spare: &mut Vec<T>, low: usize, weights: &[T]) {
    spare.clear();
    for part in table.chunks_exact(low) {
        for &w in weights {
            spare.extend(part.iter().map(|&x| x * w));
        }
    }
    std::mem::swap(table, spare);
}

/// Where a link acts in a table: the strides and levels of its two ends, and how the levels of its target join where they are not one above
/// the other.
#[derive(Clone, Copy)]
pub struct Across<'a> {
    pub from: usize,
    pub sources: usize,
    pub to: usize,
    pub levels: usize,
    pub join: Option<&'a Join>,
}

/// The highest of what was reached and what each level of the source pushes to: `x_j P(push <= j) + x_{<j} P(push = j)`.
pub fn push<T: Number>(table: &mut [T], at: Across, push: &[T]) {
    if let (&[a, b], 2) = (push, at.sources) {
        let c = a + b;
        return pairs(table, at.from, at.to, |lo, hi| {
            *hi = *hi * c + *lo * b;
            *lo = *lo * a;
        });
    }
    for (row, level) in push.chunks_exact(at.levels).zip(1..) {
        match at.join {
            None => groups(table, at, level, |group, run| raise(group, run, at.to, row)),
            Some(join) => joined(table, at, level, row, |a, b| join.of(a, b)),
        }
    }
}

fn raise<T: Number>(group: &mut [T], run: usize, to: usize, push: &[T]) {
    for j in (0..push.len()).rev() {
        let (below, here) = group.split_at_mut(j * to);
        let reach = push[..=j].iter().fold(T::ZERO, |sum, &p| sum + p);
        here[..run].iter_mut().for_each(|x| *x = *x * reach);
        for i in 0..j {
            let old = &below[i * to..i * to + run];
            here.iter_mut().zip(old).for_each(|(x, &y)| *x = *x + y * push[j]);
        }
    }
}

/// Transpose of [`push`].
pub fn unpush<T: Number>(table: &mut [T], at: Across, push: &[T]) {
    if let (&[a, b], 2) = (push, at.sources) {
        let c = a + b;
        return pairs(table, at.from, at.to, |lo, hi| {
            *lo = *lo * a + *hi * b;
            *hi = *hi * c;
        });
    }
    for (row, level) in push.chunks_exact(at.levels).zip(1..) {
        match at.join {
            None => groups(table, at, level, |group, run| lower(group, run, at.to, row)),
            Some(join) => unjoined(table, at, level, row, join),
        }
    }
}

fn lower<T: Number>(group: &mut [T], run: usize, to: usize, push: &[T]) {
    for j in 0..push.len() {
        let (here, above) = group.split_at_mut(j * to + run);
        let here = &mut here[j * to..];
        let reach = push[..=j].iter().fold(T::ZERO, |sum, &p| sum + p);
        here.iter_mut().for_each(|x| *x = *x * reach);
        for (k, &p) in push.iter().enumerate().skip(j + 1) {
            let old = &above[(k - j) * to - run..(k - j) * to];
            here.iter_mut().zip(old).for_each(|(x, &y)| *x = *x + y * p);
        }
    }
}

/// A push where levels join in their own way: level `a` and a push to `b` make `made(a, b)`.
fn joined<T: Number>(table: &mut [T], at: Across, level: usize, push: &[T], made: impl Fn(usize, usize) -> Option<usize>) {
    let mut reached: Vec<T> = Vec::new();
    groups(table, at, level, |group, run| {
        reached.clear();
        reached.resize(at.levels * run, T::ZERO);
        for (b, &p) in push.iter().enumerate().filter(|(_, p)| !p.is_zero()) {
            for (a, j) in (0..at.levels).filter_map(|a| Some((a, made(a, b)?))) {
                let old = &group[a * at.to..a * at.to + run];
                reached[j * run..].iter_mut().zip(old).for_each(|(x, &y)| *x = *x + y * p);
            }
        }
        put(group, &reached, at.to, run);
    });
}

/// Transpose of [`joined`].
fn unjoined<T: Number>(table: &mut [T], at: Across, level: usize, push: &[T], join: &Join) {
    let mut met: Vec<T> = Vec::new();
    groups(table, at, level, |group, run| {
        met.clear();
        met.resize(at.levels * run, T::ZERO);
        for (b, &p) in push.iter().enumerate().filter(|(_, p)| !p.is_zero()) {
            for (a, j) in (0..at.levels).filter_map(|a| Some((a, join.of(a, b)?))) {
                let old = &group[j * at.to..j * at.to + run];
                met[a * run..].iter_mut().zip(old).for_each(|(x, &y)| *x = *x + y * p);
            }
        }
        put(group, &met, at.to, run);
    });
}

fn put<T: Number>(group: &mut [T], levels: &[T], to: usize, run: usize) {
    for (j, level) in levels.chunks_exact(run).enumerate() {
        group[j * to..j * to + run].copy_from_slice(level);
    }
}

/// Runs a step on each pair of entries that differ only in the two levels of `to`, where the cause `from` is present.
fn pairs<T: Number>(table: &mut [T], from: usize, to: usize, step: impl Fn(&mut T, &mut T)) {
    if from < to {
        for block in table.chunks_exact_mut(2 * to) {
            let (low, high) = block.split_at_mut(to);
            for (low, high) in low.chunks_exact_mut(2 * from).zip(high.chunks_exact_mut(2 * from)) {
                low[from..].iter_mut().zip(&mut high[from..]).for_each(|(lo, hi)| step(lo, hi));
            }
        }
        return;
    }
    for block in table.chunks_exact_mut(2 * from) {
        match to {
            1 => short::<T, 2>(&mut block[from..], &step),
            2 => short::<T, 4>(&mut block[from..], &step),
            4 => short::<T, 8>(&mut block[from..], &step),
            _ => block[from..].chunks_exact_mut(2 * to).for_each(|pair| {
                let (low, high) = pair.split_at_mut(to);
                low.iter_mut().zip(high).for_each(|(lo, hi)| step(lo, hi));
            }),
        }
    }
}

/// [`pairs`] for a low axis, with the length known to the compiler.
fn short<T: Number, const BOTH: usize>(present: &mut [T], step: &impl Fn(&mut T, &mut T)) {
    let (blocks, _) = present.as_chunks_mut::<BOTH>();
    for pair in blocks {
        let (low, high) = pair.split_at_mut(BOTH / 2);
        low.iter_mut().zip(high).for_each(|(lo, hi)| step(lo, hi));
    }
}

/// Runs a step on every group of entries that differ only in the level of the target, where the source is at a level. The step gets the table
/// from the first entry of a run of neighbours on, and the length of the run.
fn groups<T: Number>(table: &mut [T], at: Across, level: usize, mut step: impl FnMut(&mut [T], usize)) {
    let Across { from, sources, to, levels, .. } = at;
    let run = from.min(to);
    let above = from > to;
    let (outer, inner) = if above { (sources * from, to * levels) } else { (to * levels, sources * from) };
    let inside = if above { level * from..(level + 1) * from } else { level * from..to };
    for block in table.chunks_exact_mut(outer) {
        for first in inside.clone().step_by(inner) {
            step(&mut block[first..first + (levels - 1) * to + run], run);
        }
    }
}

/// For each level of an axis, the sum of products of two tables; the second may have the axis summed out already.
pub fn dots<T: Number>(a: &[T], b: &[T], low: usize, sums: &mut [T]) {
    sums.fill(T::ZERO);
    let levels = sums.len();
    let each = if a.len() == b.len() { 1 } else { levels };
    for (i, a) in a.chunks_exact(low).enumerate() {
        let at = i / each * low;
        sums[i % levels] = sums[i % levels] + inner(a, &b[at..at + low]);
    }
}

/// Sum of products, in four lanes that a processor can run side by side.
pub fn inner<T: Number>(a: &[T], b: &[T]) -> T {
    let mut lanes = [T::ZERO; 4];
    let (a4, a1) = a.as_chunks::<4>();
    let (b4, b1) = b.as_chunks::<4>();
    for (a, b) in a4.iter().zip(b4) {
        for i in 0..4 {
            lanes[i] = lanes[i] + a[i] * b[i];
        }
    }
    let rest = a1.iter().zip(b1).fold(T::ZERO, |sum, (&x, &y)| sum + x * y);
    (lanes[0] + lanes[1]) + (lanes[2] + lanes[3]) + rest
}
