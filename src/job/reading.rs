//! A number with a unit -> how much each band of a reading counts.

use super::input::InputError;
use crate::book::{Accuracy, Finding, Gauge, Headed, UnitError};

/// Reads `52 kPa`, `52` or `52,3 kPa` as a value in the gauge's own unit.
pub fn parse_quantity(text: &str, gauge: &Gauge, place: &str) -> Result<f64, InputError> {
    let text = text.trim();
    let end = text.char_indices().find(|(i, c)| !number_char(text, *i, *c)).map_or(text.len(), |(i, _)| i);
    let (digits, unit) = (text[..end].trim(), text[end..].trim());
    let example = format!("write a number and its unit, such as `12.5 {}`", gauge.unit.text);
    let number = digits.replace(',', ".").parse::<f64>().ok().filter(|n| n.is_finite());
    let Some(number) = number else {
        return Err(InputError::new(place, format!("`{text}` is no reading"), example));
    };
    if unit.is_empty() {
        return Ok(number);
    }
    let value = gauge.unit.convert(number, unit).map_err(|error| match error {
        UnitError::Unknown => InputError::new(place, format!("`{unit}` is no unit"), example.clone()),
        UnitError::Dimension(is) => {
            let wanted = gauge.unit.dimension.name();
            InputError::new(place, format!("`{unit}` is {}, but {wanted} is wanted here", is.name()), example.clone())
        }
    })?;
    if value.is_finite() { Ok(value) } else { Err(InputError::new(place, format!("`{text}` is too large a number"), example)) }
}

/// Whether a character still belongs to the number; `e` only between digits, so that a unit may follow at once.
fn number_char(text: &str, at: usize, c: char) -> bool {
    let digit_after = || text[at + c.len_utf8()..].trim_start_matches(['+', '-']).starts_with(|d: char| d.is_ascii_digit());
    match c {
        '0'..='9' | '.' | ',' => true,
        '+' | '-' => at == 0 || text[..at].ends_with(['e', 'E']),
        'e' | 'E' => at > 0 && digit_after(),
        _ => false,
    }
}

/// The chance that the true value lies in each state's band, given the value read: normal, with the accuracy as two sigma.
/// Without an accuracy the band of the value has all of it; a shared limit belongs to the band listed first.
pub fn band_weights(finding: &Finding, gauge: &Gauge, value: f64) -> Vec<f64> {
    let two_sigma = match gauge.accuracy {
        Some(Accuracy::Relative(part)) => part * value.abs(),
        Some(Accuracy::Absolute(width)) => width,
        None => 0.0,
    };
    debug_assert_eq!(finding.states.len(), gauge.bands.len(), "{}", finding.name());
    if two_sigma <= 0.0 {
        return certain(gauge, value);
    }
    let below = |limit: f64| normal_below((limit - value) / (two_sigma / 2.0));
    let weight = |pieces: &Vec<(f64, f64)>| pieces.iter().map(|(low, high)| (below(*high) - below(*low)).max(0.0)).sum();
    let weights: Vec<f64> = gauge.bands.iter().map(weight).collect();
    // seven sigma from every limit nothing is left of the others: say so exactly
    weights.into_iter().map(|w: f64| if w < 1e-12 { 0.0 } else { w.min(1.0) }).collect()
}

fn certain(gauge: &Gauge, value: f64) -> Vec<f64> {
    let inside = |pieces: &Vec<(f64, f64)>| pieces.iter().any(|(low, high)| *low <= value && value <= *high);
    let at = gauge.bands.iter().position(inside);
    (0..gauge.bands.len()).map(|k| f64::from(u8::from(Some(k) == at))).collect()
}

/// Standard normal distribution function.
fn normal_below(z: f64) -> f64 {
    if z.is_infinite() {
        return if z > 0.0 { 1.0 } else { 0.0 };
    }
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}
