//! What a dived result says in words: its cautions and its summary.
use super::super::cautions::CAUTIONS;
use super::super::heads::{nobody_marked, of_waters_density, under_water};
use super::{
    CylinderState, DiveOptions, DiveResult, EndPiece, Hangs, Material, StateGap, WANTED_LIFT_KG,
    WayState,
};
use crate::boat::{Boat, GivesWay};

/// Share of its volume past which foam that is squeezed is doubted.
const FOAM_LOST_SHARE: f64 = 0.1;

/// Heel from which ballast on one line is said to leave some, deg.
const NOTICED_HEEL_DEG: f64 = 0.1;

/// What no number about a dived craft covers. Common practice, no source.
const DIVE_CAUTIONS: [&str; 5] = [
    "These are sums of weight and volume, not a clearance to dive: no strength of hull, housing, \
     foam or hatch is looked at, and no rule was found that covers a craft of this kind.",
    "A craft heavier than its water goes down ever faster as gas and foam shrink: trim it \
     slightly buoyant, with lead that can be let go by one hand, and try it shallow, on a line, \
     with a support diver and own reserve air. Never hold your breath.",
    "Air caught under decks is not counted here: it lifts, shrinks on the way down and shifts with \
     every tilt. See awash trapped. Gas in bags and suits grows on the way up and may run away \
     with the craft.",
    "A battery that the water reaches can short, burn or give off gas that bursts its box: test \
     the box under water without the cells, vent it before closing, open it slowly and not over \
     your face.",
    "Cylinder and valve need their test in date; the tool takes the pressure as written, at 20 °C.",
];

pub(super) fn cautions(boat: &Boat, options: &DiveOptions, result: &DiveResult) -> Vec<String> {
    let mut cautions: Vec<String> = DIVE_CAUTIONS.iter().map(|&text| text.to_owned()).collect();
    if !result.without_volume.is_empty() {
        cautions.push(format!(
            "The file gives no volume and no density for {}: counted as displacing nothing, so the craft weighs less under water than said here. Weigh each in water, or give the density of its material.",
            result.without_volume.join(", ")
        ));
    }
    let so = format!(
        ", so every weight in water of the craft, and the lead, may be {:.1} kg off either way",
        result.weight_in_water_spread_kg
    );
    cautions.extend(of_waters_density(boat, &so));
    let afloat = result
        .way_down
        .iter()
        .filter(|line| line.state != WayState::Dived);
    // The first of each kind in which a head goes under: after it they all do.
    let mut told: Vec<WayState> = Vec::new();
    let first: Vec<_> = afloat
        .filter(|line| {
            let is_under = line.heads.iter().any(|head| head.mouth_m < 0.0);
            let is_new = is_under && !told.contains(&line.state);
            told.extend(is_new.then_some(line.state));
            is_new
        })
        .map(|line| (line.in_words(), line.heads.as_slice()))
        .collect();
    cautions.extend(under_water(first));
    cautions.extend(nobody_marked(
        boat,
        "a diver aboard is weighed like any other thing, and no head is looked for at the surface",
    ));
    let deepest = options
        .depths_m
        .iter()
        .fold(options.depth_m, |a, b| a.max(*b));
    let over_pa = boat.water.pressure_over_surface_pa(deepest);
    for entry in boat.masses.iter().filter(|entry| entry.dry_in.is_none()) {
        if let GivesWay::Stiff { .. } = entry.under_water.gives_way
            && let (Some(surface), Some(there)) = (entry.solid_m3, entry.volume_at_m3(over_pa))
            && there < (1.0 - FOAM_LOST_SHARE) * surface
        {
            cautions.push(format!(
                "{} loses {:.0} % of its volume at {deepest:.0} m by its stiffness: foam crushes for good before that; ask its maker how deep it may go.",
                entry.name,
                100.0 * (1.0 - there / surface)
            ));
        }
    }
    cautions.push(
        "Lead is counted at 11 340 kg/m³, foam that is added as not squeezed by depth.".to_owned(),
    );
    if options.buoyant_kg.to_bits() == WANTED_LIFT_KG.to_bits() {
        cautions.push(format!(
            "Unless told otherwise the craft is trimmed to lift {WANTED_LIFT_KG:.1} kg, so that it comes up by itself (ours, no source)."
        ));
    }
    cautions.extend(CAUTIONS.iter().map(|&text| text.to_owned()));
    cautions
}

fn amount_of(piece: &EndPiece) -> String {
    match piece.material {
        Material::Lead => format!("{:.1} kg of lead", piece.mass_kg),
        Material::Foam => format!("{:.1} L of foam", piece.volume_m3 * 1e3),
        Material::Nothing => "nothing".to_owned(),
    }
}

pub(super) fn summary(result: &DiveResult) -> String {
    let weight = result.hangs.weight_in_water_kg;
    let spread = result.weight_in_water_spread_kg;
    let band = if spread > 0.0 {
        format!(" ± {spread:.1}")
    } else {
        String::new()
    };
    let either_way = if weight.abs() < spread {
        " (persons' volumes are not known: it may do either)"
    } else {
        ""
    };
    let as_is = if weight >= 0.0 {
        format!("Flooded and under, it weighs {weight:.1}{band} kg and sinks{either_way}.")
    } else {
        format!(
            "Flooded and under, it lifts {:.1}{band} kg and comes up{either_way}.",
            -weight
        )
    };
    let balance = &result.balance;
    let wanted = if balance.wanted_lift_kg > 0.0 {
        format!("{:.1} kg of lift", balance.wanted_lift_kg)
    } else {
        "neutral".to_owned()
    };
    let place = |at: [f64; 3]| format!("x = {:.2} m, y = {:.2} m", at[0], at[1]);
    let lead = match (balance.material, balance.at_m) {
        (Material::Nothing, _) | (_, None) => format!(" It is {wanted} as it is."),
        (material, Some(at)) => {
            let amount = if material == Material::Lead {
                format!("{:.1} kg of lead", balance.mass_kg)
            } else {
                format!("{:.1} L of foam", balance.volume_m3 * 1e3)
            };
            if balance.levels {
                format!(
                    " For {wanted} and level it needs {amount} at {}.",
                    place(at)
                )
            } else {
                let ends = balance.ends.as_ref().map_or_else(String::new, |ends| {
                    let [first, last] = ends.each_ref().map(amount_of);
                    format!(
                        " {first} at x = {:.2} m and {last} at x = {:.2} m level it fore and aft{}.",
                        ends[0].at_m[0],
                        ends[1].at_m[0],
                        heel_left(balance.hangs_with_ends.as_ref())
                    )
                });
                format!(
                    " For {wanted} it needs {amount}, but no place offered makes it level in one piece.{ends}"
                )
            }
        }
    };
    let gaps: Vec<String> = result.gaps.iter().map(|gap| gap_in_words(*gap)).collect();
    let gap = format!(
        " CB then lies {} ({:.0} mm asked for).",
        gaps.join(", "),
        result.least_gap_m * 1e3
    );
    let weakest = result.weakest.map_or_else(String::new, |number| {
        let line = &result.way_down[number];
        let strength = if line.turns_over() {
            "it turns over".to_owned()
        } else {
            format!("{:.1} N m a degree", line.righting_transverse_n_m)
        };
        format!(" Weakest on the way down: {}, {strength}.", line.in_words())
    });
    let unknown = if result.without_volume.is_empty() {
        String::new()
    } else {
        format!(
            " NOT KNOWN: the volume of {}; counted as none, so it really weighs less in the water.",
            result.without_volume.join(", ")
        )
    };
    format!("{as_is}{lead}{gap}{weakest}{unknown}")
}

/// "52 mm over CG with full cylinders".
fn gap_in_words(gap: StateGap) -> String {
    let state = match gap.cylinders {
        Some(CylinderState::Full) => " with full cylinders",
        Some(CylinderState::Reserve) => " with cylinders down to the reserve",
        None => "",
    };
    let side = if gap.gap_m >= 0.0 { "over" } else { "UNDER" };
    format!("{:.0} mm {side} CG{state}", gap.gap_m.abs() * 1e3)
}

/// The heel that ballast in two pieces on one line leaves, where it is noticed.
fn heel_left(hangs: Option<&Hangs>) -> String {
    match hangs.and_then(|hangs| hangs.heel_deg) {
        Some(heel) if heel.abs() >= NOTICED_HEEL_DEG => {
            format!(" and leave a heel of {heel:.1}°")
        }
        _ => String::new(),
    }
}
