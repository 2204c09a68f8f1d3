//! Arithmetic on non-negative numbers: there is no subtraction on purpose.

mod noisy_max;
mod number;
mod random;
mod wide;

pub use noisy_max::{Join, dot, each_pushed, unpushed, up_to};
pub use number::{Number, Room};
pub use random::Random;
pub use wide::Wide;
