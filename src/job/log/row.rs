//! A stream of bytes -> rows of cells, one line a row, in buffers that are used over and over.
//!
//! Most rows of a log repeat the one before but for the time and a cell or two. So a row is laid beside the one before, byte for byte, and only the
//! cells in which they differ are read. The CSV library splits every row anew, and that alone costs more than all the rest; the tests compare both.

use std::io::{self, BufRead, Read};
use std::ops::Range;

/// A line of more bytes than this is none.
const LONGEST: u64 = 1 << 20;

/// One row: its bytes, and where each cell ends.
#[derive(Debug, Clone, Default)]
pub struct Row {
    bytes: Vec<u8>,
    /// The place behind each cell, where its delimiter stands.
    ends: Vec<u32>,
    /// Whether the bytes are as they stood in the line: no quote was taken away.
    plain: bool,
}

impl Row {
    /// The row in a line, with or without its line break.
    pub fn of(line: &[u8], delimiter: u8) -> Row {
        let mut row = Row { bytes: line.to_vec(), ..Row::default() };
        row.chop();
        row.split(delimiter);
        row
    }

    /// How many cells.
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    /// The cell of that number; empty where the row is shorter.
    pub fn cell(&self, at: usize) -> &[u8] {
        let Some(end) = self.ends.get(at) else { return &[] };
        let start = at.checked_sub(1).map_or(0, |before| self.ends[before] as usize + 1);
        self.bytes.get(start..*end as usize).unwrap_or_default()
    }

    /// All cells.
    pub fn cells(&self) -> impl Iterator<Item = &[u8]> {
        (0..self.len()).map(|at| self.cell(at))
    }

    /// Whether it says the same as another, cell for cell.
    pub fn same_cells(&self, other: &Row) -> bool {
        self.cells().eq(other.cells())
    }

    fn chop(&mut self) {
        while self.bytes.last().is_some_and(|b| matches!(b, b'\n' | b'\r')) {
            self.bytes.pop();
        }
    }

    fn split(&mut self, delimiter: u8) {
        self.ends.clear();
        self.plain = !self.bytes.contains(&b'"');
        if self.plain {
            let ends = self.bytes.iter().enumerate().filter(|(_, b)| **b == delimiter).map(|(at, _)| at as u32);
            self.ends.extend(ends);
            self.ends.push(self.bytes.len() as u32);
        } else {
            self.split_quoted(delimiter);
        }
    }

    /// Takes quotes away (RFC 4180): a cell that begins with one runs to the next single one; a doubled one stands for itself.
    /// A quote that is not closed ends with its line: no cell of a log has two.
    fn split_quoted(&mut self, delimiter: u8) {
        let mut out = Vec::with_capacity(self.bytes.len());
        let (mut inside, mut begins) = (false, true);
        let mut bytes = self.bytes.iter().copied().peekable();
        while let Some(byte) = bytes.next() {
            let first = std::mem::take(&mut begins);
            match byte {
                b'"' if inside && bytes.peek() == Some(&b'"') => out.extend(bytes.next()),
                b'"' if inside || first => inside = !inside,
                b if b == delimiter && !inside => {
                    self.ends.push(out.len() as u32);
                    out.push(b);
                    begins = true;
                }
                b => out.push(b),
            }
        }
        self.ends.push(out.len() as u32);
        self.bytes = out;
    }

    /// Takes the cells' places from the row before, where its delimiters stand at the same places; the cells behind `time` that differ from it.
    fn split_like(&mut self, before: &Row, delimiter: u8, time: usize) -> Option<Range<usize>> {
        if !before.plain || self.bytes.len() != before.bytes.len() {
            return None;
        }
        let from = *before.ends.get(time)? as usize;
        let (new, old) = (&self.bytes[from..], &before.bytes[from..]);
        let head = from + common_head(new, old);
        let tail = (self.bytes.len() - common_tail(new, old)).max(head);
        let shifted = |a: u8, b: u8| (a == delimiter) != (b == delimiter) || a == b'"';
        for part in [0..from, head..tail] {
            // without a branch, so that it goes many bytes at a time
            if self.bytes[part.clone()].iter().zip(&before.bytes[part]).fold(false, |any, (a, b)| any | shifted(*a, *b)) {
                return None;
            }
        }
        self.plain = true;
        self.ends.clone_from(&before.ends);
        let cell_of = |place: usize| self.ends.iter().filter(|end| (**end as usize) < place).count();
        Some(if head == tail { 0..0 } else { cell_of(head)..cell_of(tail - 1) + 1 })
    }
}

/// How many bytes two slices of one length have in common at their heads.
fn common_head(a: &[u8], b: &[u8]) -> usize {
    let ((eights, _), (others, _)) = (a.as_chunks::<8>(), b.as_chunks::<8>());
    let same = 8 * eights.iter().zip(others).take_while(|(x, y)| x == y).count();
    same + a[same..].iter().zip(&b[same..]).take_while(|(x, y)| x == y).count()
}

/// The same at their tails.
fn common_tail(a: &[u8], b: &[u8]) -> usize {
    let ((_, eights), (_, others)) = (a.as_rchunks::<8>(), b.as_rchunks::<8>());
    let same = 8 * eights.iter().rev().zip(others.iter().rev()).take_while(|(x, y)| x == y).count();
    let rest = a.len() - same;
    same + a[..rest].iter().rev().zip(b[..rest].iter().rev()).take_while(|(x, y)| x == y).count()
}

/// What a row has in common with the one before it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Difference {
    /// Cells up to the time, and these behind it.
    Cells(Range<usize>),
    /// Any cell.
    Any,
}

/// The rows of a stream; lines with nothing in them are passed over.
pub struct Rows<R> {
    input: R,
    delimiter: u8,
    /// The number of the line last read, from 1.
    pub line: u64,
    /// The row last read.
    pub row: Row,
    /// The row before it.
    pub before: Row,
}

impl<R: BufRead> Rows<R> {
    /// The rows of a stream.
    pub fn new(input: R, delimiter: u8) -> Rows<R> {
        Rows { input, delimiter, line: 0, row: Row::default(), before: Row::default() }
    }

    /// Reads the next row and says where it differs from the one before; none at the end. `time` is the column that always differs.
    pub fn next(&mut self, time: usize) -> io::Result<Option<Difference>> {
        std::mem::swap(&mut self.row, &mut self.before);
        loop {
            self.row.bytes.clear();
            let read = self.input.by_ref().take(LONGEST).read_until(b'\n', &mut self.row.bytes)?;
            self.line += 1;
            if read == 0 {
                return Ok(None);
            }
            if read as u64 == LONGEST {
                return Err(io::Error::other("a line of a megabyte"));
            }
            self.row.chop();
            if !self.row.bytes.is_empty() {
                break;
            }
        }
        if let Some(cells) = self.row.split_like(&self.before, self.delimiter, time) {
            return Ok(Some(Difference::Cells(cells)));
        }
        self.row.split(self.delimiter);
        Ok(Some(Difference::Any))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The rows as the `csv` crate reads them.
    fn by_library(text: &[u8]) -> Vec<Vec<Vec<u8>>> {
        let mut reader = csv::ReaderBuilder::new().has_headers(false).flexible(true).delimiter(b';').from_reader(text);
        reader.byte_records().map(|r| r.unwrap().iter().map(<[u8]>::to_vec).collect()).collect()
    }

    fn by_rows(text: &[u8], time: usize) -> Vec<Vec<Vec<u8>>> {
        let mut rows = Rows::new(text, b';');
        let mut out: Vec<Vec<Vec<u8>>> = vec![];
        while let Some(difference) = rows.next(time).unwrap() {
            let row: Vec<Vec<u8>> = rows.row.cells().map(<[u8]>::to_vec).collect();
            if let Difference::Cells(cells) = difference {
                let before = out.last().expect("there is a row before");
                for at in time + 1..row.len() {
                    assert!(cells.contains(&at) || row[at] == before[at], "cell {at} of {row:?} differs from {before:?}");
                }
            }
            out.push(row);
        }
        out
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(500))]

        #[test]
        fn rows_are_those_of_the_csv_library(lines in prop::collection::vec("([0-9.]{0,3}|\"[0-9;a]{0,3}\"|\"\"\"a\"\"\")(;([0-9.]{0,2}|\"[0-9;a]{0,3}\"|9\"8)){0,4}", 0..12), end in prop::sample::select(vec!["\n", "\r\n"]), time in 0usize..3) {
            let text = lines.join(end);
            prop_assert_eq!(by_rows(text.as_bytes(), time), by_library(text.as_bytes()));
        }

        #[test]
        fn like_rows_are_those_of_the_csv_library(cells in prop::collection::vec("[0-3]{1,2}", 60..120), time in 0usize..3) {
            let text: Vec<String> = cells.chunks(6).map(|c| c.join(";")).collect();
            prop_assert_eq!(by_rows(text.join("\n").as_bytes(), time), by_library(text.join("\n").as_bytes()));
        }
    }

    /// The rows of whole logs with bytes put in, taken out, moved and doubled. The library is given line by line, since a quote that is not closed
    /// ends with its line here. `FAULTBOOK_MUTANTS` says how many files.
    #[test]
    fn rows_of_mutated_logs_are_those_of_the_csv_library() {
        let many: u64 = option_env!("FAULTBOOK_MUTANTS").and_then(|n| n.parse().ok()).unwrap_or(300);
        let logs: [&[u8]; 2] = [
            include_bytes!("../../../examples/logs/cold-start-drive.csv"),
            include_bytes!("../../../examples/harbour-garage/logs/estate-weak-uphill.csv"),
        ];
        let (mut bits, mut compared) = (1u64, 0);
        let mut below = |n: usize| {
            bits = bits.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (bits >> 33) as usize % n.max(1)
        };
        for number in 0..many {
            let log = logs[below(2)];
            let from = below(log.len() - 4000);
            let mut text = log[from..from + 400 + below(3000)].to_vec();
            for _ in 0..1 + below(12) {
                let at = below(text.len());
                let to = (at + below(60)).min(text.len());
                let put: [&[u8]; 9] = [b"\"", b"\"\"", b",", b";", b"\n", b"\r\n", b"\"7,5\"", b"\xff", b"\0"];
                match below(4) {
                    0 => drop(text.drain(at..to)),
                    1 => {
                        let part = text[at..to].to_vec();
                        text.splice(at..at, part);
                    }
                    _ => drop(text.splice(at..at, put[below(put.len())].iter().copied())),
                }
            }
            let delimiter = [b',', b';'][below(2)];
            let by_line = |line: &[u8]| -> Vec<Vec<u8>> {
                let mut library = csv::ReaderBuilder::new();
                library.has_headers(false).flexible(true).delimiter(delimiter).terminator(csv::Terminator::Any(b'\n'));
                let mut reader = library.from_reader(line);
                reader.byte_records().next().unwrap().unwrap().iter().map(<[u8]>::to_vec).collect()
            };
            let end = |line: &[u8]| line.iter().rposition(|b| *b != b'\r').map_or(0, |last| last + 1);
            let lines = text.split(|b| *b == b'\n').map(|line| &line[..end(line)]).filter(|line| !line.is_empty());
            let mut rows = Rows::new(&text[..], delimiter);
            for line in lines {
                let difference = rows.next(0).unwrap().unwrap();
                let row: Vec<Vec<u8>> = rows.row.cells().map(<[u8]>::to_vec).collect();
                assert_eq!(row, by_line(line), "file {number}, line {}: {}", rows.line, String::from_utf8_lossy(line));
                if let Difference::Cells(cells) = difference {
                    let same = |at: usize| cells.contains(&at) || rows.row.cell(at) == rows.before.cell(at);
                    assert!((1..row.len()).all(same), "file {number}, line {}", rows.line);
                }
                compared += 1;
            }
            assert!(rows.next(0).unwrap().is_none(), "file {number}");
        }
        assert!(compared > many * 3, "{compared} rows");
    }

    #[test]
    fn a_line_without_an_end_is_refused() {
        let mut rows = Rows::new(io::BufReader::new(io::repeat(b'7')), b',');
        assert!(rows.next(0).is_err());
    }
}
