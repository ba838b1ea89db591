//! What to be wary of, in sentences.
use super::say::Say;
use crate::quantity::{Metric, UnitSystem};
use crate::study::{Caution, HeadLine, HeadsThen, LEAD_KG_M3, LeftOut, When, WithoutVolume};

/// Cautions in sentences.
#[must_use]
pub fn cautions(all: &[Caution], units: UnitSystem) -> Vec<String> {
    all.iter().map(|caution| in_words(caution, units)).collect()
}

fn in_words(caution: &Caution, units: UnitSystem) -> String {
    use Caution as C;
    let say = Say(units);
    match caution {
        C::CalmWaterOnly => {
            "Calm, still water only: no waves, speed, wind or strength is in these numbers.".into()
        }
        C::FirstFloat => "First float waist-deep with a helper in the water, a line on the craft and a life jacket worn; never strap in.".into(),
        C::NoClearanceToDive => "Nothing here clears a craft for diving: shallow first, a support diver, own reserve air, never hold your breath.".into(),
        C::ColdWater => "Cold water takes breath and grip within minutes: dress for a swim, and have someone ashore who watches.".into(),
        C::DrainBeforeLifting => "A hull with water in it weighs many times its own: drain it before you lift or tow it.".into(),
        C::FixBallast => "Fix ballast so that it cannot slide and can be let go.".into(),
        C::Electrics => "Fuse each battery at its terminal and switch it off before you touch the wiring; charge ashore, away from people. Batteries give off gas: vent before closing. A lithium fire cannot be put out by covering it: get away from it.".into(),
        C::Propeller => "Guard the propeller, wear the kill cord, and disconnect the motor before any hand goes near it.".into(),
        C::Lead => "Lead is poisonous: gloves on, no grinding or melting indoors, wash before you eat.".into(),
        C::ResinAndDust => "Resin and solvents burn skin, lungs and workshops: gloves, air, a respirator that fits, no flame. Wear a dust mask and goggles to cut or sand laminate.".into(),
        C::OverheadAndSilt => "Keep a free way up: nothing overhead, no line to foul, and stirred silt hides both.".into(),
        C::VentGasBags => "Gas in bags and suits grows on the way up: a bag needs a dump valve in reach, and must never lift you.".into(),
        C::Authorities => "A motor usually makes a craft registrable: ask the boating and diving authorities and whoever owns the water. Local rules and licensed practice come first.".into(),
        C::PanelPastSkin { parts } => format!(
            "The panel runs out into {}, as if the hull's skin were cut away behind it. Where that skin stays, cut the panel along the hull's inside, as the template of the boat without that part has it.",
            parts.join(", ")
        ),
        C::ResinOnPolyethylene => "Resin bonds poorly to polyethylene: a wall stuck to it may peel, and its sill goes with it.".into(),
        C::PlugNotStated { drain } => format!(
            "drain \"{drain}\": the boat file does not say whether its plug is in; it is taken as out, so that water comes in there: write plug = \"in\" or plug = \"out\"."
        ),
        C::PartWithoutMass { part } => format!(
            "part \"{part}\" has no mass, skin, laminate or foam: it is counted as weightless."
        ),
        C::HeadUnderWater {
            states,
            mouth_under_top_m,
        } => heads_under_water(states, *mouth_under_top_m, say),
        C::NobodyMarked { left_out } => nobody_marked(*left_out),
        C::PersonsOfWatersDensity {
            persons,
            density_within,
            weight_in_water_spread_kg,
        } => of_waters_density(persons, *density_within, *weight_in_water_spread_kg, say),
        C::WithoutVolume { things, taken } => without_volume(&things.join(", "), *taken),
        C::WeightTurnsItOver {
            gm_transverse_m,
            gm_longitudinal_m,
        } => {
            let [across, along] = [gm_transverse_m, gm_longitudinal_m].map(|gm| say.m(*gm, 3));
            format!("Weight off the middle turns it over: held upright its metacentric height is {across} across, {along} along, but that does not bring it back. Bring the weights to the middle.")
        }
        C::UnstableUpright {
            gm_transverse_m,
            gm_longitudinal_m,
        } => {
            let [across, along] = [gm_transverse_m, gm_longitudinal_m].map(|gm| say.m(*gm, 3));
            format!("Held upright it is unstable: metacentric height across {across}, along {along}. Lower the weights or widen the waterplane.")
        }
        C::SillUnderWater { opening } => format!(
            "{opening}: the sill is under water at rest; the craft fills through it."
        ),
        C::ScanErrorAtTheLimit {
            surface_error_m,
            freeboard_error_m,
            openings,
            limit_m,
        } => {
            let surface = surface_error_m.map(|m| format!(" of ± {}", say.tenths_of_mm(m)));
            let [error, limit] = [freeboard_error_m, limit_m].map(|m| say.mm(*m));
            format!(
                "The scan's error{} is ± {error} of freeboard: {} could be under the limit of {limit}.",
                surface.unwrap_or_default(),
                openings.join(", ")
            )
        }
        C::BearingsOfCapsized => "Bearings of this capsized craft are those of someone who looks down on it with its bow ahead: port is on the left as it lies.".into(),
        C::QuasiStaticFlow => "The flow is quasi-static: no waves, no splash, no speed of sinking, no air held inside on the way; how it ends is found with air kept too, and the worse counts. Skins without a place of their own are spread evenly over the inside.".into(),
        C::FloodedOpenToTheSea => "Each flooded space is open to the water outside; what stands in it keeps its volume. Nobody moves. Air kept follows Boyle's law at one temperature, in rooms that leak nowhere: never rely on it.".into(),
        C::RimHardlyKnown { openings } => format!(
            "Of {} only a point or a line of the rim is known.",
            openings.join(", ")
        ),
        C::FoamStaysDry => "Foam is taken as dry closed cells that fill the space to its walls and stay there: soaked, loose or crushed foam holds up less. Swamped, still water, no trapped air.".into(),
        C::FoamForLevelWater => "The foam is sized with the water inside level with the water outside, as a hole low down or an open drain lets it stand. Without one the water stays in up to the rim and the craft lies deeper. The figure that fits the openings of the boat file comes first, then the other.".into(),
        C::PullOfPeople { person_kg } => format!(
            "People in the water are taken to pull with 2/15 of their weight (33 CFR 183.105). That each weighs {} unless told, and that they pull at the middle of the craft, is ours, no source.",
            say.kg(*person_kg, 0)
        ),
        C::RulesAreBorrowed => "The rules are borrowed: canoes, kayaks and craft that dive are outside of them.".into(),
        C::DiveIsSumsOnly => "These are sums of weight and volume, not a clearance to dive: no strength of hull, housing, foam or hatch is looked at, and no rule was found that covers a craft of this kind.".into(),
        C::GoesDownEverFaster => "A craft heavier than its water goes down ever faster as gas and foam shrink: trim it slightly buoyant, with lead that can be let go by one hand, and try it shallow, on a line, with a support diver and own reserve air. Never hold your breath.".into(),
        C::AirCaughtNotCounted => "Air caught under decks is not counted here: it lifts, shrinks on the way down and shifts with every tilt. See awash trapped. Gas in bags and suits grows on the way up and may run away with the craft.".into(),
        C::WetBattery => "A battery that the water reaches can short, burn or give off gas that bursts its box: test the box under water without the cells, vent it before closing, open it slowly and not over your face.".into(),
        C::CylinderInTest => "Cylinder and valve need their test in date; the tool takes the pressure as written, at 20 °C.".into(),
        C::FoamCrushes {
            thing,
            loses,
            depth_m,
        } => format!(
            "{thing} loses {:.0} % of its volume at {} by its stiffness: foam crushes for good before that; ask its maker how deep it may go.",
            100.0 * loses,
            say.m(*depth_m, 0)
        ),
        C::LeadAndFoamCounted => format!(
            "Lead is counted at {} (handbooks, from memory), foam that is added as not squeezed by depth.",
            say.density(LEAD_KG_M3)
        ),
        C::TrimmedToLift { lift_kg } => format!(
            "Unless told otherwise the craft is trimmed to lift {}, so that it comes up by itself (ours, no source).",
            say.kg(*lift_kg, 1)
        ),
        C::SlowFloodingOnly => "Slow flooding in still water at one attitude: a tilt on the way down lets air out or catches more, and air that is caught shrinks with depth and grows on the way up. Things inside, ribs and folds in the skin that the mesh does not show catch more.".into(),
        C::InsideBetweenOuterFaces => "The inside is taken between the outer faces of the skin, with the skin's volume spread over it; an opening of fewer than three rim points counts at those points only.".into(),
        C::NoWayIn { spaces } => format!(
            "All or a part of {} has no way in: no open opening and no passage leads there, so no water gets in and it counts neither as caught air nor as kept water. If water does get in, give its opening; if none does, say `sealed = true`.",
            spaces.join(", ")
        ),
        C::StaysDry { spaces } => format!(
            "{} does not flood and is not counted here; its air is in awash dive.",
            spaces.join(", ")
        ),
        C::NobodyMarkedIn { boats } => format!(
            "In {} no item is marked `person = true`: full of water everything stays aboard, and nobody is moved off centre.",
            boats.join(", ")
        ),
        C::MarksForThisLoad {
            mass_kg,
            water_density_kg_m3,
        } => format!(
            "The marks hold for this load ({}), everything in its place, no water inside, and still water of {}: another load, someone moving or salt water moves them.",
            say.kg(*mass_kg, 1),
            say.of(*water_density_kg_m3, Metric::KilogramPerCubicMetre, 0)
        ),
        C::LayTheTapeStraight => "Lay the tape straight up the skin, square to the boat's length: a tape that leans fore or aft reads long. If the half-girth by tape is not the one given, hull and mesh differ there: believe the hull.".into(),
        C::FreeOfStillWaterOnly => "Free means only that still water does not reach a hole there in these cases: waves, wash, a knock or a heavier load do. Strength, what lies behind the skin, and foam or a compartment that a hole would open are not looked at.".into(),
        C::SealedMeansForGood => "Sealed means a fitting that holds water out for good: a through-hull, a gland, a bolted cover on a gasket. A plug that can fall out is an opening.".into(),
        C::OneConditionOnly => "One loading condition only: give every load that the craft will carry (boat.toml#name, several at once), the heaviest and the most lopsided first of all.".into(),
    }
}

/// Bodies by breath, kg/m³; ours.
const BODIES_KG_M3: [f64; 2] = [945.0, 1028.0];

fn heads_under_water(states: &[HeadsThen], mouth_under_top_m: f64, say: Say) -> String {
    let told: Vec<String> = states.iter().map(|then| heads_then(then, say)).collect();
    format!(
        "HEAD UNDER WATER, everyone sitting as the file has them: {}. `head` of an item says how high its top is over `at`; the mouth is taken {} lower (ours, no source).",
        told.join("; "),
        say.m(mouth_under_top_m, 2)
    )
}

fn nobody_marked(left_out: LeftOut) -> String {
    format!(
        "No item is marked `person = true`: {}.",
        match left_out {
            LeftOut::Everything =>
                "no head is held against the water, nobody is moved off centre, and nobody leaves when it swamps",
            LeftOut::EdgeLoads => "nobody is moved to an edge, and no edge load is given",
            LeftOut::Heads => "no head is held against the water",
            LeftOut::Leaving =>
                "nobody leaves the craft when it swamps unless `--overboard` says so, and one person is counted as hanging on unless `--people` says so",
            LeftOut::Divers =>
                "a diver aboard is weighed like any other thing, and no head is looked for at the surface",
        }
    )
}

fn of_waters_density(
    persons: &[String],
    density_within: f64,
    weight_in_water_spread_kg: Option<f64>,
    say: Say,
) -> String {
    let so = weight_in_water_spread_kg.map_or_else(String::new, |kg| {
        format!(
            ", so every weight in water of the craft, and the lead, may be {} off either way",
            say.kg(kg, 1)
        )
    });
    format!(
        "No volume is given for {}: taken as of the water's density ± {:.0} % (ours: bodies are {} by breath, suits not counted){so}.",
        persons.join(", "),
        density_within * 100.0,
        say.within(&BODIES_KG_M3, " to ", Metric::KilogramPerCubicMetre, 0)
    )
}

fn without_volume(things: &str, taken: WithoutVolume) -> String {
    match taken {
        WithoutVolume::HangsOutside => format!(
            "Under water outside the hull, without a volume or density in the boat file: {things}. They are counted as displacing nothing, so the craft floats higher than this; give `volume` and `size`."
        ),
        WithoutVolume::WhenFilled => format!(
            "No volume or density is given for {things}: they are taken to displace nothing when the craft fills."
        ),
        WithoutVolume::Always => format!(
            "No volume or density is given for {things}: they are taken to displace nothing."
        ),
        WithoutVolume::FullAndDived => format!(
            "No volume or density is given for {things}: full of water and dived they are taken to displace nothing."
        ),
        WithoutVolume::Dived => format!(
            "The file gives no volume and no density for {things}: counted as displacing nothing, so the craft weighs less under water than said here. Weigh each in water, or give the density of its material."
        ),
    }
}

fn heads_then(then: &HeadsThen, say: Say) -> String {
    let heads: Vec<String> = then.heads.iter().map(|line| head(line, say)).collect();
    format!("{} {}", when(&then.when, say), heads.join(", "))
}

fn head(line: &HeadLine, say: Say) -> String {
    let (what, under_m) = if line.head_m < 0.0 {
        ("head", -line.head_m)
    } else {
        ("mouth", -line.mouth_m)
    };
    format!("the {what} of {} is {} under", line.person, say.mm(under_m))
}

/// A state of the craft, in words.
pub(super) fn when(when: &When, say: Say) -> String {
    match when {
        When::AtRest => "at rest".to_owned(),
        When::AsItEnds => "as it ends".to_owned(),
        When::Flooded {
            case,
            before_it_sinks,
        } => format!(
            "with {case} flooded, {}",
            if *before_it_sinks {
                "before it sinks"
            } else {
                "as it ends"
            }
        ),
        When::DryAfloat => "dry, afloat".to_owned(),
        When::Filling { water_inside_m3 } => {
            format!(
                "afloat with {} loose inside",
                // Tenths under ten litres: models.
                say.litres(*water_inside_m3, usize::from(*water_inside_m3 < 0.01))
            )
        }
        When::FloodedHeld { waterline_height_m } => format!(
            "flooded, held with the water at z = {}",
            waterline_height_m.map_or_else(String::new, |z| say.mm(z))
        ),
        When::Dived => "dived".to_owned(),
    }
}
