//! Loads and lifts that grow until an opening is awash or the craft turns over.
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use super::super::shared::attitude::Lies;
use super::super::shared::deck::Deck;
use super::super::shared::hydrostatics::coordinates;
use super::Study;
use crate::equilibrium::{Craft, EquilibriumError, Hold, Rest, angle, find_rest_from, other_side};
use crate::immersion::WaterPlane;
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3, first_below, least_and_most};

/// Share of the mass by which a lift or load grows between two looks.
const LOAD_STEP: f64 = 0.02;
/// Most load tried, as a share of the mass.
const LOAD_LIMIT: f64 = 20.0;
/// How near a load is found, as a share of the mass, and the sill to the
/// water, m.
const LOAD_WITHIN: f64 = 1e-7;
const HEIGHT_WITHIN_M: f64 = 1e-6;
/// The craft that turns by more than this, rad (5°), from one look to the next is
/// looked at halfway: it follows the load, or else the attitudes in which it can
/// rest end there and it goes over.
const FOLLOWS_WITHIN_RAD: f64 = 5.0 * std::f64::consts::PI / 180.0;
/// A turn of more than this, rad (¼°), at a pace so many times that of the step before
/// may be the beginning of a loll, which has another side.
const FORK_TURN_RAD: f64 = 0.25 * std::f64::consts::PI / 180.0;
const FORK_PACE: f64 = 3.0;
/// Most ways followed for one load.
const MOST_BRANCHES: usize = 6;
/// Places along and across the craft's box at which a load is tried.
const DECK_ALONG: u8 = 9;
const DECK_ACROSS: u8 = 5;
/// Height over the hull's lowest point at which a load is put, m: about a
/// seated person's centre. Our own, no source.
const LOAD_HEIGHT_M: f64 = 0.3;
/// Share of the length at either end within which the end's middle is sought.
const END_SHARE: f64 = 0.02;

/// What ends a load or a lift that grows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LoadEnd {
    /// A sill comes to the water.
    Awash,
    /// The craft turns over, every sill dry until then: with any more there is no
    /// attitude near by in which it rests. With nothing at all where it has
    /// capsized without a load.
    TurnsOver,
    /// Nothing: every sill stays dry until the craft is loaded with twenty times
    /// itself or has no buoyancy left, or is lifted out of the water.
    StaysDry,
    /// No rest was found past there.
    NoRest,
}

/// A push up at one place until a sill is awash or the craft turns over.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct LiftLine {
    /// Where the edge is: "bow", "stern", "port side", "starboard side".
    pub name: String,
    /// The place, m.
    pub at_m: [f64; 3],
    /// What ends it.
    pub end: LoadEnd,
    /// The push there, N; `None` when the craft leaves the water with every sill
    /// dry.
    pub force_n: Option<f64>,
    /// How far that place has come up by then, m.
    pub raised_m: Option<f64>,
    /// The opening that is awash; `None` where the craft turns over first.
    pub opening: Option<String>,
}

/// The greatest extra mass at one place.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct LoadLine {
    /// The place, m.
    pub at_m: [f64; 3],
    /// What ends it.
    pub end: LoadEnd,
    /// The mass at which the first sill is awash or the craft turns over, kg;
    /// `None` where neither comes about.
    pub mass_kg: Option<f64>,
    /// The opening that is awash; `None` where the craft turns over first.
    pub opening: Option<String>,
}

/// How far something that grows from nought was followed.
#[derive(Debug, Clone)]
pub(super) struct Followed {
    pub(super) end: LoadEnd,
    /// The last place at which the craft rested, or that at which the sill is awash.
    pub(super) at: f64,
    /// The craft there.
    pub(super) rest: Rest,
    /// The craft as it lay before anything grew.
    pub(super) from: WaterPlane,
}

/// The way from where the craft rests, and the others that it may take.
pub(super) type Ways = (Followed, Vec<Followed>);

/// One of the ways that a craft may take while something grows.
struct Branch {
    /// Where it begins.
    at: f64,
    /// A rest on it, there or a step further.
    near: Rest,
    /// Height of the lowest sill where it begins, m.
    height_m: f64,
    /// How the craft lay before anything grew.
    from: WaterPlane,
}

impl Branch {
    fn ended(&self, end: LoadEnd, at: f64, rest: &Rest) -> Followed {
        Followed {
            end,
            at,
            rest: rest.clone(),
            from: self.from,
        }
    }

    /// One that parts from it.
    fn parted(&self, at: f64, near: Rest, height_m: f64) -> Self {
        let from = self.from;
        Self {
            at,
            near,
            height_m,
            from,
        }
    }
}

impl Followed {
    /// The place, where something came about there.
    fn at_end(&self) -> Option<f64> {
        matches!(self.end, LoadEnd::Awash | LoadEnd::TurnsOver).then_some(self.at)
    }
}

impl Study<'_> {
    pub(super) fn lift(&self) -> Result<Vec<LiftLine>, EquilibriumError> {
        let (lo, hi) = self.boat.hull_box_m;
        let middle = (lo + hi) / 2.0;
        let base = self.boat.marks.base_z_m;
        [
            ("bow", Vec3::new(hi.x, self.middle_of_end(hi.x), base)),
            ("stern", Vec3::new(lo.x, self.middle_of_end(lo.x), base)),
            ("port side", Vec3::new(middle.x, hi.y, base)),
            ("starboard side", Vec3::new(middle.x, lo.y, base)),
        ]
        .into_par_iter()
        .map(|(name, at)| {
            let found = lesser(self.loaded(&at, -1.0, 1.0 - LOAD_STEP)?);
            let weight_n = self.craft.mass_kg * STANDARD_GRAVITY_M_S2;
            let at_end = found.at_end();
            let risen = found.rest.plane().height_m(&at) - found.from.height_m(&at);
            Ok(LiftLine {
                name: name.to_owned(),
                at_m: coordinates(at),
                end: found.end,
                force_n: at_end.map(|share| share * weight_n),
                raised_m: at_end.map(|_| risen),
                opening: self.awash(&found),
            })
        })
        .collect()
    }

    /// The middle between port and starboard of one end of the hull.
    fn middle_of_end(&self, end_x: f64) -> f64 {
        let (lo, hi) = self.boat.hull_box_m;
        let within = END_SHARE * (hi.x - lo.x);
        let corners = self.boat.envelope.surface.vertices.iter();
        let across = corners.filter(|v| (v.x - end_x).abs() <= within);
        let (low, high) = least_and_most(across.map(|v| v.y));
        if low <= high {
            f64::midpoint(low, high)
        } else {
            f64::midpoint(lo.y, hi.y)
        }
    }

    /// The places of the grid that lie on the craft, seen from above.
    pub(super) fn load(&self) -> Result<Vec<LoadLine>, EquilibriumError> {
        let deck = Deck::of(self.boat);
        let size = deck.high - deck.low;
        let share = |step: u8, steps: u8| (f64::from(step) + 0.5) / f64::from(steps);
        let places: Vec<Vec3> = (0..DECK_ALONG)
            .flat_map(|i| (0..DECK_ACROSS).map(move |j| (i, j)))
            .map(|(i, j)| {
                Vec3::new(
                    deck.low.x + size.x * share(i, DECK_ALONG),
                    deck.low.y + size.y * share(j, DECK_ACROSS),
                    self.boat.marks.base_z_m + LOAD_HEIGHT_M,
                )
            })
            .collect();
        places
            .into_par_iter()
            .filter(|at| deck.top_m(at.x, at.y).is_some())
            .map(|at| {
                let (end, mass_kg, opening) = self.greatest_load(&at)?;
                Ok(LoadLine {
                    at_m: coordinates(at),
                    end,
                    mass_kg,
                    opening,
                })
            })
            .collect()
    }

    /// The greatest extra mass at a place: what ends it, kg, and the opening that
    /// is awash.
    pub(super) fn greatest_load(
        &self,
        at: &Vec3,
    ) -> Result<(LoadEnd, Option<f64>, Option<String>), EquilibriumError> {
        let capacity_kg = self.craft.displacers.volume_m3() * self.craft.density_kg_m3;
        let spare = (capacity_kg - self.craft.total_mass_kg()) / self.craft.mass_kg;
        let limit = LOAD_LIMIT.min(spare * (1.0 - LOAD_WITHIN));
        let found = lesser(self.loaded(at, 1.0, limit)?);
        let mass_kg = found.at_end().map(|share| share * self.craft.mass_kg);
        Ok((found.end, mass_kg, self.awash(&found)))
    }

    fn awash(&self, found: &Followed) -> Option<String> {
        let sill = self.sills.lowest(found.rest.plane())?;
        (found.end == LoadEnd::Awash).then(|| self.opening(sill.opening))
    }

    /// Adds mass at a place (takes it away with the sign −1: a push up), in shares
    /// of the craft's mass, until the first sill is awash or the craft turns over.
    fn loaded(&self, at: &Vec3, sign: f64, limit: f64) -> Result<Ways, EquilibriumError> {
        self.followed([LOAD_STEP, limit], true, |share| {
            let load_kg = sign * share * self.craft.mass_kg;
            let mass_kg = self.craft.mass_kg + load_kg;
            let moment = self.craft.centre_of_gravity_m * self.craft.mass_kg + at * load_kg;
            Craft {
                mass_kg,
                centre_of_gravity_m: moment / mass_kg,
                ..self.craft.clone()
            }
        })
    }

    /// Follows the craft's rest while something grows from nought to a limit, in
    /// steps that halve where the craft turns fast, until the rests end (they fold
    /// back: past there the craft goes over to somewhere else) or, where that is
    /// asked, a sill is awash.
    ///
    /// One that lolls may lie on either side, and one may begin to loll on the way: every
    /// such way is followed, that from where it rests first.
    pub(super) fn followed(
        &self,
        [step, limit]: [f64; 2],
        stop_awash: bool,
        craft_at: impl Fn(f64) -> Craft,
    ) -> Result<Ways, EquilibriumError> {
        let from = |rest: &Rest| Branch {
            at: 0.0,
            near: rest.clone(),
            height_m: self.sills.height_m(rest.plane()),
            from: *rest.plane(),
        };
        if self.lies.is_capsized() {
            let lying = Followed {
                end: LoadEnd::TurnsOver,
                at: 0.0,
                rest: self.rest.clone(),
                from: *self.rest.plane(),
            };
            return Ok((lying, Vec::new()));
        }
        let follow = |branch: &Branch, forks: &mut Vec<Branch>| {
            self.followed_on(branch, [step, limit], stop_awash, &craft_at, forks)
        };
        let other = self.other.map(from);
        let mut branches: Vec<Branch> = other
            .into_iter()
            .filter(|branch| !Lies::at(&branch.from.up).is_capsized())
            .collect();
        let first = follow(&from(self.rest), &mut branches)?;
        let mut others = Vec::new();
        while let Some(branch) = branches.pop() {
            let mut forks = Vec::new();
            others.push(follow(&branch, &mut forks)?);
            if others.len() + branches.len() + forks.len() < MOST_BRANCHES {
                branches.append(&mut forks);
            }
        }
        Ok((first, others))
    }

    /// Follows one branch; `forks` gets those that part from it.
    fn followed_on(
        &self,
        branch: &Branch,
        [step, limit]: [f64; 2],
        stop_awash: bool,
        craft_at: &impl Fn(f64) -> Craft,
        forks: &mut Vec<Branch>,
    ) -> Result<Followed, EquilibriumError> {
        let ended = |end, at, rest: &Rest| branch.ended(end, at, rest);
        if stop_awash && branch.height_m <= 0.0 {
            return Ok(ended(LoadEnd::Awash, branch.at, &branch.near));
        }
        let look = |at: f64, near: &Rest| {
            let rest = find_rest_from(&craft_at(at), near.plane(), Hold::Nothing)?;
            Ok::<_, EquilibriumError>((self.sills.height_m(rest.plane()), rest))
        };
        let mut low = branch.at;
        let (mut height_m, mut rest) = (branch.height_m, branch.near.clone());
        let mut stride = step;
        let mut pace = 0.0;
        while low < limit {
            let next = (low + stride).min(limit);
            let (there, end) = match look(next, &rest) {
                Ok(there) => (Some(there), LoadEnd::TurnsOver),
                Err(EquilibriumError::NotConverged { .. }) => (None, LoadEnd::NoRest),
                Err(other) => return Err(other),
            };
            let is_last = next - low <= LOAD_WITHIN;
            match there {
                Some((margin, there)) if turned(&rest, &there) <= FOLLOWS_WITHIN_RAD => {
                    if stop_awash && margin < 0.0 {
                        let span = next - low;
                        let found = first_below(
                            (height_m, rest.clone()),
                            [span, span],
                            [LOAD_WITHIN, HEIGHT_WITHIN_M],
                            |further, near: &Rest| look(low + further, near),
                        )?;
                        return Ok(match found {
                            Some(found) => ended(LoadEnd::Awash, low + found.at, &found.state),
                            None => ended(LoadEnd::Awash, low, &rest),
                        });
                    }
                    let turned_rad = turned(&rest, &there);
                    let new_pace = turned_rad / (next - low);
                    if turned_rad > FORK_TURN_RAD && new_pace > FORK_PACE * pace {
                        let other = other_side(&craft_at(next), &there, &rest.plane().up)?;
                        let apart = other.filter(|other| turned(other, &there) > turned_rad);
                        forks.extend(apart.map(|near| branch.parted(low, near, height_m)));
                    }
                    pace = new_pace;
                    (low, height_m, rest) = (next, margin, there);
                    stride = (2.0 * stride).min(step);
                }
                // It falls into another loll, and lies there with the same side up.
                Some((margin, there)) if is_last && !Lies::at(&there.plane().up).is_capsized() => {
                    if stop_awash && margin < 0.0 {
                        return Ok(ended(LoadEnd::Awash, next, &there));
                    }
                    (low, height_m, rest) = (next, margin, there);
                    stride = step;
                }
                _ if !is_last => stride = (next - low) / 2.0,
                _ if end == LoadEnd::TurnsOver => return Ok(ended(end, low, &rest)),
                // The search does not settle where rests end or part: what is past it?
                _ => match look((low + step).min(limit), &rest) {
                    Ok((_, there)) if turned(&rest, &there) > FOLLOWS_WITHIN_RAD => {
                        return Ok(ended(LoadEnd::TurnsOver, low, &rest));
                    }
                    _ => return Ok(ended(LoadEnd::NoRest, low, &rest)),
                },
            }
        }
        Ok(ended(LoadEnd::StaysDry, limit.max(0.0), &rest))
    }
}

/// The way on which something comes about soonest.
fn lesser((first, others): Ways) -> Followed {
    let soon = |way: &Followed| match way.end {
        LoadEnd::StaysDry => f64::INFINITY,
        _ => way.at,
    };
    others
        .into_iter()
        .fold(first, |a, b| if soon(&b) < soon(&a) { b } else { a })
}

/// How far one rest is turned from another, rad.
fn turned(here: &Rest, there: &Rest) -> f64 {
    angle(&here.plane().up, &there.plane().up)
}
