//! A wedge, length L 4, breadth B 1, height H 0.5 m at x = 0, falling to an
//! edge at x = L.
use awash::mesh::solids;
use awash::numerics::Vec3;

use crate::support::{ROUNDING, buoyancy_height, near_share, under};

/// At height z the section is `B × l(z)` with `l(z) = L (1 − z/H)`, from x = 0.
/// Hence, with q = T/H:
/// `V = B L T (1 − q/2)`, `∫z dV = B L T² (½ − q/3)`,
/// `∫x dV = B ∫ l²/2 dz = B L² H/6 (1 − (1 − q)³)`,
/// and the waterplane is the rectangle `B × l(T)`. The sloping top is wet over
/// `B · T √(L² + H²)/H`, each side over V/B, the tall end over B T, the
/// bottom over B L.
#[test]
fn level_slices_have_the_closed_form_quantities() {
    let (length, breadth, height): (f64, f64, f64) = (4.0, 1.0, 0.5);
    let wedge = solids::wedge(
        Vec3::new(0.0, -breadth / 2.0, 0.0),
        Vec3::new(length, breadth / 2.0, height),
    );
    for t in [0.1, 0.25, 0.4] {
        let cut = under(&wedge, t);
        let q = t / height;
        let volume = breadth * length * t * (1.0 - q / 2.0);
        let l = length * (1.0 - q);
        near_share("V", cut.displaced_volume_m3, volume, ROUNDING);
        let moment_z = breadth * length * t * t * (0.5 - q / 3.0);
        near_share("KB", buoyancy_height(&cut), moment_z / volume, ROUNDING);
        let moment_x = breadth * length * length * height / 6.0 * (1.0 - (1.0 - q).powi(3));
        let buoyancy = cut.centre_of_buoyancy_m.expect("wet");
        near_share("LCB", buoyancy[0], moment_x / volume, ROUNDING);
        near_share("Aw", cut.waterplane_area_m2, breadth * l, ROUNDING);
        let flotation = cut.centre_of_flotation_m.expect("cut");
        near_share("LCF", flotation[0], l / 2.0, ROUNDING);
        let across = l * breadth.powi(3) / 12.0;
        near_share("IT", cut.second_moment_transverse_m4, across, ROUNDING);
        let along = breadth * l.powi(3) / 12.0;
        near_share("IL", cut.second_moment_longitudinal_m4, along, ROUNDING);
        let wetted = breadth * length
            + breadth * t
            + 2.0 * volume / breadth
            + breadth * t * length.hypot(height) / height;
        near_share("wetted", cut.wetted_area_m2, wetted, ROUNDING);
    }
    near_share("whole", wedge.signed_volume_m3(), 1.0, ROUNDING);
}
