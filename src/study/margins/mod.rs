//! How small a lean, knock, lift or load puts an opening under.
use serde::Serialize;

use super::attitude::Lies;
use super::cautions::CAUTIONS;
use super::fills::{told_first, why_none_open};
use super::heads::nobody_marked;
use super::hydrostatics::coordinates;
use crate::boat::{Band, Boat, HullFrame, Verdict};
use crate::equilibrium::{Afloat, Craft, EquilibriumError, LeanedOver, Rest, Settled, Sills};
use crate::mesh::Doubt;
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3, is_less};

mod drift;
mod knocks;
mod loads;
mod off_centre;

use off_centre::{MOST_HEEL_DEG, OFF_CENTRE_RULE};

pub use drift::WATER_CARRIED_ALONG;
pub use knocks::KnockLine;
pub use loads::{LiftLine, LoadEnd, LoadLine};
pub use off_centre::{EdgeDoes, EdgeLoadLine, PersonLine, persons_capacity_of_edge_load};

/// Result of [`margins`].
#[derive(Debug, Clone, Serialize)]
#[non_exhaustive]
pub struct MarginsResult {
    /// The boat's name.
    pub name: String,
    /// Mass of everything aboard, kg.
    pub mass_kg: f64,
    /// Which side of it is uppermost at rest, from where all here begins.
    pub lies: Lies,
    /// The worst of it in one sentence.
    pub summary: String,
    /// Leaning straight over each way until the first sill is awash,
    /// displacement held, and where the craft goes over by itself before that.
    pub tilt: Vec<TiltLine>,
    /// The bearing with the smallest such lean; `None` when no opening is
    /// reached.
    pub worst_tilt: Option<TiltLine>,
    /// The bearing in which it goes over by itself soonest, before a sill meets the
    /// water; `None` where it does so nowhere.
    pub worst_over: Option<TiltLine>,
    /// The bearing with the least work to bring a sill to the water.
    pub least_work: Option<TiltLine>,
    /// The cheapest way to bring each opening to the water, pressing down
    /// allowed; the cheapest first.
    pub knock: Vec<KnockLine>,
    /// Riding up on an edge: a push up at one place.
    pub lift: Vec<LiftLine>,
    /// Greatest extra mass at each place of a grid over the craft, those beside
    /// it left out.
    pub load: Vec<LoadLine>,
    /// The heaviest of the items with `person = true` sitting on either
    /// edge.
    pub person: Vec<PersonLine>,
    /// A load along either edge, the person left ashore.
    pub edge_load: Vec<EdgeLoadLine>,
    /// Height of a still standing wave's crest over the water at rest that
    /// reaches the lowest sill, m: a crude bound, the craft held as it lies.
    /// Negative: that sill is under at rest.
    pub crest_m: Option<f64>,
    /// What the yardsticks say of the worst tilt and of the least energy.
    pub verdicts: Vec<MarginVerdict>,
    /// What no number here covers.
    pub cautions: Vec<String>,
    /// What its x, y and z count from.
    #[serde(skip)]
    pub frame: HullFrame,
    /// Everything about the meshes that may make these numbers wrong.
    pub mesh_doubts: Vec<Doubt>,
}

/// One bearing of the rose.
#[derive(Debug, Clone, Serialize)]
pub struct TiltLine {
    /// Where the craft leans to: 0° the bow goes down, 90° starboard, 180° the
    /// stern, 270° port.
    pub bearing_deg: f64,
    /// The lean at which the first sill is awash; `None` when none is up to
    /// half a turn.
    pub lean_deg: Option<f64>,
    /// The work that takes, J.
    pub work_j: Option<f64>,
    /// The lean at which the craft goes over by itself, where that comes before a sill
    /// is awash: the first top of the energy of the straight lean, its righting arm
    /// vanished, past which the craft does not balance again with the same side up.
    pub over_deg: Option<f64>,
    /// The work to there, J.
    pub over_work_j: Option<f64>,
    /// Whether the arm vanishes on the way before the sill is awash, be it only that
    /// the craft falls into its other loll.
    pub capsizes_first: bool,
    /// The opening whose sill that is.
    pub opening: Option<String>,
    /// The rim point, m.
    pub sill_m: Option<[f64; 3]>,
}

/// What one yardstick says.
#[derive(Debug, Clone, Serialize)]
pub struct MarginVerdict {
    /// What is judged.
    pub name: String,
    /// The verdict.
    pub verdict: Verdict,
    /// The yardstick in words.
    pub yardstick: String,
}

impl MarginsResult {
    /// The smallest lean at which it goes over by itself, deg.
    fn over_deg(&self) -> Option<f64> {
        self.worst_over.as_ref()?.over_deg
    }

    /// The least work with which it goes over by itself, J: by a straight lean, or by
    /// the pass of a knock.
    fn over_work_j(&self) -> Option<f64> {
        let straight = self.tilt.iter().filter_map(|line| line.over_work_j);
        let over = self.knock.iter().filter(|line| line.turns_over);
        let passes = over.filter_map(|line| line.pass_work_j);
        straight.chain(passes).reduce(f64::min)
    }

    /// The line whose lean ends soonest, and whether the craft then goes over by itself
    /// rather than floods.
    #[must_use]
    pub fn soonest(&self) -> Option<(&TiltLine, bool)> {
        let over = self.worst_over.as_ref();
        let floods_deg = self.worst_tilt.as_ref().and_then(|line| line.lean_deg);
        over.filter(|line| floods_deg.is_none_or(|lean| line.over_deg.is_some_and(|o| o < lean)))
            .map(|line| (line, true))
            .or_else(|| Some((self.worst_tilt.as_ref()?, false)))
    }

    /// Whether any yardstick is failed.
    #[must_use]
    pub fn fails_a_yardstick(&self) -> bool {
        self.verdicts.iter().any(|v| v.verdict == Verdict::Fail)
    }
}

/// Everything that brings an opening to the water, from the craft's rest.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::margins};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// let worst = margins(&boat)?.worst_tilt.ok_or("no lean floods it")?;
/// println!("{:?} goes under at {:?}° towards {}°", worst.opening, worst.lean_deg, worst.bearing_deg);
/// assert!(worst.lean_deg > Some(0.0));
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// As [`Afloat::of`]; a craft that sinks is an error here.
pub fn margins<'b>(boat: impl Into<Afloat<'b>>) -> Result<MarginsResult, EquilibriumError> {
    let afloat = boat.into();
    let (boat, craft, sills) = (afloat.boat(), afloat.craft(), afloat.sills());
    let Settled { rest, other, .. } = afloat.settled()?;
    let joules = craft.density_kg_m3 * STANDARD_GRAVITY_M_S2;
    let lies = Lies::at(&rest.plane().up);
    let study = Study {
        boat,
        lies,
        craft,
        rest,
        other: other.as_ref(),
        sills,
        joules,
    };
    let rose = afloat.rose()?.iter();
    let tilt: Vec<TiltLine> = rose
        .map(|(bearing_deg, leaned)| study.tilt_line(*bearing_deg, leaned))
        .collect();
    let worst_tilt = least(&tilt, |line| line.lean_deg);
    let worst_over = least(&tilt, |line| line.over_deg);
    let least_work = least(&tilt, |line| line.work_j);
    let knock = study.knock_lines(afloat.knocks()?);
    let crest_m = sills.lowest(rest.plane()).map(|sill| sill.height_m);
    let mut result = MarginsResult {
        name: boat.name.clone(),
        mass_kg: craft.total_mass_kg(),
        lies,
        summary: String::new(),
        lift: study.lift()?,
        load: study.load()?,
        person: study.person_moved()?,
        edge_load: study.edge_load()?,
        tilt,
        worst_tilt,
        worst_over,
        least_work,
        knock,
        crest_m,
        verdicts: Vec::new(),
        cautions: cautions(boat, lies),
        frame: boat.frame,
        mesh_doubts: boat.doubts.clone(),
    };
    result.verdicts = verdicts(boat, &result);
    result.summary = told_first(boat, rest.plane(), summary(boat, &result));
    Ok(result)
}

/// The line with the least value, the first of those alike.
fn least(lines: &[TiltLine], value: impl Fn(&TiltLine) -> Option<f64>) -> Option<TiltLine> {
    let valued = lines.iter().filter_map(|line| Some((value(line)?, line)));
    let least = valued.reduce(|least, next| {
        if is_less(next.0, least.0) {
            next
        } else {
            least
        }
    });
    least.map(|(_, line)| line.clone())
}

#[derive(Clone, Copy)]
struct Study<'a> {
    boat: &'a Boat,
    craft: &'a Craft,
    rest: &'a Rest,
    /// Where it may lie as well, on the other side.
    other: Option<&'a Rest>,
    lies: Lies,
    sills: &'a Sills,
    /// Joules in an energy of 1 m⁴.
    joules: f64,
}

impl Study<'_> {
    fn opening(&self, index: usize) -> String {
        self.boat.openings[index].name.clone()
    }

    fn tilt_line(&self, bearing_deg: f64, leaned: &LeanedOver) -> TiltLine {
        let (found, over) = (leaned.flood.as_ref(), leaned.over);
        TiltLine {
            bearing_deg,
            over_deg: over.map(|over| over.lean_rad.to_degrees()),
            over_work_j: over.map(|over| over.work_m4 * self.joules),
            lean_deg: found.map(|f| f.lean_rad.to_degrees()),
            work_j: found.map(|f| f.work_m4 * self.joules),
            capsizes_first: found.is_some_and(|f| f.capsizes_first),
            opening: found.map(|f| self.opening(f.sill.opening)),
            sill_m: found.map(|f| coordinates(f.sill.point_m)),
        }
    }
}

fn verdicts(boat: &Boat, result: &MarginsResult) -> Vec<MarginVerdict> {
    let words = |band: &Band, unit: &str| {
        format!(
            "under {}{unit} fails, over {}{unit} is clear ({})",
            band.red.value, band.green.value, band.source
        )
    };
    let mut verdicts = Vec::new();
    if result.lies.is_capsized() {
        verdicts.push(MarginVerdict {
            name: "rest".into(),
            verdict: Verdict::Fail,
            yardstick: "a craft that comes to rest on its side, on end or bottom up fails".into(),
        });
    }
    for does in EdgeDoes::ALL {
        if let Some((edge, person)) = edges_where(&result.person, does) {
            verdicts.push(MarginVerdict {
                name: format!("{person} on {edge} {}", does.to_it()),
                verdict: Verdict::Fail,
                yardstick: format!("heel of at most {MOST_HEEL_DEG:.0}°, no opening under water and the edge of a full weather deck 75 mm over it with one person on an edge (borrowed from {OFF_CENTRE_RULE})"),
            });
        }
    }
    let mut judge = |name: &str, value: Option<f64>, over: Option<f64>, band: &Band, unit: &str| {
        let turns_over = over.filter(|over| value.is_none_or(|floods| *over <= floods));
        let Some(least) = turns_over.or(value) else {
            return;
        };
        let what = if turns_over.is_some() {
            "turns it over"
        } else {
            "floods"
        };
        verdicts.push(MarginVerdict {
            name: format!("{name} that {what}"),
            verdict: band.verdict(least),
            yardstick: words(band, unit),
        });
    };
    let floods_deg = result.worst_tilt.as_ref().and_then(|line| line.lean_deg);
    let limits = &boat.yardsticks;
    judge(
        "smallest lean",
        floods_deg,
        result.over_deg(),
        &limits.tilt,
        "°",
    );
    let knock_j = result.knock.first().map(|knock| knock.work_j);
    judge(
        "least energy",
        knock_j,
        result.over_work_j(),
        &limits.energy,
        " J",
    );
    verdicts
}

fn cautions(boat: &Boat, lies: Lies) -> Vec<String> {
    let seen = lies.is_capsized().then(|| {
        "Bearings of this capsized craft are those of someone who looks down on it with its bow ahead: port is on the left as it lies."
            .to_owned()
    });
    let all = CAUTIONS.iter().map(|&text| text.to_owned());
    let nobody = nobody_marked(
        boat,
        "nobody is moved to an edge, and no edge load is given",
    );
    seen.into_iter()
        .chain(nobody)
        .chain(boat.cautions.iter().cloned())
        .chain(all)
        .collect()
}

/// The edges on which the person aboard does that to the craft, in words, and who it is.
fn edges_where(lines: &[PersonLine], does: EdgeDoes) -> Option<(String, &str)> {
    let these: Vec<&PersonLine> = lines.iter().filter(|l| l.does() == Some(does)).collect();
    let first = these.first()?;
    let edge = match these.len() {
        1 => format!("the {} edge", first.side),
        _ => "either edge".to_owned(),
    };
    Some((edge, &first.person))
}

/// The worst in one sentence, a capsize before it, then what the person aboard may do.
fn summary(boat: &Boat, result: &MarginsResult) -> String {
    let person: String = EdgeDoes::ALL
        .into_iter()
        .filter_map(|does| {
            let (edge, person) = edges_where(&result.person, does)?;
            Some(format!("It {} when {person} sits on {edge}. ", does.it()))
        })
        .collect();
    let worst = person + &worst_in_words(boat, result);
    match (result.lies.capsize(), worst.trim_end()) {
        (Some(capsizes), "") => capsizes.to_string(),
        (Some(capsizes), worst) => format!("{capsizes} From there: {worst}"),
        (None, worst) => worst.to_owned(),
    }
}

fn worst_in_words(boat: &Boat, result: &MarginsResult) -> String {
    let lean_in_words = |lean: f64| match lean {
        lean if lean < 1.0 => format!("{lean:.2}°"),
        lean => format!("{lean:.1}°"),
    };
    let over = match result.soonest() {
        Some((line, true)) => line.over_deg.zip(line.over_work_j).map(|(lean, work)| {
            let dry = if line.lean_deg.is_some() {
                ", every sill dry until then"
            } else {
                ""
            };
            format!(
                "It turns over soonest when it leans {}: past {} it goes over by itself{dry}; that takes {work:.1} J. ",
                direction_in_words(line.bearing_deg),
                lean_in_words(lean)
            )
        }),
        _ => None,
    }
    .unwrap_or_default();
    let Some(worst) = &result.worst_tilt else {
        let none = if result.crest_m.is_some() {
            "No lean brings an opening to the water.".to_owned()
        } else {
            format!(
                "No water comes in, however it leans: {}.",
                why_none_open(boat)
            )
        };
        return format!("{over}{none}");
    };
    let (Some(lean), Some(opening)) = (worst.lean_deg, &worst.opening) else {
        return over;
    };
    if lean <= 0.0 {
        return String::new(); // said first
    }
    let place = worst
        .sill_m
        .map_or_else(String::new, |at| boat.place_in_words(&Vec3::from(at)));
    let least = result.knock.first();
    let knock = least.map_or_else(String::new, KnockLine::sentence);
    let first = if worst.capsizes_first {
        ", but it turns over by itself before that"
    } else {
        ""
    };
    format!(
        "{over}It floods soonest when it leans {}: {} puts {opening} ({place}) under{first}.{knock}",
        direction_in_words(worst.bearing_deg),
        lean_in_words(lean)
    )
}

/// A bearing of the rose in words.
#[must_use]
pub fn direction_in_words(bearing_deg: f64) -> &'static str {
    const WORDS: [&str; 8] = [
        "over the bow",
        "over the starboard bow",
        "to starboard",
        "over the starboard quarter",
        "over the stern",
        "over the port quarter",
        "to port",
        "over the port bow",
    ];
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a share of a turn in eighths, 0 to 8"
    )]
    let eighth = (bearing_deg.rem_euclid(360.0) / 45.0).round() as usize;
    WORDS[eighth % WORDS.len()]
}
