//! A job as a report for one reader: the customer, the file, the road.
//!
//! Each reader has a document of his own, which is its JSON; it is laid out once as a page of plain blocks, and a renderer turns
//! blocks into HTML or Markdown without knowing what a job is. Nothing here judges: proofs and dangers come judged.

mod case;
mod chart;
mod costs;
mod customer;
mod file;
mod history;
mod html;
mod left;
mod markdown;
mod page;
mod proofs;
mod road;
mod road_page;
mod story;
mod svg;

pub use case::Case;
pub use chart::{BandDocument, ChartDocument, PointDocument};
pub use costs::{CostDocument, CostsDocument};
pub use customer::{CustomerDocument, customer};
pub use file::{FileDocument, file};
pub use history::EntryDocument;
pub use html::html;
pub use left::LeftDocument;
pub use markdown::{escape, markdown};
pub use page::Page;
pub use proofs::{DoneDocument, ProofDocument};
pub use road::{RoadDocument, road};
pub use story::{AftercareDone, WrongDocument};

/// Shape of all three documents.
const SCHEMA: u32 = 1;

/// What every reader must know before he leans on a page of ours.
const CAUTION: &str =
    "The cautions shown are the usual ones and not complete. The vehicle maker's data, local rules and licensed practice come first.";
