//! The rules in an editor: the texts of a book as they are typed, and what the Language Server Protocol asks of them.
//!
//! It is handed texts and requests and gives back answers; it reads no file and writes to no stream.

mod answer;
mod books;
mod colours;
mod complete;
mod fixes;
mod hover;
mod lens;
mod outline;
mod places;
mod rename;
mod signature;
mod uses;

pub use answer::{ANSWERED, Ways, answer, capabilities, diagnostics, symbols_of};
pub use books::Books;
pub use colours::LEGEND;
pub use lens::{Covered, of_verdict};
pub use places::{Encoding, Lines};
