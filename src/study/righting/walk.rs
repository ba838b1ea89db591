//! A walk over heel or pitch from where a craft rests, and what it meets.
use rayon::prelude::*;

use super::super::shared::attitude::Lies;
use super::arms::{ArmCurve, ArmPoint, ArmSide, FloodPoint, TurnsOver, Vanishing};
use crate::boat::Boat;
use crate::equilibrium::{Craft, EquilibriumError, Lean, Leaned, Rest, Sills, lean_to};
use crate::numerics::{STANDARD_GRAVITY_M_S2, first_below};

/// How near an angle at which the arm vanishes or a sill is awash is found, rad: 6e-8°.
const ANGLE_WITHIN_RAD: f64 = 1e-9;
/// How near the angle at which the craft jumps is found, rad: 6e-5°. With an arm of
/// 0.1 m its work is right to 1e-7 m of lift.
const JUMP_WITHIN_RAD: f64 = 1e-6;
/// Looks beside the rest besides the points, deg: what ends before the first point is
/// seen.
const NEAR_REST_DEG: [f64; 3] = [0.05, 0.2, 0.8];
/// How near to the water the sill is brought, m, and to nought the arm: what stops the
/// search before the angle does.
const HEIGHT_WITHIN_M: f64 = 1e-12;
const ARM_WITHIN_M: f64 = 1e-13;
/// A tilt across that changes by more than this from one point to the next is looked
/// at closer: it follows, or it jumps, rad (5°).
const JUMP_RAD: f64 = 5.0 * std::f64::consts::PI / 180.0;
/// A craft whose tilt across changes without a drop of energy, as a share of volume
/// times size, rolls freely like a log: no jump. 0.006 J for 200 kg and 3 m.
const NO_DROP: f64 = 1e-6;
/// Arms smaller than this share of the craft's size are none: facets of a round hull
/// call up as much, 0.03 mm on 3 m.
const NO_ARM: f64 = 1e-5;
/// Arms nearer to nought than this, m, are nought to rounding.
const ROUNDING_M: f64 = 1e-9;
/// So far from rest a craft balances turned over, rad (160°): a self-righting hull that
/// is not quite the same port and starboard does so a little off half a turn. A side of
/// the heel is followed at least so far.
const TURNED_OVER_RAD: f64 = 160.0 * std::f64::consts::PI / 180.0;
const HALF_TURN_DEG: f64 = 180.0;
/// The vertical's share in the plane of the lean below which the lean of a craft
/// means nothing, as the heel of one that stands on end.
const LEAN_VANISHES: f64 = 0.1;

/// What a curve is walked over.
#[derive(Debug, Clone, Copy)]
pub(super) struct Over {
    pub(super) lean: Lean,
    /// Angle between two points and as far as they go, deg.
    pub(super) step_deg: f64,
    pub(super) to_deg: f64,
    /// Names of the positive and the negative side.
    pub(super) sides: [&'static str; 2],
    /// Whether what is free is the heel.
    pub(super) heel_is_free: bool,
}

/// Where the curve is made from.
#[derive(Clone, Copy)]
pub(super) struct Turned<'a> {
    pub(super) boat: &'a Boat,
    /// Held upright.
    pub(super) upright: &'a Rest,
    pub(super) craft: &'a Craft,
    pub(super) sills: &'a Sills,
    pub(super) rest: &'a Rest,
}

/// One curve, walked outward from the rest to both sides at once.
pub(super) fn arm_curve(from: Turned<'_>, over: &Over) -> Result<ArmCurve, EquilibriumError> {
    let walk = Walk::of(from, over)?;
    let mut sides = [
        walk.side(1.0, over.sides[0])?,
        walk.side(-1.0, over.sides[1])?,
    ];
    let work = |side: &ArmSide| side.least_work_j().unwrap_or(f64::INFINITY);
    sides.sort_by(|a, b| work(a).total_cmp(&work(b)));
    let points = walk.points();
    Ok(ArmCurve {
        points,
        sides,
        turns_back_to_nought: walk.turns_back_to_nought(),
    })
}

/// A top of the energy, or where the craft jumps, between two neighbours of a walk.
#[derive(Debug, Clone, Copy)]
struct Summit {
    lean_rad: f64,
    energy_m4: f64,
}

/// The craft held at each angle.
struct Walk<'a> {
    from: Turned<'a>,
    over: &'a Over,
    /// By rising angle, the start among them.
    held: Vec<Leaned>,
    /// Where the craft jumps between each and the next, just before it does.
    jumps: Vec<Option<Summit>>,
    /// The tops of the energy between each and the next.
    summits: Vec<Option<Summit>>,
    /// Number of the start.
    start: usize,
}

impl<'a> Walk<'a> {
    fn of(from: Turned<'a>, over: &'a Over) -> Result<Self, EquilibriumError> {
        let start = start(from, over)?;
        let (above, below) = (
            outward(start.lean_rad, over, 1.0),
            outward(start.lean_rad, over, -1.0),
        );
        let go = |angles: &[f64]| {
            let mut near = start.clone();
            let mut line = Vec::new();
            for &angle in angles {
                let (held, jump) = follow(from, &over.lean, &near, angle)?;
                line.push((held.clone(), jump));
                near = held;
            }
            Ok::<_, EquilibriumError>(line)
        };
        let (up, down) = rayon::join(|| go(&above), || go(&below));
        let (up, mut down) = (up?, down?);
        down.reverse();
        let mut held = Vec::new();
        let mut jumps = Vec::new();
        for (leaned, jump) in down {
            held.push(leaned);
            jumps.push(jump);
        }
        let number = held.len();
        held.push(start);
        for (leaned, jump) in up {
            held.push(leaned);
            jumps.push(jump);
        }
        let mut walk = Self {
            from,
            over,
            held,
            jumps,
            summits: Vec::new(),
            start: number,
        };
        walk.summits = (0..walk.jumps.len())
            .into_par_iter()
            .map(|pair| walk.summit(pair))
            .collect::<Result<_, _>>()?;
        Ok(walk)
    }

    /// Where the arm turns from positive to negative between a point and the next, or
    /// at the next.
    fn summit(&self, pair: usize) -> Result<Option<Summit>, EquilibriumError> {
        let (here, next) = (&self.held[pair], &self.held[pair + 1]);
        if here.arm_m <= ROUNDING_M || self.jumps[pair].is_some() {
            return Ok(None);
        }
        if next.arm_m < -ROUNDING_M {
            return self.zero(here, next, 1.0);
        }
        let is_level = |leaned: &&Leaned| leaned.arm_m.abs() <= ROUNDING_M;
        let past = self.held[pair + 1..]
            .iter()
            .find(|leaned| !is_level(leaned));
        let is_top = is_level(&next) && past.is_some_and(|past| past.arm_m < 0.0);
        Ok(is_top.then_some(Summit {
            lean_rad: next.lean_rad,
            energy_m4: next.rest.energy_m4,
        }))
    }

    /// Where the arm, times a sign, falls to nought on the way from one point to
    /// another.
    fn zero(
        &self,
        here: &Leaned,
        there: &Leaned,
        sign: f64,
    ) -> Result<Option<Summit>, EquilibriumError> {
        let found = self.first(here, there, ARM_WITHIN_M, |leaned| sign * leaned.arm_m)?;
        Ok(found.map(|leaned| Summit {
            lean_rad: leaned.lean_rad,
            energy_m4: leaned.rest.energy_m4,
        }))
    }

    /// Where a margin, over nought at one point and under it at another, is nought.
    fn first(
        &self,
        here: &Leaned,
        there: &Leaned,
        within: f64,
        margin: impl Fn(&Leaned) -> f64,
    ) -> Result<Option<Leaned>, EquilibriumError> {
        let way = there.lean_rad - here.lean_rad;
        let found = first_below(
            (margin(here), here.clone()),
            [way.abs(); 2],
            [ANGLE_WITHIN_RAD, within],
            |further, near: &Leaned| {
                let angle = here.lean_rad + way.signum() * further;
                let leaned = lean_to(self.from.craft, &self.over.lean, angle, &near.rest)?;
                Ok::<_, EquilibriumError>((margin(&leaned), leaned))
            },
        )?;
        Ok(found.map(|found| found.state))
    }

    fn points(&self) -> Vec<ArmPoint> {
        let last = self.held.len();
        let jumps_to = |number: usize| {
            let (low, high) = (number.min(self.start), number.max(self.start));
            self.jumps[low..high].iter().flatten().count()
        };
        let step_rad = self.over.step_deg.to_radians();
        let end_rad = self.over.to_deg.to_radians() + ANGLE_WITHIN_RAD;
        let is_point = |number: &usize| {
            let lean_rad = self.held[*number].lean_rad;
            let off = lean_rad - (lean_rad / step_rad).round() * step_rad;
            off.abs() < ANGLE_WITHIN_RAD && lean_rad.abs() <= end_rad
        };
        (0..last)
            .filter(is_point)
            .map(|number| {
                let leaned = &self.held[number];
                let plane = leaned.rest.plane();
                let sill = self.from.sills.lowest(plane).map(|sill| sill.height_m);
                ArmPoint {
                    angle_deg: (leaned.lean_rad / step_rad).round() * self.over.step_deg + 0.0,
                    arm_m: leaned.arm_m,
                    across_deg: if self.over.heel_is_free {
                        plane.heel_deg()
                    } else {
                        leaned.across_rad.to_degrees()
                    },
                    sill_m: sill,
                    dry: sill.is_none_or(|height| height > 0.0),
                    jumps: jumps_to(number),
                }
            })
            .collect()
    }

    /// The number after one, outward on a side.
    fn next(&self, number: usize, sign: f64) -> Option<usize> {
        let next = if sign > 0.0 {
            number.checked_add(1)?
        } else {
            number.checked_sub(1)?
        };
        (next < self.held.len()).then_some(next)
    }

    fn jump(&self, number: usize, next: usize) -> Option<Summit> {
        self.jumps[number.min(next)]
    }

    /// Work from rest to one of the points, the greatest on the way, m⁴.
    fn work_m4(&self, to: usize) -> f64 {
        let (low, high) = (to.min(self.start), to.max(self.start));
        let held = self.held[low..=high].iter().map(|l| l.rest.energy_m4);
        let summits = self.summits[low..high].iter().flatten();
        let jumps = self.jumps[low..high].iter().flatten();
        let tops = held.chain(summits.chain(jumps).map(|summit| summit.energy_m4));
        let top = tops.fold(f64::NEG_INFINITY, f64::max);
        (top - self.from.rest.energy_m4).max(0.0)
    }

    fn joules(&self, work_m4: f64) -> f64 {
        work_m4 * self.from.craft.density_kg_m3 * STANDARD_GRAVITY_M_S2
    }

    fn side(&self, sign: f64, name: &str) -> Result<ArmSide, EquilibriumError> {
        let no_arm_m = self.no_arm_m();
        let arm = |number: usize| sign * self.held[number].arm_m;
        let mut largest: Option<usize> = None;
        let mut rolls_over = None;
        let mut ends = None;
        let mut here = Some(self.start);
        while let Some(number) = here {
            if arm(number) > largest.map_or(no_arm_m, arm) {
                largest = Some(number);
            }
            here = self.next(number, sign);
            let Some(next) = here else { break };
            if let Some(jump) = self.jump(number, next) {
                rolls_over = Some(jump.lean_rad);
                if largest.is_some() {
                    ends = Some((jump.lean_rad, self.work_m4(next)));
                }
                break;
            }
            if largest.is_some() && arm(next) < -ROUNDING_M && !self.comes_round(next, sign) {
                let zero = self.zero(&self.held[number], &self.held[next], sign)?;
                let rest = self.settled_energy_m4();
                ends = zero.map(|zero| {
                    let top = (zero.energy_m4 - rest).max(self.work_m4(number));
                    (zero.lean_rad, top)
                });
                break;
            }
        }
        Ok(ArmSide {
            side: name.to_owned(),
            largest_arm_m: largest.map(arm),
            largest_arm_at_deg: largest.map(|l| wrapped_deg(self.held[l].lean_rad)),
            vanishing: match (largest, ends) {
                (None, _) => Vanishing::NeverPositive,
                (Some(_), None) => Vanishing::NeverVanishes,
                (Some(_), Some((angle, work))) => Vanishing::At {
                    angle_deg: wrapped_deg(angle),
                    work_j: self.joules(work),
                },
            },
            turns_over: self.turns_over(sign),
            rolls_over_deg: rolls_over.map(wrapped_deg),
            first_sill: self.first_sill(sign)?,
        })
    }

    /// The top of the energy past which the craft does not balance again with the side up
    /// that is up at rest.
    fn turns_over(&self, sign: f64) -> Option<TurnsOver> {
        let side_up = |rest: &Rest| Lies::at(&rest.plane().up);
        let lies = side_up(self.from.rest);
        let mut top = None;
        let mut number = self.start;
        let over = |number: usize, top: Option<f64>| {
            let elsewhere = side_up(&self.held[number].rest) != lies;
            top.filter(|_| elsewhere).map(|lean_rad| TurnsOver {
                angle_deg: wrapped_deg(lean_rad),
                work_j: self.joules(self.work_m4(number)),
            })
        };
        while let Some(next) = self.next(number, sign) {
            let pair = number.min(next);
            let passed = self.jumps[pair].or(self.summits[pair]);
            top = passed.map(|passed| passed.lean_rad).or(top);
            let arm = |number: usize| sign * self.held[number].arm_m;
            if top.is_some() && arm(number) < -ROUNDING_M && arm(next) >= -ROUNDING_M {
                if let Some(over) = over(next, top) {
                    return Some(over);
                }
                top = None;
            }
            number = next;
        }
        over(number, top)
    }

    /// Whether the arm turns at the balance point half a turn off only, and the craft pushed
    /// past it goes on round and back to rest by the other side.
    fn comes_round(&self, from: usize, sign: f64) -> bool {
        let from_rest = self.held[from].lean_rad - self.held[self.start].lean_rad;
        let turned_over = sign * from_rest >= TURNED_OVER_RAD;
        let goes_on = |leaned: &Leaned| sign * leaned.arm_m < ROUNDING_M;
        let round = if sign > 0.0 {
            self.held[from..].iter().chain(&self.held[..self.start])
        } else {
            self.held[..=from]
                .iter()
                .chain(&self.held[self.start + 1..])
        };
        turned_over && self.jumps.iter().all(Option::is_none) && round.into_iter().all(goes_on)
    }

    fn settled_energy_m4(&self) -> f64 {
        self.from.rest.energy_m4
    }

    /// Arms smaller than this are none, m.
    fn no_arm_m(&self) -> f64 {
        let (lo, hi) = self.from.boat.hull_box_m;
        NO_ARM * (hi - lo).max()
    }

    /// Whether an arm turns the craft back to nought on either side, before it comes to
    /// where it rests or jumps.
    fn turns_back_to_nought(&self) -> bool {
        let turns_back = |sign: f64| {
            let past = |leaned: &Leaned| sign * leaned.lean_rad > -ANGLE_WITHIN_RAD;
            let mut here = if sign > 0.0 {
                self.held.iter().position(past)
            } else {
                self.held.iter().rposition(past)
            };
            while let Some(number) = here {
                if sign * self.held[number].arm_m > self.no_arm_m() {
                    return true;
                }
                here = self
                    .next(number, sign)
                    .filter(|&next| number != self.start && self.jump(number, next).is_none());
            }
            false
        };
        turns_back(1.0) || turns_back(-1.0)
    }

    /// The first sill awash on the way out from where the craft lies.
    fn first_sill(&self, sign: f64) -> Result<Option<FloodPoint>, EquilibriumError> {
        let sills = self.from.sills;
        let height = |leaned: &Leaned| sills.height_m(leaned.rest.plane());
        let flood = |leaned: &Leaned, lean_rad: f64, work_m4: f64, turns_over_first| {
            let sill = sills.lowest(leaned.rest.plane())?;
            Some(FloodPoint {
                opening: self.from.boat.openings[sill.opening].name.clone(),
                angle_deg: wrapped_deg(lean_rad),
                work_j: self.joules(work_m4),
                turns_over_first,
            })
        };
        let start = &self.held[self.start];
        if sills.height_m(self.from.rest.plane()) <= 0.0 {
            let at_rest = Leaned {
                rest: self.from.rest.clone(),
                ..start.clone()
            };
            return Ok(flood(&at_rest, start.lean_rad, 0.0, false));
        }
        if height(start) <= 0.0 {
            return Ok(flood(start, start.lean_rad, 0.0, false));
        }
        let mut over = false;
        let mut number = self.start;
        while let Some(next) = self.next(number, sign) {
            let (here, there) = (&self.held[number], &self.held[next]);
            if height(here) > 0.0 && height(there) <= 0.0 {
                if let Some(jump) = self.jump(number, next) {
                    return Ok(flood(there, jump.lean_rad, self.work_m4(next), true));
                }
                let so_far = self.work_m4(number);
                let Some(found) = self.first(here, there, HEIGHT_WITHIN_M, height)? else {
                    return Ok(None);
                };
                let summit = self.summits[number.min(next)]
                    .filter(|top| sign * top.lean_rad < sign * found.lean_rad);
                let top = summit.map_or(found.rest.energy_m4, |summit| summit.energy_m4);
                let work = so_far.max(top - self.settled_energy_m4());
                let over = over || summit.is_some();
                return Ok(flood(&found, found.lean_rad, work, over));
            }
            let pair = number.min(next);
            over |= self.jumps[pair].is_some() || self.summits[pair].is_some();
            number = next;
        }
        Ok(None)
    }
}

/// The angles a walk is held at, outward from a start to a side, rad.
fn outward(start_rad: f64, over: &Over, sign: f64) -> Vec<f64> {
    let step_rad = over.step_deg.to_radians();
    let mut end_rad = over.to_deg.to_radians();
    let goes_round = over.to_deg >= HALF_TURN_DEG;
    if goes_round && end_rad - sign * start_rad < TURNED_OVER_RAD {
        end_rad += sign * start_rad;
    }
    let near = NEAR_REST_DEG.map(|deg| sign * start_rad + deg.to_radians());
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a whole number of steps, below a thousand"
    )]
    let steps = (2.0 * end_rad / step_rad).round() as i32;
    let points = (-steps..=steps).map(|step| f64::from(step) * step_rad);
    let mut angles: Vec<f64> = points
        .chain(near)
        .filter(|out| {
            *out > sign * start_rad + ANGLE_WITHIN_RAD && *out <= end_rad + ANGLE_WITHIN_RAD
        })
        .collect();
    angles.sort_by(f64::total_cmp);
    angles.dedup_by(|a, b| (*a - *b).abs() < ANGLE_WITHIN_RAD);
    angles.into_iter().map(|out| sign * out).collect()
}

/// An angle as −180° to 180°.
fn wrapped_deg(angle_rad: f64) -> f64 {
    let deg = angle_rad.to_degrees();
    if deg.abs() <= HALF_TURN_DEG {
        // Nought has no sign.
        deg + 0.0
    } else {
        deg - 2.0 * HALF_TURN_DEG * deg.signum()
    }
}

/// Where the walk begins: at rest, where its lean means something and the curve
/// reaches so far; else held upright.
fn start(from: Turned<'_>, over: &Over) -> Result<Leaned, EquilibriumError> {
    let lean_of = |rest: &Rest| {
        let (lean_rad, share) = over.lean.lean_of(&rest.plane().up);
        let is_there =
            share > LEAN_VANISHES && lean_rad.abs() <= over.to_deg.to_radians() + ANGLE_WITHIN_RAD;
        is_there.then_some(lean_rad)
    };
    let at = |rest: &Rest| {
        let lean_rad = lean_of(rest)?;
        Some(Leaned::at_rest(from.craft, &over.lean, lean_rad, rest))
    };
    if let Some(start) = at(from.rest) {
        return Ok(start);
    }
    let upright = from.upright;
    at(upright).map_or_else(|| lean_to(from.craft, &over.lean, 0.0, upright), Ok)
}

/// Leans a held craft on to an angle, in steps that halve where the tilt across
/// changes fast. Where it jumps all the same, with a drop of energy, where it does is
/// given, and the craft as it is past it.
fn follow(
    from: Turned<'_>,
    lean: &Lean,
    near: &Leaned,
    to_rad: f64,
) -> Result<(Leaned, Option<Summit>), EquilibriumError> {
    let volume_m3 = from.craft.volume_to_displace_m3();
    let (lo, hi) = from.boat.hull_box_m;
    let no_drop_m4 = NO_DROP * volume_m3 * (hi - lo).max();
    let follows = |here: &Leaned, there: &Leaned| {
        let (sin, cos) = (there.across_rad - here.across_rad).sin_cos();
        let area = (here.arm_m + there.arm_m) / 2.0 * (there.lean_rad - here.lean_rad);
        let drop = here.rest.energy_m4 + area * volume_m3 - there.rest.energy_m4;
        sin.atan2(cos).abs() <= JUMP_RAD || drop.abs() <= no_drop_m4
    };
    let mut here = near.clone();
    let mut span = to_rad - near.lean_rad;
    let mut landed: Option<Leaned> = None;
    while here.lean_rad != to_rad {
        let left = to_rad - here.lean_rad;
        let next = if left.abs() <= span.abs() {
            to_rad
        } else {
            here.lean_rad + span
        };
        let tried = (next - here.lean_rad).abs();
        match lean_to(from.craft, lean, next, &here.rest) {
            Ok(there) if follows(&here, &there) => {
                here = there;
                span *= 2.0;
                continue;
            }
            Ok(there) => landed = Some(there),
            // At the end of the rests the search may not settle.
            Err(EquilibriumError::NotConverged { .. }) if tried > JUMP_WITHIN_RAD => {}
            Err(error) if landed.is_none() => return Err(error),
            Err(_) => {}
        }
        if let Some(past) = landed.take_if(|_| tried <= JUMP_WITHIN_RAD) {
            let there = lean_to(from.craft, lean, to_rad, &past.rest)?;
            let jump = Summit {
                lean_rad: here.lean_rad,
                energy_m4: here.rest.energy_m4,
            };
            return Ok((there, Some(jump)));
        }
        span = (next - here.lean_rad) / 2.0;
    }
    Ok((here, None))
}
