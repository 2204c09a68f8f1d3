//! The lines of a file that a remark shows: those it marks and the ones beside them, cut to the width of the page.
//!
//! The lines make a text of their own, in which places are not where they are in the file; `Excerpt` knows both.

use crate::job::harmless_name;
use crate::syntax::{Label, Source, Sources};
use miette::{LabeledSpan, MietteError, MietteSpanContents, SourceCode, SourceSpan, SpanContents};
use std::collections::BTreeMap;
use std::ops::Range;
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// A span over more lines than this is marked at its start only.
const MOST_LINES: usize = 12;
/// Columns that the words of a mark have at least, beside the mark.
const WORDS: usize = 20;
/// Columns from the middle of a mark to its words.
const HOOK: usize = 4;

/// Lines of one file with marks in them.
pub struct Excerpt<'r> {
    source: &'r Source,
    text: String,
    rows: Vec<Row>,
    marks: Vec<Mark>,
    /// The labels that lie in another file, or too far along a line that is cut.
    pub left_out: Vec<&'r Label>,
}

/// A line of the excerpt.
struct Row {
    /// From 0.
    number: usize,
    /// Where it starts in the excerpt.
    at: usize,
    /// The bytes of the file that it shows.
    shown: Range<usize>,
    /// Bytes of the excerpt before them, for what is cut.
    lead: usize,
}

struct Mark {
    start: usize,
    end: usize,
    /// In the file's own line, from 0.
    column: usize,
    words: String,
}

impl<'r> Excerpt<'r> {
    /// The lines that these labels mark, the first of them the main one; none where there is no label.
    pub fn new(labels: &'r [Label], sources: &'r Sources, width: usize) -> Option<Self> {
        let file = labels.first()?.span.file;
        let source = sources.get(file);
        let (here, mut left_out): (Vec<&Label>, Vec<&Label>) = labels.iter().partition(|l| l.span.file == file);
        let lines = lines(&here, &source.text);
        let digits = lines.values().max().map_or(1, |n| (n + 1).to_string().len());
        let room = width.saturating_sub(digits + 4).max(WORDS);
        let mut excerpt = Excerpt { source, text: String::new(), rows: vec![], marks: vec![], left_out: vec![] };
        lines.iter().for_each(|(start, number)| excerpt.row(*start, *number, &here, room));
        left_out.extend(here.into_iter().filter(|label| !excerpt.mark(label, room)));
        Some(Excerpt { left_out, ..excerpt })
    }

    /// The marks, the main one first.
    pub fn labels(&self) -> impl Iterator<Item = LabeledSpan> + '_ {
        self.marks.iter().enumerate().map(|(i, m)| {
            let (words, span) = (Some(m.words.clone()), (m.start, m.end - m.start));
            if i == 0 { LabeledSpan::new_primary_with_span(words, span) } else { LabeledSpan::new_with_span(words, span) }
        })
    }

    fn row(&mut self, start: usize, number: usize, labels: &[&Label], room: usize) {
        let line = line_at(&self.source.text, start);
        let marked = labels.iter().find(|l| (start..=start + line.len()).contains(&(l.span.start as usize)));
        let mark = marked.map(|l| Wanted {
            bytes: whole(line, l.span.start as usize - start)..whole(line, l.span.end as usize - start),
            words: l.text.width().min(WORDS.max(room / 3)),
        });
        let shown = cut(line, mark.as_ref(), room);
        let lead = if shown.start > 0 { "…" } else { "" };
        let at = self.text.len();
        // a mark behind the last character needs something to stand under
        let behind = labels.iter().any(|l| l.span.start as usize == start + line.len());
        let tail = if shown.end < line.len() {
            "…\n"
        } else if behind {
            " \n"
        } else {
            "\n"
        };
        self.text.extend([lead, &line[shown.clone()].replace('\t', " "), tail]);
        self.rows.push(Row { number, at, shown: start + shown.start..start + shown.end, lead: lead.len() });
    }

    /// Marks a label; false where its line is cut before it.
    fn mark(&mut self, label: &Label, room: usize) -> bool {
        let text = &self.source.text;
        let (from, to) = (whole(text, label.span.start as usize), whole(text, label.span.end as usize));
        let Some(first) = self.rows.iter().find(|r| (r.shown.start..=r.shown.end).contains(&from)) else { return false };
        let last = self.rows.iter().rev().find(|r| r.shown.start <= to).unwrap_or(first);
        let (start, end) = (first.place(from), last.place(to).max(first.place(from)));
        let before = self.text[first.at..start].width();
        let middle = before + self.text[start..end.min(first.end())].width() / 2;
        let words = textwrap::fill(&label.text, room.saturating_sub(middle + HOOK).max(WORDS / 2));
        let column = self.source.text[..from].rsplit('\n').next().unwrap_or_default().chars().count();
        self.marks.push(Mark { start, end, column, words });
        true
    }
}

impl Row {
    /// Where a place of the file stands in the excerpt.
    fn place(&self, byte: usize) -> usize {
        self.at + self.lead + byte.clamp(self.shown.start, self.shown.end) - self.shown.start
    }

    /// The end of what it shows.
    fn end(&self) -> usize {
        self.at + self.lead + self.shown.len()
    }
}

/// The lines that the labels mark and those beside them: where they start, and their numbers from 0.
fn lines(labels: &[&Label], text: &str) -> BTreeMap<usize, usize> {
    let mut out = BTreeMap::new();
    for label in labels {
        let start = (label.span.start as usize).min(text.len());
        let mut line = start_of_line(text, start);
        let mut number = text.as_bytes()[..line].iter().filter(|b| **b == b'\n').count();
        if line > 0 {
            out.insert(start_of_line(text, line - 1), number - 1);
        }
        for i in 0..MOST_LINES {
            out.insert(line, number);
            let next = line + line_length(text, line) + 1;
            let beside = i > 0 && line > label.span.end as usize;
            if next >= text.len() || beside {
                break;
            }
            (line, number) = (next, number + 1);
        }
    }
    out
}

/// A byte of a text, moved back to the start of its character and no further than the end: whoever marks amiss is shown a line, not a crash.
fn whole(text: &str, byte: usize) -> usize {
    text.floor_char_boundary(byte)
}

fn start_of_line(text: &str, at: usize) -> usize {
    text[..at].rfind('\n').map_or(0, |n| n + 1)
}

fn line_length(text: &str, start: usize) -> usize {
    text[start..].find('\n').unwrap_or(text.len() - start)
}

fn line_at(text: &str, start: usize) -> &str {
    text[start..start + line_length(text, start)].trim_end_matches('\r')
}

/// What a line must show: these bytes, and beside their middle so many columns for words.
struct Wanted {
    bytes: Range<usize>,
    words: usize,
}

/// The bytes of a line that are shown: all where there is room, else from a little before the mark.
fn cut(line: &str, mark: Option<&Wanted>, room: usize) -> Range<usize> {
    let away = mark.map_or(0, |m| {
        let (before, marked) = (line[..m.bytes.start].width(), line[m.bytes.clone()].width().min(room / 2));
        let needed = (before + marked + 1).max(before + marked / 2 + HOOK + m.words);
        (needed.saturating_sub(room) + 1).min(before) * usize::from(needed > room)
    });
    let start = byte_at(line, 0, away);
    let rest = room - usize::from(start > 0);
    let end = byte_at(line, start, rest);
    if end < line.len() { start..byte_at(line, start, rest - 1) } else { start..end }
}

/// The byte that is so many columns behind `start`.
fn byte_at(line: &str, start: usize, columns: usize) -> usize {
    let mut width = 0;
    let past = |c: char| {
        width += c.width().unwrap_or(1);
        width > columns
    };
    line[start..].find(past).map_or(line.len(), |b| start + b)
}

impl SourceCode for Excerpt<'_> {
    fn read_span<'a>(&'a self, span: &SourceSpan, before: usize, after: usize) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let row = |at: usize| self.rows.iter().rposition(|r| r.at <= at).unwrap_or(0);
        let (first, last) = (row(span.offset()), row(span.offset() + span.len()));
        let beside = |a: usize, b: usize| self.rows[a].number + 1 == self.rows[b].number;
        let first = if before > 0 && first > 0 && beside(first - 1, first) { first - 1 } else { first };
        let last = if after > 0 && last + 1 < self.rows.len() && beside(last, last + 1) { last + 1 } else { last };
        let (start, end) = (self.rows.get(first).map_or(0, |r| r.at), self.rows.get(last + 1).map_or(self.text.len(), |r| r.at));
        let column = self.marks.iter().find(|m| m.start == span.offset() && before == 0).map_or(0, |m| m.column);
        let number = self.rows.get(first).map_or(0, |r| r.number);
        let data = &self.text.as_bytes()[start..end];
        let name = harmless_name(&self.source.name);
        Ok(Box::new(MietteSpanContents::new_named(name, data, (start, end - start).into(), number, column, last + 1 - first)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(line: &str, mark: Range<usize>, room: usize) -> &str {
        &line[cut(line, Some(&Wanted { bytes: mark, words: 10 }), room)]
    }

    #[test]
    fn a_line_is_cut_around_its_mark() {
        let line = "abcdefghijklmnopqrstuvwxyz0123456789";
        assert_eq!(shown(line, 0..2, 40), line);
        assert_eq!(shown(line, 2..4, 20), &line[..19]);
        // two columns before the mark are room that its words do not need
        assert_eq!(shown(line, 30..36, 20), &line[28..]);
        assert_eq!(shown(line, 20..21, 20), &line[15..33]);
        assert_eq!(&line[cut(line, None, 10)], "abcdefghi");
    }

    #[test]
    fn wide_characters_count_twice_and_are_never_split() {
        let line = "注意注意注意注意注意";
        assert_eq!(&line[cut(line, None, 10)], "注意注意");
        assert_eq!(shown(line, 24..30, 10), "注意");
    }
}
