//! One test for each thing that real STL files get wrong.
use super::*;
use crate::files::Memory;
use crate::mesh::{read_mesh, solids};
use crate::numerics::Vec3;

const TRIANGLE: [[f32; 3]; 3] = [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.5]];

fn binary(declared: u32, triangles: &[[[f32; 3]; 3]]) -> Vec<u8> {
    let mut bytes = vec![0; 80];
    bytes.extend(declared.to_le_bytes());
    for triangle in triangles {
        bytes.extend([0; 12]);
        for value in triangle.iter().flatten() {
            bytes.extend(value.to_le_bytes());
        }
        bytes.extend([0; 2]);
    }
    bytes
}

const FACET: &str = "facet normal 0 0 1\n outer loop\n vertex 0 0 0\n vertex 1 0 0\n vertex 0 1 0.5\n endloop\nendfacet\n";

fn text(body: &str) -> Vec<u8> {
    format!("solid hull\n{body}endsolid hull\n").into_bytes()
}

fn kinds(raw: &RawMesh) -> Vec<DoubtKind> {
    raw.doubts.iter().map(|d| d.kind).collect()
}

fn expected() -> [[f64; 3]; 3] {
    TRIANGLE.map(|c| c.map(f64::from))
}

#[test]
fn a_clean_binary_file_reads_without_doubt() {
    let raw = parse_stl(&binary(2, &[TRIANGLE; 2])).unwrap();
    assert_eq!(raw.triangles(), vec![expected(); 2]);
    assert!(raw.doubts.is_empty());
}

#[test]
fn a_binary_file_whose_header_says_solid_is_binary() {
    let mut bytes = binary(1, &[TRIANGLE]);
    bytes[..18].copy_from_slice(b"solid facet vertex");
    assert_eq!(parse_stl(&bytes).unwrap().triangles(), [expected()]);
}

#[test]
fn too_high_a_count_is_salvaged_with_both_numbers_told() {
    let raw = parse_stl(&binary(9, &[TRIANGLE; 3])).unwrap();
    assert_eq!(raw.triangles().len(), 3);
    assert_eq!(kinds(&raw), [DoubtKind::WrongCount]);
    assert!(
        raw.doubts[0].to_string().contains("says 9 facets"),
        "{}",
        raw.doubts[0]
    );
    assert!(
        raw.doubts[0].to_string().contains("holds 3"),
        "{}",
        raw.doubts[0]
    );
}

#[test]
fn a_huge_count_does_not_make_the_reader_allocate() {
    let raw = parse_stl(&binary(u32::MAX, &[TRIANGLE])).unwrap();
    assert_eq!(raw.triangles().len(), 1);
    assert!(raw.surface.faces.capacity() < 100);
}

#[test]
fn too_low_a_count_still_gives_all_facets() {
    for declared in [0, 1] {
        let raw = parse_stl(&binary(declared, &[TRIANGLE; 4])).unwrap();
        assert_eq!(raw.triangles().len(), 4);
        assert_eq!(kinds(&raw), [DoubtKind::WrongCount]);
    }
}

#[test]
fn trailing_bytes_are_told_and_not_read() {
    let mut bytes = binary(2, &[TRIANGLE; 2]);
    bytes.extend(b"made on a rainy day, with words enough to fill more than one facet's worth");
    let raw = parse_stl(&bytes).unwrap();
    assert_eq!(raw.triangles().len(), 2);
    assert_eq!(kinds(&raw), [DoubtKind::Stray]);
}

#[test]
fn a_binary_file_cut_inside_a_facet_says_so() {
    let mut bytes = binary(3, &[TRIANGLE; 3]);
    bytes.truncate(bytes.len() - 20);
    let raw = parse_stl(&bytes).unwrap();
    assert_eq!(raw.triangles().len(), 2);
    assert_eq!(kinds(&raw), [DoubtKind::WrongCount, DoubtKind::Truncated]);
    assert!(
        raw.doubts[1].to_string().contains("facet 3"),
        "{}",
        raw.doubts[1]
    );
}

#[test]
fn binary_corners_that_are_no_number_drop_the_facet_with_its_number() {
    let mut bad = TRIANGLE;
    bad[1][2] = f32::NAN;
    let mut endless = TRIANGLE;
    endless[0][0] = f32::INFINITY;
    let raw = parse_stl(&binary(4, &[TRIANGLE, bad, TRIANGLE, endless])).unwrap();
    assert_eq!(raw.triangles().len(), 2);
    assert_eq!(raw.facets.dropped(), [2, 4]);
    assert_eq!(
        raw.facets.of(1),
        3,
        "the second face kept is facet 3 of the file"
    );
    assert!(
        raw.doubts[0].to_string().contains("2, 4"),
        "{}",
        raw.doubts[0]
    );
}

#[test]
fn file_normals_are_ignored() {
    let mut bytes = binary(1, &[TRIANGLE]);
    bytes[84..96].copy_from_slice(&[0xFF; 12]); // a NaN normal
    assert_eq!(parse_stl(&bytes).unwrap().triangles(), [expected()]);
}

#[test]
fn an_empty_mesh_is_an_error() {
    assert!(matches!(
        parse_stl(&binary(0, &[])),
        Err(MeshError::Empty { .. })
    ));
    assert!(matches!(
        parse_stl(b"solid nothing\nendsolid nothing\n"),
        Err(MeshError::Empty { .. })
    ));
    let mut bad = TRIANGLE;
    bad[0][0] = f32::NAN;
    assert!(matches!(
        parse_stl(&binary(1, &[bad])),
        Err(MeshError::Empty { dropped: 1 })
    ));
}

#[test]
fn what_is_no_stl_is_refused_with_what_it_looks_like() {
    for (bytes, hint) in [
        (&b""[..], "empty"),
        (b"ply\nformat ascii 1.0\n", "PLY"),
        (b"glTF\x02\0\0\0", "GLB"),
        (b"v 0 0 0\nv 1 0 0\nf 1 2 3\n", "OBJ"),
        (b"PK\x03\x04", "3MF"),
    ] {
        let message = parse_stl(bytes).unwrap_err().to_string();
        assert!(message.contains(hint), "{message}");
    }
    let prose = "It was a dark and stormy night; the rain fell in torrents. ".repeat(20);
    assert!(matches!(
        parse_stl(prose.as_bytes()),
        Err(MeshError::NotStl { .. })
    ));
}

#[test]
fn several_solids_are_all_read() {
    let two = [text(FACET), text(FACET)].concat();
    let raw = parse_stl(&two).unwrap();
    assert_eq!(raw.triangles(), [expected(); 2]);
    assert!(raw.doubts.is_empty());
}

#[test]
fn a_solid_needs_no_name_and_may_be_named_after_a_facet() {
    for head in [
        "solid\n",
        "solid facet vertex\n",
        "  \n\n\tsolid x y z\n",
        "",
    ] {
        let raw = parse_stl(format!("{head}{FACET}endsolid\n").as_bytes()).unwrap();
        assert_eq!(raw.triangles(), [expected()], "{head:?}");
        assert!(raw.doubts.is_empty(), "{head:?}");
    }
}

#[test]
fn a_byte_order_mark_upper_case_and_old_line_ends_are_understood() {
    let upper = String::from_utf8(text(FACET)).unwrap().to_uppercase();
    for variant in [
        format!("\u{FEFF}{upper}"),
        upper.replace('\n', "\r"),
        upper.replace('\n', "\r\n"),
        upper.replace("HULL\n", " ").replace('\n', " "),
    ] {
        let raw = parse_stl(variant.as_bytes()).unwrap();
        assert_eq!(raw.triangles(), [expected()], "{variant:?}");
        assert!(raw.doubts.is_empty(), "{variant:?}: {:?}", raw.doubts);
    }
}

#[test]
fn a_missing_endsolid_is_a_doubt() {
    let raw = parse_stl(format!("solid hull\n{FACET}").as_bytes()).unwrap();
    assert_eq!(raw.triangles().len(), 1);
    assert_eq!(kinds(&raw), [DoubtKind::Truncated]);
}

#[test]
fn text_cut_inside_a_facet_is_a_doubt_with_the_facet() {
    let whole = format!("solid hull\n{FACET}{FACET}");
    let raw = parse_stl(&whole.as_bytes()[..whole.len() - 40]).unwrap();
    assert_eq!(raw.triangles().len(), 1);
    assert_eq!(kinds(&raw), [DoubtKind::Truncated]);
    assert!(
        raw.doubts[0].to_string().contains("facet 2"),
        "{}",
        raw.doubts[0]
    );
}

#[test]
fn a_facet_without_three_corners_is_left_out_with_its_line() {
    let two = FACET.replacen(" vertex 1 0 0\n", "", 1);
    let four = FACET.replacen(" vertex 1 0 0\n", " vertex 1 0 0\n vertex 1 1 0\n", 1);
    for wrong in [two, four] {
        let raw = parse_stl(&text(&format!("{FACET}{wrong}{FACET}"))).unwrap();
        assert_eq!(raw.triangles(), [expected(); 2]);
        assert_eq!(raw.facets.dropped(), [2]);
        assert_eq!(kinds(&raw), [DoubtKind::DroppedFacets]);
        assert!(
            raw.doubts[0].to_string().contains("line 9"),
            "{}",
            raw.doubts[0]
        );
    }
}

#[test]
fn text_corners_that_are_no_number_drop_the_facet_with_its_number() {
    for bad in ["nan", "-NaN(ind)", "inf", "-Infinity", "1.#QNAN", "1e999"] {
        let wrong = FACET.replacen("vertex 1 0 0", &format!("vertex 1 {bad} 0"), 1);
        let raw = parse_stl(&text(&format!("{FACET}{wrong}"))).unwrap();
        assert_eq!(raw.triangles().len(), 1, "{bad}");
        assert_eq!(raw.facets.dropped(), [2], "{bad}");
        assert_eq!(kinds(&raw), [DoubtKind::DroppedFacets], "{bad}");
    }
}

#[test]
fn a_decimal_comma_is_an_error_with_line_and_hint() {
    let wrong = FACET.replacen("0.5", "0,5", 1);
    let error = parse_stl(&text(&format!("{FACET}{wrong}"))).unwrap_err();
    assert!(
        matches!(
            error,
            MeshError::Text {
                line: 13,
                facet: 2,
                ..
            }
        ),
        "{error}"
    );
    assert!(error.to_string().contains("point, not a comma"));
}

#[test]
fn stray_words_are_passed_over_with_a_doubt() {
    let raw = parse_stl(&text(&format!("color 1 0 0\n{FACET}"))).unwrap();
    assert_eq!(raw.triangles().len(), 1);
    assert_eq!(kinds(&raw), [DoubtKind::Stray]);
}

#[test]
fn a_file_error_names_the_path() {
    let mut files = Memory::default();
    files.add("empty.stl", *b"");
    for (path, told) in [
        ("absent.stl", "cannot read absent.stl"),
        ("empty.stl", "the file is empty"),
    ] {
        let message = read_mesh(&files, path.as_ref()).unwrap_err().to_string();
        assert!(
            message.contains(path) && message.contains(told),
            "{message}"
        );
    }
}

#[test]
fn what_is_written_reads_back() {
    let cube = crate::mesh::solids::cuboid([0.0; 3].into(), [1.0, 0.5, 0.25].into());
    let mut bytes = Vec::new();
    write_stl(&mut bytes, &cube).unwrap();
    let back = parse_stl(&bytes).unwrap();
    let corners: Vec<[[f64; 3]; 3]> = (0..cube.faces.len())
        .map(|f| cube.corners(f).map(Into::into))
        .collect();
    assert_eq!(back.triangles(), corners);
}

#[test]
fn what_stl_can_not_hold_is_refused_before_a_byte_is_written() {
    let mut cube = crate::mesh::solids::cuboid([0.0; 3].into(), [1.0; 3].into());
    cube.vertices[3].x = 1e300;
    let mut bytes = Vec::new();
    assert!(matches!(
        write_stl(&mut bytes, &cube),
        Err(MeshError::NotWritable { vertex: 3, .. })
    ));
    assert!(bytes.is_empty());
}

/// Facets in random order come in order of place, each with its number in the file.
#[test]
fn facets_in_no_order_keep_their_numbers() {
    let ball = solids::icosphere(Vec3::zeros(), 1.0, 7);
    let mut bytes = Vec::new();
    write_stl(&mut bytes, &ball).unwrap();
    let in_file = parse_stl(&bytes).unwrap();
    assert_eq!(in_file.facets, FacetNumbers::default());
    let mut order: Vec<usize> = (0..ball.faces.len()).collect();
    fastrand::Rng::with_seed(3).shuffle(&mut order);
    let mut shuffled = bytes[..84].to_vec();
    for &facet in &order {
        shuffled.extend(&bytes[84 + 50 * facet..][..50]);
    }
    // A facet without a place.
    let gone = 1000;
    shuffled[84 + 50 * gone + 12..][..4].copy_from_slice(&f32::NAN.to_le_bytes());
    let raw = parse_stl(&shuffled).unwrap();
    assert_eq!(raw.facets.dropped(), [gone + 1]);
    assert_eq!(raw.triangles().len(), order.len() - 1);
    let mut seen = vec![false; order.len()];
    let (ordered, in_file) = (raw.triangles(), in_file.triangles());
    for (i, triangle) in ordered.iter().enumerate() {
        let number = raw.facets.of(i) - 1;
        assert!(!std::mem::replace(&mut seen[number], true));
        assert_eq!(*triangle, in_file[order[number]]);
    }
    let step = |t: &[[[f64; 3]; 3]]| -> f64 {
        let next = t.windows(2);
        next.map(|two| (Vec3::from(two[1][0]) - Vec3::from(two[0][0])).norm())
            .sum::<f64>()
            / t.len() as f64
    };
    // Of a ball of radius 1 two random places are 4/3 apart in the mean.
    assert!(step(&ordered) < 0.02, "{}", step(&ordered));
}
