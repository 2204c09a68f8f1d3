//! Any result -> text, JSON or HTML. Renderers never check and never decide; checks never print.

pub mod remarks;

pub use remarks::Look;
