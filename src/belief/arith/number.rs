//! The numbers the sweep runs on.

use std::cell::Cell;
use std::ops::{Add, Mul};

use crate::belief::model::MOST_REPAIRS;

/// A non-negative number that can be added and multiplied. There is no subtraction on purpose.
pub trait Number: Copy + Add<Output = Self> + Mul<Output = Self> + 'static {
    const ZERO: Self;
    const ONE: Self;
    /// The weights of a cause or condition that says nothing more.
    const ONES: &'static [Self];
    fn of(value: f64) -> Self;
    fn is_zero(self) -> bool;
    /// Natural logarithm; minus infinity for 0.
    fn ln(self) -> f64;
    /// This number divided by a total it is part of.
    fn share(self, total: Self) -> f64;
    /// Room for the tables of a sweep, and where it goes afterwards.
    fn room() -> Room<Self> {
        Room::default()
    }
    fn leave(_room: Room<Self>) {}
    /// Whether a total of this size proves that nothing lost to underflow could matter.
    fn safe(self) -> bool;
}

/// Room for the tables of a sweep, kept from one to the next, so that a query allocates nothing once warm.
#[derive(Debug)]
pub struct Room<T> {
    pub table: Vec<T>,
    pub spare: Vec<T>,
    /// What the way back needs of the way forward.
    pub kept: Vec<T>,
}

impl<T> Default for Room<T> {
    fn default() -> Self {
        Room { table: Vec::new(), spare: Vec::new(), kept: Vec::new() }
    }
}

/// Every factor of a sweep is at most 1, so what underflow loses (below 1e-308 a step) stays below 1e-308; against a
/// total of this size it is nothing.
const SAFE: f64 = 1e-250;

thread_local! {
    /// One thread's room for tables of doubles: asking the system for fresh pages would cost more than most sweeps.
    static ROOM: Cell<Room<f64>> = Cell::default();
}

impl Number for f64 {
    const ZERO: f64 = 0.0;
    const ONE: f64 = 1.0;
    const ONES: &'static [f64] = &[1.0; MOST_REPAIRS + 2];
    fn of(value: f64) -> f64 {
        value
    }
    fn is_zero(self) -> bool {
        self <= 0.0
    }
    fn ln(self) -> f64 {
        f64::ln(self)
    }
    fn share(self, total: f64) -> f64 {
        self / total
    }
    fn room() -> Room<f64> {
        ROOM.take()
    }
    fn leave(room: Room<f64>) {
        ROOM.set(room);
    }
    fn safe(self) -> bool {
        self >= SAFE
    }
}
