//! The platform's published schema, as `make` in this folder turns it into JSON schemas.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::{LazyLock, Mutex};

use jsonschema::Validator;
use serde_json::{Value, json};

/// Every schema by its name.
static ALL: LazyLock<Value> = LazyLock::new(|| {
    let made = place().join("schemas.json");
    let text = std::fs::read_to_string(&made).unwrap_or_else(|error| {
        panic!(
            "the platform's schema is not there ({}: {error}). Run `tests/discord/contract/make` once, or `tests/run`, \
             which does it too; both install node where it is missing.",
            made.display()
        )
    });
    serde_json::from_str(&text).unwrap()
});

/// The folder that `make` fills, inside cargo's own.
pub fn place() -> PathBuf {
    PathBuf::from(env!("CARGO_TARGET_TMPDIR")).with_file_name("contract")
}

/// Fails plainly, at the start of a test, where the schemas were not made.
pub fn want() {
    LazyLock::force(&ALL);
}

/// Every way in which a value is not what the schema of that name says.
pub fn faults(schema: &'static str, value: &Value) -> Vec<String> {
    // Each takes a while to make ready, so it is done once.
    static READY: Mutex<BTreeMap<&'static str, Validator>> = Mutex::new(BTreeMap::new());
    let mut ready = READY.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
    let validator = ready.entry(schema).or_insert_with(|| {
        assert!(ALL[schema].is_object(), "there is no schema {schema}");
        let root = json!({"$ref": format!("#/components/schemas/{schema}"), "components": {"schemas": *ALL}});
        jsonschema::options().should_validate_formats(true).build(&root).unwrap()
    });
    validator
        .iter_errors(value)
        .map(|error| {
            let said = error.to_string().chars().take(300).collect::<String>();
            format!("{schema} at {}: {said}", error.instance_path())
        })
        .collect()
}
