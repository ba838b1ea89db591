//! Sections against closed forms, a general-purpose mesh library on PyPI
//! (trimesh), and the volume they must add up to.
use std::f64::consts::PI;
use std::path::Path;

use awash::boat::Boat;
use awash::mesh::{Slicer, solids};
use awash::numerics::Vec3;
use awash::study::{
    Answer, PanelOptions, Planes, SectionOptions, SectionResult, Skins, section as study,
};

use crate::boats::laden_box;
use crate::reference_library::own_mesh;
use crate::support::{near, near_share};

fn boat(name: &str) -> Boat {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/boats");
    Boat::load(&folder.join(name)).expect("a boat of the tests")
}

fn stations(boat: &Boat, count: u16) -> Answer<SectionResult> {
    let options = SectionOptions {
        stations: Planes::Even(count),
        ..SectionOptions::default()
    };
    study(boat, &options).expect("it floats")
}

/// Circles of a sphere of radius 1: area π (1 − x²), girth 2π √(1 − x²). The
/// mesh is inscribed, with chords of 2π/160 and π/160: it lies under the sphere
/// by at most the sum of their sagittas, h²/8 each, 2.4e-4. In the plane of a
/// circle of radius r that is over r, and twice that share of r in the area.
#[test]
fn circles_of_a_sphere() {
    let sphere = solids::uv_sphere(Vec3::zeros(), 1.0, 160, 160);
    for axis in 0..3 {
        for at in [-0.71, 0.0, 0.3, 0.9] {
            let cut = Slicer::of(&sphere).section(axis, at);
            assert_eq!(cut.loops.len(), 1);
            let r2 = 1.0 - at * at;
            let share = 2.0 * 2.42e-4 / r2;
            near_share("area", cut.area_m2(), PI * r2, share);
            near_share("girth", cut.girth_m(|_| true), 2.0 * PI * r2.sqrt(), share);
            let mut middle = Vec3::zeros();
            middle[axis] = at;
            near(
                "centroid",
                (cut.centroid_m().unwrap() - middle).norm(),
                0.0,
                1e-9,
            );
        }
    }
}

/// Wigley's hull (`wigley.rs`) y = B/2 (1 − ξ²)(1 − ζ²): the section at ξ has the area
/// ⅔ B T (1 − ξ²); on rows of the mesh only the chords along ζ fall short, by
/// 1/n² of the area (trapezia under a parabola of n cells).
#[test]
fn sections_of_a_wigley_hull() {
    let (length, breadth, draught, n) = (4.0, 1.0, 0.25, 64);
    let hull = solids::wigley(length, breadth, draught, n, 0.0);
    for xi in [-0.5, 0.25, 0.75] {
        let cut = Slicer::of(&hull).section(0, xi * length / 2.0 - 1e-9);
        let want = 2.0 / 3.0 * breadth * draught * (1.0 - xi * xi);
        near_share("area", cut.area_m2(), want, 1.0 / (n * n) as f64);
    }
}

/// trimesh 5.2.0 (PyPI), `python3 benches/peers/sections.py`: area and length of
/// sections of the tests' boats, place in mm. The hull is open on top, so
/// across x only the length of its skin compares. Asked for: 1e-6.
#[test]
fn sections_agree_with_trimesh() {
    let figures = [
        (
            "foredeck.stl",
            0,
            2601.3,
            Some(0.052_920_611_887),
            1.328_016_815_401,
        ),
        (
            "foredeck.stl",
            2,
            401.7,
            Some(0.431_070_877_334),
            2.895_674_464_372,
        ),
        (
            "well.stl",
            2,
            111.1,
            Some(0.081_803_567_011),
            1.153_653_927_293,
        ),
        (
            "well.stl",
            0,
            301.3,
            Some(0.101_715_133_293),
            1.483_268_333_188,
        ),
        (
            "hull.stl",
            2,
            61.3,
            Some(1.030_048_379_940),
            5.562_995_275_242,
        ),
        (
            "hull.stl",
            2,
            151.7,
            Some(1.732_627_260_230),
            6.672_789_306_035,
        ),
        (
            "hull.stl",
            2,
            301.9,
            Some(2.076_346_999_592),
            7.283_071_166_448,
        ),
        ("hull.stl", 0, 401.3, None, 1.072_058_145_173),
        ("hull.stl", 0, 1501.7, None, 1.232_362_233_988),
        ("hull.stl", 0, 2801.9, None, 0.783_236_765_006),
    ];
    for (name, axis, place_mm, area, length) in figures {
        let (surface, skin_faces) = mesh_and_skin(name);
        let cut = Slicer::of(&surface).section(axis, place_mm * 1e-3);
        assert!(cut.loose_faces.is_empty());
        let what = format!("{name} across {axis} at {place_mm}");
        near_share(
            &what,
            cut.girth_m(|face| (face as usize) < skin_faces),
            length,
            1e-6,
        );
        if let Some(area) = area {
            near_share(&what, cut.area_m2(), area, 1e-6);
        }
    }
}

fn mesh_and_skin(name: &str) -> (awash::mesh::Surface, usize) {
    let surface = own_mesh(name);
    // Caps come last; the closed solids have none.
    let skin = match name {
        "hull.stl" => 24_564,
        _ => surface.faces.len(),
    };
    (surface, skin)
}

/// ∫ A dx is the displaced volume. 41 stations, Simpson's first rule: the bare
/// hull's area curve is smooth. The changed one's jumps at the well's walls,
/// which a rule over 85 mm cannot see: with 321 stations, 11 mm apart, a wall
/// of 0.034 m² misplaced by a third of that is 0.6 of 1e-3 of 199 L.
#[test]
fn section_areas_add_up_to_the_displaced_volume() {
    for (name, count) in [("before.toml", 41), ("after.toml", 321)] {
        let result = stations(&boat(name), count);
        let water = result.water.expect("it floats");
        near_share(
            name,
            result.volume_from_stations_m3.expect("an odd number"),
            water.displaced_volume_m3,
            1e-3,
        );
    }
}

/// The box 4 × 1 × 0.5 m at a draught of 0.25 m: each station has 0.25 m² under
/// water and 1 + 2 · 0.25 m of wet girth; 1 × 0.5 m² in all. Simpson's rule is
/// exact.
#[test]
fn stations_of_a_box_afloat() {
    let result = stations(&laden_box(""), 5);
    for line in &result.stations {
        near("area", line.area_m2, 0.5, 1e-12);
        near("wet area", line.immersed_area_m2.unwrap(), 0.25, 1e-9);
        near("wet girth", line.wetted_girth_m.unwrap(), 1.5, 1e-9);
        near("port", line.port_m.unwrap(), 0.5, 1e-12);
    }
    near("volume", result.volume_from_stations_m3.unwrap(), 1.0, 1e-5);
}

/// A bulkhead in the box with a 10 mm skin and 2 mm for glass: 12 mm off each of
/// four sides, both faces alike, no bevel.
#[test]
fn a_panel_in_a_box_is_smaller_by_skin_and_glass() {
    let options = SectionOptions {
        stations: Planes::At(vec![0.3]),
        panel: Some(PanelOptions {
            thickness_m: 0.012,
            allow_m: 0.002,
            skins: Skins::even(0.010),
        }),
        ..SectionOptions::default()
    };
    let result = study(&laden_box(""), &options).expect("it floats");
    let panel = result.stations[0].panel.as_ref().expect("asked for");
    let want = (1.0 - 0.024) * (0.5 - 0.024);
    for face in &panel.faces {
        near("face", face.area_m2, want, 1e-7);
    }
    near("square edged", panel.square_edged_area_m2, want, 1e-7);
    near("second face", panel.faces[1].at_m, 0.312, 1e-12);
    assert!(
        panel
            .bevels
            .iter()
            .all(|bevel| bevel.bevel_deg.abs() < 1e-9)
    );
}

/// A wedge 1 long, 1 broad and 1 high that falls forward at 45°: at x the
/// outside is 1 − x high. A skin of d normal to the slope takes √2 d of height
/// there, d at the sides and the bottom; a sheet of thickness t is t lower on
/// its fore face, and the bevel on top is 45°.
#[test]
fn a_panel_under_a_slope_has_two_faces_and_a_bevel() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let surface = solids::wedge(Vec3::zeros(), Vec3::new(1.0, 1.0, 1.0));
    awash::mesh::write_stl(
        std::fs::File::create(folder.path().join("wedge.stl")).expect("a file"),
        &surface,
    )
    .expect("written");
    let file = folder.path().join("wedge.toml");
    std::fs::write(&file, "[hull]\nmesh = \"wedge.stl\"\nunits = \"m\"\n").expect("written");
    let (x, d, t) = (0.4, 0.01, 0.02);
    let options = SectionOptions {
        stations: Planes::At(vec![x]),
        panel: Some(PanelOptions {
            thickness_m: t,
            allow_m: 0.0,
            skins: Skins::even(d),
        }),
        ..SectionOptions::default()
    };
    let boat = Boat::load(&file).expect("a sound boat file");
    let result = study(&boat, &options).expect("nothing to float");
    let panel = result.stations[0].panel.as_ref().expect("asked for");
    let area = |at: f64| (1.0 - 2.0 * d) * (1.0 - at - d - 2.0_f64.sqrt() * d);
    near("after face", panel.faces[0].area_m2, area(x), 1e-6);
    near("fore face", panel.faces[1].area_m2, area(x + t), 1e-6);
    near(
        "square edged",
        panel.square_edged_area_m2,
        area(x + t),
        1e-6,
    );
    let steepest = panel.bevels.iter().map(|bevel| bevel.bevel_deg);
    near("bevel", steepest.fold(0.0, f64::max), 45.0, 1e-9);
}
