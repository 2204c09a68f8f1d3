//! Units of any spelling, by dimension. The conversions are the `uom` library's; here stand only the spellings that a workshop writes and it does not.

use serde::{Deserialize, Serialize};
use std::str::FromStr;
use uom::si::f64 as si;

/// What a unit measures. A difference of temperatures is not a temperature: 18 degF more is 10 K more, not 265 K.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[allow(missing_docs)]
pub enum Dimension {
    Pressure,
    Voltage,
    Current,
    Resistance,
    Time,
    Speed,
    Revolutions,
    Frequency,
    Ratio,
    Mass,
    MassFlow,
    Length,
    Volume,
    VolumeFlow,
    Temperature,
    TemperatureDifference,
    Power,
    Charge,
    Opacity,
    Torque,
    Capacitance,
    Angle,
    Density,
    Count,
}

/// The unit of what is counted, or of one thing as a multiple of another: it stands in the rules, and nobody says it.
pub const COUNT: &str = "count";

/// A unit, checked: `value in base units = value * factor + offset`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Unit {
    /// As it was written.
    pub text: String,
    /// What it measures.
    pub dimension: Dimension,
    factor: f64,
    offset: f64,
}

/// Why a unit can't be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum UnitError {
    /// No unit is spelled so.
    Unknown,
    /// It measures something else.
    Dimension(Dimension),
}

impl Dimension {
    /// What people call it.
    pub fn name(self) -> &'static str {
        use Dimension::*;
        match self {
            Pressure => "a pressure",
            Voltage => "a voltage",
            Current => "a current",
            Resistance => "a resistance",
            Time => "a time",
            Speed => "a speed",
            Revolutions => "a number of revolutions",
            Frequency => "a frequency",
            Ratio => "a ratio",
            Mass => "a mass",
            MassFlow => "a mass flow",
            Length => "a length",
            Volume => "a volume",
            VolumeFlow => "a volume flow",
            Temperature => "a temperature",
            TemperatureDifference => "a difference of temperatures",
            Power => "a power",
            Charge => "an electric charge",
            Opacity => "an opacity",
            Torque => "a torque",
            Capacitance => "a capacitance",
            Angle => "an angle",
            Density => "a density",
            Count => "a plain number",
        }
    }
}

impl Unit {
    /// The unit spelled so. `K` alone means a difference of temperatures; an absolute one is in degC or degF.
    pub fn parse(text: &str) -> Result<Unit, UnitError> {
        let spelling = spelling(text);
        let dimension = match spelling.as_str() {
            "K" => Dimension::TemperatureDifference,
            other => dimension_of(other).ok_or(UnitError::Unknown)?,
        };
        Unit::within(text, &spelling, dimension).ok_or(UnitError::Unknown)
    }

    fn within(text: &str, spelling: &str, dimension: Dimension) -> Option<Unit> {
        let offset = base_value(dimension, 0.0, spelling)?;
        let factor = base_value(dimension, 1.0, spelling)? - offset;
        Some(Unit { text: text.to_string(), dimension, factor, offset })
    }

    /// A number in the unit `from`, worked out in this one.
    pub fn convert(&self, number: f64, from: &str) -> Result<f64, UnitError> {
        if from == self.text {
            return Ok(number);
        }
        let from = self.sibling(from)?;
        Ok((number * from.factor + from.offset - self.offset) / self.factor)
    }

    /// A width (an accuracy, a spread) in the unit `from`, worked out in this one: offsets do not count.
    pub fn convert_width(&self, number: f64, from: &str) -> Result<f64, UnitError> {
        if from == self.text {
            return Ok(number);
        }
        Ok(number * self.sibling(from)?.factor / self.factor)
    }

    /// The unit `text` of this unit's own dimension.
    fn sibling(&self, text: &str) -> Result<Unit, UnitError> {
        let spelled = spelling(text);
        Unit::within(text, &spelled, self.dimension).ok_or_else(|| match Unit::parse(text) {
            Ok(other) => UnitError::Dimension(other.dimension),
            Err(error) => error,
        })
    }
}

/// Minutes from a number and a unit of time.
pub fn minutes(number: f64, unit: &str) -> Result<f64, UnitError> {
    Unit::parse("min")?.convert(number, unit)
}

/// The library's spelling of what a workshop writes.
fn spelling(text: &str) -> String {
    let text = &one_sign_units(text);
    let known = match text.as_str() {
        "degC" | "deg-C" | "C" | "°c" | "celsius" | "ºC" => "°C",
        "degF" | "deg-F" | "F" | "fahrenheit" | "ºF" => "°F",
        "sec" | "secs" => "s",
        "mins" => "min",
        "hr" | "hrs" => "h",
        "volts" => "V",
        "amps" | "amp" => "A",
        "kph" | "kmh" | "km-h" => "km/h",
        "mph" => "mi/h",
        "r/min" | "rev/min" | "RPM" | "min-1" | "U/min" => "rpm",
        "l" | "litre" | "litres" => "L",
        "ml" => "mL",
        "cc" | "cm3" => "mL",
        "l/h" | "L/h" => "L/h",
        "l/min" => "L/min",
        "Ah" => "A · h",
        "mAh" => "mA · h",
        "mmHg" => "mm Hg",
        "inHg" => "in Hg",
        "inH2O" => "in H₂O",
        "mmH2O" => "mm H₂O",
        "cmH2O" => "cm H₂O",
        "kg/cm2" => "at",
        "Nm" => "N · m",
        "lbft" | "lb-ft" => "lbf · ft",
        "1/m" => "m⁻¹",
        "uF" => "µF",
        "um" => "µm",
        "pct" | "percent" => "%",
        "deg" => "°",
        "Hz" => "Hz",
        "g/cm3" => "g/cm³",
        "lambda" | "count" | "1" => "1",
        _ => "",
    };
    if !known.is_empty() {
        return known.to_string();
    }
    // ohms are written out in many ways, with any prefix
    for (tail, sign) in [("ohms", "Ω"), ("ohm", "Ω"), ("Ohm", "Ω"), ("\u{2126}", "Ω")] {
        if let Some(prefix) = text.strip_suffix(tail) {
            return format!("{}{sign}", prefix.replace('K', "k"));
        }
    }
    text.replace('\u{3bc}', "µ")
}

/// Units that have one sign of their own written out, as the compatibility forms of Unicode give them (chart 3300, CJK Compatibility; 2103, 2109, FF05).
fn one_sign_units(text: &str) -> String {
    let written = |c: char| match c {
        '℃' => Some("°C"),
        '℉' => Some("°F"),
        '㎩' => Some("Pa"),
        '㎪' => Some("kPa"),
        '㎫' => Some("MPa"),
        '㎜' => Some("mm"),
        '㎞' => Some("km"),
        '㎎' => Some("mg"),
        '㎖' => Some("mL"),
        '㎷' => Some("mV"),
        '㎃' => Some("mA"),
        '㏀' => Some("kΩ"),
        '㏁' => Some("MΩ"),
        '㎐' => Some("Hz"),
        '％' => Some("%"),
        _ => None,
    };
    let mut out = String::with_capacity(text.len());
    text.chars().for_each(|c| match written(c) {
        Some(letters) => out.push_str(letters),
        None => out.push(c),
    });
    out
}

macro_rules! dimensions {
    ($($dimension:ident => $quantity:ident),* $(,)?) => {
        /// A number in a unit of that dimension, in the library's base unit; none where the unit is not one of it.
        fn base_value(dimension: Dimension, number: f64, spelling: &str) -> Option<f64> {
            let text = format!("{number} {spelling}");
            match dimension {
                $(Dimension::$dimension => si::$quantity::from_str(&text).ok().map(|q| q.value),)*
                Dimension::VolumeFlow if spelling == "L/h" => Some(number / 3_600_000.0),
                Dimension::VolumeFlow => si::VolumeRate::from_str(&text).ok().map(|q| q.value),
                Dimension::Count => (spelling == "1").then_some(number),
            }
        }
        /// The first dimension that knows the spelling, in the order of this table.
        fn dimension_of(spelling: &str) -> Option<Dimension> {
            [$(Dimension::$dimension,)* Dimension::VolumeFlow, Dimension::Count]
                .into_iter()
                .find(|d| base_value(*d, 1.0, spelling).is_some())
        }
    };
}

dimensions! {
    Pressure => Pressure, Voltage => ElectricPotential, Current => ElectricCurrent, Resistance => ElectricalResistance,
    Time => Time, Speed => Velocity, Revolutions => AngularVelocity, Frequency => Frequency, Ratio => Ratio,
    Mass => Mass, MassFlow => MassRate, Length => Length, Volume => Volume, Temperature => ThermodynamicTemperature,
    TemperatureDifference => TemperatureInterval, Power => Power, Charge => ElectricCharge, Opacity => LinearNumberDensity,
    Torque => Torque, Capacitance => Capacitance, Angle => Angle, Density => MassDensity,
}
