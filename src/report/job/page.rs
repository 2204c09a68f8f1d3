//! A page of plain blocks: all that a renderer must know. Text here is as it came; a renderer makes it harmless.

use super::chart::ChartDocument;
use crate::report::plan::HazardDocument;

/// A page.
#[derive(Debug, Default)]
pub struct Page {
    /// Its main heading.
    pub title: String,
    /// What kind of page it is.
    pub kind: String,
    /// Short facts under the heading.
    pub facts: Vec<String>,
    /// The one sentence to read if no other is read.
    pub lead: String,
    /// Its sections; none is empty.
    pub sections: Vec<Section>,
}

/// A part of a page under a heading.
#[derive(Debug)]
pub struct Section {
    /// Its heading.
    pub title: String,
    /// Its blocks.
    pub blocks: Vec<Block>,
}

/// A block.
#[derive(Debug)]
pub enum Block {
    /// A heading inside a section.
    Title(String),
    /// A paragraph.
    Text(String),
    /// Somebody's own words.
    Quote(String),
    /// Points.
    List(Vec<String>),
    /// A table with its heading row.
    Table(Vec<String>, Vec<Vec<String>>),
    /// Something that must not be missed.
    Alert(Alert),
    /// A chart.
    Chart(ChartDocument),
    /// A step to tap through.
    Step(Step),
}

/// Something that must not be missed.
#[derive(Debug)]
pub struct Alert {
    /// `stop`, `warn`, `care` or `note`.
    pub level: String,
    /// Its title.
    pub title: String,
    /// What to do.
    pub lines: Vec<String>,
}

/// A numbered step.
#[derive(Debug)]
pub struct Step {
    /// Its number, from 1.
    pub number: usize,
    /// Its title.
    pub title: String,
    /// What it takes.
    pub effort: Vec<String>,
    /// Cautions.
    pub cautions: Vec<String>,
    /// How to do it, limits to read by.
    pub how: Vec<String>,
    /// Each way it may turn out: in words, what then, and the number of the step to go on at.
    pub ways: Vec<(String, String, Option<usize>)>,
}

impl Page {
    /// A page without sections.
    pub fn new(title: &str, kind: &str, facts: Vec<String>) -> Page {
        let facts = facts.into_iter().filter(|f| !f.is_empty()).collect();
        Page { title: title.into(), kind: kind.into(), facts, ..Page::default() }
    }

    /// With its leading sentence.
    pub fn lead(self, lead: &str) -> Page {
        Page { lead: lead.into(), ..self }
    }

    /// With its sections; those that say nothing fall away.
    pub fn sections(self, sections: impl IntoIterator<Item = Section>) -> Page {
        Page { sections: sections.into_iter().filter(|s| !s.blocks.is_empty()).collect(), ..self }
    }
}

impl Section {
    /// A section; blocks that say nothing fall away.
    pub fn new(title: &str, blocks: Vec<Block>) -> Section {
        Section { title: title.into(), blocks: blocks.into_iter().filter(|b| !b.is_empty()).collect() }
    }
}

impl Block {
    /// A paragraph.
    pub fn text(text: &str) -> Block {
        Block::Text(text.into())
    }

    /// Somebody's own words.
    pub fn quote(text: &str) -> Block {
        Block::Quote(text.into())
    }

    /// Points; empty ones fall away.
    pub fn list(lines: &[String]) -> Block {
        Block::List(lines.iter().filter(|l| !l.is_empty()).cloned().collect())
    }

    /// Points under a line that says what they are; nothing where there are none.
    pub fn listed(lead: &str, lines: &[String]) -> Vec<Block> {
        if lines.is_empty() { vec![] } else { vec![Block::text(lead), Block::list(lines)] }
    }

    /// A table.
    pub fn table(head: &[&str], rows: Vec<Vec<String>>) -> Block {
        Block::Table(head.iter().map(|h| h.to_string()).collect(), rows)
    }

    fn is_empty(&self) -> bool {
        match self {
            Block::Title(text) | Block::Text(text) | Block::Quote(text) => text.is_empty(),
            Block::List(lines) => lines.is_empty(),
            Block::Table(_, rows) => rows.is_empty(),
            Block::Alert(_) | Block::Chart(_) | Block::Step(_) => false,
        }
    }
}

/// An alert.
pub fn alert(level: &str, title: &str, lines: Vec<String>) -> Block {
    Block::Alert(Alert { level: level.into(), title: title.into(), lines })
}

/// A danger.
pub fn danger(hazard: &HazardDocument) -> Block {
    alert(&hazard.level, &hazard.title, hazard.does.clone())
}

impl Alert {
    /// Its heading: the level in a word, then the title.
    pub fn heading(&self) -> String {
        let level = match self.level.as_str() {
            "stop" => "Stop: ",
            "warn" => "Danger: ",
            "care" => "Take care: ",
            _ => "",
        };
        format!("{level}{}", self.title)
    }
}
