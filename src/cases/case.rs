//! The text of a case -> a job sheet and what is expected.

use crate::job::{InputError, JobSheet, toml_mistake};
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A car whose fault is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// The name people know it by: its file.
    pub name: String,
    /// What is known at intake.
    pub sheet: JobSheet,
    /// What must come out.
    pub expect: Expect,
    /// What this car shows when it is looked at: readings with their unit, states of signs, `present` or `absent`.
    pub found: IndexMap<String, String>,
}

/// What must come out of a case.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Expect {
    /// The causes that are there.
    pub causes: Vec<String>,
    /// The conditions that are there: each must be likelier than not.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub conditions: Vec<String>,
    /// Each of the causes stands within the first so many of the ranking, conditions not counted.
    #[serde(default = "three")]
    pub within: usize,
    /// Dangers that the intake raises.
    #[serde(default)]
    pub hazards: Vec<String>,
    /// The plan's first step is one of these.
    #[serde(default)]
    pub first_check: Vec<String>,
    /// The plan reaches the repair of the causes within so many checks.
    #[serde(default)]
    pub most_checks: Option<usize>,
}

fn three() -> usize {
    3
}

#[derive(Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Extra {
    /// What must come out.
    expect: Expect,
    /// What this car shows when it is looked at: readings with their unit, states of signs, `present` or `absent`.
    #[serde(default)]
    found: IndexMap<String, String>,
}

/// The JSON Schema of a whole case: a job sheet with the two tables that a case adds.
pub fn schema() -> schemars::Schema {
    let mut generator = schemars::generate::SchemaSettings::draft2020_12().into_generator();
    let extra = generator.subschema_for::<Extra>();
    let mut schema = generator.into_root_schema_for::<JobSheet>();
    let extras = extra.pointer("/$ref").and_then(|r| r.as_str()).and_then(|r| schema.pointer(r.trim_start_matches('#'))).cloned();
    let properties = extras.as_ref().and_then(|e| e.get("properties")).and_then(|p| p.as_object()).cloned().unwrap_or_default();
    if let Some(own) = schema.get_mut("properties").and_then(|p| p.as_object_mut()) {
        own.extend(properties);
    }
    schema.insert("required".into(), serde_json::json!(["expect"]));
    schema.insert("title".into(), "Case".into());
    schema
}

/// Reads a case; `name` is what people know it by.
pub fn parse(name: &str, text: &str) -> Result<Case, InputError> {
    let shows = "docs/cases.md shows a whole case: a sheet, and in `[expect]` what must come out";
    let wrong = |e: toml::de::Error| toml_mistake(name, text, &e, shows);
    let mut table: toml::Table = toml::from_str(text).map_err(wrong)?;
    let mut extra = toml::Table::new();
    for key in ["expect", "found"] {
        extra.extend(table.remove(key).map(|value| (key.to_string(), value)));
    }
    let extra: Extra = extra.try_into().map_err(wrong)?;
    let sheet: JobSheet = table.try_into().map_err(wrong)?;
    Ok(Case { name: name.to_string(), sheet, expect: extra.expect, found: extra.found })
}
