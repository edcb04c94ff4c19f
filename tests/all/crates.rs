//! The crates that the program is built from, held against a kept list: no other crate, version, source or licence
//! comes in unseen.
//!
//! `UPDATE_CRATES=1 cargo test crates` writes the list anew, which needs the network; read the difference first: who
//! keeps the crate, what it does when it is built, what it brings along.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

/// Licences under which a crate may come in: a program under the MIT licence may be given away with them.
const ALLOWED: &[&str] = &[
    "MIT",
    "MIT-0",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "Zlib",
    "Unlicense",
    "BSL-1.0",
    "Unicode-3.0",
];

/// Where every crate is from, checked by its digest.
const REGISTRY: &str = "registry+https://github.com/rust-lang/crates.io-index";

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn list() -> PathBuf {
    root().join("tests/data/crates.txt")
}

/// Name and version of each crate, with its licence, as the list keeps them.
fn kept() -> BTreeMap<String, String> {
    let text = fs::read_to_string(list()).expect("the list of crates");
    let row = |line: &str| {
        let licence = line.match_indices(' ').nth(1).expect("name, version, licence").0;
        (line[..licence].to_owned(), line[licence + 1..].to_owned())
    };
    text.lines().map(row).collect()
}

/// What cargo says of all crates, of those for other systems too: it fetches what is not there.
fn stated() -> BTreeMap<String, String> {
    let cargo = std::env::var_os("CARGO").expect("cargo runs the tests");
    let mut command = Command::new(&cargo);
    command.current_dir(root()).args(["metadata", "--locked", "--format-version", "1"]);
    let output = command.output().expect("cargo metadata");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let metadata: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let crates = metadata["packages"].as_array().expect("packages").iter();
    let text = |value: &Value| value.as_str().unwrap_or("none").to_owned();
    crates
        .filter(|each| each["source"].is_string())
        .map(|each| (format!("{} {}", text(&each["name"]), text(&each["version"])), text(&each["license"])))
        .collect()
}

/// Where cargo lays the sources of crates on this machine: those that this system needs are there.
fn sources() -> Vec<PathBuf> {
    let home = std::env::var_os("CARGO_HOME").map(PathBuf::from);
    let home = home.or_else(|| Some(std::env::home_dir()?.join(".cargo"))).expect("a home folder");
    let indexes = fs::read_dir(home.join("registry/src")).into_iter().flatten();
    indexes.map(|index| index.expect("a folder can be listed").path()).collect()
}

/// The licence in a crate's own file, if its sources are on this machine.
fn licence_in_source(sources: &[PathBuf], of: &str) -> Option<String> {
    let manifest = sources.iter().map(|index| index.join(of.replace(' ', "-")).join("Cargo.toml"));
    let text = manifest.into_iter().find_map(|path| fs::read_to_string(path).ok())?;
    let manifest: toml::Table = text.parse().expect("a manifest is TOML");
    Some(manifest["package"].get("license").and_then(toml::Value::as_str).unwrap_or("none").to_owned())
}

/// Whether a licence as a crate states it, an SPDX expression or the older form with a stroke, leaves a choice that is
/// allowed.
fn is_allowed(licence: &str) -> bool {
    let licence = licence.replace(['(', ')'], "").replace('/', " OR ");
    licence.split(" AND ").all(|each| each.split(" OR ").any(|one| ALLOWED.contains(&one.trim())))
}

#[test]
fn every_crate_is_on_the_kept_list_and_from_the_registry() {
    if std::env::var_os("UPDATE_CRATES").is_some() {
        let rows: Vec<String> = stated().iter().map(|(of, licence)| format!("{of} {licence}")).collect();
        fs::write(list(), rows.join("\n") + "\n").expect("the list of crates");
    }
    let lock = fs::read_to_string(root().join("Cargo.lock")).expect("Cargo.lock");
    let lock: toml::Table = lock.parse().expect("TOML");
    let mut locked = Vec::new();
    for each in lock["package"].as_array().expect("packages") {
        let text = |key: &str| each.get(key).and_then(toml::Value::as_str);
        let of = format!("{} {}", text("name").unwrap_or_default(), text("version").unwrap_or_default());
        if text("name") == Some("matside") {
            continue;
        }
        assert_eq!(text("source"), Some(REGISTRY), "{of} is from elsewhere");
        assert_eq!(text("checksum").map(str::len), Some(64), "{of} has no digest");
        locked.push(of);
    }
    locked.sort();
    let kept: Vec<String> = kept().into_keys().collect();
    assert_eq!(locked, kept, "look at what is new, then: UPDATE_CRATES=1 cargo test crates");
}

#[test]
fn every_licence_is_allowed_and_as_the_crate_states_it() {
    let kept = kept();
    for (of, licence) in &kept {
        assert!(is_allowed(licence), "{of}: {licence}");
    }
    let sources = sources();
    let mut seen = 0;
    for (of, licence) in &kept {
        if let Some(stated) = licence_in_source(&sources, of) {
            assert_eq!(stated, *licence, "{of}");
            seen += 1;
        }
    }
    // Where crates are vendored or mirrored, cargo keeps them elsewhere.
    assert!(seen > 50 || sources.is_empty(), "only {seen} crates were looked at");
    for refused in ["GPL-3.0-only", "MIT AND GPL-3.0-only", "none", "MPL-2.0"] {
        assert!(!is_allowed(refused), "{refused}");
    }
}
