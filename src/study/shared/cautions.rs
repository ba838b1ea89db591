//! What to be wary of, as codes with their figures; [`crate::present`] says them.
use schemars::JsonSchema;
use serde::Serialize;

use super::heads::{HeadLine, MOUTH_UNDER_TOP_M};
use super::panel::PanelLine;
use crate::boat::{Boat, DENSITY_WITHIN, LeftOpen, MassEntry, Role};

/// What no number covers, or what is doubtful about a craft.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
#[serde(tag = "code", rename_all = "snake_case")]
pub enum Caution {
    /// No waves, speed, wind or strength.
    CalmWaterOnly,
    /// How to float it first.
    FirstFloat,
    /// No clearance to dive.
    NoClearanceToDive,
    /// Cold water.
    ColdWater,
    /// A hull full of water is heavy.
    DrainBeforeLifting,
    /// Ballast that slides.
    FixBallast,
    /// Fuse, charging, gas and fire of batteries.
    Electrics,
    /// Propeller and motor.
    Propeller,
    /// Handling lead.
    Lead,
    /// Resin, solvent and dust.
    ResinAndDust,
    /// Overhead and silt.
    OverheadAndSilt,
    /// Gas that grows on the way up.
    VentGasBags,
    /// Authorities and local rules.
    Authorities,
    /// A panel that runs out past the hull's own skin into parts that stand outside of it.
    PanelPastSkin {
        /// They.
        parts: Vec<String>,
    },
    /// Walls bonded to polyethylene.
    ResinOnPolyethylene,
    /// The boat file does not say whether a drain's plug is in.
    PlugNotStated {
        /// The drain.
        drain: String,
    },
    /// A part counts as weightless.
    PartWithoutMass {
        /// The part.
        part: String,
    },
    /// A head or a mouth lies under water.
    HeadUnderWater {
        /// In which states, and whose; only those who are under.
        states: Vec<HeadsThen>,
        /// How far the mouth is taken to lie under the top of the head, m.
        mouth_under_top_m: f64,
    },
    /// Nobody aboard is marked as a person.
    NobodyMarked {
        /// What that leaves out.
        left_out: LeftOut,
    },
    /// Persons whose volume is not given.
    PersonsOfWatersDensity {
        /// They.
        persons: Vec<String>,
        /// How far their density may be off, as a share.
        density_within: f64,
        /// How far off every weight in water may be by that, kg, where it is told.
        weight_in_water_spread_kg: Option<f64>,
    },
    /// Things that the file gives no volume or density for.
    WithoutVolume {
        /// They.
        things: Vec<String>,
        /// What they do in this study.
        taken: WithoutVolume,
    },
    /// It does not stay upright, though its metacentric height upright is positive.
    WeightTurnsItOver {
        /// Metacentric height across, held upright, m.
        gm_transverse_m: f64,
        /// The same along, m.
        gm_longitudinal_m: f64,
    },
    /// It does not stay upright.
    UnstableUpright {
        /// Metacentric height across, held upright, m.
        gm_transverse_m: f64,
        /// The same along, m.
        gm_longitudinal_m: f64,
    },
    /// The craft fills through an opening at rest.
    SillUnderWater {
        /// Which.
        opening: String,
    },
    /// The scan's error could turn a verdict.
    ScanErrorAtTheLimit {
        /// Error of the surface, m, where it is stated.
        surface_error_m: Option<f64>,
        /// What that makes of freeboard, m.
        freeboard_error_m: f64,
        /// The openings that could be under the limit.
        openings: Vec<String>,
        /// The limit, m.
        limit_m: f64,
    },
    /// How bearings of a capsized craft are meant.
    BearingsOfCapsized,
    /// What following the water leaves out.
    QuasiStaticFlow,
    /// What flooding takes for granted.
    FloodedOpenToTheSea,
    /// Openings of which only a point or a line of the rim is known.
    RimHardlyKnown {
        /// They.
        openings: Vec<String>,
    },
    /// What foam is taken as.
    FoamStaysDry,
    /// How the water inside stands when foam is sized.
    FoamForLevelWater,
    /// What people in the water pull with.
    PullOfPeople {
        /// What each weighs unless told, kg.
        person_kg: f64,
    },
    /// Rules of flotation are for other craft.
    RulesAreBorrowed,
    /// Sums only, no strength.
    DiveIsSumsOnly,
    /// A craft heavier than its water.
    GoesDownEverFaster,
    /// Caught air and gas bags.
    AirCaughtNotCounted,
    /// Batteries under water.
    WetBattery,
    /// Cylinder tests.
    CylinderInTest,
    /// Foam that depth crushes.
    FoamCrushes {
        /// The thing.
        thing: String,
        /// Share of its volume that it loses.
        loses: f64,
        /// Where, m.
        depth_m: f64,
    },
    /// Densities of lead and of added foam.
    LeadAndFoamCounted,
    /// The craft is trimmed to lift.
    TrimmedToLift {
        /// By how much, kg.
        lift_kg: f64,
    },
    /// What trapped air leaves out.
    SlowFloodingOnly,
    /// How the inside is taken.
    InsideBetweenOuterFaces,
    /// Spaces that no way leads to.
    NoWayIn {
        /// They.
        spaces: Vec<String>,
    },
    /// Spaces that do not flood.
    StaysDry {
        /// They.
        spaces: Vec<String>,
    },
    /// Boats with nobody marked as a person, of several.
    NobodyMarkedIn {
        /// They.
        boats: Vec<String>,
    },
    /// Tape marks hold for one load and water.
    MarksForThisLoad {
        /// The load, kg.
        mass_kg: f64,
        /// The water, kg/m³.
        water_density_kg_m3: f64,
    },
    /// How to lay a tape.
    LayTheTapeStraight,
    /// What a free place for a hole means.
    FreeOfStillWaterOnly,
    /// What sealed means.
    SealedMeansForGood,
    /// One loading condition was looked at.
    OneConditionOnly,
}

/// Heads in one state.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct HeadsThen {
    /// Which state.
    pub when: When,
    /// The heads.
    pub heads: Vec<HeadLine>,
}

/// A state of the craft.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum When {
    /// At rest, dry.
    AtRest,
    /// As the water that came in leaves it.
    AsItEnds,
    /// With some compartments open to the sea.
    Flooded {
        /// Which, as the case is named.
        case: String,
        /// Before it sinks; else as it ends.
        before_it_sinks: bool,
    },
    /// Afloat before it is dived.
    DryAfloat,
    /// Afloat with water loose inside.
    Filling {
        /// How much, m³.
        water_inside_m3: f64,
    },
    /// Flooded and held with the water at a height on the z axis.
    FloodedHeld {
        /// Which, m; `None` where the water misses that axis.
        waterline_height_m: Option<f64>,
    },
    /// Wholly under.
    Dived,
}

/// What a study leaves out of a boat that marks nobody as a person.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LeftOut {
    /// Heads, moves off centre and leaving.
    Everything,
    /// Moves to an edge and edge loads.
    EdgeLoads,
    /// Heads.
    Heads,
    /// Leaving a swamped craft.
    Leaving,
    /// Divers and heads at the surface.
    Divers,
}

/// What becomes of things without a volume.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum WithoutVolume {
    /// They hang under water outside the hull and displace nothing.
    HangsOutside,
    /// They displace nothing when the craft fills.
    WhenFilled,
    /// They displace nothing.
    Always,
    /// They displace nothing full of water and dived.
    FullAndDived,
    /// They displace nothing dived.
    Dived,
}

impl Caution {
    /// Those that go with what is done with an answer, in the order they are told. Common
    /// practice, no source.
    pub const USUAL: [Self; 14] = [
        Self::CalmWaterOnly,
        Self::FirstFloat,
        Self::ColdWater,
        Self::DrainBeforeLifting,
        Self::FixBallast,
        Self::Electrics,
        Self::Propeller,
        Self::Lead,
        Self::ResinAndDust,
        Self::ResinOnPolyethylene,
        Self::NoClearanceToDive,
        Self::OverheadAndSilt,
        Self::VentGasBags,
        Self::Authorities,
    ];

    /// About things without a volume; `None` where there are none.
    pub(in crate::study) fn without_volume<'a>(
        things: impl IntoIterator<Item = &'a str>,
        taken: WithoutVolume,
    ) -> Option<Self> {
        let things: Vec<String> = things.into_iter().map(str::to_owned).collect();
        (!things.is_empty()).then_some(Self::WithoutVolume { things, taken })
    }
}

/// Whose head or mouth is under water in which state.
pub(in crate::study) fn under_water<'a>(
    states: impl IntoIterator<Item = (When, &'a [HeadLine])>,
) -> Option<Caution> {
    let states = states.into_iter().filter_map(|(when, heads)| {
        let low = heads.iter().filter(|line| line.mouth_m < 0.0);
        let heads: Vec<HeadLine> = low.cloned().collect();
        (!heads.is_empty()).then_some(HeadsThen { when, heads })
    });
    let states: Vec<HeadsThen> = states.collect();
    (!states.is_empty()).then_some(Caution::HeadUnderWater {
        states,
        mouth_under_top_m: MOUTH_UNDER_TOP_M,
    })
}

/// What a boat file that marks nobody as a person leaves out.
pub(in crate::study) fn nobody_marked(boat: &Boat, left_out: LeftOut) -> Option<Caution> {
    let nobody = boat.persons().next().is_none();
    nobody.then_some(Caution::NobodyMarked { left_out })
}

/// Those aboard whose volume is not given and who can get wet; `spread_kg` is what the
/// weight in water may be off by, where that is told.
pub(in crate::study) fn of_waters_density(boat: &Boat, spread_kg: Option<f64>) -> Option<Caution> {
    let people = boat.persons().filter(|entry| entry.is_of_waters_density());
    let persons: Vec<String> = people
        .filter(|entry| entry.dry_in.is_none())
        .map(|entry| entry.name.clone())
        .collect();
    (!persons.is_empty()).then_some(Caution::PersonsOfWatersDensity {
        persons,
        density_within: DENSITY_WITHIN,
        weight_in_water_spread_kg: spread_kg,
    })
}

impl From<&LeftOpen> for Caution {
    fn from(open: &LeftOpen) -> Self {
        match open {
            LeftOpen::Plug { drain } => Self::PlugNotStated {
                drain: drain.clone(),
            },
            LeftOpen::Mass { part } => Self::PartWithoutMass { part: part.clone() },
        }
    }
}

/// Things as dense as this count as lead, kg/m³; no other metal that is used as
/// ballast is (steel 7850: Gere, Mechanics of Materials, 5th edition, table H-1; lead 11340,
/// from memory).
pub(crate) const LEAD_FROM_KG_M3: f64 = 10_000.0;

/// Whether some of what is aboard is lead.
fn has_lead(boat: &Boat) -> bool {
    let is_lead = |entry: &MassEntry| {
        let density = entry.solid_m3.map(|volume| entry.mass_kg / volume);
        density.is_some_and(|density| density >= LEAD_FROM_KG_M3)
    };
    boat.masses.iter().any(is_lead)
}

impl Caution {
    /// That panels run out past the hull's own skin; `None` where none of them does.
    pub(in crate::study) fn of_panels<'a>(
        panels: impl Iterator<Item = &'a PanelLine>,
    ) -> Option<Self> {
        let mut parts: Vec<String> = Vec::new();
        for name in panels.flat_map(|panel| &panel.past_skin) {
            if !parts.contains(name) {
                parts.push(name.clone());
            }
        }
        (!parts.is_empty()).then_some(Self::PanelPastSkin { parts })
    }
}

/// What is done with an answer, which is what it can hurt in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::study) enum Doing {
    /// Getting in and floating.
    Floating,
    /// Putting weights aboard.
    Loading,
    /// Letting it fill.
    Flooding,
    /// Cutting, glassing.
    Building,
    /// Going under with it.
    Diving,
}

impl Doing {
    /// The cautions that go with it.
    pub(in crate::study) fn cautions(self, boat: &Boat) -> impl Iterator<Item = Caution> {
        // Only what is stuck to a hull can peel off it.
        let is_built_on = boat.parts.iter().any(|part| part.role != Role::Cover);
        let goes = move |caution: &Caution| match caution {
            Caution::CalmWaterOnly | Caution::Authorities => true,
            Caution::FirstFloat => matches!(self, Self::Floating | Self::Loading | Self::Flooding),
            Caution::ColdWater | Caution::DrainBeforeLifting => self == Self::Flooding,
            Caution::FixBallast => matches!(self, Self::Loading | Self::Diving),
            Caution::Electrics | Caution::Propeller => self == Self::Loading,
            Caution::Lead => self == Self::Diving || self == Self::Loading && has_lead(boat),
            Caution::ResinAndDust => self == Self::Building,
            Caution::ResinOnPolyethylene => self == Self::Building && is_built_on,
            _ => self == Self::Diving,
        };
        Caution::USUAL.into_iter().filter(goes)
    }
}

/// A study's own cautions, then those about what the boat file leaves open, then those
/// that go with what is done with its answer.
pub(in crate::study) fn with_usual(own: Vec<Caution>, boat: &Boat, doing: Doing) -> Vec<Caution> {
    let left_open = boat.left_open.iter().map(Caution::from);
    let all = own.into_iter().chain(left_open);
    all.chain(doing.cautions(boat)).collect()
}
