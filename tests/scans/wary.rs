//! Scans whose first reading is wrong: half a hull with a level gunwale, a V keel on trestles,
//! lips that nobody asked to be smoothed, a hull whose sides differ, a rough skin that seems
//! double. What is told of them holds, with its ±, or the command refuses and says the cure.
use std::f64::consts::TAU;

use awash::boat::read_mesh;
use awash::mesh::{
    Crop, Doubt, FlatEdge, MendError, MendRecipe, Mended, Mirror, Moved, Surface, Told, examine,
    flat_edges, two_sides, write_stl,
};
use awash::numerics::Vec3;

use super::awash;
use super::decked::{Decked, HOLES, decked, loops, open_sides, rough, rough_in, two_skins};
use super::halves::cut_half;
use super::kinds::{filled_below, on_boards};
use super::lips::turned_down;
use super::make::{Random, on_a_floor};
use super::skins::{Off, mended, mirrored_at_the_cut, outer_skin, smooth_rims};
use super::tender::{Bottom, FLAT, Side, pram};

/// A pram whose rim is so much higher at its ends than between them, m.
fn sheered(bottom: Bottom, edge_m: f64, sheer_m: f64) -> Decked {
    let mut outer = pram(bottom, edge_m);
    for v in &mut outer.vertices {
        v.z += sheer_m * ((v.x - 1.2) / 1.2).powi(2) * (v.z / 0.4);
    }
    let rims = loops(&outer);
    Decked { outer, rims }
}

/// The port half, its edge up to so much to either side of the centre plane, m, in waves of a
/// hand's breadth and more.
fn waved_half(hull: &Surface, deep_m: f64, random: &mut Random) -> Surface {
    const WAVES: [f64; 4] = [0.05, 0.11, 0.23, 0.5];
    let phases = WAVES.map(|long| (long, TAU * random.share()));
    let off_m = |v: &Vec3| {
        let along = v.x + 2.0 * v.z;
        let waves = phases.map(|(long, phase)| (TAU * along / long + phase).sin());
        deep_m / 4.0 * waves.iter().sum::<f64>()
    };
    let mut shifted = hull.clone();
    for v in &mut shifted.vertices {
        v.y += off_m(v);
    }
    let mut half = cut_half(&shifted);
    for v in &mut half.vertices {
        v.y -= off_m(v);
    }
    half
}

/// A gunwale 4 mm higher at its ends is told from a cut that strays by 4 mm, however long its
/// teeth; beside a level one the number is asked, and with that it is the hull again.
#[test]
fn a_half_is_mirrored_in_its_cut_and_not_in_a_gunwale() {
    let v_bottom = Bottom {
        deadrise_m: 0.08,
        side: Side::Flat,
        ..FLAT
    };
    let number_of_the_cut = |half: &Surface, scan: &Surface| {
        // The plane of the cut is y = 0 where it was made.
        let place = |p: &Vec3| half.vertices[nearest(scan, p)];
        let loops = examine(scan).loops;
        let edges = flat_edges(scan, &loops, &Told::default());
        let off_m = |edge: &FlatEdge| {
            let offs = edge.points.iter().map(|p| place(p).y.abs());
            offs.sum::<f64>() / edge.points.len() as f64
        };
        edges
            .iter()
            .min_by(|a, b| off_m(a).total_cmp(&off_m(b)))
            .expect("flat parts")
            .number
    };
    for (bottom, sheer_m, deep_m, seed, is_told) in [
        (FLAT, 0.005, 0.004, 1001, true),
        (v_bottom, 0.02, 0.012, 1001, true),
        (FLAT, 0.0, 0.004, 1001, false),
        // Seed 1000 was mirrored in the gunwale, with half of the volume.
        (v_bottom, 0.0, 0.004, 1000, false),
    ] {
        let what = format!("sheer {sheer_m}, cut {deep_m}, seed {seed}");
        let hull = sheered(bottom, 0.02, sheer_m);
        let mut random = Random(seed);
        let half = waved_half(&hull.outer, deep_m, &mut random);
        let mut scan = rough(half.clone(), 0.0008, &mut random);
        let made = random.motion();
        made.apply(&mut scan);
        let at_cut = mended(scan.clone(), &mirrored_at_the_cut());
        let result = if is_told {
            at_cut.unwrap_or_else(|error| panic!("{what}: {error}"))
        } else {
            let refused = at_cut.expect_err("no sheer tells");
            assert!(
                matches!(refused, MendError::TwoCuts { .. }),
                "{what}: {refused}"
            );
            let number = number_of_the_cut(&half, &scan);
            by_number(&scan, number).unwrap_or_else(|error| panic!("{what}: {error}"))
        };
        let off = Off::measured(&hull, &result, &made);
        assert!(
            off.worst_volume().abs() < 0.01,
            "{what}: {:+.4}",
            off.worst_volume()
        );
        let (rim_m, error_m) = off.rims[0];
        assert!(
            rim_m.abs() < error_m.expect("a ±"),
            "{what}: {rim_m} ± {error_m:?}"
        );
    }
}

fn by_number(scan: &Surface, number: usize) -> Result<Mended, MendError> {
    let recipe = MendRecipe {
        mirror: Some(Mirror::AtFlat(number)),
        ..smooth_rims()
    };
    mended(scan.clone(), &recipe)
}

/// The doubt that tells of the number given for a half's flat part.
fn told_of_number(result: &Mended) -> Option<String> {
    let mut told = result.doubts.iter().map(ToString::to_string);
    told.find(|told| told.contains("hold that against a tape"))
}

/// Half a hull mirrored in its gunwale lies on its side and is as sound a body as it was: where
/// the number alone says which is right, both are told with their breadth and depth, which
/// are the hull's own (2.4 m long, by construction) for one of them; where the sheer tells, or
/// a floor was under it, the wrong number is doubted or refused.
#[test]
fn a_number_of_the_wrong_flat_part_is_doubted_or_refused() {
    let half_of = |bottom: Bottom, sheer_m: f64, seed: u64| {
        let hull = sheered(bottom, 0.02, sheer_m);
        let mut random = Random(seed);
        rough(cut_half(&hull.outer), 0.0008, &mut random)
    };
    let edges = |scan: &Surface| flat_edges(scan, &examine(scan).loops, &Told::default());
    // The cut is y = 0 here.
    let is_cut = |edge: &FlatEdge| edge.points.iter().all(|p| p.y.abs() < 0.01);
    let level = half_of(FLAT, 0.0, 1004);
    let (lo, hi) = level.bounds().expect("a half");
    for edge in edges(&level) {
        let wanted = if is_cut(&edge) {
            [2.0 * hi.y, hi.z - lo.z]
        } else {
            [2.0 * (hi.z - lo.z), hi.y]
        };
        for (told_m, true_m) in [edge.broad_m, edge.deep_m].into_iter().zip(wanted) {
            assert!((told_m / true_m - 1.0).abs() < 0.03, "{told_m} {true_m}");
        }
        let result = by_number(&level, edge.number).expect("mirrored");
        let told = told_of_number(&result).expect("doubted");
        let size = format!("{:.2} m broad and {:.2} m deep", edge.broad_m, edge.deep_m);
        assert!(told.contains(&format!("makes the hull {size}")), "{told}");
        assert!(told.contains("nothing but that number"), "{told}");
    }
    let sheered = half_of(FLAT, 0.02, 1005);
    for edge in edges(&sheered) {
        let told = by_number(&sheered, edge.number).map(|result| told_of_number(&result));
        let told = told.expect("mirrored");
        assert_eq!(told.is_none(), is_cut(&edge), "{told:?}");
        assert!(told.is_none_or(|told| told.contains("plainly the cut")));
    }
    let recipe = |number| MendRecipe {
        drop_floor: true,
        largest_only: true,
        mirror: Some(Mirror::AtFlat(number)),
        ..smooth_rims()
    };
    let v_bottom = Bottom {
        deadrise_m: 0.08,
        ..FLAT
    };
    let floored = on_a_floor(&half_of(v_bottom, 0.0, 1006), 0.004);
    let came: Vec<_> = (1..=2)
        .map(|number| mended(floored.clone(), &recipe(number)))
        .collect();
    let refused =
        |result: &Result<Mended, MendError>| matches!(result, Err(MendError::LevelCut { .. }));
    assert_eq!(came.iter().filter(|came| refused(came)).count(), 1);
}

/// A whole hull with a level rim whose sides differ is no half cut off along that rim: it is
/// not to be mirrored there, whatever a floor under it left open.
#[test]
fn a_whole_lopsided_hull_is_not_proposed_to_be_mirrored_in_its_rim() {
    let mut outer = sheered(FLAT, 0.02, 0.0).outer;
    for v in &mut outer.vertices {
        if v.y < 0.0 {
            v.y *= 1.0 + 0.4 * (std::f64::consts::PI * v.x / 2.4).sin();
        }
    }
    let folder = tempfile::tempdir().expect("a folder");
    for (name, scan) in [
        ("alone", outer.clone()),
        ("floor", on_a_floor(&outer, 0.004)),
    ] {
        let mut random = Random(1070);
        let mut scan = rough(scan, 0.0008, &mut random);
        random.motion().apply(&mut scan);
        let file = std::fs::File::create(folder.path().join(name).with_extension("stl"));
        write_stl(file.expect("a file"), &scan).expect("written");
        let seen = awash(
            folder.path(),
            &["inspect", &format!("{name}.stl"), "--mesh-units", "m"],
        );
        let because = seen["because"].to_string();
        assert!(
            because.contains("its two sides differ"),
            "{name}: {because}"
        );
        let mut next = seen["next"].as_array().expect("a list").iter();
        assert!(
            next.all(|next| !next
                .as_str()
                .is_some_and(|s| s.starts_with("awash") && s.contains("--mirror"))),
            "{name}: {}",
            seen["next"]
        );
    }
}

fn nearest(scan: &Surface, p: &Vec3) -> usize {
    let away = |v: &usize| (scan.vertices[*v] - p).norm_squared();
    let all = 0..scan.vertices.len();
    all.min_by(|a, b| away(a).total_cmp(&away(b)))
        .expect("corners")
}

/// How high the base that was found lies over the hull's own, m, and its ±.
fn base(hull: &Surface, result: &Mended, made: &Moved) -> (f64, f64) {
    let mut known = hull.clone();
    made.then(&result.moved).apply(&mut known);
    let (lo, _) = known.bounds().expect("a hull");
    (-lo.z, result.tilt_error.expect("upright").origin_m[2])
}

/// A V keel on two boards that are one skin with it: the cut that is told does not touch the
/// keel, and where a board hides its lowest place the base's ± holds that.
#[test]
fn a_v_keel_on_trestles_keeps_its_keel() {
    let bottom = Bottom {
        deadrise_m: 0.1,
        rocker: 0.03,
        ..FLAT
    };
    let hull = pram(bottom, 0.02);
    for boards in [[0.35, 1.5], [0.9, 1.9]] {
        let mut random = Random(1030);
        let made = random.motion();
        let mut scan = rough(on_boards(hull.clone(), boards), 0.0008, &mut random);
        made.apply(&mut scan);
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("scan.stl");
        write_stl(std::fs::File::create(&path).expect("a file"), &scan).expect("written");
        let read = read_mesh(&awash::files::Disk, &path, Some(1.0), false).expect("a mesh");
        let seen = awash::study::inspect("scan.stl", read, &|_| {});
        let under_m = seen.stand_under_m.expect("trestles");
        let recipe = MendRecipe {
            crop: Crop {
                least: [None, None, Some(under_m)],
                ..Crop::default()
            },
            ..smooth_rims()
        };
        let result = filled_below(scan, recipe, &made, boards.len());
        let (off_m, error_m) = base(&hull, &result, &made);
        let known = Decked {
            outer: hull.clone(),
            rims: loops(&hull),
        };
        let share = Off::measured(&known, &result, &made).worst_volume();
        eprintln!(
            "{boards:?}: base {:+.2} ± {:.2} mm, volume {:+.2} %, cut {under_m}",
            1e3 * off_m,
            1e3 * error_m,
            100.0 * share
        );
        assert!(off_m.abs() < error_m, "{boards:?}: {off_m} ± {error_m}");
        assert!(error_m < 0.01, "{boards:?}: {error_m}");
        assert!(share.abs() < 0.01, "{boards:?}: {share}");
    }
}

/// Nobody asked for smooth rims: the edge that hangs under a lip's crest is the rim, its ±
/// reaches to the crest, and the cure is told.
#[test]
fn a_lip_that_is_left_hanging_has_a_wide_band() {
    let hull = decked(0.02, &HOLES);
    let mut scan = rough(turned_down(&hull, 0.03), 0.0008, &mut Random(1040));
    let made = Random(1040).motion();
    made.apply(&mut scan);
    let recipe = MendRecipe {
        smooth_rims: false,
        ..smooth_rims()
    };
    let result = mended(scan, &recipe).expect("it can be mended");
    for (off, error) in Off::measured(&hull, &result, &made).rims {
        let error = error.expect("a ±");
        eprintln!("hanging: {:+.2} ± {:.2} mm", 1e3 * off, 1e3 * error);
        assert!(off < -0.02, "or nothing is tested: {off}");
        assert!(off.abs() < error, "{off} ± {error}");
    }
    let told = |doubt: &Doubt| doubt.to_string().contains("`smooth_rims`");
    assert!(result.doubts.iter().any(told), "{:?}", result.doubts);
}

/// Both sides of the skin, its lips turned down and not gone round: each side ends by itself.
#[test]
fn the_crest_is_the_rim_of_two_skins_that_no_edge_joins() {
    let hull = decked(0.02, &HOLES);
    let outer = turned_down(&hull, 0.03);
    let rims = loops(&outer);
    let lipped = Decked { outer, rims };
    let mut scan = two_skins(&lipped, 0.005, 9.0);
    let joining = 2 * open_sides(&lipped.outer).len();
    scan.faces.truncate(scan.faces.len() - joining);
    let mut random = Random(1041);
    let mut scan = rough(scan, 0.0008, &mut random);
    let made = random.motion();
    made.apply(&mut scan);
    let result = mended(scan, &outer_skin()).expect("it can be mended");
    let off = Off::measured(&hull, &result, &made);
    assert_eq!(off.rims.len(), hull.rims.len());
    for (off, error) in off.rims {
        let error = error.expect("a ±");
        eprintln!("two skins: {:+.2} ± {:.2} mm", 1e3 * off, 1e3 * error);
        assert!(off.abs() < error, "{off} ± {error}");
        assert!(off.abs() < 0.004, "{off}");
    }
}

/// Sides that differ: no plane halves the hull, so none says what is level.
#[test]
fn a_lopsided_hull_is_level_only_to_what_its_sides_agree_in() {
    let hull = decked(0.02, &HOLES);
    type Bend = fn(&Vec3) -> Vec3;
    let bent: [(&str, Bend); 4] = [
        ("even", |v| *v),
        ("fuller", |v| {
            Vec3::new(v.x, if v.y < 0.0 { 1.06 * v.y } else { v.y }, v.z)
        }),
        ("lower", |v| {
            let down = if v.y < 0.0 { v.y * v.z / 3.0 } else { 0.0 };
            Vec3::new(v.x, v.y, v.z + down)
        }),
        ("twisted", |v| {
            let turn = 0.03 * (v.x - 1.8) / 1.8;
            Vec3::new(v.x, v.y - turn * (v.z - 0.2), v.z + turn * v.y)
        }),
    ];
    for (what, bend) in bent {
        let mut outer = hull.outer.clone();
        for v in &mut outer.vertices {
            *v = bend(v);
        }
        for noise_m in [0.0008, 0.002] {
            if noise_m > 0.001 && what != "even" {
                continue;
            }
            let mut random = Random(1010);
            let mut scan = rough(outer.clone(), noise_m, &mut random);
            let made = random.motion();
            made.apply(&mut scan);
            let result = mended(scan, &smooth_rims()).expect("it can be mended");
            let up = made.then(&result.moved).turn.inverse() * Vec3::z();
            let heel_deg = up.y.atan2(up.z).to_degrees();
            let error_deg = result.tilt_error.expect("upright").heel_deg;
            let uneven_m = result.posture.expect("upright").uneven_m;
            eprintln!(
                "{what}, noise {noise_m}: heel {heel_deg:+.3} ± {error_deg:.3}°, uneven {uneven_m:.5}"
            );
            assert!(
                heel_deg.abs() < error_deg,
                "{what}: {heel_deg} ± {error_deg}"
            );
            let told = |doubt: &Doubt| doubt.to_string().contains("no plane halves the hull");
            let is_told = result.doubts.iter().any(told);
            assert!(is_told || error_deg < 0.3, "{what}: {error_deg}");
            assert!(!is_told || what != "even", "{:?}", result.doubts);
        }
    }
}

/// Noise of 2 mm folds faces 7 mm long over each other: no other side of the skin.
#[test]
fn a_rough_single_skin_is_not_taken_for_two() {
    let hull = decked(0.007, &HOLES[..1]);
    let scan = rough_in(hull.outer.clone(), 0.002, 1.0, &mut Random(1020));
    assert_eq!(two_sides(&scan), None);
}

/// No unit in the file: the floor under a hull is no part of its length, and a skin as thick
/// as a small hull's tells feet from metres.
#[test]
fn the_unit_is_guessed_by_the_hull_and_its_skin() {
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    let hull = decked(0.02, &HOLES);
    let put = |name: &str, mut scan: Surface, metres_a_unit: f64| {
        scan = rough(scan, 0.0008, &mut Random(1050));
        for v in &mut scan.vertices {
            *v /= metres_a_unit;
        }
        let file = std::fs::File::create(folder.join(name)).expect("a file");
        write_stl(file, &scan).expect("written");
    };
    put("feet.stl", two_skins(&hull, 0.005, 9.0), 0.3048);
    let seen = awash(folder, &["inspect", "feet.stl"]);
    assert_eq!(seen["unit_guess"]["unit"], "feet", "{}", seen["unit_guess"]);
    let thick = seen["skin_thickness_m"].as_f64().expect("two sides");
    assert!((thick - 0.005).abs() < 5e-4, "{thick}");
    // As mending takes it too.
    let mend = "mend feet.stl -o mended.stl --outer-skin --upright";
    let mended = awash(folder, &mend.split(' ').collect::<Vec<_>>());
    let long = mended["after"]["size_m"][0].as_f64().expect("a length");
    assert!((long - 3.6).abs() < 0.05, "{long}");
    // A floor of 9 m, in inches: it alone would be 3.5 m in centimetres.
    let mut scan = on_a_floor(&hull.outer, 0.004);
    for v in &mut scan.vertices {
        if v.x < -0.5 {
            v.x -= 2.0;
        } else if v.x > 3.9 {
            v.x += 2.0;
        }
    }
    put("inches.stl", scan, 0.0254);
    let seen = awash(folder, &["inspect", "inches.stl"]);
    assert_eq!(
        seen["unit_guess"]["unit"], "inches",
        "{}",
        seen["unit_guess"]
    );
}

/// The lowest of a hundred corners of white noise lies two and a half deviations under the rim:
/// an edge that was not smoothed is told as that unsure.
#[test]
fn a_rim_of_white_noise_that_is_not_smoothed_is_within_its_band() {
    let hull = decked(0.02, &HOLES);
    let recipe = MendRecipe {
        smooth_rims: false,
        ..smooth_rims()
    };
    for (noise_m, seed) in [(0.0008, 1061), (0.002, 1062)] {
        let mut random = Random(seed);
        let mut scan = rough_in(hull.outer.clone(), noise_m, 1.0, &mut random);
        let made = random.motion();
        made.apply(&mut scan);
        let result = mended(scan, &recipe).expect("it can be mended");
        for (off, error) in Off::measured(&hull, &result, &made).rims {
            let error = error.expect("a ±");
            eprintln!("white {noise_m}: {:+.2} ± {:.2} mm", 1e3 * off, 1e3 * error);
            assert!(off.abs() < error, "{off} ± {error}");
            assert!(error < 5.0 * noise_m, "{error}");
        }
    }
}

/// Noise of 0.8 mm makes an edge's lowest corner the sill, 2 mm too low: `inspect` proposes to
/// smooth it, and by that the rims are as near and as sure as is asked of them. A hull without
/// noise keeps its corners.
#[test]
fn rims_of_a_finely_rough_scan_are_proposed_to_be_smoothed() {
    let folder = tempfile::tempdir().expect("a folder");
    let hull = decked(0.02, &HOLES);
    let proposes = |name: &str, scan: &Surface| {
        let file = std::fs::File::create(folder.path().join(name));
        write_stl(file.expect("a file"), scan).expect("written");
        let seen = awash(folder.path(), &["inspect", name, "--mesh-units", "m"]);
        seen["next"].to_string().contains("--smooth-rims")
    };
    assert!(!proposes("clean.stl", &hull.outer));
    let mut random = Random(1080);
    let mut scan = rough_in(hull.outer.clone(), 0.0008, 1.0, &mut random);
    let made = random.motion();
    made.apply(&mut scan);
    assert!(proposes("rough.stl", &scan));
    let result = mended(scan, &smooth_rims()).expect("it can be mended");
    for (off_m, error_m) in Off::measured(&hull, &result, &made).rims {
        let error_m = error_m.expect("a ±");
        assert!(off_m.abs() < error_m.min(0.002), "{off_m} ± {error_m}");
        assert!(error_m < 0.003, "{error_m}");
    }
}
