//! Borrowed rules of flotation.
use schemars::JsonSchema;
use serde::Serialize;

use crate::boat::Boat;
use crate::equilibrium::{
    Craft, EquilibriumError, Rest, lacks_m3, settle_if_afloat, wholly_flooded,
};
use crate::numerics::Vec3;

/// 33 CFR 183.235: swamped with nobody aboard, most heel, deg.
pub(crate) const LEVEL_HEEL_DEG: f64 = 10.0;
/// The same: how far the lower end may be under, m (6 inches).
pub(crate) const END_UNDER_M: f64 = 6.0 * 0.0254;
/// Share of the length from each end within which that end's highest point is
/// taken. Ours: the rule's own reference areas are drawn on its boats.
const END_SHARE: f64 = 0.05;
/// 33 CFR 183.105 counts the two largest air chambers lost.
const CHAMBERS_LOST: usize = 2;

/// A rule and how the craft stands to it.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct FlotationRule {
    /// What it is about.
    pub about: RuleAbout,
    /// What the craft does.
    #[serde(skip)]
    pub got: RuleGot,
    /// Whether it is met.
    pub met: bool,
    /// Sealed spaces counted as lost.
    pub lost: Vec<String>,
}

/// Which rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum RuleAbout {
    /// 33 CFR 183.105.
    CarriesItsPeople,
    /// 33 CFR 183.235.
    LiesLevel,
}

/// What the craft does against a rule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RuleGot {
    /// It sinks.
    Sinks,
    /// It carries so much more than it has to, kg, with so much pulling, kg.
    Carries {
        /// Negative: it is short of that.
        spare_kg: f64,
        /// What pulls.
        pull_kg: f64,
    },
    /// It floats so.
    Lies {
        /// Either way, deg.
        heel_deg: f64,
        /// Highest point of the bow above the water, m.
        bow_m: f64,
        /// The same of the stern, m.
        stern_m: f64,
    },
}

/// The craft against the rules; people's pull in kg.
pub(super) fn rules(
    boat: &Boat,
    overboard: &[String],
    pull_kg: f64,
) -> Result<Vec<FlotationRule>, EquilibriumError> {
    let lost = not_counted(boat);
    let names: Vec<String> = lost
        .iter()
        .map(|&k| boat.compartments[k].name.clone())
        .collect();
    let empty = wholly_flooded(boat, overboard, &lost);
    let (lo, hi) = boat.hull_box_m;
    let middle = Vec3::new(f64::midpoint(lo.x, hi.x), 0.0, hi.z);
    let pulled = empty.with_load(pull_kg, &middle);
    let spare_kg = |craft: &Craft| -lacks_m3(craft) * craft.density_kg_m3;
    let carries = spare_kg(&pulled);
    let carrying = FlotationRule {
        about: RuleAbout::CarriesItsPeople,
        got: RuleGot::Carries {
            spare_kg: carries,
            pull_kg,
        },
        met: carries >= 0.0,
        lost: names.clone(),
    };
    let (got, met) = match settle_if_afloat(&empty)? {
        None => (RuleGot::Sinks, false),
        Some(settled) => lies(boat, &settled.rest),
    };
    let level = FlotationRule {
        about: RuleAbout::LiesLevel,
        got,
        met,
        lost: names,
    };
    Ok(vec![carrying, level])
}

/// Sealed spaces that are not counted: by 33 CFR 183.112(b) all that are integral with
/// the hull, and by 183.105 the two largest of the others.
fn not_counted(boat: &Boat) -> Vec<usize> {
    let volume = |k: usize| boat.compartments[k].surface().signed_volume_m3();
    let (mut apart, mut lost): (Vec<usize>, Vec<usize>) = (0..boat.compartments.len())
        .filter(|&k| boat.compartments[k].sealed)
        .partition(|&k| boat.compartments[k].stands_apart);
    apart.sort_by(|a, b| volume(*b).total_cmp(&volume(*a)));
    apart.truncate(CHAMBERS_LOST);
    lost.extend(apart);
    lost.sort_by(|a, b| volume(*b).total_cmp(&volume(*a)));
    lost
}

fn lies(boat: &Boat, rest: &Rest) -> (RuleGot, bool) {
    let (lo, hi) = boat.hull_box_m;
    let near = END_SHARE * (hi.x - lo.x);
    let top = |is_there: &dyn Fn(f64) -> bool| {
        let vertices = boat.envelope.surface.vertices.iter();
        vertices
            .filter(|v| is_there(v.x))
            .map(|v| rest.plane().height_m(v))
            .fold(f64::NEG_INFINITY, f64::max)
    };
    let bow = top(&|x| x >= hi.x - near);
    let stern = top(&|x| x <= lo.x + near);
    let heel = rest.plane().heel_deg();
    let (higher, lower) = (bow.max(stern), bow.min(stern));
    let met = heel.abs() <= LEVEL_HEEL_DEG && higher > 0.0 && lower >= -END_UNDER_M;
    let got = RuleGot::Lies {
        heel_deg: heel.abs(),
        bow_m: bow,
        stern_m: stern,
    };
    (got, met)
}
