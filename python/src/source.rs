//! A case given as a Python dictionary, which arrives as JSON.

use serde_json::Value;

/// `json`, one object, as TOML.
///
/// # Errors
///
/// The obstacle: no object, or a `null`, which TOML does not have.
pub(crate) fn toml_of_json(json: &str) -> Result<String, String> {
    let value: Value = serde_json::from_str(json).map_err(|error| error.to_string())?;
    if !value.is_object() {
        return Err("a case is a dictionary of tables".to_owned());
    }
    if let Some(place) = null(&value, String::new()) {
        return Err(format!("`{place}` is None; leave the key out"));
    }
    toml::to_string(&value).map_err(|error| error.to_string())
}

/// Where there is a null.
fn null(value: &Value, place: String) -> Option<String> {
    let below =
        |key: &str| if place.is_empty() { key.to_owned() } else { format!("{place}.{key}") };
    match value {
        Value::Null => Some(place),
        Value::Object(object) => object.iter().find_map(|(key, value)| null(value, below(key))),
        Value::Array(items) => items
            .iter()
            .enumerate()
            .find_map(|(index, value)| null(value, below(&(index + 1).to_string()))),
        _ => None,
    }
}
