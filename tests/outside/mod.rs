//! The main job checked against what stands outside this project. Each check names its source.

mod codes;
mod documents;
mod readings;
mod sarif;
mod tally;
mod time;
