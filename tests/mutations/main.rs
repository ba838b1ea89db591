//! Odd values in every key of the tests' boat files and in every option, all in
//! one process: nothing panics or hangs, and what is accepted is doubted, or stands in
//! `accepted.txt` with a reason.
//!
//! Takes long, so it is ignored: `cargo test --test mutations -- --ignored > /dev/null`.
//! `AWASH_EVERY=20` takes every twentieth case of it.
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::ops::Range;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use awash::boat::{BoatFile, BoatMaker};
use awash::cli::{Answer, Arguments, answer};
use awash::mesh::{solids, write_stl};
use awash::numerics::Vec3;
use awash::present::Present;
use awash::quantity::UnitSystem;
use awash::study::float;
use clap::{CommandFactory, Parser};
use toml::de::{DeTable, DeValue};

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/boats");
/// The same file that the boat files of the folder start from is read with each.
const FILES: [&str; 4] = ["before.toml", "after.toml", "bulkheads.toml", "dived.toml"];
/// Longest that a case may take on a busy machine.
const TIME_LIMIT: Duration = Duration::from_secs(120);
/// Cases that go through: keys, values, reason, with `;` between several and `*` for
/// anything.
const ACCEPTED: &str = include_str!("accepted.txt");

/// What people and machines put where a number, a text, a point or a flag belongs.
fn odd_values() -> Vec<String> {
    let bare = [
        "0",
        "-0.0",
        "-1",
        "-1000",
        "1e-9",
        "1e-3",
        "50",
        "1000",
        "1e6",
        "1e9",
        "1e300",
        "-1e300",
        "inf",
        "-inf",
        "nan",
        "9223372036854775807",
        "0x7fffffff",
        "true",
        "false",
        "[]",
        "{}",
        "[1]",
        "[0, 0]",
        "[1000, 0, 0]",
        "[0, 1000, 0]",
        "[0, 0, 1000]",
        "[-1000, 0, 0]",
        "[1e300, 0, 0]",
        "[nan, 0, 0]",
        "[inf, 0, 0]",
        "[0, 0, 0, 0]",
        "[[0, 0, 0]]",
        "[\"1 m ± 90 m\", 0, 0]",
        "[\"a\", \"b\", \"c\"]",
        "[[1000, 0, 0], [0, 0, 0], [0, 1, 0]]",
        "[\"1 kg\", 0, 0]",
        "{ a = 1 }",
        "1979-05-27",
        "[true, false, true]",
        "[[[0]]]",
    ];
    let texts = [
        "",
        " ",
        "0",
        "-1",
        "1e999",
        "nan",
        "inf",
        "50 m",
        "900 m",
        "5 km",
        "-5 mm",
        "0 mm",
        "1e-9 mm",
        "5 kg ± 90 kg",
        "5 m ± 900 m",
        "5 L ± 90 L",
        "0.5 ± 9",
        "50 t",
        "1e9 kg",
        "1e-9 kg",
        "-5 kg",
        "0 kg",
        "900 m3",
        "1e9 L",
        "1e-9 L",
        "-5 L",
        "5 h",
        "900 deg",
        "-900 deg",
        "9000 bar",
        "1e-9 bar",
        "-5 bar",
        "1 psi",
        "500 g/kg",
        "-5 g/kg",
        "300 C",
        "-300 C",
        "1 kg/m3",
        "90000 kg/m3",
        "-5 kg/m3",
        "1000 g/cm3",
        "5 ± -1 kg",
        "1/0 m",
        "0/1 m",
        "5 parsec",
        "1 ft 90 in",
        "½ in",
        "1,5 m",
        "1.234.567 m",
        "5 m m",
        "\\u001b[2J",
        "\\u0000",
        "\\u202e",
        "=1+1",
        "a#b",
        "../../nowhere",
        "/dev/null",
        ".",
        "é",
        "inside",
        "nobody",
        "port",
        "5 kg/m2",
        "1e9 kg/m2",
        "5 L/min",
        "1e9 L/min",
        "1, 0, 0.2 to 1.5, 0, 0.2",
        "1000, 0, 0 to 1, 0, 0",
        "brine,200,15",
        "sea,35,15",
        "bag",
        "40 cm, 40 cm",
        "900 m, 40 cm",
        "cut",
        "1",
    ];
    let long = format!("\"{}\"", "x".repeat(10_000));
    bare.iter()
        .map(|&value| value.to_owned())
        .chain(texts.iter().map(|text| format!("\"{text}\"")))
        .chain([long])
        .collect()
}

/// Every value of a file by its key, "item.battery.mass", and where it stands.
fn values_of(text: &str) -> Vec<(String, Range<usize>)> {
    fn walk(
        key: &str,
        value: &DeValue<'_>,
        span: Range<usize>,
        out: &mut Vec<(String, Range<usize>)>,
    ) {
        match value {
            DeValue::Table(table) => {
                for (name, member) in table {
                    let key = format!("{key}.{}", name.get_ref());
                    walk(&key, member.get_ref(), member.span(), out);
                }
            }
            DeValue::Array(list) if list.iter().any(|node| node.get_ref().is_table()) => {
                for node in list {
                    let name = node
                        .get_ref()
                        .as_table()
                        .and_then(|table| table.get("name"));
                    let name = name.and_then(|name| name.get_ref().as_str()).unwrap_or("?");
                    walk(&format!("{key}.{name}"), node.get_ref(), node.span(), out);
                }
            }
            _ => out.push((key.trim_start_matches('.').to_owned(), span)),
        }
    }
    let root = DeTable::parse(text).expect("a boat file of the demonstration");
    let mut out = Vec::new();
    for (name, member) in root.get_ref() {
        walk(name.get_ref(), member.get_ref(), member.span(), &mut out);
    }
    out
}

/// Whether a text is as a pattern says, `*` for anything.
fn is_like(pattern: &str, text: &str) -> bool {
    let mut rest = text;
    let pieces: Vec<&str> = pattern.split('*').collect();
    for (number, piece) in pieces.iter().enumerate() {
        let at = match rest.find(piece) {
            Some(at) if number > 0 || at == 0 => at,
            _ => return false,
        };
        rest = &rest[at + piece.len()..];
    }
    rest.is_empty() || pattern.ends_with('*')
}

fn is_accepted(key: &str, value: &str) -> bool {
    ACCEPTED.lines().filter(|line| !line.starts_with('#')).any(|line| {
        let cells: Vec<&str> = line.split('|').map(str::trim).collect();
        let any = |patterns: &str, text: &str| {
            patterns.split(';').any(|pattern| is_like(pattern.trim(), text))
        };
        matches!(cells.as_slice(), [k, v, reason] if !reason.is_empty() && any(k, key) && any(v, value))
    })
}

/// Whether a result or its table has a number that is none. In JSON it would be `null`, in
/// CSV nothing: the result as Rust prints it tells them from what is left out.
fn has_no_number(result: &str, sentences: &str) -> bool {
    let words = |text: &str, word: &str| {
        text.split(|c: char| !c.is_ascii_alphanumeric())
            .any(|piece| piece == word)
    };
    // What stands in quotes may be a name out of the file.
    let mut bare = String::new();
    let mut quoted = false;
    let mut letters = result.chars();
    while let Some(letter) = letters.next() {
        match letter {
            '"' => quoted = !quoted,
            '\\' if quoted => {
                letters.next();
            }
            letter if !quoted => bare.push(letter),
            _ => {}
        }
    }
    words(&bare, "NaN") || words(&bare, "inf") || words(sentences, "NaN")
}

/// Doubts apart from their numbers, which change with any figure, and from their places
/// in the file, which move with a value's length.
fn plain(doubt: &str) -> String {
    let mut out = String::new();
    for c in doubt.chars() {
        match c {
            c if c.is_ascii_digit() || ".:-".contains(c) => {
                if !out.ends_with('#') {
                    out.push('#');
                }
            }
            c => out.push(c),
        }
    }
    out
}

fn every() -> usize {
    let given = std::env::var("AWASH_EVERY").ok();
    given.and_then(|text| text.parse().ok()).unwrap_or(1)
}

/// Says what went wrong, all of it at the end.
#[derive(Default)]
struct Troubles(BTreeMap<String, Vec<String>>);

impl Troubles {
    fn note(&mut self, what: &str, case: String) {
        self.0.entry(what.to_owned()).or_default().push(case);
    }

    fn tell(self, cases: usize) {
        let mut text = String::new();
        for (what, cases) in &self.0 {
            let _ = writeln!(text, "{} × {what}:", cases.len());
            for case in cases.iter().take(400) {
                let _ = writeln!(text, "  {case}");
            }
        }
        eprintln!("{cases} cases");
        assert!(text.is_empty(), "{text}");
    }
}

#[test]
#[ignore = "takes up to an hour"]
fn every_key_of_the_boat_files() {
    let odd = odd_values();
    let folder = tempfile::tempdir().expect("a folder");
    for entry in fs::read_dir(FOLDER).expect("the demonstration") {
        let from = entry.expect("an entry").path();
        if from.is_file() {
            fs::copy(&from, folder.path().join(from.file_name().expect("a name"))).expect("a copy");
        }
    }
    let mut troubles = Troubles::default();
    let (mut number, mut cases) = (0_usize, 0);
    for name in FILES {
        let text = fs::read_to_string(folder.path().join(name)).expect("text");
        let path = folder.path().join("odd.toml");
        let maker = BoatMaker::default();
        let doubts = |asked: &Path| -> Result<Vec<String>, String> {
            let file = BoatFile::read(asked).map_err(|error| error.to_string())?;
            let boat = maker
                .make(&path, &file)
                .map_err(|error| error.to_string())?;
            let result = float(&boat).map_err(|error| error.to_string())?;
            let table = result.sheet(UnitSystem::Both).to_string();
            if has_no_number(&format!("{result:?}"), &table) {
                return Err("PRINTS no number".to_owned());
            }
            Ok(boat
                .doubts
                .iter()
                .map(|doubt| plain(&doubt.to_string()))
                .collect())
        };
        fs::write(&path, &text).expect("room");
        let conditions = BoatFile::read(&path).expect("sound").conditions;
        // A condition's figures count when it is asked for.
        let asked_for = |key: &str| {
            let within = conditions.iter().find(|condition| {
                let own = format!("condition.{condition}.");
                key.starts_with(&own) && key != own + "name"
            });
            within.map_or_else(
                || path.clone(),
                |condition| PathBuf::from(format!("{}#{condition}", path.display())),
            )
        };
        let mut sound: BTreeMap<PathBuf, Vec<String>> = BTreeMap::new();
        for (key, _) in values_of(&text) {
            let asked = asked_for(&key);
            sound
                .entry(asked)
                .or_insert_with_key(|asked| doubts(asked).expect("sound"));
        }
        for (key, span) in values_of(&text) {
            let asked = asked_for(&key);
            for value in &odd {
                number += 1;
                if !number.is_multiple_of(every()) {
                    continue;
                }
                cases += 1;
                let case = format!(
                    "{name} | {key} | {}",
                    value.chars().take(60).collect::<String>()
                );
                let mut changed = text.clone();
                changed.replace_range(span.clone(), value);
                fs::write(&path, changed).expect("room");
                let started = Instant::now();
                let found = catch_unwind(AssertUnwindSafe(|| doubts(&asked)));
                if started.elapsed() > TIME_LIMIT {
                    troubles.note("too slow", format!("{case}: {:?}", started.elapsed()));
                }
                match found {
                    Err(_) => troubles.note("panic", case),
                    Ok(Err(why)) if why.contains("PRINTS") => troubles.note("no number", case),
                    Ok(Err(_)) => {}
                    Ok(Ok(now)) if now.iter().any(|text| !sound[&asked].contains(text)) => {}
                    Ok(Ok(_)) if is_accepted(&key, value) => {}
                    Ok(Ok(_)) => troubles.note("accepted without a doubt", case),
                }
            }
        }
    }
    troubles.tell(cases);
}

/// What a command is given besides the option.
fn line_of(command: &str, option: &str) -> Vec<&'static str> {
    let is_plane = ["station", "buttock", "waterline"].contains(&option);
    let mut line = match command {
        "slice" => vec!["boat.toml"],
        "inspect" => vec!["box.stl"],
        "init" => vec!["box.stl", "--force"],
        "mend" => vec!["open.stl", "--output", "mended.stl", "--force"],
        "place" => vec!["boat.toml", "bag"],
        "sill" => vec!["boat.toml", "port"],
        "list" => vec!["boat.toml", "weights"],
        "template" => vec!["boat.toml", "--output", "t.svg", "--force"],
        "compare" => vec!["boat.toml", "boat.toml"],
        _ => vec!["boat.toml"],
    };
    match (command, option) {
        ("slice" | "template", _) if !is_plane => line.extend(["--waterline", "0.1"]),
        ("mend", "rim-heights") => line.push("--upright"),
        _ => {}
    }
    match option {
        "skin" => line.push("--panel"),
        "thickness" | "allow" => line.extend(["--panel", "--skin", "4 mm"]),
        _ => {}
    }
    line
}

fn asked(command: &str, words: &[&str]) -> Option<Answer> {
    let line = ["awash", command].into_iter().chain(words.iter().copied());
    answer(Arguments::try_parse_from(line).ok()?)
}

/// What an answer doubts and warns of, and what it says that a step of mending did.
fn doubts_of(answer: &Answer) -> Vec<String> {
    let all: serde_json::Value = serde_json::from_str(&answer.json).expect("JSON");
    let lists = ["mesh_doubts", "cautions", "steps"];
    let texts = lists.iter().filter_map(|key| all[key].as_array()).flatten();
    texts.map(|text| plain(&text.to_string())).collect()
}

#[test]
#[ignore = "takes up to an hour"]
fn every_option() {
    let folder = tempfile::tempdir().expect("a folder");
    std::env::set_current_dir(folder.path()).expect("it is there");
    let solid = solids::cuboid(Vec3::new(0.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
    write_stl(
        std::fs::File::create(PathBuf::from("box.stl")).expect("a file"),
        &solid,
    )
    .expect("room");
    let mut open = solid;
    let is_low = |v: u32| open.vertices[v as usize].z < 0.25;
    open.faces.retain(|face| face.iter().any(|v| is_low(*v)));
    write_stl(
        std::fs::File::create(PathBuf::from("open.stl")).expect("a file"),
        &open,
    )
    .expect("room");
    fs::write(
        "boat.toml",
        "[hull]\nmesh = \"box.stl\"\nunits = \"m\"\nmass = \"200 kg ± 5 kg\"\ncentre = [1, 0, 0.1]\n[[opening]]\nname = \"port\"\nbox = { min = [0.9, 0.4, 0.3], max = [1.1, 0.6, 0.4] }\n[[item]]\nname = \"bag\"\nmass = 5\nat = [1, 0, 0.2]\nvolume = \"6 L\"\n",
    )
    .expect("room");
    let mut troubles = Troubles::default();
    let (mut number, mut cases) = (0_usize, 0);
    for command in Arguments::command().get_subcommands() {
        let command_name = command.get_name();
        if command_name == "view" {
            continue; // opens a window
        }
        for option in command.get_arguments() {
            let names = option.get_value_names().unwrap_or_default();
            let is_path = names
                .iter()
                .any(|name| ["FILE", "FOLDER"].contains(&name.as_str()));
            let Some(long) = option.get_long().filter(|_| !is_path && !names.is_empty()) else {
                continue;
            };
            let line = line_of(command_name, long);
            let key = format!("{command_name} --{long}");
            let sound = asked(command_name, &line);
            let sound = sound.as_ref().map(doubts_of).unwrap_or_default();
            let mut is_reached = false;
            for value in odd_values() {
                number += 1;
                if !number.is_multiple_of(every()) {
                    continue;
                }
                cases += 1;
                let value = value.trim_matches('"').to_owned();
                let given = format!("--{long}={value}");
                let case = format!(
                    "{command_name} {}",
                    given.chars().take(60).collect::<String>()
                );
                let mut all = line.clone();
                all.push(&given);
                let started = Instant::now();
                let found = catch_unwind(AssertUnwindSafe(|| {
                    let answer = asked(command_name, &all)?;
                    Some((doubts_of(&answer), answer))
                }));
                if started.elapsed() > TIME_LIMIT {
                    troubles.note("too slow", format!("{case}: {:?}", started.elapsed()));
                }
                is_reached |= matches!(found, Ok(Some(_)));
                match found {
                    Err(_) => troubles.note("panic", case),
                    Ok(None) => {}
                    Ok(Some((_, answer))) if has_no_number(&answer.result, &answer.table) => {
                        troubles.note("no number", case);
                    }
                    Ok(Some((now, _))) if now.iter().any(|text| !sound.contains(text)) => {}
                    Ok(Some(_)) if is_accepted(&key, &value) => {}
                    Ok(Some(_)) => troubles.note("accepted without a doubt", case),
                }
            }
            let is_choice = !option.get_possible_values().is_empty();
            if !is_reached && !is_choice && every() == 1 {
                troubles.note("refused with every value: is the line right?", key);
            }
        }
    }
    troubles.tell(cases);
}
