//! Tables of blocks of one kind: a number for each name, in the order of the files.

use super::types::Headed;
use serde::{Deserialize, Serialize};
use std::marker::PhantomData;

/// The number of a block within its table.
#[derive(Serialize, Deserialize)]
#[serde(bound = "")]
pub struct Id<T>(u32, PhantomData<fn() -> T>);

impl<T> Id<T> {
    /// The number, from 0.
    pub fn index(self) -> usize {
        self.0 as usize
    }

    /// The block of that number. Only a number that came from the same book means anything.
    pub fn from_index(index: usize) -> Self {
        Id(index as u32, PhantomData)
    }
}

impl<T> Clone for Id<T> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<T> Copy for Id<T> {}
impl<T> PartialEq for Id<T> {
    fn eq(&self, other: &Self) -> bool {
        self.0 == other.0
    }
}
impl<T> Eq for Id<T> {}
impl<T> PartialOrd for Id<T> {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl<T> Ord for Id<T> {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.cmp(&other.0)
    }
}
impl<T> std::hash::Hash for Id<T> {
    fn hash<H: std::hash::Hasher>(&self, state: &mut H) {
        self.0.hash(state);
    }
}
impl<T> std::fmt::Debug for Id<T> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "#{}", self.0)
    }
}

/// All blocks of one kind.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Table<T> {
    rows: Vec<T>,
    /// The numbers of the rows, in order of their names: a name is found by halves, and is kept once.
    by_name: Vec<u32>,
}

impl<T> Default for Table<T> {
    fn default() -> Self {
        Table { rows: Vec::new(), by_name: Vec::new() }
    }
}

impl<T: Headed> Table<T> {
    /// Adds a block and gives its number.
    pub(super) fn push(&mut self, row: T) -> Id<T> {
        let index = self.rows.len() as u32;
        match self.place(row.name()) {
            // of two blocks of one name, which no sound book has, the last one is found
            Ok(at) => self.by_name[at] = index,
            Err(at) => self.by_name.insert(at, index),
        }
        self.rows.push(row);
        Id(index, PhantomData)
    }

    /// The number of the block of that name.
    pub fn find(&self, name: &str) -> Option<Id<T>> {
        self.place(name).ok().map(|at| Id(self.by_name[at], PhantomData))
    }

    fn place(&self, name: &str) -> Result<usize, usize> {
        self.by_name.binary_search_by(|i| self.rows[*i as usize].name().cmp(name))
    }

    /// All names in order.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.rows.iter().map(|r| r.name())
    }
}

impl<T> Table<T> {
    /// All blocks with their numbers.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = (Id<T>, &T)> + DoubleEndedIterator {
        self.rows.iter().enumerate().map(|(i, r)| (Id(i as u32, PhantomData), r))
    }

    /// How many.
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }
}

impl<T> std::ops::Index<Id<T>> for Table<T> {
    type Output = T;
    fn index(&self, id: Id<T>) -> &T {
        &self.rows[id.index()]
    }
}
