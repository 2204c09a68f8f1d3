//! The bands of a reading: together they cover every value once.

use super::codes::{BAND_GAP, BAND_OVERLAP};
use crate::syntax::{Remark, Span};

/// One range of one band, with the place of its clause.
#[derive(Debug, Clone, Copy)]
pub struct Piece {
    /// From, possibly minus infinity.
    pub low: f64,
    /// To, possibly infinity.
    pub high: f64,
    /// The place.
    pub span: Span,
}

/// Remarks on each gap and each overlap, with the two lines that meet there.
pub fn check(title: &str, pieces: &[Piece], whole: Span) -> Vec<Remark> {
    let mut sorted: Vec<Piece> = pieces.to_vec();
    sorted.sort_by(|a, b| a.low.total_cmp(&b.low).then(a.high.total_cmp(&b.high)));
    let mut remarks = Vec::new();
    for piece in &sorted {
        if piece.high < piece.low {
            let message = format!("a band of `{title}` ends before it starts");
            let label = format!("from {} to {}", piece.low, piece.high);
            remarks.push(Remark::new(BAND_GAP, message, piece.span, label).help("write the lower number first"));
        }
    }
    // what else seems to be wrong with the bands comes of the turned one
    if !remarks.is_empty() {
        return remarks;
    }
    let (Some(first), Some(last)) = (sorted.first(), sorted.last()) else {
        return vec![
            Remark::new(BAND_GAP, format!("`{title}` has no bands"), whole, "expected at least two")
                .help("write the healthy band first: `band healthy 80 to 140`"),
        ];
    };
    if first.low > f64::NEG_INFINITY {
        remarks.push(gap(title, f64::NEG_INFINITY, first.low, first.span, None));
    }
    let top = sorted.iter().fold(*first, |top, p| if p.high > top.high { *p } else { top });
    let mut reach = *first;
    for piece in &sorted[1..] {
        let slack = 1e-9 * piece.low.abs().max(1.0);
        if piece.low > reach.high + slack {
            remarks.push(gap(title, reach.high, piece.low, piece.span, Some(reach.span)));
        } else if piece.low < reach.high - slack {
            remarks.push(overlap(title, piece, &reach));
        }
        if piece.high > reach.high {
            reach = *piece;
        }
    }
    if top.high < f64::INFINITY {
        remarks.push(gap(title, top.high, f64::INFINITY, last.span, None));
    }
    remarks
}

fn gap(title: &str, from: f64, to: f64, at: Span, other: Option<Span>) -> Remark {
    let what = match (from.is_finite(), to.is_finite()) {
        (false, _) => format!("no band of `{title}` covers values below {to}"),
        (_, false) => format!("no band of `{title}` covers values above {from}"),
        _ => format!("no band of `{title}` covers {from} to {to}"),
    };
    let remark = Remark::new(BAND_GAP, what, at, "this band stops there").help("let the bands of a reading cover every value once");
    match other {
        Some(span) if span != at => remark.and(span, "and this one here"),
        _ => remark,
    }
}

fn overlap(title: &str, piece: &Piece, reach: &Piece) -> Remark {
    let high = piece.high.min(reach.high);
    let what = format!("two bands of `{title}` cover {} to {high}", piece.low);
    Remark::new(BAND_OVERLAP, what, piece.span, "this one")
        .and(reach.span, "and this one")
        .help("let the bands of a reading cover every value once")
}
