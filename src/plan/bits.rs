//! A small set of small numbers: actions done, findings known, access steps open.

/// A set of numbers, compared and hashed by what is in it. The first 64 cost no memory of their own.
#[derive(Debug, Clone, Default, PartialEq, Eq, Hash)]
pub struct Bits {
    low: u64,
    high: Vec<u64>,
}

impl Bits {
    pub fn of(items: impl IntoIterator<Item = usize>) -> Bits {
        let mut bits = Bits::default();
        items.into_iter().for_each(|i| bits.insert(i));
        bits
    }

    pub fn has(&self, i: usize) -> bool {
        self.word(i / 64) >> (i % 64) & 1 == 1
    }

    pub fn insert(&mut self, i: usize) {
        if i < 64 {
            self.low |= 1 << i;
            return;
        }
        let word = i / 64 - 1;
        if self.high.len() <= word {
            self.high.resize(word + 1, 0);
        }
        self.high[word] |= 1 << (i % 64);
    }

    pub fn remove(&mut self, i: usize) {
        if i < 64 {
            self.low &= !(1 << i);
        } else if let Some(word) = self.high.get_mut(i / 64 - 1) {
            *word &= !(1 << (i % 64));
        }
        while self.high.last() == Some(&0) {
            self.high.pop();
        }
    }

    /// The numbers that are in the other too.
    pub fn within(&self, other: &Bits) -> Bits {
        let mut high: Vec<u64> = self.high.iter().zip(&other.high).map(|(a, b)| a & b).collect();
        while high.last() == Some(&0) {
            high.pop();
        }
        Bits { low: self.low & other.low, high }
    }

    /// The set as numbers of 64 bits, for a key.
    pub fn words(&self) -> impl Iterator<Item = u64> + '_ {
        [self.low].into_iter().chain(self.high.iter().copied())
    }

    fn word(&self, word: usize) -> u64 {
        if word == 0 { self.low } else { self.high.get(word - 1).copied().unwrap_or(0) }
    }
}
