//! Whatever the bytes, reading ends soon, without a panic and with words a
//! terminal can show.
use std::fmt::Write as _;
use std::time::{Duration, Instant};

use proptest::prelude::*;

use super::{GOOD, extended, good, problem, read_files};
use crate::boat::problem::Fault;

#[test]
fn deep_nesting_is_refused_without_harm() {
    let dotted = vec!["a"; 78].join(".");
    let deep = format!(
        "x = {}1{}",
        format!("{{ {dotted} = ").repeat(78),
        "}".repeat(78)
    );
    assert!(matches!(problem(&deep).fault, Fault::TooDeep { .. }));
    let brackets = format!("x = {}", "[".repeat(500_000));
    assert!(matches!(problem(&brackets).fault, Fault::TooDeep { .. }));
}

fn many_items(count: usize) -> String {
    let mut text = String::from("[hull]\nmesh = \"h.stl\"\n");
    for n in 0..count {
        write!(
            text,
            "[[item]]\nname = \"i{n}\"\nmass = \"1 kg\"\nat = [0, 0, 0]\n"
        )
        .unwrap();
    }
    text
}

#[test]
fn ten_thousand_items_read_within_a_second() {
    let text = many_items(10_000);
    let start = Instant::now();
    let boat = good(&text);
    let took = start.elapsed();
    assert_eq!(boat.items.len(), 10_000);
    assert!(took < Duration::from_secs(1), "{took:?}");
}

#[test]
fn too_many_tables_are_refused() {
    let text = "[[item]]\n".repeat(20_001);
    assert!(matches!(problem(&text).fault, Fault::TooMany { .. }));
}

#[test]
fn thousands_of_bad_removals_end_soon_and_print_short() {
    let mut after = String::from("extends = \"before.toml\"\n");
    for n in 0..9_000 {
        write!(after, "[[item]]\nname = \"j{n}\"\nremove = true\n").unwrap();
    }
    let start = Instant::now();
    let found = extended(&after, &many_items(9_000)).unwrap_err();
    assert!(
        start.elapsed() < Duration::from_secs(5),
        "{:?}",
        start.elapsed()
    );
    assert_eq!(found.problems.len(), 9_000);
    let printed = found.to_string();
    assert!(
        printed.ends_with("and 8980 more problems like these"),
        "{printed}"
    );
}

#[test]
fn control_characters_and_endless_lines_do_not_reach_the_terminal() {
    let text = format!(
        "[hull]\nmesh = \"h\"\n\"{}\\u001b[2J\" = \"\u{9b}\"\n",
        "k".repeat(5_000)
    );
    let printed = problem(&text).to_string();
    assert!(!printed.contains(['\u{1b}', '\u{9b}']), "{printed}");
    assert!(printed.chars().count() < 600, "{printed}");
}

/// A text made from the good file by a few cuts, swaps and insertions.
fn mutated() -> impl Strategy<Value = Vec<u8>> {
    let edit = (
        any::<prop::sample::Index>(),
        0_usize..12,
        any::<u8>(),
        0_u8..5,
    );
    prop::collection::vec(edit, 1..8).prop_map(|edits| {
        let mut bytes = GOOD.as_bytes().to_vec();
        for (at, length, byte, kind) in edits {
            if bytes.is_empty() {
                break;
            }
            let at = at.index(bytes.len());
            let end = (at + length).min(bytes.len());
            match kind {
                0 => drop(bytes.drain(at..end)),
                1 => bytes[at] = byte,
                2 => bytes.insert(at, byte % 0x60 + 0x20),
                3 => bytes[at..end].reverse(),
                _ => {
                    let copy = bytes[at..end].to_vec();
                    bytes.extend(copy);
                }
            }
        }
        bytes
    })
}

/// Reading ends, and what is wrong can be printed.
fn reads_without_panic(bytes: &[u8]) {
    match read_files(&[("boat.toml", bytes)]) {
        Ok(boat) => {
            assert!(boat.items.iter().all(|item| item.mass.value > 0.0));
        }
        Err(error) => {
            assert!(!error.problems.is_empty());
            assert!(error.to_string().contains("boat.toml"), "{error}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn random_text_never_panics(text in "\\PC*") {
        reads_without_panic(text.as_bytes());
    }

    #[test]
    fn random_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        reads_without_panic(&bytes);
    }

    #[test]
    fn random_toml_like_text_never_panics(
        text in "(\\[?\\[(hull|item|part|opening|water|yardsticks)\\]?\\]\n|(name|mass|at|box|rim|mesh|remove|extends|skin|turn) = (\"[a-z0-9 ]{0,6}\"|-?[0-9]{1,3}|\\[[0-9, ]{0,9}\\]|\\{ ?(min|size|from) = [0-9] ?\\}|true|nan)\n){0,12}"
    ) {
        reads_without_panic(text.as_bytes());
    }

    #[test]
    fn mutations_of_a_good_file_never_panic(bytes in mutated()) {
        reads_without_panic(&bytes);
    }
}
