//! Broken meshes: each is refused with a reason, or its numbers come with the
//! doubt that belongs to it. None panics or hangs.
use super::mesh_case::{Case, check_all, mesh};
use super::stl::{
    Facet, binary, binary_claiming, box_facets, facets_of, mapped, text, text_facet, turned,
};
use awash::mesh::solids;
use awash::numerics::Vec3;

fn without(mut facets: Vec<Facet>, gone: usize) -> Vec<Facet> {
    facets.remove(gone);
    facets
}

fn joined(parts: &[&[Facet]]) -> Vec<Facet> {
    parts.concat()
}

fn moved(facets: &[Facet], by: [f32; 3]) -> Vec<Facet> {
    mapped(facets, |[x, y, z]| [x + by[0], y + by[1], z + by[2]])
}

fn scaled(facets: &[Facet], by: f32) -> Vec<Facet> {
    mapped(facets, |corner| corner.map(|value| value * by))
}

/// Bytes without a pattern, the same every time (a linear congruential
/// generator's high byte).
fn noise(count: usize) -> Vec<u8> {
    let mut state = 12_345_u32;
    (0..count)
        .map(|_| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            state.to_be_bytes()[0]
        })
        .collect()
}

fn with_head(head: &[u8], body: Vec<u8>) -> Vec<u8> {
    [head.to_vec(), body].concat()
}

#[test]
fn a_good_box_in_every_spelling_has_its_volume_and_no_doubt() {
    let facets = box_facets();
    let good = text(&facets);
    let (lower, upper) = facets.split_at(5);
    check_all([
        mesh("binary", binary(&facets)).right(0.5),
        mesh("text", good.clone()).right(0.5),
        mesh("upper_case", good.to_uppercase()).right(0.5),
        mesh("cr_only", good.replace('\n', "\r")).right(0.5),
        mesh("crlf", good.replace('\n', "\r\n")).right(0.5),
        mesh("one_line", good.replace('\n', " ")).right(0.5),
        mesh("byte_order_mark", format!("\u{feff}\n\n{good}")).right(0.5),
        mesh("no_name", good.replace("solid hull", "solid")).right(0.5),
        mesh("two_solids", format!("{}{}", text(lower), text(upper))).right(0.5),
        mesh("binary_that_begins_with_solid", {
            let mut bytes = binary(&facets);
            bytes[..12].copy_from_slice(b"solid facet ");
            bytes
        })
        .right(0.5),
    ]);
}

#[test]
fn binary_files_with_a_wrong_count_or_length() {
    let facets = box_facets();
    let good = binary(&facets);
    let cut = |length: usize| good[..length].to_vec();
    check_all([
        mesh("count_too_low", binary_claiming(&facets, 11)).displaces_but_doubted(
            0.5,
            &[(
                "wrong_count",
                "the header says 11 facets, the file holds 12",
            )],
        ),
        mesh("count_too_high", binary_claiming(&facets, 20)).displaces_but_doubted(
            0.5,
            &[(
                "wrong_count",
                "the header says 20 facets, the file holds 12: it may be cut short",
            )],
        ),
        mesh("count_zero", binary_claiming(&facets, 0)).displaces_but_doubted(
            0.5,
            &[("wrong_count", "the header says 0 facets, the file holds 12")],
        ),
        mesh("count_four_billion", binary_claiming(&facets, u32::MAX)).displaces_but_doubted(
            0.5,
            &[(
                "wrong_count",
                "the header says 4294967295 facets, the file holds 12",
            )],
        ),
        // Facet 12 is half of one side: the rest of the box keeps its corners.
        mesh("cut_inside_the_last_facet", cut(good.len() - 7)).displaces_but_doubted(
            0.5,
            &[
                (
                    "wrong_count",
                    "the header says 12 facets, the file holds 11",
                ),
                (
                    "truncated",
                    "the file ends inside facet 12: its last 43 bytes are not used",
                ),
                ("capped", "1 opening was closed by a cap"),
            ],
        ),
        mesh("cut_after_half", cut(84 + 50 * 6)).doubted(&[
            ("wrong_count", "the header says 12 facets, the file holds 6"),
            ("capped", "1 opening was closed by a cap"),
        ]),
        mesh(
            "bytes_after_the_last_facet",
            [good.clone(), vec![7; 33]].concat(),
        )
        .displaces_but_doubted(
            0.5,
            &[("stray", "33 bytes after facet 12 are not part of the mesh")],
        ),
        mesh("header_only", binary(&[])).refused(&["no usable facet (0 dropped)"]),
        mesh("header_claiming_twelve", binary_claiming(&[], 12))
            .refused(&["not an STL mesh (84 bytes)", "too short for one facet"]),
        mesh("zero_bytes", []).refused(&["not an STL mesh (0 bytes)", "the file is empty"]),
        mesh("ten_bytes", [0; 10]).refused(&["(10 bytes)", "too short for one facet"]),
        mesh("all_bytes_zero", [0; 84 + 50 * 8])
            .refused(&["the mesh encloses no volume that can be counted"]),
    ]);
}

#[test]
fn coordinates_that_are_no_number() {
    let facets = box_facets();
    let spoilt = |value: f32| {
        let mut facets = facets.clone();
        facets[3][1][2] = value;
        facets
    };
    let all = |value: f32| binary(&mapped(&facets, |_| [value; 3]));
    let left_out = &[
        (
            "dropped_facets",
            "1 facets have a corner that is no finite number and are left out: facet 4",
        ),
        ("capped", "1 opening was closed by a cap"),
    ];
    check_all([
        mesh("nan", binary(&spoilt(f32::NAN))).displaces_but_doubted(0.5, left_out),
        mesh("inf", binary(&spoilt(f32::INFINITY))).displaces_but_doubted(0.5, left_out),
        mesh("nan_in_text", text(&spoilt(f32::NAN))).displaces_but_doubted(0.5, left_out),
        mesh("minus_inf_in_text", text(&spoilt(f32::NEG_INFINITY)))
            .displaces_but_doubted(0.5, left_out),
        mesh(
            "number_past_double",
            text(&spoilt(7.0)).replace("7.0", "1e999"),
        )
        .displaces_but_doubted(0.5, left_out),
        mesh("visual_c_nan", text(&spoilt(7.0)).replace("7.0", "-1.#IND"))
            .displaces_but_doubted(0.5, left_out),
        mesh("all_nan", all(f32::NAN)).refused(&["no usable facet (12 dropped)"]),
        mesh("all_inf", all(f32::INFINITY)).refused(&["no usable facet (12 dropped)"]),
        mesh("comma_decimals", text(&facets).replace('.', ",")).refused(&[
            "line 4, facet 1",
            "write decimals with a point, not a comma",
        ]),
        mesh(
            "word_for_a_number",
            text(&spoilt(7.0)).replace("7.0", "seven"),
        )
        .refused(&["facet 4: `seven` is no coordinate"]),
    ]);
}

#[test]
fn text_files_that_are_cut_or_malformed() {
    let facets = box_facets();
    let good = text(&facets);
    let before = |word: &str| {
        let at = good.rfind(word).expect("the word is there");
        good[..at].to_owned()
    };
    let instead_of_first = |corners: &[[f32; 3]]| {
        let body: String = facets[1..].iter().map(|f| text_facet(f)).collect();
        format!("solid hull\n{}{body}endsolid hull\n", text_facet(corners))
    };
    let [a, b, c] = facets[0];
    check_all([
        mesh("no_endsolid", before("endsolid")).displaces_but_doubted(
            0.5,
            &[("truncated", "the file ends after facet 12 without `endsolid`")],
        ),
        mesh("cut_inside_a_facet", before("  vertex")).displaces_but_doubted(
            0.5,
            &[
                ("truncated", "the file ends inside facet 12 (line 83): that facet is left out"),
                ("capped", "1 opening was closed by a cap"),
            ],
        ),
        mesh("two_vertices", instead_of_first(&[a, b])).displaces_but_doubted(
            0.5,
            &[
                ("dropped_facets", "1 facets do not have three corners and are left out: facet 1, the first on line 2"),
                ("capped", "1 opening was closed by a cap"),
            ],
        ),
        mesh("four_vertices", instead_of_first(&[a, b, c, c])).displaces_but_doubted(
            0.5,
            &[("dropped_facets", "1 facets do not have three corners and are left out: facet 1")],
        ),
        mesh("stray_words", good.replacen("endfacet", "endfacet\ncolour 1 0 0", 1))
            .displaces_but_doubted(0.5, &[("stray", "line 9")]),
        mesh("only_solid_words", "solid hull\nendsolid hull\n")
            .refused(&["no usable facet"]),
        mesh("vertices_without_facets", "solid\nfacet\nendfacet\nvertex 0 0 0\nendsolid\n")
            .refused(&["no usable facet (1 dropped)"]),
        mesh("text_in_16_bit", {
            let mut bytes = vec![0xFF, 0xFE];
            bytes.extend(good.encode_utf16().flat_map(u16::to_le_bytes));
            bytes
        })
        .refused(&["its text is saved as UTF-16", "export the hull again as STL"]),
    ]);
}

#[test]
fn other_files_renamed_to_stl() {
    let obj: String = (0..400)
        .map(|n| format!("v {n}.0 {n}.5 0.25\nvn 0 0 1\n"))
        .collect();
    let html = format!(
        "<!DOCTYPE html><html><head><title>404 Not Found</title></head><body>{}</body></html>",
        "<p>The model you asked for is gone.</p>".repeat(40)
    );
    check_all([
        mesh(
            "photo",
            with_head(b"\xFF\xD8\xFF\xE0\0\x10JFIF\0", noise(60_000)),
        )
        .refused(&[
            "not an STL mesh",
            "its bytes are no binary facets; export the hull again as STL",
        ]),
        mesh(
            "picture",
            with_head(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", noise(60_000)),
        )
        .refused(&["not an STL mesh", "its bytes are no binary facets"]),
        mesh("obj", obj).refused(&["no usable facet"]),
        mesh("zip", with_head(b"PK\x03\x04\x14\0\0\0", noise(60_000)))
            .refused(&["it looks like a zip archive or a 3MF file"]),
        mesh("html", html).refused(&["not an STL mesh", "its bytes are no binary facets"]),
        mesh("gzip", with_head(&[0x1F, 0x8B, 8, 0], noise(60_000)))
            .refused(&["it is compressed (gzip): unpack it first"]),
        mesh("pdf", with_head(b"%PDF-1.7\n", noise(60_000)))
            .refused(&["not an STL mesh", "its bytes are no binary facets"]),
        mesh("glb", with_head(b"glTF\x02\0\0\0", noise(60_000)))
            .refused(&["not a usable GLB file"]),
        mesh(
            "ply",
            with_head(b"ply\nformat binary_little_endian 1.0\n", noise(60_000)),
        )
        .refused(&["not a usable PLY file"]),
        mesh(
            "step",
            format!("ISO-10303-21;\nHEADER;\n{}", "#1=POINT();\n".repeat(500)),
        )
        .refused(&[
            "it is a STEP file",
            "export the hull again as STL, OBJ, PLY or GLB",
        ]),
        mesh("noise", noise(84 + 50 * 2000)).refused(&["its bytes are no binary facets"]),
        mesh(
            "boat_file",
            "name = \"boat\"\n[hull]\nmesh = \"hull.stl\"\n".repeat(20),
        )
        .refused(&["this is a boat file, and a mesh is wanted here"]),
    ]);
}

#[test]
fn shapes_that_enclose_nothing() {
    let facets = box_facets();
    let flat: Vec<Facet> = mapped(&facets, |[x, y, _]| [x, y, 0.125]);
    let sheet = facets_of(&solids::cuboid_subdivided(
        Vec3::zeros(),
        Vec3::new(2.0, 1.0, 1.0),
        [8, 4, 1],
    ));
    let sheet: Vec<Facet> = sheet
        .into_iter()
        .filter(|facet| facet.iter().all(|corner| corner[2] == 0.0))
        .collect();
    let points = mapped(&facets, |_| [1.0, 0.5, 0.125]);
    let lines: Vec<Facet> = mapped(&facets, |[x, _, _]| [x, 0.0, 0.125]);
    let single = vec![[[0.0, 0.0, 0.0], [2.0, 0.0, 0.0], [0.0, 1.0, 0.0]]];
    check_all([
        mesh("single_triangle", binary(&single))
            .refused(&["the mesh encloses no volume that can be counted"]),
        mesh("flat_box", binary(&flat))
            .refused(&["the mesh encloses no volume that can be counted"]),
        mesh("flat_sheet", binary(&sheet))
            .refused(&["the mesh encloses no volume that can be counted"]),
        mesh("all_points", binary(&points))
            .refused(&["the mesh encloses no volume that can be counted"]),
        mesh("all_lines", binary(&lines))
            .refused(&["the mesh encloses no volume that can be counted"]),
    ]);
}

#[test]
fn sizes_that_no_boat_has() {
    let facets = box_facets();
    check_all([
        mesh("denormals", binary(&scaled(&facets, 1e-40))).doubted(&[(
            "unit",
            "the hull is 2.0e-40 m long, which no small craft is",
        )]),
        mesh("huge", binary(&scaled(&facets, 1e30)))
            .doubted(&[("unit", "the hull is 2.0e30 m long, which no small craft is")]),
        mesh("near_the_largest_number", binary(&scaled(&facets, 1.5e38)))
            .doubted(&[("unit", "the hull is 3.0e38 m long")]),
        mesh("text_past_single", text(&facets).replace("0.5", "1e300"))
            .refused(&["in a box 2.000e300 m long"]),
        mesh(
            "millimetres_said_to_be_metres",
            binary(&scaled(&facets, 1000.0)),
        )
        .doubted(&[(
            "unit",
            "the hull is 2000.000 m long, which no small craft is: check the unit",
        )]),
        // 100 km away a step is 7.8 mm: corners move by up to half of that.
        mesh(
            "mapping_coordinates",
            binary(&moved(&facets, [1e5, 1e5, 0.0])),
        )
        .doubted(&[(
            "place",
            "rounded by up to 0.30 % of its length: move it to the origin",
        )]),
        mesh(
            "so_far_away_that_it_is_flat",
            binary(&moved(&facets, [1e9, 1e9, 0.0])),
        )
        .refused(&["the mesh encloses no volume that can be counted"]),
        mesh("one_corner_far_away", {
            let mut facets = facets.clone();
            facets[3][1] = [1e9, 0.0, 0.0];
            binary(&facets)
        })
        .refused(&["the mesh encloses no volume that can be counted"]),
        mesh("no_unit", binary(&scaled(&facets, 1000.0)))
            .without_units()
            .displaces_but_doubted(
                0.5,
                &[(
                    "unit",
                    "taken as millimetres (likely), which makes it 2.00 m long",
                )],
            ),
        mesh("no_unit_and_no_size_fits", binary(&scaled(&facets, 0.001)))
            .without_units()
            .cut_at(0.00025)
            .doubted(&[(
                "unit",
                "taken as metres (a guess), which makes it 0.00 m long",
            )]),
    ]);
}

#[test]
fn shells_that_face_the_wrong_way_or_pass_through_each_other() {
    let facets = box_facets();
    let mut one_turned = facets.clone();
    one_turned[3] = turned(&facets[3..4])[0];
    let small = |lo: f64, hi: f64| {
        facets_of(&solids::cuboid(
            Vec3::new(0.5 + lo, -0.25, 0.125 + lo),
            Vec3::new(1.0 + hi, 0.25, 0.25 + hi),
        ))
    };
    let inner = small(0.0, 0.0);
    let beside = moved(&facets, [1.0, 0.25, 0.0]);
    // A bow tie: the two halves of the outline run opposite ways round.
    let bow_tie = facets_of(&solids::prism_along_x(
        &[[-0.5, 0.0], [0.25, 0.5], [0.25, 0.125], [-0.5, 0.25]],
        0.0,
        2.0,
    ));
    check_all([
        mesh("inside_out", binary(&turned(&facets))).displaces_but_doubted(
            0.5,
            &[("turned", "the part of 1000.000 L at (1.000, 0.000, 0.250) m had its faces pointing inward; they were turned round, its shape is unchanged")],
        ),
        mesh("one_facet_turned", binary(&one_turned))
            .displaces_but_doubted(0.5, &[("turned", "1 facets disagreed with their neighbours")]),
        mesh("two_boxes_overlap", binary(&joined(&[&facets, &beside]))).doubted(&[(
            "overlap",
            "is counted more than once, so volumes are too high by that much",
        )]),
        mesh("the_same_box_twice", binary(&joined(&[&facets, &facets])))
            .displaces_but_doubted(0.5, &[("removed_faces", "12 facets are there twice")]),
        mesh("a_box_in_a_box", binary(&joined(&[&facets, &inner]))).doubted(&[(
            "nested",
            "it faces outward too, so its volume is counted twice",
        )]),
        // 0.5 − 0.5 × 0.5 × 0.125 m³.
        mesh("a_hollow_in_a_box", binary(&joined(&[&facets, &turned(&inner)])))
            .displaces_but_doubted(0.468_75, &[("nested", "it is taken as a hollow")]),
        mesh("bow_tie", binary(&bow_tie)).doubted(&[("overlap", "enclosed inside out")]),
    ]);
}

#[test]
fn holes_and_edges_with_too_many_faces() {
    let facets = box_facets();
    let bottom = facets
        .iter()
        .position(|facet| facet.iter().all(|corner| corner[2] == 0.0))
        .expect("a box has a bottom");
    let fin = [[[0.0, -0.5, 0.0], [2.0, -0.5, 0.0], [1.0, -0.5, -0.5]]];
    let fan: Vec<Facet> = [[0.5, 0.0], [-0.5, 0.25], [0.25, 0.5], [-0.25, -0.5]]
        .iter()
        .map(|&[y, z]| [[0.0, 0.0, 0.0], [2.0, 0.0, 0.0], [1.0, y, z]])
        .collect();
    // Two boxes that share one edge.
    let edge_to_edge = joined(&[&facets, &moved(&facets, [0.0, 1.0, 0.5])]);
    // A strip of paper with half a turn, its ends joined: it has one side.
    let moebius: Vec<Facet> = {
        let at = |step: usize, side: f64| {
            let turn =
                std::f64::consts::TAU * f64::from(u32::try_from(step % 24).unwrap_or(0)) / 24.0;
            let side = if step >= 24 { -side } else { side };
            let reach = 1.0 + side * (turn / 2.0).cos();
            single([
                reach * turn.cos(),
                reach * turn.sin(),
                side * (turn / 2.0).sin(),
            ])
        };
        (0..24)
            .flat_map(|i| {
                let [a, b] = [at(i, -0.25), at(i, 0.25)];
                let [c, d] = [at(i + 1, 0.25), at(i + 1, -0.25)];
                [[a, b, c], [a, c, d]]
            })
            .collect()
    };
    check_all([
        mesh(
            "hole_below_the_water",
            binary(&without(facets.clone(), bottom)),
        )
        .displaces_but_doubted(0.5, &[("capped", "1 opening was closed by a cap")]),
        mesh("fin_on_an_edge", binary(&joined(&[&facets, &fin])))
            .doubted(&[("branching", "1 edges have three or more faces")]),
        mesh("fan_of_four", binary(&fan))
            .refused(&["the mesh encloses no volume that can be counted"]),
        mesh("boxes_edge_to_edge", binary(&edge_to_edge))
            .displaces_but_doubted(0.5, &[("branching", "1 edges have three or more faces")]),
        mesh("moebius_strip", binary(&moebius)).doubted(&[(
            "not_closed",
            "the surface could not be closed, so no volume of it can be trusted",
        )]),
        mesh("gap_of_a_micrometre", {
            let (lower, upper) = facets.split_at(6);
            binary(&joined(&[lower, &moved(upper, [0.0, 1e-6, 0.0])]))
        })
        .doubted(&[(
            "loose_weld",
            "8 vertices on open edges lay within 2.3e-6 m of another one",
        )]),
    ]);
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "STL holds single precision"
)]
fn single(point: [f64; 3]) -> [f32; 3] {
    point.map(|value| value as f32)
}

/// Meshes on which a careless search for mates, loops or cuts takes hours.
mod laborious {
    use super::*;

    /// Fractions of a turn, a square's corners, and the like, as numbers.
    fn real(index: usize) -> f32 {
        f32::from(u16::try_from(index).expect("few"))
    }

    fn case(name: &'static str, facets: &[Facet]) -> Case {
        mesh(name, binary(facets))
    }

    #[test]
    fn many_faces_round_one_edge() {
        let fan: Vec<Facet> = (0..300)
            .map(|n| {
                let turn = std::f32::consts::TAU * real(n) / 300.0;
                [
                    [0.0, 0.0, 0.0],
                    [2.0, 0.0, 0.0],
                    [1.0, turn.cos(), turn.sin()],
                ]
            })
            .collect();
        check_all(
            [case("fan", &fan).refused(&["the mesh encloses no volume that can be counted"])],
        );
    }

    #[test]
    fn the_same_face_thirty_thousand_times() {
        let mut facets = box_facets();
        facets.extend(vec![facets[0]; 30_000]);
        check_all([case("repeated", &facets)
            .displaces_but_doubted(0.5, &[("removed_faces", "30000 facets are there twice")])]);
    }

    #[test]
    fn a_rim_of_thirty_thousand_teeth() {
        let corner = |n: usize| {
            let turn = std::f32::consts::TAU * real(n % 30_000) / 30_000.0;
            let reach = if n.is_multiple_of(2) { 1.0 } else { 0.5 };
            [reach * turn.cos(), reach * turn.sin(), 0.5]
        };
        let bowl: Vec<Facet> = (0..30_000)
            .map(|n| [[0.0, 0.0, 0.0], corner(n), corner(n + 1)])
            .collect();
        check_all([case("teeth", &bowl).doubted(&[("capped", "1 opening was closed by a cap")])]);
    }

    #[test]
    fn thousands_of_loose_scraps() {
        let bytes = noise(2_000 * 9);
        let scraps: Vec<Facet> = bytes
            .chunks_exact(9)
            .map(|b| [0, 3, 6].map(|k| [b[k], b[k + 1], b[k + 2]].map(|v| f32::from(v) / 128.0)))
            .collect();
        check_all([
            case("soup", &scraps).refused(&["the mesh encloses no volume that can be counted"])
        ]);
    }

    #[test]
    fn a_hundred_boxes_through_each_other() {
        let base = box_facets();
        let boxes: Vec<Facet> = (0..100)
            .flat_map(|n| moved(&base, [real(n) / 4096.0, 0.0, real(n) / 8192.0]))
            .collect();
        check_all([case("stack", &boxes).doubted(&[("overlap", "counted more than once")])]);
    }
}
