//! Scans of the decked hull in each mesh type, with facets turned over, in a wrong scale,
//! and on trestles, apart from the hull and one skin with it.
use std::fmt::Write as _;

use awash::boat::read_mesh;
use awash::mesh::{
    Crop, FacetNumbers, Level, MendRecipe, Mended, Moved, Placement, Surface, mend, rough_edges_m,
    solids, write_stl,
};
use awash::numerics::Vec3;

use super::decked::{HOLES, decked, open_sides, rough, two_skins};
use super::halves::cut_half;
use super::make::{Random, on_a_floor, with_flipped};
use super::skins::{
    check, mended, mirrored_at_the_cut, outer_skin, outer_skin_on_a_floor, smooth_rims,
};

/// With a texture's corner for each corner of each face and a normal for each face, as
/// scanning programs write it.
fn obj(surface: &Surface) -> Vec<u8> {
    let mut text = "mtllib scan.mtl\nusemtl skin\n".to_owned();
    for v in &surface.vertices {
        let _ = writeln!(text, "v {} {} {} 0.5 0.4 0.3", v.x, v.y, v.z);
    }
    for (face, corners) in surface.faces.iter().enumerate() {
        let normal = surface.face_normal(face).normalize();
        let _ = writeln!(text, "vn {} {} {}", normal.x, normal.y, normal.z);
        for k in 0..3 {
            let _ = writeln!(text, "vt 0.{k} 0.{}", face % 10);
        }
        let corner = |k: usize| format!("{}/{}/{}", corners[k] + 1, 3 * face + k + 1, face + 1);
        let _ = writeln!(text, "f {} {} {}", corner(0), corner(1), corner(2));
    }
    text.into_bytes()
}

/// With colours beside the places, in single precision.
fn ply(surface: &Surface) -> Vec<u8> {
    let mut bytes = format!(
        "ply\nformat binary_little_endian 1.0\nelement vertex {}\nproperty float x\nproperty float y\nproperty float z\nproperty uchar red\nproperty uchar green\nproperty uchar blue\nelement face {}\nproperty list uchar int vertex_indices\nend_header\n",
        surface.vertices.len(),
        surface.faces.len()
    )
    .into_bytes();
    for v in &surface.vertices {
        bytes.extend(v.iter().flat_map(|c| single(*c).to_le_bytes()));
        bytes.extend([90, 120, 40]);
    }
    for face in &surface.faces {
        bytes.push(3);
        bytes.extend(face.iter().flat_map(|v| v.to_le_bytes()));
    }
    bytes
}

/// Each face with corners of its own, as a texture's seams part them; +Y up, metres.
fn glb(surface: &Surface) -> Vec<u8> {
    let mut data: Vec<u8> = Vec::new();
    for face in 0..surface.faces.len() {
        for p in surface.corners(face) {
            data.extend(
                [p.y, p.z, p.x]
                    .iter()
                    .flat_map(|c| single(*c).to_le_bytes()),
            );
        }
    }
    let mut json = format!(
        r#"{{"asset":{{"version":"2.0"}},"scene":0,"scenes":[{{"nodes":[0]}}],"nodes":[{{"mesh":0}}],"meshes":[{{"primitives":[{{"attributes":{{"POSITION":0}}}}]}}],"buffers":[{{"byteLength":{0}}}],"bufferViews":[{{"buffer":0,"byteLength":{0}}}],"accessors":[{{"bufferView":0,"componentType":5126,"count":{1},"type":"VEC3"}}]}}"#,
        data.len(),
        3 * surface.faces.len()
    );
    while !json.len().is_multiple_of(4) {
        json.push(' ');
    }
    let length = |n: usize| u32::try_from(n).expect("small").to_le_bytes();
    let mut bytes = b"glTF\x02\0\0\0".to_vec();
    bytes.extend(length(28 + json.len() + data.len()));
    bytes.extend(length(json.len()));
    bytes.extend(b"JSON");
    bytes.extend(json.bytes());
    bytes.extend(length(data.len()));
    bytes.extend(b"BIN\0");
    bytes.extend(data);
    bytes
}

#[expect(clippy::cast_possible_truncation, reason = "single precision is meant")]
fn single(value: f64) -> f32 {
    value as f32
}

#[test]
fn each_mesh_type_with_what_scanners_add_mends_to_the_same_hull() {
    let hull = decked(0.02, &HOLES);
    let mut random = Random(51);
    let made = random.motion();
    let mut scan = rough(two_skins(&hull, 0.005, 9.0), 0.0008, &mut random);
    made.apply(&mut scan);
    let folder = tempfile::tempdir().expect("a folder");
    let files = [
        ("scan.obj", obj(&scan)),
        ("scan.ply", ply(&scan)),
        ("scan.glb", glb(&scan)),
    ];
    for (name, bytes) in files {
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).expect("written");
        let read = read_mesh(&awash::files::Disk, &path, Some(1.0), false).expect("a sound mesh");
        assert_eq!(read.surface.faces.len(), scan.faces.len(), "{name}");
        let result = mended(read.surface, &outer_skin()).expect("it can be mended");
        check(name, &hull, &result, &made, 0.0008);
    }
}

#[test]
fn facets_turned_over_are_turned_back_on_a_decked_hull() {
    let hull = decked(0.02, &HOLES);
    let mut random = Random(52);
    let made = random.motion();
    for (name, scan, recipe) in [
        (
            "double, flipped",
            two_skins(&hull, 0.005, 9.0),
            outer_skin(),
        ),
        ("single, flipped", hull.outer.clone(), smooth_rims()),
    ] {
        let mut scan = rough(scan, 0.0008, &mut random);
        scan = with_flipped(scan, 0.05, &mut random);
        made.apply(&mut scan);
        let result = mended(scan, &recipe).expect("it can be mended");
        check(name, &hull, &result, &made, 0.0008);
    }
}

/// The true length is given; each step's own lengths hold at it, not at the scan's.
#[test]
fn a_scan_in_no_known_scale_is_brought_to_its_length() {
    let hull = decked(0.02, &HOLES);
    let (lo, hi) = hull.outer.bounds().expect("a hull");
    let placement = Placement {
        scale_to_length_m: Some(hi.x - lo.x),
        ..Placement::default()
    };
    let half = mirrored_at_the_cut();
    for scale in [0.137, 7.3] {
        let mut random = Random(53);
        let made = Moved {
            scale,
            ..random.motion()
        };
        for (name, scan, recipe) in [
            ("single", hull.outer.clone(), smooth_rims()),
            ("double", two_skins(&hull, 0.005, 9.0), outer_skin()),
            ("half", cut_half(&hull.outer), half.clone()),
        ] {
            let name = format!("{name}, scaled by {scale}");
            let mut scan = rough(scan, 0.0008, &mut random);
            made.apply(&mut scan);
            let facets = FacetNumbers::default();
            let result = mend(scan, &facets, &recipe, &placement, &|_| {});
            let result = result.unwrap_or_else(|error| panic!("{name}: {error}"));
            check(&name, &hull, &result, &made, 0.0008);
            if let Some(thick) = result.skin_thickness_m {
                assert!((thick - 0.005).abs() < 5e-4, "{name}: {thick}");
            }
        }
    }
}

/// Millimetres taken for metres: no rim of a boat is kilometres long, and stations a few
/// millimetres apart along one would be looked at for hours.
#[test]
fn rims_in_the_wrong_unit_are_left_as_they_are() {
    let mut random = Random(59);
    let mut scan = rough(decked(0.02, &HOLES).outer, 0.0008, &mut random);
    assert!(rough_edges_m(&scan).is_some());
    for vertex in &mut scan.vertices {
        *vertex *= 1000.0;
    }
    assert_eq!(rough_edges_m(&scan), None);
}

/// What a floor hid is filled lower than all that was seen, and what stood under a hull is
/// cut off: the heights are over what is then the lowest point.
#[test]
fn the_origin_is_at_the_lowest_point_of_what_is_written() {
    let hull = decked(0.02, &HOLES);
    let mut random = Random(56);
    let on_floor = outer_skin_on_a_floor();
    let cropped = MendRecipe {
        crop: Crop {
            least: [None, None, Some(0.05)],
            ..Crop::default()
        },
        fill_under_m: Some(9.0),
        ..smooth_rims()
    };
    let standing = on_a_floor(&two_skins(&hull, 0.005, 9.0), 0.01);
    for (name, scan, recipe) in [
        ("floor", standing, on_floor),
        ("cropped", hull.outer.clone(), cropped),
    ] {
        let mut scan = rough(scan, 0.0008, &mut random);
        random.motion().apply(&mut scan);
        let result = mended(scan, &recipe).expect("it can be mended");
        let (lo, _) = result.surface.bounds().expect("a hull");
        assert!(lo.z.abs() < 1e-9, "{name}: {} m, {:?}", lo.z, result.steps);
    }
}

/// A fold of the floor's cloth beside the hull rises over what is taken for the floor: what
/// is left of it is no piece of the boat.
#[test]
fn a_crumb_of_the_floor_is_not_kept() {
    let hull = decked(0.02, &HOLES);
    let (lo, hi) = hull.outer.bounds().expect("a hull");
    let mut random = Random(61);
    let mut scan = on_a_floor(&two_skins(&hull, 0.005, 9.0), 0.01);
    let mut raised = 0;
    for vertex in &mut scan.vertices {
        if (vertex.x - 2.0).abs() < 0.04 && (vertex.y - 0.8).abs() < 0.04 {
            vertex.z += 0.06;
            raised += 1;
        }
    }
    assert!(raised > 0);
    let mut scan = rough(scan, 0.0008, &mut random);
    random.motion().apply(&mut scan);
    let recipe = outer_skin_on_a_floor();
    let result = mended(scan, &recipe).expect("it can be mended");
    let (low, high) = result.surface.bounds().expect("a hull");
    let broader = (high.y - low.y) - (hi.y - lo.y);
    assert!(broader.abs() < 0.01, "{broader} m, {:?}", result.steps);
}

/// Mended by a recipe, then once more with the holes filled that lie in the bottom, as many
/// as are given.
pub(crate) fn filled_below(
    scan: Surface,
    recipe: MendRecipe,
    made: &Moved,
    holes: usize,
) -> Mended {
    let result = mended(scan.clone(), &recipe).expect("it can be mended");
    let whole = made.then(&result.moved);
    let below = |opening: &awash::mesh::Loop| whole.back(&opening.centre).z < 0.12;
    let fill: Vec<usize> = (1..)
        .zip(&result.openings)
        .filter(|(_, opening)| below(opening))
        .map(|(number, _)| number)
        .collect();
    assert_eq!(fill.len(), holes, "{:?}", result.openings);
    mended(scan, &MendRecipe { fill, ..recipe }).expect("it can be mended")
}

/// Two trestles, each a board under the hull: what they hide is missing, and they
/// come with the scan as pieces of their own.
#[test]
fn trestles_go_and_what_they_hid_is_filled() {
    let hull = decked(0.02, &HOLES);
    let mut random = Random(54);
    let made = random.motion();
    let boards = [0.9, 2.6];
    let mut outer = hull.outer.clone();
    let vertices = &outer.vertices;
    outer.faces.retain(|face| {
        let middle = face.iter().map(|v| vertices[*v as usize]).sum::<Vec3>() / 3.0;
        let on = |x: &f64| (middle.x - x).abs() < 0.04 && middle.z < 0.1;
        !boards.iter().any(on)
    });
    outer.drop_unused_vertices();
    let mut scan = rough(outer, 0.0008, &mut random);
    for x in boards {
        let (lo, hi) = (
            Vec3::new(x - 0.03, -0.4, -0.7),
            Vec3::new(x + 0.03, 0.4, 0.02),
        );
        scan.append(&solids::cuboid(lo, hi));
    }
    made.apply(&mut scan);
    let recipe = MendRecipe {
        largest_only: true,
        ..smooth_rims()
    };
    let result = filled_below(scan, recipe, &made, 2);
    check("trestles", &hull, &result, &made, 0.002);
}

/// A scan on two boards whose skin runs into that of the hull, as a scanner closes a corner
/// that it cannot see into.
pub(crate) fn on_boards(mut scan: Surface, boards: [f64; 2]) -> Surface {
    for x in boards {
        let vertices = &scan.vertices;
        scan.faces.retain(|face| {
            let middle = face.iter().map(|v| vertices[*v as usize]).sum::<Vec3>() / 3.0;
            (middle.x - x).abs() > 0.04 || middle.z > 0.1
        });
        scan.drop_unused_vertices();
        let edge: Vec<(u32, u32)> = open_sides(&scan)
            .into_iter()
            .filter(|(a, _)| scan.vertices[*a as usize].z < 0.15)
            .collect();
        let count = u32::try_from(scan.vertices.len()).expect("few");
        let foot = |a: u32| count + a;
        let feet = scan.vertices.clone();
        scan.vertices
            .extend(feet.iter().map(|v| Vec3::new(v.x, v.y, -0.5)));
        let middle = u32::try_from(scan.vertices.len()).expect("few");
        scan.vertices.push(Vec3::new(x, 0.0, -0.5));
        for (a, b) in edge {
            scan.faces.extend([
                [b, a, foot(a)],
                [b, foot(a), foot(b)],
                [foot(b), foot(a), middle],
            ]);
        }
        scan.drop_unused_vertices();
    }
    scan
}

#[test]
fn trestles_that_are_one_skin_with_the_hull_are_told_and_cut_off() {
    let hull = decked(0.02, &HOLES);
    let boards = [0.9, 2.6];
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("scan.stl");
    let seen = |surface: &Surface| {
        write_stl(std::fs::File::create(&path).expect("a file"), surface).expect("written");
        let read = read_mesh(&awash::files::Disk, &path, Some(1.0), false).expect("a sound mesh");
        awash::study::inspect("scan.stl", read, &|_| {})
    };
    let both = two_skins(&hull, 0.005, 9.0);
    // Heights of the cockpit's ends over the hull's lowest point, which is at 2 cm.
    let ends = [f64::max, f64::min].map(|farther| {
        let rim = &hull.rims[0];
        let x = rim.iter().map(|p| p.x).reduce(farther).expect("a rim");
        let near = rim.iter().find(|p| (p.x - x).abs() < 1e-9);
        near.expect("its end").z - 0.02
    });
    let by_rim = Level::RimHeights {
        bow_m: ends[0],
        stern_m: ends[1],
    };
    for (name, scan, recipe) in [
        ("single", &hull.outer, smooth_rims()),
        ("double", &both, outer_skin()),
        (
            "by the rim",
            &hull.outer,
            MendRecipe {
                upright: Some(by_rim),
                ..smooth_rims()
            },
        ),
    ] {
        // The hull alone stands on nothing.
        assert_eq!(seen(scan).stand_under_m, None, "{name}");
        let mut random = Random(55);
        let made = random.motion();
        let mut scan = rough(on_boards(scan.clone(), boards), 0.0008, &mut random);
        made.apply(&mut scan);
        let seen = seen(&scan);
        let under_m = seen.stand_under_m.expect("trestles");
        assert!((under_m - 0.52).abs() < 0.02, "{name}: {under_m}");
        let posture = seen.posture.expect("upright");
        let up = (posture.turn * made.turn * Vec3::z()).z;
        assert!(up > 0.98, "{name}: {up}, {}", posture.up_because);
        assert!(
            seen.next
                .iter()
                .any(|next| matches!(next, awash::study::Next::CropTrestle { .. }))
        );
        let recipe = MendRecipe {
            crop: Crop {
                least: [None, None, Some(under_m)],
                ..Crop::default()
            },
            ..recipe
        };
        let result = filled_below(scan, recipe, &made, boards.len());
        check(name, &hull, &result, &made, 0.002);
    }
}
