//! The JSON of a history is what `docs/history.schema.json` says, and the schema says all that is in it.

use std::collections::BTreeSet;
use std::path::Path;

use matside::catalogue::Catalogue;
use matside::handout::{HistoryFilter, history_json};
use matside::store::Store;
use serde_json::Value;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn schema() -> Value {
    let text = std::fs::read_to_string(root().join("docs/history.schema.json")).expect("the schema");
    serde_json::from_str(&text).expect("JSON")
}

/// The kinds of things that a document has.
fn present(document: &Value) -> BTreeSet<&'static str> {
    let lists = ["said", "details", "sides", "changes", "norms", "neglect", "pain", "noted"];
    let insight = &document["insight"];
    lists.into_iter().filter(|list| insight[*list].as_array().is_some_and(|all| !all.is_empty())).collect()
}

#[test]
fn the_histories_of_the_invented_studio_are_what_the_schema_says() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::create_dir(folder.path().join("clients")).expect("a folder");
    for entry in std::fs::read_dir(root().join("demo/clients")).expect("the studio") {
        let path = entry.expect("a file").path();
        let to = folder.path().join("clients").join(path.file_name().expect("a name"));
        std::fs::copy(&path, to).expect("a copy");
    }
    let store = Store::open(folder.path()).expect("the studio");
    let schema = schema();
    // JSON Schema 2020-12: the schema against that of all schemas, and each document against the schema.
    assert!(jsonschema::meta::is_valid(&schema), "the schema itself");
    let validator = jsonschema::validator_for(&schema).expect("a schema");
    let today = "2026-11-25".parse().expect("a day");
    let mut seen = BTreeSet::new();
    for entry in store.roster().expect("a list").entries {
        let client = store.load(&entry.id).expect("a client");
        for names in [true, false] {
            let all = HistoryFilter::default();
            let text = history_json(&client, Catalogue::built_in(), today, &all, names).expect("JSON");
            let document: Value = serde_json::from_str(&text).expect("JSON");
            let flaws: Vec<String> = validator
                .iter_errors(&document)
                .map(|flaw| format!("{}: {flaw}", flaw.instance_path))
                .collect();
            assert!(flaws.is_empty(), "{}: {flaws:#?}", entry.id);
            seen.extend(present(&document));
            let mut odd = document.clone();
            odd["insight"]["odd"] = Value::Bool(true);
            assert!(!validator.is_valid(&odd), "an unknown key is a flaw");
            let mut without = document;
            without["insight"].as_object_mut().expect("an object").remove("sides");
            assert!(!validator.is_valid(&without), "a missing key is a flaw");
        }
    }
    assert_eq!(seen.len(), 8, "of every kind there is one somewhere: {seen:?}");
}
