//! A network written out for other programs.

mod expand;

pub use expand::{TableNode, TableRole, expand};
