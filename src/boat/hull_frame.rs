//! Where a hull lies in the boat frame: what tapes are held to, and whether it lies
//! there as it should, its centre plane on y = 0, its bow forward, its bottom down.
use nalgebra::Rotation3;
use schemars::JsonSchema;
use serde::Serialize;

use crate::mesh::{
    Confidence, Doubt, DoubtKind, Level, Loop, MirrorPlane, Placement, Prepared, Surface, Told,
    find_facing, find_posture, mirror_plane_near,
};
use crate::numerics::Vec3;
use crate::quantity::{Dimension, UnitSystem, show};

/// A hull whose sides mirror each other in y = 0 within this share of its breadth, at
/// nine places of ten, lies right.
const CENTRED_SHARE: f64 = 0.005;
/// Sides that differ by more than this share of the breadth are no mirror images.
const UNLIKE_SHARE: f64 = 0.015;
/// A plane of its own counts where the sides agree in it this much better.
const BETTER: f64 = 0.25;
/// Yaw and list that are told, deg: half a degree is 30 mm between the ends of 3.4 m.
const TOLD_DEG: f64 = 0.5;
/// The middle between port and starboard of a hull of unlike sides, whose own centre plane
/// is not found, may lie off y = 0 by this share of its breadth (ours).
const LOPSIDED_SHARE: f64 = 0.15;
/// A hull broader than long by this much may lie across, one higher than long and broad
/// on end.
const ACROSS: f64 = 1.2;

/// What tape readings are counted from, in the boat frame, m. Of the hull as loaded,
/// without its parts.
#[derive(Debug, Clone, Copy, PartialEq, Default, JsonSchema, Serialize)]
pub struct HullFrame {
    /// x of the stem: the foremost point of the hull.
    pub stem_x_m: f64,
    /// x of the stern: the aftmost point.
    pub stern_x_m: f64,
    /// y of the middle: 0, or where the hull's own centre plane is found to lie
    /// elsewhere.
    pub middle_y_m: f64,
    /// z of the base line: the lowest point.
    pub base_z_m: f64,
}

impl HullFrame {
    /// Where x, y and z are counted from, in words.
    #[must_use]
    pub fn in_words(&self, units: UnitSystem) -> String {
        let length = |m: f64| show(m + 0.0, Dimension::Length, units);
        format!(
            "Places here: x forward, y to port, z up; the hull's stern is at x {}, its stem at x {}, its middle at y {}, its lowest point at z {}.",
            length(self.stern_x_m),
            length(self.stem_x_m),
            length(self.middle_y_m),
            length(self.base_z_m)
        )
    }
}

/// How a hull lies.
#[derive(Debug, Clone, Default)]
pub struct Lie {
    /// What tapes are held to.
    pub frame: HullFrame,
    /// What is wrong with it, in words, each with its figure.
    pub faults: Vec<String>,
    /// Whether one of them goes by its looks, which may deceive.
    pub by_looks: bool,
    /// The turn and then the shift, m, that put it right.
    pub cure: Option<(Rotation3<f64>, Vec3)>,
}

impl Lie {
    /// Looks at a closed hull in the boat frame. Its sides, ends and openings tell; of a
    /// hull whose sides are unlike only a box well off the middle does. Where the file says
    /// that bow and up lie right they are not doubted.
    #[must_use]
    pub fn of(hull: &Prepared, lies_right: bool) -> Self {
        let open = hull.without_caps();
        let Some((lo, hi)) = hull.surface.bounds() else {
            return Self::default();
        };
        let mut lie = Self {
            frame: HullFrame {
                stem_x_m: hi.x,
                stern_x_m: lo.x,
                middle_y_m: 0.0,
                base_z_m: lo.z,
            },
            ..Self::default()
        };
        let breadth_m = hi.y - lo.y;
        let enough_m = CENTRED_SHARE * breadth_m;
        let Some((as_it_is, own)) = mirror_plane_near(&open, Vec3::y(), 0.0, enough_m) else {
            lie.look_lopsided(&lo, &hi);
            return lie;
        };
        let own = own.filter(|own| {
            own.nine_tenths_m <= (UNLIKE_SHARE * breadth_m).min(BETTER * as_it_is.nine_tenths_m)
        });
        let rims = hull.rims();
        let sides_agree = own.is_some() || as_it_is.nine_tenths_m <= enough_m;
        let lies_across = breadth_m > ACROSS * (hi.x - lo.x);
        let stands = hi.z - lo.z > ACROSS * (hi.x - lo.x).max(breadth_m);
        let turn = if stands && !lies_right {
            let Ok(posture) = find_posture(&open, &rims, &Told::default(), &Level::Floor) else {
                return lie;
            };
            if (posture.turn * Vec3::z()).x.abs() < 0.8 {
                return lie;
            }
            lie.faults.push(format!(
                "it looks stood on end: it is {:.2} m high, {:.2} m long and {breadth_m:.2} m broad",
                hi.z - lo.z,
                hi.x - lo.x
            ));
            lie.by_looks = true;
            posture.turn
        } else if lies_across || !sides_agree {
            // Its own plane is looked for all round.
            let posture = if lies_right {
                None
            } else {
                find_posture(&open, &rims, &Told::default(), &Level::Floor).ok()
            };
            let Some(posture) = posture else {
                lie.look_lopsided(&lo, &hi);
                return lie;
            };
            if posture.plane.normal.x.abs() > 0.8 {
                lie.faults.push(
                    "it lies across: its centre plane stands along y, its bow should point along x"
                        .into(),
                );
            } else if posture.plane.normal.z.abs() > 0.8 {
                lie.faults
                    .push("it lies on its side: its centre plane is level".into());
            } else {
                lie.look_lopsided(&lo, &hi);
                return lie;
            }
            posture.turn
        } else {
            lie.look_centred(
                &open,
                &rims,
                (own, as_it_is),
                lies_right,
                &(lo + hi),
                enough_m,
            )
        };
        if !lie.faults.is_empty() {
            lie.cure = Some((turn, shift_after(&open, &turn, (lo, hi))));
        }
        lie
    }

    /// Tells of a hull of like sides how its centre plane lies, and whether it looks turned
    /// over or reversed; gives the turn that puts that right.
    fn look_centred(
        &mut self,
        open: &Surface,
        rims: &[Loop],
        (own, as_it_is): (Option<MirrorPlane>, MirrorPlane),
        lies_right: bool,
        corners: &Vec3,
        enough_m: f64,
    ) -> Rotation3<f64> {
        let plane = own.unwrap_or(as_it_is);
        let port = plane.normal * plane.normal.y.signum();
        let offset_m = plane.offset_m * plane.normal.y.signum();
        let middle = corners / 2.0;
        let off_m = (offset_m - port.x * middle.x - port.z * middle.z) / port.y;
        let yaw_deg = (-port.x).atan2(port.y).to_degrees();
        let list_deg = port.z.atan2(port.y).to_degrees();
        if own.is_some() {
            self.frame.middle_y_m = off_m;
        }
        let mut turn = Rotation3::identity();
        if off_m.abs() > enough_m / 2.0 {
            self.faults.push(format!(
                "its own centre plane lies {:.0} mm to {} of y = 0, which every study takes for the middle of the boat",
                1e3 * off_m.abs(),
                if off_m > 0.0 { "port" } else { "starboard" }
            ));
        }
        if yaw_deg.abs() > TOLD_DEG {
            self.faults.push(format!(
                "it lies skewed: its bow points {:.1}° to {} of x",
                yaw_deg.abs(),
                if yaw_deg > 0.0 { "port" } else { "starboard" }
            ));
        }
        if list_deg.abs() > TOLD_DEG {
            self.faults.push(format!(
                "it lists {:.1}° to {}",
                list_deg.abs(),
                if list_deg > 0.0 { "starboard" } else { "port" }
            ));
        }
        if yaw_deg.abs().max(list_deg.abs()) > TOLD_DEG {
            turn = Rotation3::rotation_between(&port, &Vec3::y()).unwrap_or(turn);
        }
        if !lies_right && let Ok(facing) = find_facing(open, rims, &plane) {
            if facing.up.z < 0.0 && facing.up_sure == Confidence::Likely {
                self.by_looks = true;
                self.faults
                    .push(format!("it looks upside down: {}", facing.up_because));
                turn = Rotation3::from_axis_angle(&Vec3::x_axis(), std::f64::consts::PI) * turn;
            }
            if facing.forward.x < 0.0 && facing.bow_sure == Confidence::Likely {
                self.by_looks = true;
                self.faults.push(format!(
                    "it looks reversed, its bow aft: {}",
                    facing.bow_because
                ));
                turn = Rotation3::from_axis_angle(&Vec3::z_axis(), std::f64::consts::PI) * turn;
            }
        }
        turn
    }

    /// Tells of a hull of unlike sides whose box, from `lo` to `hi`, lies well off y = 0.
    fn look_lopsided(&mut self, lo: &Vec3, hi: &Vec3) {
        let off_m = f64::midpoint(lo.y, hi.y);
        if off_m.abs() > LOPSIDED_SHARE * (hi.y - lo.y) {
            self.faults.push(format!(
                "its sides are unlike, so its centre plane cannot be found, and half way between them lies {:.0} mm to {} of y = 0, which every study and tape takes for the middle of the boat",
                1e3 * off_m.abs(),
                if off_m > 0.0 { "port" } else { "starboard" }
            ));
            self.cure = Some((Rotation3::identity(), Vec3::new(0.0, -off_m, 0.0)));
        }
    }

    /// The doubt about it, if there is one; `placed` is how the file places the mesh.
    #[must_use]
    pub fn doubt(&self, placed: &Placement) -> Option<Doubt> {
        let (turn, shift_m) = self.cure?;
        let text = format!(
            "the hull does not lie in the boat frame (x forward, y to port, z up) as it should: {}. In [hull] write {}{}",
            self.faults.join("; "),
            placement_toml(placed, &turn, &shift_m).join(" and "),
            if placed.turn.is_none() && self.by_looks {
                "; if it is right as it lies, say so with turn = { about_z = 0 }"
            } else {
                ""
            }
        );
        Some(Doubt::new(DoubtKind::Place, text))
    }
}

/// `turn` and `origin` as a boat file writes them, for a mesh already placed in one way
/// that is then turned and shifted, m.
#[must_use]
pub fn placement_toml(placed: &Placement, turn: &Rotation3<f64>, shift_m: &Vec3) -> Vec<String> {
    let mut lines = Vec::new();
    let whole = turn * placed.turn.unwrap_or_default();
    if turn.angle() > 0.0 {
        let (x, y, z) = whole.euler_angles();
        let axes: Vec<String> = [("about_x", x), ("about_y", y), ("about_z", z)]
            .iter()
            .map(|(axis, angle)| (axis, angle.to_degrees()))
            .filter(|(_, deg)| deg.abs() > 5e-4)
            .map(|(axis, deg)| format!("{axis} = \"{deg:.3} deg\""))
            .collect();
        lines.push(if axes.is_empty() {
            "no `turn`".to_owned()
        } else {
            format!("turn = {{ {} }}", axes.join(", "))
        });
    }
    let origin = turn * placed.origin_m.unwrap_or_default() - shift_m;
    // To a tenth of a millimetre, without a minus before nothing.
    let mm = |m: f64| (m * 1e4).round() / 10.0 + 0.0;
    if turn.angle() > 0.0 || origin.norm() > 5e-5 || placed.origin_m.is_some() {
        lines.push(format!(
            "origin = [\"{} mm\", \"{} mm\", \"{} mm\"]",
            mm(origin.x),
            mm(origin.y),
            mm(origin.z)
        ));
    }
    lines
}

/// The shift after a turn that brings the centre plane to y = 0 and leaves the aftmost
/// and lowest points at the x and z they had, m.
fn shift_after(surface: &Surface, turn: &Rotation3<f64>, (lo, _): (Vec3, Vec3)) -> Vec3 {
    let mut turned = surface.clone();
    turned.drop_unused_vertices();
    for v in &mut turned.vertices {
        *v = turn * *v;
    }
    let (least, most) = turned.bounds().unwrap_or_default();
    let half_way = f64::midpoint(least.y, most.y);
    let middle_y = mirror_plane_near(&turned, Vec3::y(), half_way, 0.0)
        .and_then(|(as_it_is, own)| own.or(Some(as_it_is)))
        .map_or(half_way, |plane| plane.offset_m / plane.normal.y);
    let keep = |least: f64, was: f64| if turn.angle() > 0.0 { was - least } else { 0.0 };
    Vec3::new(keep(least.x, lo.x), -middle_y, keep(least.z, lo.z))
}
