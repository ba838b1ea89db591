//! Every crate that the lock file holds, for whatever feature and system, has a
//! licence that `deny.toml` allows; `crates.md` lists them.
//!
//! `AWASH_LICENCES_WRITE=yes cargo test --test house` writes that list anew, with
//! what `cargo metadata` says (it fetches crates of other systems).
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

use serde_json::Value;

type Crate = (String, String);

fn read(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

fn toml_of(name: &str) -> toml::Table {
    read(name).parse().expect("TOML")
}

/// What the lock file brings from elsewhere.
fn locked() -> BTreeSet<Crate> {
    let lock = toml_of("Cargo.lock");
    let text = |package: &toml::Value, key: &str| package[key].as_str().expect("text").to_owned();
    let packages = lock["package"].as_array().expect("a list").iter();
    packages
        .filter(|package| package.get("source").is_some())
        .map(|package| (text(package, "name"), text(package, "version")))
        .collect()
}

/// What `cargo metadata` says of each crate's licence.
fn told_by_cargo(arguments: &[&str]) -> BTreeMap<Crate, String> {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--locked", "--format-version", "1"])
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo runs");
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let told: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let text = |package: &Value, key: &str| package[key].as_str().unwrap_or_default().to_owned();
    let packages = told["packages"].as_array().expect("a list").iter();
    packages
        .filter(|package| !package["source"].is_null())
        .map(|p| ((text(p, "name"), text(p, "version")), text(p, "license")))
        .collect()
}

/// The committed list.
fn listed() -> BTreeMap<Crate, String> {
    let rows = read("tests/house/crates.md");
    let rows = rows.lines().filter(|line| line.starts_with("| ")).skip(1);
    rows.map(|row| {
        let cells: Vec<&str> = row.split('|').map(str::trim).collect();
        (
            (cells[1].to_owned(), cells[2].to_owned()),
            cells[3].to_owned(),
        )
    })
    .collect()
}

/// Whether an SPDX expression can be met with the licences allowed; a slash is an
/// old way to write OR.
fn is_allowed(expression: &str, allowed: &BTreeSet<String>) -> bool {
    let spaced = expression
        .replace('(', " ( ")
        .replace(')', " ) ")
        .replace('/', " OR ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut at = 0;
    let met = any(&words, &mut at, allowed);
    assert_eq!(at, words.len(), "cannot read the licence `{expression}`");
    met
}

fn any(words: &[&str], at: &mut usize, allowed: &BTreeSet<String>) -> bool {
    let mut met = all(words, at, allowed);
    while words.get(*at) == Some(&"OR") {
        *at += 1;
        met |= all(words, at, allowed);
    }
    met
}

fn all(words: &[&str], at: &mut usize, allowed: &BTreeSet<String>) -> bool {
    let mut met = one(words, at, allowed);
    while words.get(*at) == Some(&"AND") {
        *at += 1;
        met &= one(words, at, allowed);
    }
    met
}

fn one(words: &[&str], at: &mut usize, allowed: &BTreeSet<String>) -> bool {
    if words.get(*at) == Some(&"(") {
        *at += 1;
        let met = any(words, at, allowed);
        assert_eq!(words.get(*at), Some(&")"), "{words:?}");
        *at += 1;
        return met;
    }
    let mut name = words.get(*at).copied().unwrap_or_default().to_owned();
    *at += 1;
    if words.get(*at) == Some(&"WITH") {
        let exception = words.get(*at + 1).copied().unwrap_or_default();
        write!(name, " WITH {exception}").expect("a text takes all");
        *at += 2;
    }
    allowed.contains(&name)
}

fn allowed() -> BTreeSet<String> {
    let deny = toml_of("deny.toml");
    let names = deny["licenses"]["allow"].as_array().expect("a list").iter();
    names
        .map(|name| name.as_str().expect("text").to_owned())
        .collect()
}

#[test]
fn every_crate_has_a_licence_that_is_allowed() {
    if std::env::var("AWASH_LICENCES_WRITE").is_ok_and(|wish| wish == "yes") {
        let told = told_by_cargo(&["--all-features"]);
        let mut text = String::from(
            "# Licences of the crates in the lock file\n\n\
             Written by `AWASH_LICENCES_WRITE=yes cargo test --test house`; the licences that may\n\
             come in stand in `deny.toml`.\n\n| crate | version | licence |\n|---|---|---|\n",
        );
        for ((name, version), licence) in &told {
            writeln!(text, "| {name} | {version} | {licence} |").unwrap();
        }
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/house/crates.md");
        std::fs::write(path, text).unwrap();
    }
    let (listed, allowed) = (listed(), allowed());
    let names: BTreeSet<Crate> = listed.keys().cloned().collect();
    let again = "AWASH_LICENCES_WRITE=yes cargo test --test house";
    let (locked, missing) = (locked(), |a: &BTreeSet<Crate>, b: &BTreeSet<Crate>| {
        a.difference(b)
            .map(|(name, version)| format!("{name} {version}"))
            .collect::<Vec<_>>()
    });
    assert!(
        names == locked,
        "not in the list: {:?}; no longer used: {:?}; run {again}",
        missing(&locked, &names),
        missing(&names, &locked)
    );
    for ((name, version), licence) in &listed {
        assert!(
            is_allowed(licence, &allowed),
            "{name} {version}: {licence}; see deny.toml"
        );
    }
    // What was built here says the same of itself as the list does.
    let host = host();
    for (of, licence) in told_by_cargo(&["--offline", "--filter-platform", &host]) {
        assert_eq!(listed[&of], licence, "{of:?}; run {again}");
    }
}

fn host() -> String {
    let output = Command::new("rustc")
        .arg("-vV")
        .output()
        .expect("rustc runs");
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    let line = text.lines().find_map(|line| line.strip_prefix("host: "));
    line.expect("it names its host").to_owned()
}

#[test]
fn expressions_are_read_as_spdx_has_them() {
    let allowed: BTreeSet<String> = ["MIT", "Zlib", "Apache-2.0 WITH LLVM-exception"]
        .map(str::to_owned)
        .into();
    for (expression, met) in [
        ("MIT", true),
        ("GPL-3.0-only", false),
        ("GPL-3.0-only OR MIT", true),
        ("GPL-3.0-only AND MIT", false),
        ("MIT/Apache-2.0", true),
        ("Apache-2.0", false),
        ("Apache-2.0 WITH LLVM-exception", true),
        ("(MIT OR Apache-2.0) AND Unicode-3.0", false),
        ("(MIT OR Apache-2.0) AND Zlib", true),
        // AND binds closer than OR.
        ("MIT OR Zlib AND GPL-3.0-only", true),
    ] {
        assert_eq!(is_allowed(expression, &allowed), met, "{expression}");
    }
}

#[test]
fn our_own_licences_are_here_and_are_those_of_the_package() {
    let package = toml_of("Cargo.toml");
    let licence = package["package"]["license"].as_str();
    assert_eq!(licence, Some("MIT OR Apache-2.0"));
    assert!(read("LICENSE-MIT").contains("Permission is hereby granted, free of charge"));
    let apache = read("LICENSE-APACHE");
    assert!(apache.contains("Apache License") && apache.contains("Version 2.0, January 2004"));
}
