//! The least work that brings an opening's sill to the water: the lowest pass.
use super::energy::Craft;
use super::hunt::Hunt;
use super::landscape::Landscape;
use super::rest::{EquilibriumError, Rest};
use super::sills::{Sill, Sills};
use super::sphere::{SphereMap, map_sphere};
use crate::immersion::{Immersion, WaterPlane};
use crate::numerics::Vec3;

/// What took this many times the least for a craft nearly the same does not become it.
const FAR_OFF: f64 = 2.0;

/// How an opening's sill comes to the water.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum KnockState {
    /// From where the craft rests, without going over a pass first.
    Reached,
    /// Only once the craft has gone over a pass: it turns over, or falls into another
    /// rest, first.
    AfterPass,
    /// Not before the whole hull is pushed under: the sill stands clear of it.
    Never,
}

/// A pass that a craft goes over before a sill comes to the water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossed {
    /// Energy at its top over that at rest, m⁴.
    pub work_m4: f64,
    /// The water plane at the top.
    pub plane: WaterPlane,
    /// The water plane of the rest just beyond it, into which the craft falls.
    pub into: WaterPlane,
}

impl Crossed {
    /// Whether the craft turns over: beyond the pass it lies more than a right angle
    /// from where it lay.
    #[must_use]
    pub fn turns_over(&self, rest: &Rest) -> bool {
        self.into.up.dot(&rest.plane().up) < 0.0
    }
}

/// The cheapest way to bring a sill to the water.
#[derive(Debug, Clone)]
pub struct Knock {
    /// Whether a pass lies before it.
    pub state: KnockState,
    /// The least over all ways of the greatest energy on the way, over that at rest,
    /// m⁴ (times density and gravity: joules). Never under that of the pass crossed.
    pub work_m4: f64,
    /// The highest pass on the way, where there is one.
    pub pass: Option<Crossed>,
    /// The sill, at the water.
    pub sill: Sill,
    /// The water plane there.
    pub plane: WaterPlane,
    /// Volume displaced there less that at rest, m³.
    pub pressed_under_m3: f64,
    /// What lies under that plane.
    pub(super) under: Immersion,
    /// Whether the search met its tolerance and no neighbouring rim point is cheaper;
    /// else `work_m4` is an upper bound.
    pub converged: bool,
    /// Kernel calls taken.
    pub kernel_calls: usize,
    /// The lowest pass out of the rest over its energy, m⁴; infinite without any.
    pub(super) lowest_pass_m4: f64,
    /// Number of the rest in its map.
    pub(super) home: usize,
    /// The ways looked at.
    pub(super) ways: Vec<Way>,
}

/// A way to bring a sill to the water, for a craft nearly the same to begin from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Way {
    /// The attitude with the sill at the water.
    pub(super) up: Vec3,
    /// The rest whose basin it lies in.
    pub(super) attitude: usize,
    /// Whether that is known by going down to it.
    pub(super) followed: bool,
    /// Whether it costs nearly as little as the least.
    pub(super) close: bool,
}

/// The cheapest way to bring each opening's sill to the water, pressing down allowed and
/// every other opening held closed; in the order of [`Sills::rims`].
///
/// The work is `min over up of max(B(up), F(up)) − e(rest)`: `e` the energy with the
/// displacement held, `B` the minimax of `e` from the rest to `up` (the passes of
/// `map`), `F` the energy at `up` with the level at the sill, or at the floating level
/// where that is higher. Energy is convex in the level (its slope `V − V0` never falls),
/// so that any way costs no less than its shadow on the sphere of attitudes. `F` is
/// least where one corner of the rim is lowest, so it is sought corner by corner.
///
/// `map` is the craft's, made with `rest` known. An opening already under water takes no
/// work. The least is sought from the places of the map that seem cheapest; that none is
/// missed rests on its spacing and is not proved.
#[must_use]
pub fn knock(craft: &Craft, sills: &Sills, rest: &Rest, map: &SphereMap) -> Vec<Knock> {
    let found = hunts(craft, sills, rest, map, |hunt| hunt.over_map());
    found.into_iter().flatten().collect()
}

/// As [`knock`], from the map and the knocks of a craft nearly the same, so that a few
/// calls do; `known` by their openings. The map is followed to this craft
/// ([`SphereMap::near`]), and so are the ways; where one has left the basin it lay in, or
/// the craft rests in another attitude, map and knocks are made anew. A way that was not
/// looked at then is not looked for now.
///
/// # Errors
/// As [`super::map_sphere`], where the map has to be made anew.
pub fn knock_near(
    craft: &Craft,
    sills: &Sills,
    rest: &Rest,
    map: &SphereMap,
    known: &[Knock],
) -> Result<Vec<Knock>, EquilibriumError> {
    // A sill that was under tells no way for one that is dry.
    let dried = hunts(craft, sills, rest, map, |hunt| {
        let was_under = of_opening(known, hunt).is_some_and(|knock| knock.work_m4 <= 0.0);
        was_under && hunt.at_rest().is_none()
    });
    if dried.contains(&true) {
        return anew(craft, sills, rest);
    }
    followed(craft, sills, rest, map, known, |_| true)
}

/// The knocks from the ways that `keep` picks; from a new map where they cannot be
/// followed.
fn followed(
    craft: &Craft,
    sills: &Sills,
    rest: &Rest,
    map: &SphereMap,
    known: &[Knock],
    keep: impl Fn(&Way) -> bool,
) -> Result<Vec<Knock>, EquilibriumError> {
    let map = map.near(craft, rest)?;
    if !map.points.is_empty() {
        return Ok(knock(craft, sills, rest, &map));
    }
    let found = hunts(craft, sills, rest, &map, |hunt| {
        hunt.along(of_opening(known, hunt)?, &keep)
    });
    match found.into_iter().collect() {
        Some(found) => Ok(found),
        None => anew(craft, sills, rest),
    }
}

fn anew(craft: &Craft, sills: &Sills, rest: &Rest) -> Result<Vec<Knock>, EquilibriumError> {
    let map = map_sphere(craft, std::slice::from_ref(rest))?;
    Ok(knock(craft, sills, rest, &map))
}

/// The least of the works of [`knock_near`], m⁴: of every opening, or of none where none
/// lets water in; `known` of a craft of the same displacers. Openings that took more than
/// twice the least are left out, those too that cannot take the least by what is foretold, and so are the passes where the lowest took that much; and of ways those that
/// took a quarter more than the least.
///
/// # Errors
/// As [`knock_near`].
pub fn least_knock_near(
    craft: &Craft,
    sills: &Sills,
    rest: &Rest,
    map: &SphereMap,
    known: &[Knock],
) -> Result<Option<f64>, EquilibriumError> {
    let works = known.iter().map(|knock| knock.work_m4);
    let Some(least) = works.reduce(f64::min) else {
        return Ok(None);
    };
    let near: Vec<&Knock> = known
        .iter()
        .filter(|knock| knock.work_m4 <= FAR_OFF * least)
        .collect();
    let passes_count = near
        .iter()
        .any(|knock| knock.pass.is_some() || knock.lowest_pass_m4 <= FAR_OFF * least);
    let some_wet = sills.height_m(rest.plane()) <= 0.0;
    if !passes_count
        && !some_wet
        && let Some(work_m4) = least_at_home(craft, sills, rest, map, &near)
    {
        return Ok(Some(work_m4));
    }
    let found = followed(craft, sills, rest, map, known, |way| way.close)?;
    Ok(found.iter().map(|knock| knock.work_m4).reduce(f64::min))
}

/// The least work by the ways that cross no pass, m⁴, of the openings of some knocks:
/// those alone are sought that may take less than the least so far, by what is foretold of
/// them. `None` where a way has left the basin that it lay in.
fn least_at_home(
    craft: &Craft,
    sills: &Sills,
    rest: &Rest,
    map: &SphereMap,
    known: &[&Knock],
) -> Option<f64> {
    let land = Landscape::within(craft, map.frame);
    let rims = sills.rims().filter_map(|(opening, rim)| {
        let known = known.iter().find(|knock| knock.sill.opening == opening)?;
        let hunt = Hunt::new(&land, opening, rim, rest, map)?;
        let told = hunt.foretold(known);
        let no_less_m4 = told.as_ref().map_or(f64::NEG_INFINITY, |told| told.0);
        Some((no_less_m4, hunt, known, told))
    });
    let mut rims: Vec<_> = rims.collect();
    rims.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut least_m4 = f64::INFINITY;
    for (no_less_m4, hunt, known, told) in &rims {
        if *no_less_m4 < least_m4 {
            let told = told.as_ref().map(|(_, told)| told);
            least_m4 = least_m4.min(hunt.work_at_home(known, told)?);
        }
    }
    least_m4.is_finite().then_some(least_m4)
}

/// Of some knocks the one through the opening that is hunted for.
fn of_opening<'a>(known: &'a [Knock], hunt: &Hunt<'_>) -> Option<&'a Knock> {
    let mut known = known.iter();
    known.find(|knock| knock.sill.opening == hunt.opening)
}

fn hunts<T>(
    craft: &Craft,
    sills: &Sills,
    rest: &Rest,
    map: &SphereMap,
    run: impl Fn(&Hunt<'_>) -> T,
) -> Vec<T> {
    let rims = sills.rims();
    rims.filter_map(|(opening, rim)| {
        let land = Landscape::within(craft, map.frame);
        let hunt = Hunt::new(&land, opening, rim, rest, map)?;
        Some(run(&hunt))
    })
    .collect()
}
