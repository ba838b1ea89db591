//! The table of what was checked, made from a run of these very checks.
//!
//! With `AWASH_TABLE` naming a file, every comparison appends a line to it; after
//! such a run `the_table_is_that_of_the_run` (not part of the test command) holds
//! `TABLE.md` to it, or writes it with `AWASH_TABLE_WRITE=yes`. The script
//! `table.sh` does both steps.
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs::OpenOptions;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use crate::sources::{INTERNAL, source_of};

const FILE: &str = "AWASH_TABLE";
const WRITE: &str = "AWASH_TABLE_WRITE";
/// Digits shown of a number that no tolerance cuts shorter.
const DIGITS: i32 = 7;
/// Of many checks of one quantity that which uses most of its tolerance is shown,
/// where it uses more than this; below it is rounding, and differs by machine.
const TELLING_SHARE: f64 = 0.1;
/// Tolerances below this share of the quantity are of rounding as well.
const ROUNDING_SHARE: f64 = 1e-9;
/// The mesh of these checks is not kept here: their rows stay where they did not run.
const NEEDS_A_FILE: &str = "duisburg::";

/// One quantity of one test: how often it was checked, and one of the checks.
struct Row {
    checks: usize,
    expected: f64,
    tolerance: f64,
    got: f64,
}

impl Row {
    fn share(&self) -> f64 {
        let is_rounding = self.tolerance <= ROUNDING_SHARE * self.expected.abs();
        let share = (self.got - self.expected).abs() / self.tolerance;
        if is_rounding || share.is_nan() || share < TELLING_SHARE {
            0.0
        } else {
            share
        }
    }
}

/// Appends a comparison to the file that `AWASH_TABLE` names.
pub(crate) fn record(quantity: &str, got: f64, expected: f64, tolerance: f64) {
    let Some(file) = std::env::var_os(FILE) else {
        return;
    };
    let thread = std::thread::current();
    let test = thread.name().expect("tests run on named threads");
    assert!(
        test.contains("::"),
        "the table needs more than one test thread"
    );
    let line = format!("{test}\t{quantity}\t{expected:e}\t{tolerance:e}\t{got:e}\n");
    OpenOptions::new()
        .create(true)
        .append(true)
        .open(&file)
        .and_then(|mut open| open.write_all(line.as_bytes()))
        .unwrap_or_else(|error| panic!("{FILE} {}: {error}", file.display()));
}

fn path() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/validation/TABLE.md")
}

/// A number to a tenth of its tolerance, at most seven digits.
fn shown(value: f64, tolerance: f64) -> String {
    let digits_left = |x: f64| x.abs().log10().floor();
    let unit = digits_left(tolerance / 10.0).max(digits_left(value) - f64::from(DIGITS - 1));
    let unit = if unit.is_finite() { unit } else { -12.0 };
    let rounded = (value / 10_f64.powf(unit)).round() * 10_f64.powf(unit);
    if rounded == 0.0 {
        return "0".to_owned();
    }
    let size = digits_left(rounded);
    if (-4.0..7.0).contains(&size) {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "0 to 10"
        )]
        let decimals = (-unit).max(0.0) as usize;
        return format!("{rounded:.decimals$}");
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "0 to 6"
    )]
    let decimals = (size - unit).max(0.0) as usize;
    format!("{rounded:.decimals$e}")
}

/// How far two printings of a number may lie apart: one of the last digit.
fn last_digit(text: &str) -> f64 {
    let (digits, exponent) = text.split_once('e').unwrap_or((text, "0"));
    let decimals = digits.split_once('.').map_or(0, |(_, after)| after.len());
    let decimals = i32::try_from(decimals).expect("few digits");
    10_f64.powi(exponent.parse::<i32>().expect("an exponent") - decimals)
}

/// The lines of the run in the table's words, by test and quantity.
fn rows(run: &str) -> BTreeMap<(String, String), Row> {
    let mut rows: BTreeMap<(String, String), Row> = BTreeMap::new();
    for line in run.lines() {
        let [test, quantity, expected, tolerance, got] = line
            .split('\t')
            .collect::<Vec<_>>()
            .try_into()
            .expect("five columns");
        let number = |text: &str| text.parse().expect("a number");
        let new = Row {
            checks: 1,
            expected: number(expected),
            tolerance: number(tolerance),
            got: number(got),
        };
        rows.entry((test.to_owned(), quantity.to_owned()))
            .and_modify(|row| {
                let checks = row.checks + 1;
                if new.share() > row.share() {
                    *row = Row { ..new };
                }
                row.checks = checks;
            })
            .or_insert(new);
    }
    rows
}

fn table_of(rows: &BTreeMap<(String, String), Row>) -> String {
    let mut text = String::from(
        "# What the numbers are checked against\n\n\
         Made by `tests/validation/table.sh --write` from a run of the checks in this folder; the\n\
         derivation of each closed form stands beside its check. SI units, angles in degrees or rad\n\
         as the check has them. Where one quantity is checked several times, that check is shown\n\
         which uses most of its tolerance. Numbers are cut at a tenth of the tolerance.\n\n",
    );
    let is_internal = |source: &str| source.starts_with(INTERNAL);
    text.push_str("## Against things outside the project\n\n");
    push_rows(&mut text, rows, &|source| !is_internal(source));
    text.push_str(
        "\n## Internal consistency\n\nThe code checked against itself, by another way: no outside value.\n\n",
    );
    push_rows(&mut text, rows, &is_internal);
    text
}

fn push_rows(
    text: &mut String,
    rows: &BTreeMap<(String, String), Row>,
    wanted: &dyn Fn(&str) -> bool,
) {
    text.push_str(
        "| quantity | source | expected | tolerance | got | checks | test |\n\
         |---|---|---|---|---|---|---|\n",
    );
    for ((test, quantity), row) in rows {
        let source = source_of(test, quantity);
        if !wanted(source) {
            continue;
        }
        writeln!(
            text,
            "| {} | {source} | {} | {:.1e} | {} | {} | `{test}` |",
            quantity.replace('|', "/"),
            shown(row.expected, row.tolerance),
            row.tolerance,
            shown(row.got, row.tolerance),
            row.checks,
        )
        .expect("a text takes all");
    }
}

/// The cells of a table's rows.
fn cells(table: &str) -> Vec<Vec<&str>> {
    let is_row = |line: &&str| line.starts_with("| ") && !line.starts_with("| quantity |");
    table
        .lines()
        .filter(is_row)
        .map(|line| line.split('|').map(str::trim).collect())
        .collect()
}

#[test]
#[ignore = "needs the lines of a run before it: tests/validation/table.sh"]
fn the_table_is_that_of_the_run() {
    let run = std::env::var_os(FILE).expect("AWASH_TABLE names the lines of a run");
    let run = std::fs::read_to_string(run).expect("the lines of the run");
    let made = table_of(&rows(&run));
    if std::env::var(WRITE).is_ok_and(|wish| wish == "yes") {
        std::fs::write(path(), made).expect("the table can be written");
        return;
    }
    let kept = std::fs::read_to_string(path()).expect("the table is there");
    let (mut kept, made) = (cells(&kept), cells(&made));
    if !run.contains(NEEDS_A_FILE) {
        println!("NOT COMPARED: the rows of {NEEDS_A_FILE}, whose mesh is not here");
        kept.retain(|row| !row[7].contains(NEEDS_A_FILE));
    }
    assert!(kept.len() > 100, "{} rows", kept.len());
    let names = |rows: &[Vec<&str>]| -> Vec<String> {
        rows.iter()
            .map(|row| format!("{} {}", row[7], row[1]))
            .collect()
    };
    assert_eq!(names(&kept), names(&made), "run table.sh --write");
    for (kept, made) in kept.iter().zip(&made) {
        assert_eq!(
            [kept[2], kept[6]],
            [made[2], made[6]],
            "run table.sh --write: {kept:?}"
        );
        for column in [3, 4, 5] {
            let number = |text: &str| -> f64 { text.parse().expect("a number") };
            let apart = (number(kept[column]) - number(made[column])).abs();
            // Nothing is left of a nought but rounding, which differs by machine.
            let of_nought = if kept[3] == "0" { number(kept[4]) } else { 0.0 };
            let digit = last_digit(kept[column]).max(last_digit(made[column]));
            assert!(
                apart <= (1.01 * digit).max(of_nought),
                "stale, run table.sh --write: {kept:?} is now {made:?}"
            );
        }
    }
}

#[test]
fn numbers_are_cut_at_a_tenth_of_the_tolerance() {
    for (value, tolerance, words) in [
        (7.360_123_4, 5e-4, "7.36012"),
        (0.25, 1e-12, "0.2500000"),
        (3e-17, 1e-12, "0"),
        (2095.04, 0.5, "2095.04"),
        (1.234_567_89e-7, 1e-20, "1.234568e-7"),
        (150_000.0, 0.0, "150000.0"),
    ] {
        assert_eq!(shown(value, tolerance), words);
    }
}
