//! Results as JSON: SI, keys with their units, stable.
use super::plain::escaped_json;

/// Pretty JSON of a result, ending in a line feed. Values that are no finite
/// number are `null`.
///
/// # Errors
/// Only if the result can not be serialised, which no result here does.
pub fn json(result: &impl serde::Serialize) -> Result<String, serde_json::Error> {
    serde_json::to_string_pretty(result).map(|text| escaped_json(&text) + "\n")
}
