//! The noisy-MAX: the highest of what was reached and what is pushed to, level by level, and its transpose. Levels are ordered one above the
//! other, or in part ([`Join`]). All terms are positive.

use super::number::Number;

pub fn dot<T: Number>(a: &[T], b: &[T]) -> T {
    a.iter().zip(b).fold(T::ZERO, |sum, (&x, &y)| sum + x * y)
}

/// The highest of what was reached and one push: `x_j P(push <= j) + x_{<j} P(push = j)`, level by level, for levels one above the other.
pub fn pushed<'a, T: Number>(x: &'a [T], push: &'a [T]) -> impl Iterator<Item = T> + 'a {
    let (mut below, mut reach) = (T::ZERO, T::ZERO);
    x.iter().zip(push).map(move |(&x, &p)| {
        reach = reach + p;
        let reached = x * reach + below * p;
        below = below + x;
        reached
    })
}

/// The same for any levels, handed out one by one.
pub fn each_pushed<T: Number>(x: &[T], push: &[T], join: Option<&Join>, mut each: impl FnMut(usize, T)) {
    let Some(join) = join else { return pushed(x, push).enumerate().for_each(|(j, reached)| each(j, reached)) };
    let mut reached = vec![T::ZERO; x.len()];
    for (b, &p) in push.iter().enumerate().filter(|(_, p)| !p.is_zero()) {
        for (a, &x) in x.iter().enumerate() {
            if let Some(j) = join.of(a, b) {
                reached[j] = reached[j] + x * p;
            }
        }
    }
    reached.into_iter().enumerate().for_each(|(j, reached)| each(j, reached));
}

/// Transpose of [`each_pushed`], written for level `j`: for levels one above the other `y_j P(push <= j) + sum over k > j of y_k P(push = k)`.
pub fn unpushed<T: Number>(y: &[T], push: &[T], join: Option<&Join>, j: usize) -> T {
    let Some(join) = join else {
        let reach = push[..=j].iter().fold(T::ZERO, |sum, &p| sum + p);
        return y[j] * reach + dot(&y[j + 1..], &push[j + 1..]);
    };
    let met = push.iter().enumerate().filter_map(|(b, &p)| Some(p * y[join.of(j, b)?]));
    met.fold(T::ZERO, |sum, x| sum + x)
}

/// How two levels of a node make one, where levels are ordered only in part: the lowest that is above both.
#[derive(Debug, Clone, PartialEq)]
pub struct Join {
    levels: usize,
    table: Vec<u16>,
    /// For each level, those strictly below it.
    pub below: Vec<Vec<u16>>,
}

impl Join {
    /// From what two levels make (none where that was ruled out), and whether the first of two lies below the second. A level above another has the
    /// higher number.
    pub fn new(levels: usize, made: impl Fn(usize, usize) -> Option<usize>, is_below: impl Fn(usize, usize) -> bool) -> Join {
        let place = |i: usize| made(i / levels, i % levels).map_or(u16::MAX, |p| p as u16);
        let below = |a: usize| (0..a).filter(|&b| is_below(b, a)).map(|b| b as u16).collect();
        Join { levels, table: (0..levels * levels).map(place).collect(), below: (0..levels).map(below).collect() }
    }

    /// The level that two make; none where that was ruled out.
    pub fn of(&self, a: usize, b: usize) -> Option<usize> {
        let place = self.table[a * self.levels + b];
        (place != u16::MAX).then_some(place as usize)
    }
}

/// Sums of what lies at or below each level.
pub fn up_to(levels: &mut [f64], join: Option<&Join>) {
    match join {
        None => (1..levels.len()).for_each(|i| levels[i] += levels[i - 1]),
        Some(join) => {
            let each = levels.to_vec();
            for (j, below) in join.below.iter().enumerate() {
                levels[j] += below.iter().map(|&b| each[usize::from(b)]).sum::<f64>();
            }
        }
    }
}
