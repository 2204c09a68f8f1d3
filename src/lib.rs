//! Faultbook.
