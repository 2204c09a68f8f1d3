//! How a logged drive gives a reading, in the words of a rule file.

use crate::book::{Book, Formula, Headed, Hold, Sign, Window};

/// `manifold-pressure - ambient-pressure while rpm 2300 to 2700 for 2 s take median`, each number in the unit of its channel.
pub fn window_words(book: &Book, window: &Window) -> String {
    let holds = window.holds.iter().map(|h| hold(book, h)).collect::<Vec<_>>().join(" and ");
    let holds = if holds.is_empty() { holds } else { format!(" while {holds}") };
    format!("{}{holds} for {} s take {}", formula(book, &window.formula), figure(window.seconds), window.take.word())
}

fn hold(book: &Book, hold: &Hold) -> String {
    let name = book.channels[hold.channel].name();
    match (hold.low.is_finite(), hold.high.is_finite()) {
        (true, true) => format!("{name} {} to {}", figure(hold.low), figure(hold.high)),
        (true, false) => format!("{name} above {}", figure(hold.low)),
        (false, true) => format!("{name} below {}", figure(hold.high)),
        (false, false) => format!("{name} any"),
    }
}

fn formula(book: &Book, of: &Formula) -> String {
    let part = |of: &Formula| if let Formula::Binary(..) = of { format!("({})", formula(book, of)) } else { formula(book, of) };
    match of {
        Formula::Number(number) => figure(*number).to_string(),
        Formula::Channel(id) => book.channels[*id].name().into(),
        Formula::Binary(left, sign, right) => {
            let sign = match sign {
                Sign::Plus => "+",
                Sign::Minus => "-",
                Sign::Times => "*",
                Sign::Over => "/",
            };
            format!("{} {sign} {}", part(left), part(right))
        }
    }
}

/// To six places: what differs by less differs in rounding, from one unit into another.
fn figure(number: f64) -> f64 {
    (number * 1e6).round() / 1e6
}
