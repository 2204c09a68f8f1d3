//! A small set of small numbers: actions done, findings known, access steps open.

/// A set of numbers, ordered and hashed by what is in it.
#[derive(Debug, Clone, Default, PartialEq, Eq, Hash)]
pub struct Bits(Vec<u64>);

impl Bits {
    pub fn of(items: impl IntoIterator<Item = usize>) -> Bits {
        let mut bits = Bits::default();
        items.into_iter().for_each(|i| bits.insert(i));
        bits
    }

    pub fn has(&self, i: usize) -> bool {
        self.0.get(i / 64).is_some_and(|word| word >> (i % 64) & 1 == 1)
    }

    pub fn insert(&mut self, i: usize) {
        if self.0.len() <= i / 64 {
            self.0.resize(i / 64 + 1, 0);
        }
        self.0[i / 64] |= 1 << (i % 64);
    }

    pub fn remove(&mut self, i: usize) {
        if let Some(word) = self.0.get_mut(i / 64) {
            *word &= !(1 << (i % 64));
        }
        while self.0.last() == Some(&0) {
            self.0.pop();
        }
    }

    pub fn add(&mut self, other: &Bits) {
        other.iter().for_each(|i| self.insert(i));
    }

    pub fn iter(&self) -> impl Iterator<Item = usize> + '_ {
        let bits = |(w, &word): (usize, &u64)| (0..64).filter(move |b| word >> b & 1 == 1).map(move |b| w * 64 + b);
        self.0.iter().enumerate().flat_map(bits)
    }
}
