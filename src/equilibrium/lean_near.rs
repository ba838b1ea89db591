//! The least lean of a craft that differs little from one that is known.
//!
//! A craft held at an attitude has its lowest sill awash where the volume under
//! the plane through that sill is the volume it displaces: the volume grows with
//! the level, so one kernel call tells wet from dry, exactly.
use super::energy::Craft;
use super::lean::{ANGLE_WITHIN_RAD, Lean, STEP_RAD};
use super::rest::Rest;
use super::rose::{BEARINGS, bearing_deg};
use super::sills::Sills;
use crate::boat::lowest_along;
use crate::immersion::{Immersion, WaterPlane};
use crate::numerics::{Vec3, first_below};

/// Share of the volume to displace within which a sill counts as awash.
const VOLUME_WITHIN: f64 = 1e-9;
/// An estimate is believed as far as it clears this share of what it moved by: what
/// it leaves out is of the second order.
const BELIEVED_CHANGE: f64 = 0.5;
/// And this share of the volume to displace.
const BELIEVED_VOLUME: f64 = 0.01;
/// Nor where the craft lies so much otherwise, as the length of the change of its
/// vertical (6°): a round craft may roll right over for a trifle.
const BELIEVED_TILT: f64 = 0.1;
/// Steps known past the least lean of the craft that is known.
const STEPS_BEYOND: usize = 2;

/// What is known of a craft's leans towards each of [`BEARINGS`].
#[derive(Debug, Clone)]
pub struct KnownLeans {
    volume_m3: f64,
    /// By bearing, then by step of the lean.
    looks: Vec<Vec<Look>>,
}

/// The plane through the lowest sill at one lean.
#[derive(Debug, Clone)]
struct Look {
    under: Immersion,
    /// Which point of each rim is its lowest.
    lowest: Vec<usize>,
}

impl Look {
    fn at(craft: &Craft, sills: &Sills, up: Vec3) -> Self {
        let lowest = sills.rims().map(|(_, rim)| lowest_along(rim, &up));
        Self {
            lowest: lowest.collect(),
            under: craft.displacers.immerse(&through_sill(sills, up)),
        }
    }

    /// The plane through the same points of rims nearly the same, the lowest of them: to
    /// the first order through the lowest of all.
    fn plane(&self, sills: &Sills, up: Vec3) -> WaterPlane {
        let points = sills.rims().zip(&self.lowest);
        let heights = points.filter_map(|((_, rim), number)| Some(up.dot(rim.get(*number)?)));
        WaterPlane {
            up,
            level_m: heights.fold(f64::INFINITY, f64::min),
        }
    }

    /// The volume under another plane nearby, to the first order, and by how much
    /// that is more: `∫ (δλ − αu − βv) dA`, with the tilts α, β of `up` and the
    /// level λ over the reference point.
    fn volume_m3(&self, plane: &WaterPlane) -> (f64, f64) {
        let was = &self.under.plane;
        let reference = self.under.reference_m;
        let axes = was.axes();
        let rises = was.height_m(&reference) - plane.height_m(&reference);
        let tilt = plane.up - was.up;
        let [fu, fv] = self.under.waterplane.first_m3;
        let more = self.under.waterplane.area_m2 * rises
            - fu * axes.forward.dot(&tilt)
            - fv * axes.port.dot(&tilt);
        (self.under.volume_m3 + more, more)
    }
}

/// The plane through the lowest sill at a vertical.
pub(super) fn through_sill(sills: &Sills, up: Vec3) -> WaterPlane {
    let level_m = sills.height_m(&WaterPlane { up, level_m: 0.0 });
    WaterPlane { up, level_m }
}

impl KnownLeans {
    /// Looks at every bearing, up to a little past the least lean. `None` where
    /// nothing lets water in.
    #[must_use]
    pub fn of(craft: &Craft, sills: &Sills, rest: &Rest) -> Option<Self> {
        if sills.is_empty() {
            return None;
        }
        let volume_m3 = craft.volume_to_displace_m3();
        let leans: Vec<Lean> = (0..usize::from(BEARINGS))
            .map(|bearing| Lean::towards(rest.plane(), bearing_deg(bearing)))
            .collect();
        let mut looks = vec![Vec::new(); leans.len()];
        let mut more = None;
        for step in 0..=steps_of_half_a_turn() {
            for (looks, lean) in looks.iter_mut().zip(&leans) {
                let look = Look::at(craft, sills, lean.up_at(angle_rad(step), 0.0));
                if look.under.volume_m3 <= volume_m3 {
                    more = more.or(Some(step + STEPS_BEYOND));
                }
                looks.push(look);
            }
            if more == Some(step) {
                break;
            }
        }
        Some(Self { volume_m3, looks })
    }

    /// The least lean of a craft nearly the same, rad: as
    /// [`least_lean`](super::least_lean) finds it. Bearings and steps that are dry by
    /// far, to the first order of what changed, are not looked at. Half a turn where
    /// no sill comes to the water.
    #[must_use]
    pub fn least_rad(&self, craft: &Craft, sills: &Sills, rest: &Rest) -> f64 {
        if sills.height_m(rest.plane()) <= 0.0 {
            return 0.0;
        }
        let mut near = Near::new(self, craft, sills, rest);
        let mut order: Vec<(f64, usize)> = (0..usize::from(BEARINGS))
            .map(|bearing| (near.guess_rad(bearing), bearing))
            .collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut least = std::f64::consts::PI;
        for (_, bearing) in order {
            least = near.floods_before(bearing, least).unwrap_or(least);
        }
        least
    }
}

fn angle_rad(step: usize) -> f64 {
    step as f64 * STEP_RAD
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a few dozen"
)]
fn steps_of_half_a_turn() -> usize {
    (std::f64::consts::PI / STEP_RAD).round() as usize
}

/// A craft nearly the same, leaned.
struct Near<'a> {
    known: &'a KnownLeans,
    craft: &'a Craft,
    sills: &'a Sills,
    leans: Vec<Lean>,
    volume_m3: f64,
    /// By bearing and step, as far as asked for: volume to spare by the estimate,
    /// and how much of it is sure.
    estimates: Vec<Vec<(f64, f64)>>,
}

impl<'a> Near<'a> {
    fn new(known: &'a KnownLeans, craft: &'a Craft, sills: &'a Sills, rest: &Rest) -> Self {
        let leans = (0..usize::from(BEARINGS))
            .map(|bearing| Lean::towards(rest.plane(), bearing_deg(bearing)));
        Self {
            known,
            craft,
            sills,
            leans: leans.collect(),
            volume_m3: craft.volume_to_displace_m3(),
            estimates: vec![Vec::new(); usize::from(BEARINGS)],
        }
    }

    /// Volume to spare before the sill is awash at a step of the lean, by the
    /// estimate and what is sure of it; `None` past what is known.
    fn estimate(&mut self, bearing: usize, step: usize) -> Option<(f64, f64)> {
        let looks = &self.known.looks[bearing];
        while self.estimates[bearing].len() <= step {
            let number = self.estimates[bearing].len();
            let look = looks.get(number)?;
            let up = self.leans[bearing].up_at(angle_rad(number), 0.0);
            let (volume, more) = look.volume_m3(&look.plane(self.sills, up));
            let spare = volume - self.volume_m3;
            let change = more.abs() + (self.volume_m3 - self.known.volume_m3).abs();
            let is_near = (up - look.under.plane.up).norm() <= BELIEVED_TILT;
            let sure = if is_near {
                spare - BELIEVED_CHANGE * change - BELIEVED_VOLUME * self.volume_m3
            } else {
                f64::NEG_INFINITY
            };
            self.estimates[bearing].push((spare, sure));
        }
        self.estimates[bearing].get(step).copied()
    }

    /// The lean at which a bearing floods by the estimates, rad; infinite past what
    /// is known.
    fn guess_rad(&mut self, bearing: usize) -> f64 {
        let mut before = f64::INFINITY;
        for step in 0.. {
            match self.estimate(bearing, step) {
                None => return f64::INFINITY,
                Some((spare, _)) if spare <= 0.0 => {
                    let share = if before.is_finite() {
                        before / (before - spare)
                    } else {
                        1.0
                    };
                    return (angle_rad(step) - STEP_RAD * (1.0 - share)).max(0.0);
                }
                Some((spare, _)) => before = spare,
            }
        }
        f64::INFINITY
    }

    fn is_surely_dry(&mut self, bearing: usize, step: usize) -> bool {
        self.estimate(bearing, step)
            .is_some_and(|(_, sure)| sure > 0.0)
    }

    /// Share of the volume to displace that is to spare at a lean: exact.
    fn spare(&self, bearing: usize, lean_rad: f64) -> f64 {
        let up = self.leans[bearing].up_at(lean_rad, 0.0);
        let under = self.craft.displacers.immerse(&through_sill(self.sills, up));
        under.volume_m3 / self.volume_m3 - 1.0
    }

    /// Where a bearing floods, if that is before a lean.
    fn floods_before(&mut self, bearing: usize, limit_rad: f64) -> Option<f64> {
        let mut step = 0;
        loop {
            let lean_rad = angle_rad(step).min(limit_rad);
            // Past a limit between two steps the next one tells.
            if !self.is_surely_dry(bearing, step) {
                let spare = self.spare(bearing, lean_rad);
                let is_wet = if lean_rad < limit_rad {
                    spare <= 0.0
                } else {
                    spare < -VOLUME_WITHIN
                };
                if is_wet {
                    let from = angle_rad(step.saturating_sub(1));
                    return Some(self.crossing(bearing, from.min(lean_rad), lean_rad));
                }
            }
            if lean_rad >= limit_rad {
                return None;
            }
            step += 1;
        }
    }

    fn crossing(&self, bearing: usize, from_rad: f64, to_rad: f64) -> f64 {
        let span = to_rad - from_rad;
        let start = self.spare(bearing, from_rad);
        let found = first_below(
            (start, ()),
            [span, span],
            [ANGLE_WITHIN_RAD, VOLUME_WITHIN],
            |further, ()| {
                Ok::<_, std::convert::Infallible>((self.spare(bearing, from_rad + further), ()))
            },
        );
        match found {
            Ok(Some(crossing)) => from_rad + crossing.at,
            _ => to_rad,
        }
    }
}
