//! Bodies with curved sides at level planes: cylinder on its side, sphere,
//! half ellipsoid.
use std::f64::consts::PI;

use awash::mesh::{Surface, solids};
use awash::numerics::Vec3;
use awash::study::Hydrostatics;

use crate::support::{bm_longitudinal, bm_transverse, buoyancy_height, converges, near, under};

type Quantity = fn(&Hydrostatics) -> f64;

/// Radius 1 m, its lowest line at z = 0, 4 m along x.
fn lying_cylinder(sides: usize) -> Surface {
    let (aft, fore) = (Vec3::new(-2.0, 0.0, 1.0), Vec3::new(2.0, 0.0, 1.0));
    solids::cylinder(aft, fore, 1.0, sides)
}

fn section_area(cut: &Hydrostatics) -> f64 {
    cut.displaced_volume_m3 / 4.0
}

/// Transverse metacentre over the lowest line, m.
fn km(cut: &Hydrostatics) -> f64 {
    buoyancy_height(cut) + bm_transverse(cut)
}

/// Circular segment of draught d: half angle `α = acos(1 − d)`, area
/// `α − sin α cos α`, centroid `⅔ sin³ α / area` under the centre. The
/// buoyancy of a circle always acts through its centre, so KM = 1.
#[test]
fn a_cylinder_on_its_side_has_segment_areas_and_its_metacentre_at_its_axis() {
    // Rows of the mesh lie at these draughts where the sides are a multiple
    // of 12: half angles of 60°, 90° and 120°.
    for (draught, area, kb) in [
        (0.5, 0.614_184_849_304, 0.294_979_838_101),
        (1.0, PI / 2.0, 0.575_586_818_422),
        (1.5, 2.527_407_804_29, 0.828_673_195_850),
    ] {
        let at = |sides: usize| under(&lying_cylinder(sides), draught);
        converges(&format!("area at {draught}"), area, 24, |n| {
            section_area(&at(n))
        });
        converges(&format!("KB at {draught}"), kb, 24, |n| {
            buoyancy_height(&at(n))
        });
        converges(&format!("KM at {draught}"), 1.0, 24, |n| km(&at(n)));
    }
}

/// Draught .25 falls between rows, so the chord error is bounded, not
/// extrapolated.
#[test]
fn a_cylinder_cut_between_its_rows_is_within_the_chord_error() {
    const SIDES: usize = 4096;
    let theta = 2.0 * PI / SIDES as f64;
    let cut = under(&lying_cylinder(SIDES), 0.25);
    // Each chord cuts off `(θ − sin θ)/2 ≈ θ³/12`; under water lie at most
    // `2α/θ + 2` of them (α = acos .75 = .7227).
    let lost = (2.0 * 0.75_f64.acos() + 2.0 * theta) * theta * theta / 12.0;
    let area = 0.226_655_876_989;
    near("area", section_area(&cut), area, lost);
    // Moment lost is at most the area lost times the segment's height.
    near(
        "KB",
        buoyancy_height(&cut),
        0.148_844_631_806,
        2.0 * lost * 0.25 / area,
    );
    // The edge of the waterplane moves in by at most the sagitta θ²/8 over
    // sin α, so I = ⅔ y³ (y = sin α) shrinks by `y θ²/4` at most, and the
    // lost area stretches I/A by its own share.
    let y = 0.75_f64.acos().sin();
    let bm = 2.0 / 3.0 * y.powi(3) / area;
    let allowance = y * theta * theta / 4.0 / area + bm * lost / area + 2.0 * lost * 0.25 / area;
    near("KM", km(&cut), 1.0, allowance);
}

/// Spherical segment of draught d: `V = π d² (3 − d)/3`,
/// `KB = d (8 − 3 d)/(12 − 4 d)`, waterplane `π (2 d − d²)`, wetted `2 π d`.
#[test]
fn a_sphere_has_the_quantities_of_a_spherical_segment() {
    for (draught, volume, kb, area, wetted) in [
        (0.5, 0.654_498_469_498, 0.325, 2.356_194_490_19, PI),
        (1.0, 2.094_395_102_39, 0.625, PI, 2.0 * PI),
        (1.5, 3.534_291_735_29, 0.875, 2.356_194_490_19, 3.0 * PI),
    ] {
        let at = |parallels: usize| {
            let sphere = solids::uv_sphere(Vec3::new(0.0, 0.0, 1.0), 1.0, parallels, 2 * parallels);
            under(&sphere, draught)
        };
        let [coarse, middle, fine] = [24, 48, 96].map(at);
        let of = |n: usize| match n {
            24 => &coarse,
            48 => &middle,
            _ => &fine,
        };
        let quantities: [(&str, f64, Quantity); 4] = [
            ("V", volume, |cut| cut.displaced_volume_m3),
            ("KB", kb, buoyancy_height),
            ("Aw", area, |cut| cut.waterplane_area_m2),
            ("wetted", wetted, |cut| cut.wetted_area_m2),
        ];
        for (name, exact, quantity) in quantities {
            converges(&format!("{name} at {draught}"), exact, 24, |n| {
                quantity(of(n))
            });
        }
    }
}

/// Half axes a 2, b ½, c 0.4: `V = ⅔ π a b c`, centroid `⅜ c` under the top,
/// waterplane ellipse `π a b` with `I_T = π a b³/4`, `I_L = π a³ b/4`.
#[test]
fn a_half_ellipsoid_has_the_closed_form_quantities() {
    let at = |n: usize| {
        under(
            &solids::half_ellipsoid(Vec3::new(2.0, 0.5, 0.4), n, 4 * n),
            0.0,
        )
    };
    let quantities: [(&str, f64, Quantity); 7] = [
        ("V", 0.837_758_040_957, |cut| cut.displaced_volume_m3),
        ("KB", 0.25, |cut| 0.4 + buoyancy_height(cut)),
        ("Aw", PI, |cut| cut.waterplane_area_m2),
        ("IT", 0.196_349_540_849, |cut| {
            cut.second_moment_transverse_m4
        }),
        ("IL", PI, |cut| cut.second_moment_longitudinal_m4),
        ("BMT", 0.234_375, bm_transverse),
        ("BML", 3.75, bm_longitudinal),
    ];
    for (name, exact, quantity) in quantities {
        converges(name, exact, 16, |n| quantity(&at(n)));
    }
}
