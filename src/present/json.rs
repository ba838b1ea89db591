//! Results as JSON: SI, keys with their units, stable.
use serde_json::Value;

use super::Present;
use super::plain::escaped_json;

/// A result with its sentences.
///
/// # Errors
/// As [`json`].
pub fn with_words(result: &impl Present) -> Result<Value, serde_json::Error> {
    let mut value = serde_json::to_value(result)?;
    result.words().put_into(&mut value);
    Ok(value)
}

/// Pretty JSON of a result with its sentences, ending in a line feed. Values that are no
/// finite number are `null`.
///
/// # Errors
/// Only if the result cannot be serialised, which no result here does.
pub fn json(result: &impl Present) -> Result<String, serde_json::Error> {
    json_text(&with_words(result)?)
}

/// As [`json`], of a value from [`with_words`].
pub(crate) fn json_text(value: &Value) -> Result<String, serde_json::Error> {
    serde_json::to_string_pretty(value).map(|text| escaped_json(&text) + "\n")
}
