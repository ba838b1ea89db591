//! `awash template`: the numbers in its files. `tests/templates/check.py` opens
//! them with independent readers.
use std::fs;

use awash::mesh::{solids, write_stl};
use awash::numerics::Vec3;

use super::run::{Folder, assert_near, awash, awash_in};

/// A box 4 × 1 × 0.5 m without a mass.
fn box_folder() -> Folder {
    let folder = Folder::new();
    let solid = solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
    write_stl(
        std::fs::File::create(folder.path().join("box.stl")).expect("a file"),
        &solid,
    )
    .expect("written");
    folder.write(
        "box.toml",
        "name = \"box\"\n[hull]\nmesh = \"box.stl\"\nunits = \"m\"\n",
    );
    folder
}

fn made(folder: &Folder, file: &str, more: &[&str]) -> Vec<u8> {
    let arguments = [&["template", "box.toml", "-o", file], more].concat();
    let answer = awash_in(folder.path(), arguments);
    assert_eq!(answer.code, 0, "{answer:?}");
    fs::read(folder.path().join(file)).expect("it was written")
}

/// Corners of the polygons of a class, mm.
fn polygons(svg: &str, class: &str) -> Vec<Vec<[f64; 2]>> {
    svg.lines()
        .filter(|line| line.contains(&format!("class=\"{class}\"")))
        .map(|line| {
            let list = line
                .split("points=\"")
                .nth(1)
                .expect("the drawing has it")
                .split('"')
                .next()
                .expect("the drawing has it");
            list.split(' ')
                .map(|pair| {
                    let (x, y) = pair.split_once(',').expect("the drawing has it");
                    [
                        x.parse().expect("the drawing has it"),
                        y.parse().expect("a number"),
                    ]
                })
                .collect()
        })
        .collect()
}

fn size(points: &[[f64; 2]]) -> [f64; 2] {
    [0, 1].map(|k| {
        let places = || points.iter().map(|p| p[k]);
        places().fold(f64::MIN, f64::max) - places().fold(f64::MAX, f64::min)
    })
}

#[test]
fn an_svg_is_in_millimetres() {
    let folder = box_folder();
    let svg = String::from_utf8(made(&folder, "a.svg", &["--station", "0.3"]))
        .expect("the drawing has it");
    let cut = &polygons(&svg, "CUT")[0];
    let [breadth, height] = size(cut);
    assert_near(breadth, 1000.0, 1e-3);
    assert_near(height, 500.0, 1e-3);
    let [check, other] = size(&polygons(&svg, "CHECK_SQUARE")[0]);
    assert_near(check, 100.0, 1e-3);
    assert_near(other, 100.0, 1e-3);
    // The page says the same in mm as in its own units.
    let head = svg.lines().next().expect("the drawing has it");
    let width = head
        .split("width=\"")
        .nth(1)
        .expect("the drawing has it")
        .split("mm")
        .next()
        .expect("the drawing has it");
    assert!(head.contains(&format!("viewBox=\"0 0 {width} ")), "{head}");
    for words in ["centre line", "base line", "seen from astern, deck up"] {
        assert!(svg.contains(words), "{words}");
    }
    // Printed distance and half-breadth of the ordinate at 50 mm.
    assert!(svg.contains(">50</text>") && svg.contains(">500</text>"));
}

#[test]
fn a_dxf_has_closed_outlines_in_millimetres_and_layers() {
    let folder = box_folder();
    let panel = [
        "--station",
        "0.3",
        "--panel",
        "--skin",
        "10 mm",
        "--allow",
        "0",
    ];
    let dxf = String::from_utf8(made(&folder, "a.dxf", &panel)).expect("the drawing has it");
    let pairs: Vec<(&str, &str)> = dxf
        .lines()
        .collect::<Vec<_>>()
        .chunks_exact(2)
        .map(|pair| (pair[0].trim(), pair[1]))
        .collect();
    assert_eq!(pairs.last(), Some(&("0", "EOF")));
    for (layer, breadth, height) in [
        ("CUT", 980.0, 480.0),
        ("OTHER_FACE", 980.0, 480.0),
        ("CHECK_SQUARE", 100.0, 100.0),
    ] {
        let mut points = Vec::new();
        for (number, pair) in pairs.iter().enumerate() {
            if *pair == ("0", "VERTEX") && pairs[number + 1] == ("8", layer) {
                let value = |k: usize| {
                    pairs[number + k]
                        .1
                        .parse::<f64>()
                        .expect("the drawing has it")
                };
                points.push([value(2), value(3)]);
            }
        }
        let [x, y] = size(&points);
        assert_near(x, breadth, 2e-3);
        assert_near(y, height, 2e-3);
    }
}

/// Numbers of the content streams, which are not compressed: a side of 100 mm
/// is 100 · 72/25.4 points.
#[test]
fn every_sheet_of_a_pdf_has_a_check_square() {
    let folder = box_folder();
    for (paper, media) in [("a4", "595.2756 841.8898"), ("letter", "612 792")] {
        let name = format!("{paper}.pdf");
        let bytes = made(&folder, &name, &["--station", "0.3", "--paper", paper]);
        let text = String::from_utf8_lossy(&bytes);
        let sheets = text.matches("/Type /Page\n").count();
        // 1.05 m by 0.58 m with words: six by two sheets or so.
        assert!(sheets > 5, "{sheets}");
        let side = 100.0 * 72.0 / 25.4;
        let mut corners: Vec<[f64; 2]> = Vec::new();
        let mut squares = 0;
        for line in text.lines() {
            let words: Vec<&str> = line.split(' ').collect();
            match words.as_slice() {
                [x, y, "m"] | [x, y, "l"] => {
                    if line.ends_with('m') {
                        corners.clear();
                    }
                    if let (Ok(x), Ok(y)) = (x.parse(), y.parse()) {
                        corners.push([x, y]);
                    }
                }
                ["h"] if corners.len() == 4 => {
                    let [x, y] = size(&corners);
                    squares += usize::from((x - side).abs() < 1e-3 && (y - side).abs() < 1e-3);
                }
                _ => {}
            }
        }
        assert_eq!(squares, sheets, "{paper}");
        let turned: Vec<&str> = media.split(' ').rev().collect();
        assert!(
            text.contains(media) || text.contains(&turned.join(" ")),
            "{paper}: {}",
            text.lines()
                .find(|line| line.contains("MediaBox"))
                .unwrap_or("none")
        );
    }
}

#[test]
fn what_can_not_be_cut_is_refused() {
    let folder = box_folder();
    let refused = |more: &[&str]| {
        let arguments = [&["template", "box.toml"], more].concat();
        awash_in(folder.path(), arguments).refusal().to_owned()
    };
    assert!(refused(&["--station", "7", "-o", "a.svg"]).contains("reaches from -2.000 to 2.000"));
    assert!(refused(&["--station", "1", "-o", "a.png"]).contains(".svg, .dxf or .pdf"));
    let thick = ["--station", "1", "--panel", "--skin", "0.4", "-o", "a.svg"];
    assert!(refused(&thick).contains("leave no room"));
    assert!(refused(&["-o", "a.svg"]).contains("--station"));
    // Nothing is written over.
    made(&folder, "b.svg", &["--station", "0"]);
    assert!(refused(&["--station", "0", "-o", "b.svg"]).contains("--force"));
    assert_eq!(awash(["template", "--help"]).code, 0);
}

/// A bulkhead at a sponson runs out past the hull's skin, and that is said; at a deck over the
/// open hull, and clear of the sponson, it does not. Derived in closed form: the sponson covers
/// 0.2 m of the hull's side, the deck none.
#[test]
fn a_panel_that_runs_out_into_a_sponson_says_so() {
    let folder = box_folder();
    let sponson = "[[part]]\nname = \"sponson\"\nrole = \"add\"\nbox = { min = [-1, 0.45, 0.1], max = [1, 0.7, 0.3] }\nmass = \"5 kg\"\n";
    let deck = "[[part]]\nname = \"deck\"\nrole = \"add\"\nbox = { min = [-2, -0.5, 0.48], max = [2, 0.5, 0.55] }\nmass = \"5 kg\"\n";
    let boat = fs::read_to_string(folder.path().join("box.toml")).expect("the boat");
    folder.write("box.toml", format!("{boat}{sponson}{deck}"));
    let panel = |station: &str, panel: &[&str]| {
        let line = [
            "template",
            "box.toml",
            "-o",
            "a.svg",
            "--force",
            "--station",
            station,
        ];
        awash_in(folder.path(), line.iter().chain(panel)).stdout
    };
    let told = |table: &str| {
        let flat = table.split_whitespace().collect::<Vec<_>>().join(" ");
        flat.contains("runs out into sponson, as if")
    };
    let as_panel = ["--panel", "--skin", "5 mm"];
    let at_sponson = panel("0.3", &as_panel);
    assert!(told(&at_sponson), "{at_sponson}");
    let svg = fs::read_to_string(folder.path().join("a.svg")).expect("it was written");
    assert!(svg.contains("CAREFUL: runs out into sponson"), "{svg}");
    for (station, options) in [("1.5", &as_panel[..]), ("0.3", &[])] {
        let table = panel(station, options);
        assert!(!table.contains("runs out"), "{table}");
    }
}

/// Derived in closed form: a sheet of foam right across the box is as broad as that and as
/// long as the foam; the hatch is a circle of its diameter.
#[test]
fn pieces_of_parts_and_openings_are_drawn_at_full_size() {
    let folder = box_folder();
    folder.write(
        "box.toml",
        "name = \"box\"\n[hull]\nmesh = \"box.stl\"\nunits = \"m\"\n[[part]]\nname = \"block\"\nfoam = { density = 30 }\nfilling = { aft = -0.5, forward = 0.7, below = 0.12, sheet = \"50 mm\" }\n[[opening]]\nname = \"hatch\"\ncircle = { centre = [1.0, 0.1, 0.5], diameter = 0.3 }\n",
    );
    let drawn = |file: &str, more: &[&str]| {
        let svg = String::from_utf8(made(&folder, file, more)).expect("text");
        (size(&polygons(&svg, "CUT")[0]), svg)
    };
    let ([long, broad], svg) = drawn("a.svg", &["--part", "block", "--sheet", "3"]);
    assert_near(long, 1200.0, 1e-3);
    assert_near(broad, 1000.0, 1e-3);
    for words in ["sheet 3 of 3 of", "the sheet is 20 mm thick", "port is up"] {
        assert!(svg.contains(words), "{words}: {svg}");
    }
    let ([wide, high], svg) = drawn("b.svg", &["--opening", "hatch"]);
    assert_near(wide, 300.0, 1e-3);
    assert_near(high, 300.0, 1e-3);
    assert!(svg.contains("edge of the opening"));
    for (more, says) in [
        (&["--part", "block"][..], "3 sheets"),
        (&["--part", "blok"], "no part \"blok\""),
        (&["--opening", "door"], "no opening \"door\""),
        (
            &["--station", "0", "--part", "block"],
            "cannot be used with",
        ),
        (&["--station", "0", "--sheet", "1"], "cannot be used with"),
        (&["--sheet", "1"], "--part"),
    ] {
        let arguments = [&["template", "box.toml", "-o", "c.svg"], more].concat();
        let answer = awash_in(folder.path(), arguments);
        assert_eq!(answer.code, 2, "{answer:?}");
        assert!(answer.stderr.contains(says), "{answer:?}");
    }
}
