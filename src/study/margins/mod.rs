//! How small a lean, knock, lift or load puts an opening under.
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::Answer;
use super::shared::attitude::Lies;
use super::shared::cautions::{Caution, Doing, LeftOut, nobody_marked, with_usual};
use super::shared::fills::NoneOpen;
use super::shared::hydrostatics::coordinates;
use super::shared::picture::outline_from_above;
use crate::boat::{Band as Limits, Boat, HullFrame, Verdict};
use crate::equilibrium::{Afloat, Craft, EquilibriumError, LeanedOver, Rest, Settled, Sills};
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3, is_less};

mod drift;
mod knocks;
mod loads;
mod off_centre;

pub use drift::WATER_CARRIED_ALONG;
pub use knocks::KnockLine;
pub use loads::{LiftLine, LoadEnd, LoadLine};
pub use off_centre::{
    EdgeDoes, EdgeLoadLine, FloodsFirst, PersonLine, persons_capacity_of_edge_load,
};

/// Result of [`margins`].
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct MarginsResult {
    /// Mass of everything aboard, kg.
    pub mass_kg: f64,
    /// Which side of it is uppermost at rest, from where all here begins.
    pub lies: Lies,
    /// Why no opening lets water in; `None` where one does.
    #[serde(skip)]
    pub none_open: Option<NoneOpen>,
    /// Leaning straight over each way until the first sill is awash,
    /// displacement held, and where the craft goes over by itself before that.
    pub tilt: Vec<TiltLine>,
    /// The bearing with the smallest such lean; `None` when no opening is
    /// reached.
    pub worst_tilt: Option<TiltLine>,
    /// Where on the hull the sill that it brings to the water lies.
    #[serde(skip)]
    pub worst_tilt_place: Option<String>,
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
    /// Height of a still standing wave's crest above the water at rest that
    /// reaches the lowest sill, m: a crude bound, the craft held as it lies.
    /// Negative: that sill is under at rest.
    pub crest_m: Option<f64>,
    /// What the yardsticks say of the worst tilt and of the least energy.
    pub verdicts: Vec<MarginVerdict>,
    /// What its x, y and z count from.
    #[serde(skip)]
    pub frame: HullFrame,
    /// The craft's outline from above as x and y, m, for the map of loads.
    #[serde(skip)]
    pub outline_m: Vec<[f64; 2]>,
}

/// One bearing of the rose.
#[derive(Debug, Clone, JsonSchema, Serialize)]
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
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct MarginVerdict {
    /// What is judged.
    #[serde(rename = "about")]
    pub about: MarginAbout,
    /// The verdict.
    pub verdict: Verdict,
    /// The limits, in the unit of what is judged; `None` of a rule that has none.
    #[serde(skip)]
    pub limits: Option<Limits>,
}

/// What one yardstick judges.
#[derive(Debug, Clone, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum MarginAbout {
    /// A craft that has capsized at rest.
    Rest,
    /// Someone on an edge.
    OnEdge {
        /// "port" or "starboard"; `None` for either.
        side: Option<String>,
        /// Who.
        person: String,
        /// What the craft does.
        does: EdgeDoes,
    },
    /// The smallest lean that floods it, or turns it over, deg.
    SmallestLean {
        /// It turns over rather than floods.
        turns_over: bool,
    },
    /// The least energy that does, J.
    LeastEnergy {
        /// It turns over rather than floods.
        turns_over: bool,
    },
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

    /// Which way a line of the rose leans, in words; "to either side" where the other side's is
    /// alike, by going over or by flooding.
    #[must_use]
    pub fn way_in_words(&self, line: &TiltLine, turns_over: bool) -> &'static str {
        let way = direction_in_words(line.bearing_deg);
        let of = |line: &TiltLine| {
            if turns_over {
                line.over_deg
            } else {
                line.lean_deg
            }
        };
        match way {
            _ if its_like(&self.tilt, line, of).is_none() => way,
            "to starboard" | "to port" => "to either side",
            "over the starboard bow" | "over the port bow" => "over either bow",
            "over the starboard quarter" | "over the port quarter" => "over either quarter",
            _ => way,
        }
    }

    /// On which edge the person aboard does that to the craft, `None` for either, and who
    /// it is.
    pub(crate) fn edges_where(&self, does: EdgeDoes) -> Option<(Option<&str>, &str)> {
        let mut these = self.person.iter().filter(|line| line.does() == Some(does));
        let first = these.next()?;
        let side = these.next().is_none().then_some(first.side.as_str());
        Some((side, &first.person))
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
/// let worst = margins(&boat)?.result.worst_tilt.ok_or("no lean floods it")?;
/// println!("{:?} goes under at {:?}° towards {}°", worst.opening, worst.lean_deg, worst.bearing_deg);
/// assert!(worst.lean_deg > Some(0.0));
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// As [`Afloat::rose`] and [`Afloat::knocks`]; a craft that sinks is an error here.
pub fn margins<'b>(boat: impl Into<Afloat<'b>>) -> Result<Answer<MarginsResult>, EquilibriumError> {
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
        mass_kg: craft.total_mass_kg(),
        lies,
        none_open: NoneOpen::of(boat),
        lift: study.lift()?,
        load: study.load()?,
        person: study.person_moved()?,
        edge_load: study.edge_load()?,
        worst_tilt_place: worst_tilt.as_ref().and_then(|worst| {
            let sill = Vec3::from(worst.sill_m?);
            let other = its_like(&tilt, worst, |line| line.lean_deg);
            let off = |y: f64| y - boat.frame.middle_y_m;
            let other = other.and_then(|line| line.sill_m);
            let on_both_sides = other.is_some_and(|other| off(other[1]) * off(sill.y) < 0.0);
            Some(if on_both_sides {
                boat.place_on_both_sides(&sill)
            } else {
                boat.place_in_words(&sill)
            })
        }),
        tilt,
        worst_tilt,
        worst_over,
        least_work,
        knock,
        crest_m,
        verdicts: Vec::new(),
        frame: boat.frame,
        outline_m: outline_from_above(boat),
    };
    result.verdicts = verdicts(boat, &result);
    let answer = Answer::of(boat, result, cautions(boat, lies));
    Ok(answer.lying(boat, rest.plane()))
}

/// The lean mirrored to the other side where it ends alike: at an angle, `of` each line, that
/// differs by less than is told, by the same opening.
fn its_like<'a>(
    lines: &'a [TiltLine],
    one: &TiltLine,
    of: impl Fn(&TiltLine) -> Option<f64>,
) -> Option<&'a TiltLine> {
    /// Leans that differ by less are one, deg: half of the last place told. Ours.
    const SAME_DEG: f64 = 0.05;
    let bearing_deg = (360.0 - one.bearing_deg) % 360.0;
    let mut others = lines
        .iter()
        .filter(|line| line.bearing_deg != one.bearing_deg);
    let other = others.find(|line| line.bearing_deg == bearing_deg)?;
    let (a, b) = of(one).zip(of(other))?;
    ((a - b).abs() < SAME_DEG && one.opening == other.opening).then_some(other)
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
    let fails = |about| MarginVerdict {
        about,
        verdict: Verdict::Fail,
        limits: None,
    };
    let capsized = result.lies.is_capsized();
    let mut verdicts: Vec<MarginVerdict> = capsized
        .then(|| fails(MarginAbout::Rest))
        .into_iter()
        .collect();
    for does in EdgeDoes::ALL {
        if let Some((side, person)) = result.edges_where(does) {
            verdicts.push(fails(MarginAbout::OnEdge {
                side: side.map(str::to_owned),
                person: person.to_owned(),
                does,
            }));
        }
    }
    let judge = |value: Option<f64>, over: Option<f64>, limits: &Limits| {
        let turns_over = over.filter(|over| value.is_none_or(|floods| *over <= floods));
        let least = turns_over.or(value)?;
        Some((turns_over.is_some(), limits.verdict(least)))
    };
    let floods_deg = result.worst_tilt.as_ref().and_then(|line| line.lean_deg);
    let limits = &boat.yardsticks;
    let lean = judge(floods_deg, result.over_deg(), &limits.tilt);
    verdicts.extend(lean.map(|(turns_over, verdict)| MarginVerdict {
        about: MarginAbout::SmallestLean { turns_over },
        verdict,
        limits: Some(limits.tilt.clone()),
    }));
    let knock_j = result.knock.first().map(|knock| knock.work_j);
    let energy = judge(knock_j, result.over_work_j(), &limits.energy);
    verdicts.extend(energy.map(|(turns_over, verdict)| MarginVerdict {
        about: MarginAbout::LeastEnergy { turns_over },
        verdict,
        limits: Some(limits.energy.clone()),
    }));
    verdicts
}

fn cautions(boat: &Boat, lies: Lies) -> Vec<Caution> {
    let seen = lies.is_capsized().then_some(Caution::BearingsOfCapsized);
    let nobody = nobody_marked(boat, LeftOut::EdgeLoads);
    with_usual(
        seen.into_iter().chain(nobody).collect(),
        boat,
        Doing::Floating,
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
