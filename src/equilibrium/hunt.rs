//! The search for one opening's knock: from the places that seem cheapest, corner by corner.
use super::brim::{Brim, Foretold, Low};
use super::knock::{Crossed, Knock, KnockState, Way};
use super::landscape::{Landscape, angle, between};
use super::rest::{Hold, Rest, find_rest_from};
use super::sphere::SphereMap;
use crate::immersion::WaterPlane;
use crate::numerics::{Look, Vec3, rising_root};

/// Starts tried in the rest's own basin and in each beyond a pass.
const STARTS_AT_HOME: usize = 4;
const STARTS_BEYOND: usize = 2;
/// Starts nearer to each other than this, rad of `w`, and with corners nearer than this
/// share of the rim's extent, are one.
const APART: f64 = 0.35;
const CORNERS_APART: f64 = 0.2;
/// Other corners are tried where the curvature foretells a work within this share of the
/// least so far.
const NEARLY: f64 = 0.05;
/// What is foretold of a craft nearly the same is believed but for this share of what
/// changed: what it leaves out is of the third order.
const BELIEVED_CHANGE: f64 = 0.5;
/// Most corners tried after a minimum.
const MOST_CORNERS: usize = 6;
/// Ways up to this share over the least are kept: for a craft nearly the same another
/// may be the least.
const KEPT_WITHIN: f64 = 0.25;
/// A known way is taken to lie in the basin it lay in where it moved no further than
/// this, rad of `w`, and its work is under this share of the lowest pass out of there;
/// else it is gone down to see.
const STAYS_WITHIN: f64 = 0.1;
const UNDER_PASS: f64 = 0.75;
/// Of ways that cost the same to this share, the one without a pass is told.
const SAME_WORK: f64 = 1e-6;
/// Corners looked at on each side of the one found: the nearest ones.
const NEIGHBOURS: usize = 4;
/// A sill this share of the size over the highest point of the hull stands clear of it.
const CLEAR_OF_HULL: f64 = 1e-5;
/// Halvings of the way down from a pass to find where a sill comes to the water.
const HALVINGS: usize = 40;
/// How near to the water that sill is brought, as a share of the size.
const AT_WATER: f64 = 1e-9;
/// Share of the volume within which levels are solved.
const VOLUME_WITHIN: f64 = 1e-6;

/// The search for one opening's knock.
pub(super) struct Hunt<'a> {
    pub(super) land: &'a Landscape<'a>,
    pub(super) brim: Brim<'a>,
    pub(super) opening: usize,
    pub(super) rest: &'a Rest,
    pub(super) map: &'a SphereMap,
    /// Number of the rest in the map.
    pub(super) home: usize,
}

/// A place where the sill is at the water or under it, beyond the passes to a rest.
#[derive(Clone)]
struct Found {
    low: Low,
    /// The rest whose basin it lies in.
    attitude: usize,
    /// Whether that is known by going down to it.
    followed: bool,
    cost_m4: f64,
}

impl<'a> Hunt<'a> {
    /// `None` for a rim without points.
    pub(super) fn new(
        land: &'a Landscape<'a>,
        opening: usize,
        rim: &'a [Vec3],
        rest: &'a Rest,
        map: &'a SphereMap,
    ) -> Option<Self> {
        Some(Self {
            brim: Brim::new(land, rim)?,
            land,
            opening,
            rest,
            map,
            home: map.number_of(rest),
        })
    }

    /// Energy of the lowest way from the rest to another of the map, m⁴.
    fn pass_m4(&self, attitude: usize) -> f64 {
        let floor = self.rest.energy_m4;
        match self.map.highest_pass(self.home, attitude) {
            Some(pass) => pass.energy_m4.max(floor),
            None if attitude == self.home => floor,
            None => f64::INFINITY,
        }
    }

    /// The lowest pass out of the rest over its energy, m⁴.
    fn lowest_pass_m4(&self) -> f64 {
        let others = (0..self.map.attitudes.len()).filter(|&other| other != self.home);
        let passes = others.map(|other| self.pass_m4(other));
        passes.fold(f64::INFINITY, f64::min) - self.rest.energy_m4
    }

    fn found(&self, low: Low, attitude: usize) -> Found {
        Found {
            cost_m4: low.energy_m4.max(self.pass_m4(attitude)),
            low,
            attitude,
            followed: false,
        }
    }

    fn is_awash_at_rest(&self) -> bool {
        let sill = self.brim.sill(self.opening, self.rest.plane());
        sill.height_m <= 0.0
    }

    pub(super) fn at_rest(&self) -> Option<Knock> {
        let sill = self.brim.sill(self.opening, self.rest.plane());
        self.is_awash_at_rest().then(|| Knock {
            state: KnockState::Reached,
            work_m4: 0.0,
            pass: None,
            sill,
            plane: *self.rest.plane(),
            pressed_under_m3: 0.0,
            under: self.rest.immersion,
            converged: true,
            kernel_calls: 0,
            lowest_pass_m4: self.lowest_pass_m4(),
            home: self.home,
            ways: vec![Way {
                up: self.rest.plane().up,
                attitude: self.home,
                followed: true,
                close: true,
            }],
        })
    }

    /// From the places of the map.
    pub(super) fn over_map(&self) -> Option<Knock> {
        if let Some(knock) = self.at_rest() {
            return Some(knock);
        }
        let mut order: Vec<usize> = (0..self.map.attitudes.len()).collect();
        order.sort_by(|&a, &b| self.pass_m4(a).total_cmp(&self.pass_m4(b)));
        let mut found: Vec<Found> = self.wet_rests();
        let mut bound = least_cost(&found);
        for attitude in order {
            // Nothing beyond a pass is cheaper than the pass.
            if self.pass_m4(attitude) >= bound {
                continue;
            }
            for up in self.starts(attitude) {
                let low = self.brim.least_from(&up);
                found.push(self.found(low, attitude));
                bound = bound.min(least_cost(&found));
            }
        }
        self.best_of(found)
    }

    /// From ways known for a craft nearly the same; `None` where one cannot be followed.
    pub(super) fn along(&self, known: &Knock, keep: impl Fn(&Way) -> bool) -> Option<Knock> {
        if let Some(knock) = self.at_rest() {
            return Some(knock);
        }
        if known.home != self.home {
            return None;
        }
        let mut found = self.wet_rests();
        for way in known.ways.iter().filter(|way| keep(way)) {
            let low = self.brim.least_from(&way.up);
            let mut there = self.found(low, way.attitude);
            if way.followed {
                if !self.stays(way, &there.low) {
                    return None;
                }
                there.followed = true;
            }
            found.push(there);
        }
        self.best_of(found)
    }

    /// Whether a way known for a craft nearly the same, now with its sill at the water
    /// at `low`, still lies in the basin of the same rest.
    fn stays(&self, way: &Way, low: &Low) -> bool {
        let floor = self.map.attitudes[way.attitude].rest.energy_m4;
        if low.wet {
            // Floating with the sill under: only in a rest that has it under.
            let rest = &self.map.attitudes[way.attitude].rest;
            return way.attitude != self.home && self.brim.at_rest(rest).is_some();
        }
        if low.energy_m4 < floor {
            return false;
        }
        if self.is_unmoved(way, low) && self.is_under_passes(way.attitude, low) {
            return true;
        }
        let spot = self.land.spot(&low.plane, VOLUME_WITHIN);
        let Ok(rest) = find_rest_from(self.land.craft, &spot.plane, Hold::Nothing) else {
            return false;
        };
        self.land.add_calls(rest.kernel_calls);
        self.map.number_known(&rest) == Some(way.attitude)
    }

    fn is_unmoved(&self, way: &Way, low: &Low) -> bool {
        let [was, is] = [&way.up, &low.plane.up].map(|up| self.land.stretched(up));
        angle(&was, &is) <= STAYS_WITHIN
    }

    /// Whether the energy is well under every pass out of a rest.
    fn is_under_passes(&self, attitude: usize, low: &Low) -> bool {
        let floor = self.map.attitudes[attitude].rest.energy_m4;
        let out = self
            .map
            .passes
            .iter()
            .filter(|pass| pass.between.contains(&attitude));
        let lowest = out.map(|pass| pass.energy_m4).fold(f64::INFINITY, f64::min);
        low.energy_m4 - floor < UNDER_PASS * (lowest - floor)
    }

    /// The other rests in which the sill lies under water.
    fn wet_rests(&self) -> Vec<Found> {
        let attitudes = self.map.attitudes.iter().enumerate();
        attitudes
            .filter(|(number, _)| *number != self.home)
            .filter_map(|(number, attitude)| {
                let low = self.brim.at_rest(&attitude.rest)?;
                let mut found = self.found(low, number);
                found.followed = true;
                Some(found)
            })
            .collect()
    }

    /// The places of a rest's basin that seem cheapest, apart from each other: by the
    /// energy there and half the waterplane's area times the square of the sill's height.
    fn starts(&self, attitude: usize) -> Vec<Vec3> {
        let most = if attitude == self.home {
            STARTS_AT_HOME
        } else {
            STARTS_BEYOND
        };
        let mut ranked: Vec<(f64, Vec3, Vec3)> = self
            .map
            .points
            .iter()
            .filter(|point| point.attitude == attitude)
            .map(|point| {
                let corner = self.brim.lowest(&point.plane.up);
                let gap = point.plane.height_m(&corner).max(0.0);
                let cost = point.energy_m4 + self.brim.pressing_m4(point.area_m2, gap);
                (cost, corner, point.plane.up)
            })
            .collect();
        ranked.sort_by(|a, b| a.0.total_cmp(&b.0));
        let apart_m = CORNERS_APART * self.brim.extent_m;
        let mut chosen: Vec<(Vec3, Vec3)> = Vec::new();
        for (_, corner, up) in ranked {
            if chosen.len() == most {
                break;
            }
            let w = self.land.stretched(&up);
            let is_new = |(other, there): &(Vec3, Vec3)| {
                angle(&self.land.stretched(there), &w) > APART || (corner - other).norm() > apart_m
            };
            if chosen.iter().all(is_new) {
                chosen.push((corner, up));
            }
        }
        chosen.into_iter().map(|(_, up)| up).collect()
    }

    /// The work of [`Self::along`], m⁴, by the ways alone that cross no pass, the map not
    /// followed: for a craft whose passes take far more. `None` where that is not sure.
    pub(super) fn work_at_home(&self, known: &Knock, foretold: Option<&Foretold>) -> Option<f64> {
        if self.is_awash_at_rest() {
            return Some(0.0);
        }
        let mut found = Vec::new();
        let at_home = |way: &&Way| way.close && way.attitude == self.home;
        for way in known.ways.iter().filter(at_home) {
            let is_foretold = way.up == known.plane.up;
            let from = foretold
                .filter(|_| is_foretold)
                .map_or(way.up, |told| told.up);
            let low = self.brim.least_from(&from);
            let in_basin = !low.wet
                && low.energy_m4 >= self.rest.energy_m4
                && self.is_unmoved(way, &low)
                && low.energy_m4 - self.rest.energy_m4 < UNDER_PASS * known.lowest_pass_m4;
            if !in_basin {
                return None;
            }
            let followed = true;
            found.push(Found {
                followed,
                ..self.found(low, way.attitude)
            });
        }
        if known.home != self.home {
            return None;
        }
        let (best, ..) = self.settled(found)?;
        Some((best.cost_m4 - self.rest.energy_m4).max(0.0))
    }

    /// What a known knock foretells of this craft's: its work, m⁴, no less than which it
    /// is taken to be, and where to look for it. `None` where that is not told.
    pub(super) fn foretold(&self, known: &Knock) -> Option<(f64, Foretold)> {
        if self.is_awash_at_rest() {
            return None;
        }
        let told = self.brim.foretold_near(&known.under)?;
        let work_m4 = told.energy_m4 - self.rest.energy_m4;
        let change_m4 = (work_m4 - known.work_m4).abs();
        let sure_m4 = work_m4 - BELIEVED_CHANGE * change_m4 - NEARLY * known.work_m4;
        Some((sure_m4, told))
    }

    /// The cheapest of the places found, once its corners are tried and its basin is
    /// known for certain.
    fn best_of(&self, found: Vec<Found>) -> Option<Knock> {
        let (way, found, converged) = self.settled(found)?;
        Some(self.knock_of(&way, &found, converged))
    }

    /// The same as a place, with all that were looked at, and whether it is converged.
    fn settled(&self, mut found: Vec<Found>) -> Option<(Found, Vec<Found>, bool)> {
        let mut converged = false;
        for _ in 0..4 * (found.len() + 1) {
            let best = self.cheapest(&found)?;
            if !found[best].followed {
                self.follow(&mut found[best]);
                continue;
            }
            let (better, sure) = self.other_corners(&found[best], &found);
            if let Some(better) = better {
                found.push(better);
                continue;
            }
            converged = sure;
            break;
        }
        let best = self.cheapest(&found)?;
        Some((found[best].clone(), found, converged))
    }

    /// The number of the cheapest; of equals, one in the rest's own basin.
    fn cheapest(&self, found: &[Found]) -> Option<usize> {
        let least = least_cost(found);
        let allowed = least + SAME_WORK * (least - self.rest.energy_m4).abs();
        (0..found.len())
            .filter(|&i| found[i].cost_m4 <= allowed)
            .min_by_key(|&i| found[i].attitude != self.home)
    }

    /// Goes down from a place to the rest that it drains to.
    fn follow(&self, way: &mut Found) {
        way.followed = true;
        let craft = self.land.craft;
        let spot = self.land.spot(&way.low.plane, VOLUME_WITHIN);
        if let Ok(rest) = find_rest_from(craft, &spot.plane, Hold::Nothing) {
            self.land.add_calls(rest.kernel_calls);
            way.attitude = self.map.number_of(&rest);
            way.cost_m4 = way.low.energy_m4.max(self.pass_m4(way.attitude));
        }
    }

    /// A cheaper place with another corner lowest, if there is one, and whether it is
    /// sure that no neighbouring corner gives one.
    fn other_corners(&self, way: &Found, known: &[Found]) -> (Option<Found>, bool) {
        let work = (way.low.energy_m4 - self.rest.energy_m4).max(0.0);
        if way.low.wet || way.low.energy_m4 < way.cost_m4 {
            // The pass decides.
            return (None, way.low.converged);
        }
        let foretold = self.brim.foretold(&way.low);
        let apart_m = CORNERS_APART * self.brim.extent_m;
        let corner = way.low.corner;
        let mut neighbours: Vec<f64> = foretold
            .iter()
            .map(|told| (told.corner - corner).norm())
            .filter(|distance| *distance > 0.0)
            .collect();
        neighbours.sort_by(f64::total_cmp);
        let reach = neighbours
            .get(NEIGHBOURS.min(neighbours.len().max(1)) - 1)
            .copied()
            .unwrap_or(0.0);
        let mut tried: Vec<Vec3> = vec![corner];
        tried.extend(known.iter().map(|found| found.low.corner));
        let mut tries = 0;
        let least = way.low.energy_m4 * (1.0 - f64::EPSILON) - 1e-9 * work;
        for told in &foretold {
            let near = (told.corner - corner).norm() <= reach;
            let cheaper = told.energy_m4 < least;
            let alike = told.energy_m4 < way.low.energy_m4 + NEARLY * work
                && tried.iter().all(|t| (t - told.corner).norm() > apart_m);
            if tries < MOST_CORNERS && told.corner != corner && ((near && cheaper) || alike) {
                tries += 1;
                tried.push(told.corner);
                let mut other = self.found(self.brim.least_from(&told.up), way.attitude);
                if other.cost_m4 < least {
                    self.follow(&mut other);
                }
                if other.cost_m4 < least {
                    return (Some(other), false);
                }
            }
        }
        (None, way.low.converged)
    }

    fn knock_of(&self, way: &Found, found: &[Found], converged: bool) -> Knock {
        let floor = self.rest.energy_m4;
        let crossed = self.map.way_over(self.home, way.attitude);
        let pass = crossed.map(|(pass, beyond)| Crossed {
            work_m4: (pass.energy_m4 - floor).max(0.0),
            plane: pass.plane,
            into: *self.map.attitudes[beyond].rest.plane(),
        });
        let plane = match &pass {
            Some(pass) => self.first_awash(&pass.plane, &way.low.plane),
            // Along a neutral rest the sill comes to the water at no cost.
            None if self.map.attitudes[way.attitude].neutral => {
                self.first_awash(self.rest.plane(), &self.rolled_under(way))
            }
            None => way.low.plane,
        };
        let under = self.land.energy_at(&plane).immersion;
        let over_hull = self.brim.over_hull_m(&plane);
        let state = if over_hull > CLEAR_OF_HULL * self.land.size_m {
            KnockState::Never
        } else if pass.is_some() {
            KnockState::AfterPass
        } else {
            KnockState::Reached
        };
        let work_m4 = (way.cost_m4 - floor).max(0.0);
        let close_m4 = (1.0 + KEPT_WITHIN) * work_m4;
        let ways = found.iter().filter(|way| way.cost_m4.is_finite());
        Knock {
            state,
            work_m4,
            pass,
            sill: self.brim.sill(self.opening, &plane),
            plane,
            pressed_under_m3: under.volume_m3 - self.rest.immersion.volume_m3,
            under,
            converged,
            kernel_calls: self.land.calls(),
            lowest_pass_m4: self.lowest_pass_m4(),
            home: self.home,
            ways: ways
                .map(|way| Way {
                    up: way.low.plane.up,
                    attitude: way.attitude,
                    followed: way.followed,
                    close: way.cost_m4 - floor <= close_m4,
                })
                .collect(),
        }
    }

    /// The nearest attitude of a neutral rest with the sill under; the way's own without.
    fn rolled_under(&self, way: &Found) -> WaterPlane {
        let from = self.land.stretched(&self.rest.plane().up);
        let off = |plane: &WaterPlane| angle(&self.land.stretched(&plane.up), &from);
        let beside = self.map.attitudes[way.attitude].beside.iter();
        let under = beside.filter(|plane| self.brim.sill(self.opening, plane).height_m < 0.0);
        let nearest = under.min_by(|a, b| off(a).total_cmp(&off(b)));
        let dips = way.low.plane.height_m(&way.low.corner) < -AT_WATER * self.land.size_m;
        *nearest.filter(|_| dips).unwrap_or(&way.low.plane)
    }

    /// Where on the way from a pass or a rest to a place with the sill under the sill comes
    /// to the water, displacement held; that place itself where the sill lies at the water.
    fn first_awash(&self, from: &WaterPlane, under: &WaterPlane) -> WaterPlane {
        let land = self.land;
        let height = |plane: &WaterPlane| self.brim.sill(self.opening, plane).height_m;
        let within_m = AT_WATER * land.size_m;
        let top = land.spot(from, VOLUME_WITHIN);
        if height(under) >= -within_m || height(&top.plane) <= 0.0 {
            return *under;
        }
        let [above, below] = [&from.up, &under.up].map(|up| land.stretched(up));
        let mut near = top;
        let is_done = |found: &Look<()>, _| found.off.abs() <= within_m;
        let depth = |share: f64| {
            let up = land.up_of(&between(&above, &below, share));
            near = land.spot_towards(&near, &up, 1e-9);
            Look::without_slope(-height(&near.plane), ())
        };
        rising_root([0.0, 1.0], 0.5, HALVINGS - 1, is_done, depth);
        // Half a turn away there is no one way between: then the place itself.
        if height(&near.plane).abs() <= CLEAR_OF_HULL * land.size_m {
            near.plane
        } else {
            *under
        }
    }
}

fn least_cost(found: &[Found]) -> f64 {
    found
        .iter()
        .map(|way| way.cost_m4)
        .fold(f64::INFINITY, f64::min)
}
