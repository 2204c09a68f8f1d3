//! The customer's words -> symptoms they may mean, for a person to say yes or no to; what was done before -> fixes.

mod car;
mod ears;
mod index;
mod listen;
mod repaired;
mod said;
mod vocabulary;

pub(super) use car::heard_traits;
pub use listen::{Heard, listen, nearest_symptoms, symptoms_like};
pub use repaired::heard_repairs;
