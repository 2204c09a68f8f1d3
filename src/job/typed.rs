//! What somebody at the car types where a reading is asked: a number, a sum of numbers that he read, or what the instrument says where it has no number.

use super::input::InputError;
use super::reading::parse_quantity;
use crate::book::{Dimension, Finding, Gauge, Headed};

/// What an instrument shows, or a person says, where the value lies above anything that it can show: no current through the part, or longer than anybody waited.
const ABOVE_ALL: [&str; 9] = ["ol", "o.l", "o.l.", "open", "open circuit", "over range", "overload", "infinite", "∞"];
/// So many times the largest limit of a reading is no value of it but a slip, or a meter in a wrong range. Not for what has no natural end.
const SLIP: f64 = 10.0;
/// What a lead that is off loses is the whole battery, however small the loss that is allowed: two in series, charged.
const BATTERY: &str = "30 V";

/// A reading as it was typed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Typed {
    /// A number in the gauge's own unit.
    Value(f64),
    /// No number, but the state of the finding.
    State(usize),
}

/// Reads `52 kPa`, `12.6 - 11.9`, `OL`, `never` or the name of a state. A value that cannot be is an error that says so; with a `!` behind it it is taken.
///
/// # Errors
/// What is wrong with it, and how it is written.
pub fn typed_reading(text: &str, finding: &Finding) -> Result<Typed, InputError> {
    let gauge = finding.gauge().ok_or_else(|| InputError::new(finding.name(), "nothing is measured here", String::new()))?;
    let (text, sure) = text.trim().strip_suffix('!').map_or((text.trim(), false), |text| (text.trim(), true));
    if let Some(state) = finding.state(text).or_else(|| above_all(text, gauge)) {
        return Ok(Typed::State(state));
    }
    let value = parse_quantity(text, gauge, finding.name()).or_else(|wrong| {
        let several = finding.takes_several().then(|| spread(text, finding.title(), gauge)).flatten();
        let (value, unit) = several.or_else(|| worked_out(text).map(|sum| in_hundredths(sum, gauge))).ok_or(wrong)?;
        parse_quantity(&format!("{value} {unit}"), gauge, finding.name())
    })?;
    if !sure && is_slip(value, gauge) {
        let unit = &gauge.unit.text;
        let message =
            format!("{value} {unit} is far above anything that this reading shows (its highest limit is {} {unit})", highest(gauge));
        return Err(InputError::new(
            finding.name(),
            message,
            format!("look at range and unit and type it again, or `{value}!` if it really says so"),
        ));
    }
    Ok(Typed::Value(value))
}

/// The state of what is above all limits, where the words say so: `never` only for what takes time.
fn above_all(text: &str, gauge: &Gauge) -> Option<usize> {
    let words = text.to_lowercase();
    let never = words == "never" && matches!(gauge.unit.dimension, Dimension::Time);
    let above = never || ABOVE_ALL.contains(&words.as_str());
    above.then(|| gauge.bands.iter().position(|pieces| pieces.iter().any(|(_, high)| high.is_infinite())))?
}

/// The largest limit of a reading, whatever its sign; 0 where it has none.
fn highest(gauge: &Gauge) -> f64 {
    gauge.bands.iter().flatten().flat_map(|(low, high)| [low.abs(), high.abs()]).filter(|l| l.is_finite()).fold(0.0, f64::max)
}

fn is_slip(value: f64, gauge: &Gauge) -> bool {
    let endless = matches!(
        gauge.unit.dimension,
        Dimension::Resistance
            | Dimension::Current
            | Dimension::Time
            | Dimension::Length
            | Dimension::Count
            | Dimension::Mass
            | Dimension::Volume
    );
    let battery = if matches!(gauge.unit.dimension, Dimension::Voltage) { parse_quantity(BATTERY, gauge, "").unwrap_or(0.0) } else { 0.0 };
    !endless && value.abs() > battery.max(SLIP * highest(gauge))
}

/// `9.1 11.2 10.8 bar` -> the greatest less the least, or its share of the greatest where the title says so.
fn spread<'a>(text: &'a str, title: &str, gauge: &Gauge) -> Option<(f64, &'a str)> {
    let words = || text.split([' ', ';', '\t']).map(|w| w.trim_end_matches(',')).filter(|w| !w.is_empty());
    let number = |word: &str| word.replace(',', ".").parse::<f64>().ok().filter(|n| n.is_finite());
    let values: Vec<f64> = words().filter_map(number).collect();
    let mut units = words().filter(|w| number(w).is_none());
    let unit = units.next().unwrap_or_default();
    let is_unit = |word: &str| !word.starts_with(|c: char| c.is_ascii_digit() || "+-−*/×÷:(),.".contains(c));
    // `325 -310` is a sum; only what is measured in degrees goes below nothing
    let below = matches!(gauge.unit.dimension, Dimension::TemperatureDifference);
    if values.len() < 2 || !is_unit(unit) || units.any(|other| other != unit) || !below && values.iter().any(|v| *v < 0.0) {
        return None;
    }
    let (greatest, least) = values.iter().fold((f64::MIN, f64::MAX), |(high, low), v| (high.max(*v), low.min(*v)));
    let apart = greatest - least;
    match gauge.unit.dimension {
        // a share has no unit, whatever it is a share of
        Dimension::Ratio if title.contains("of the greatest") => (greatest > 0.0).then(|| (rounded(apart / greatest * 100.0), "%")),
        Dimension::TemperatureDifference if ["degC", "°C", "℃", "C"].contains(&unit) => Some((rounded(apart), "K")),
        _ => Some((rounded(apart), unit)),
    }
}

/// What was worked out, and the unit behind it; a share such as `45 / 60` is so many hundredths where these are wanted.
fn in_hundredths<'a>(sum: Sum<'a>, gauge: &Gauge) -> (f64, &'a str) {
    match sum.is_share && sum.unit.is_empty() && gauge.unit.text == "%" {
        true => (rounded(sum.value * 100.0), "%"),
        false => (sum.value, sum.unit),
    }
}

/// What was typed as a sum.
#[derive(Debug, PartialEq)]
struct Sum<'a> {
    value: f64,
    /// Whether it is one number divided by another and no more.
    is_share: bool,
    /// What stands behind it.
    unit: &'a str,
}

/// A sum of numbers with `+ - * /` and brackets, and what stands behind it.
fn worked_out(text: &str) -> Option<Sum<'_>> {
    let mut rest = text;
    let (value, is_share) = sum(&mut rest, 0)?;
    value.is_finite().then(|| Sum { value: rounded(value), is_share, unit: rest.trim() })
}

/// A ten-millionth is what the machine's numbers leave behind, and nothing that anybody measured; nor are more than five digits.
fn rounded(value: f64) -> f64 {
    let digits = 10f64.powi(4 - value.abs().max(1e-7).log10().floor() as i32);
    let step = if digits.is_finite() && value.fract() != 0.0 { digits.min(1e7) } else { 1e7 };
    (value * step).round() / step
}

/// Deeper brackets than these nobody types.
const DEEP: usize = 8;

/// The value, and whether it is a share: a product whose last step divides, with nothing added to it.
fn sum(rest: &mut &str, depth: usize) -> Option<(f64, bool)> {
    let (mut value, mut is_share) = product(rest, depth)?;
    while let Some(sign) = operator(rest, &['+', '-', '−']) {
        let (next, _) = product(rest, depth)?;
        value += if sign == '+' { next } else { -next };
        is_share = false;
    }
    Some((value, is_share))
}

fn product(rest: &mut &str, depth: usize) -> Option<(f64, bool)> {
    let (mut value, mut divided) = (number(rest, depth)?, false);
    while let Some(sign) = operator(rest, &['*', '/', '×', '÷', ':']) {
        let next = number(rest, depth)?;
        divided = !['*', '×'].contains(&sign);
        value = if divided { value / next } else { value * next };
    }
    Some((value, divided))
}

fn number(rest: &mut &str, depth: usize) -> Option<f64> {
    if operator(rest, &['(']).is_some() {
        let (inside, _) = (depth < DEEP).then(|| sum(rest, depth + 1))??;
        return operator(rest, &[')']).map(|_| inside);
    }
    let sign = if operator(rest, &['-', '−']).is_some() { -1.0 } else { 1.0 };
    *rest = rest.trim_start();
    let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',').unwrap_or(rest.len());
    let (digits, after) = rest.split_at(end);
    *rest = after;
    digits.replace(',', ".").parse::<f64>().ok().map(|value| sign * value)
}

/// Takes one of these signs off the front.
fn operator(rest: &mut &str, signs: &[char]) -> Option<char> {
    let text = rest.trim_start();
    let sign = text.chars().next().filter(|c| signs.contains(c))?;
    *rest = &text[sign.len_utf8()..];
    Some(sign)
}

#[cfg(test)]
mod tests {
    use super::{Sum, worked_out};

    #[test]
    fn a_sum_is_worked_out_by_the_rules_of_arithmetic() {
        let sum = |text: &'static str| worked_out(text).map(|s| (s.value, s.unit));
        assert_eq!(sum("12.6 - 11.9 V"), Some((0.7, "V")));
        assert_eq!(sum("12,6-11,9"), Some((0.7, "")));
        assert_eq!(sum("(2.41 - 2.29) / 2.4 * 100 %"), Some((5.0, "%")));
        assert_eq!(sum("2 + 3 * 4"), Some((14.0, "")));
        assert_eq!(sum("-5 - -3"), Some((-2.0, "")));
        assert_eq!(sum("1 / 0"), None);
        assert_eq!(sum("((1 + 2"), None);
        assert_eq!(worked_out(&"(".repeat(100)), None);
        assert_eq!(sum("never"), None);
    }

    #[test]
    fn a_share_is_one_number_over_another_to_five_digits() {
        assert_eq!(worked_out("45 / 60"), Some(Sum { value: 0.75, is_share: true, unit: "" }));
        assert_eq!(worked_out("3/133"), Some(Sum { value: 0.022556, is_share: true, unit: "" }));
        assert_eq!(worked_out("(2.41 - 2.29) / 2.4"), Some(Sum { value: 0.05, is_share: true, unit: "" }));
        for other in ["45 / 60 * 100", "1 - 45 / 60", "12.6 - 11.9", "3 * 4"] {
            assert!(worked_out(other).is_some_and(|s| !s.is_share), "{other}");
        }
    }
}
