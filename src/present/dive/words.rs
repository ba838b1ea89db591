//! What a dived result says in words.
use super::super::cautions::when;
use super::super::say::Say;
use crate::quantity::{Metric, UnitSystem};
use crate::study::{CylinderState, DiveResult, EndPiece, Hangs, Material, StateGap, WayLine};

/// Heel from which ballast on one line is said to leave some, deg.
const NOTICED_HEEL_DEG: f64 = 0.1;

fn amount(material: Material, mass_kg: f64, volume_m3: f64, say: Say) -> String {
    match material {
        Material::Lead => format!("{} of lead", say.kg(mass_kg, 1)),
        Material::Foam => format!("{} of foam", say.litres(volume_m3, 1)),
        Material::Nothing => "nothing".to_owned(),
    }
}

pub(in crate::present) fn summary(result: &DiveResult, units: UnitSystem) -> String {
    let say = Say(units);
    let as_is = as_it_is(result, say);
    let lead = lead_it_needs(result, say);
    let full = result.full_when_trimmed_for_less();
    let full = full.map_or_else(String::new, |full| {
        let kg = full.weight_in_water_kg;
        let does = if kg >= 0.0 { "sinks" } else { "lifts" };
        format!(
            " That is for cylinders down to the reserve; with full ones it {does} {}.",
            say.kg(kg.abs(), 1)
        )
    });
    let deeper = result.sinks_from_m.map_or_else(String::new, |depth_m| {
        format!(
            " From {} down it sinks all the same: what is soft shrinks.",
            say.m(depth_m, 1)
        )
    });
    let gaps: Vec<String> = result
        .gaps
        .iter()
        .map(|gap| gap_in_words(*gap, result.least_gap_m, say))
        .collect();
    let gap = format!(
        " CB then lies {} ({} asked for).",
        gaps.join(", "),
        say.limit(result.least_gap_m, Metric::Millimetre)
    );
    let weakest = result
        .weakest
        .map_or_else(String::new, |number| weakest(&result.way_down[number], say));
    let unknown = if result.without_volume.is_empty() {
        String::new()
    } else {
        format!(
            " NOT KNOWN: the volume of {}; counted as none, so it really weighs less in the water.",
            result.without_volume.join(", ")
        )
    };
    format!("{as_is}{lead}{full}{deeper}{gap}{weakest}{unknown}")
}

/// What it does flooded and under as it is.
fn as_it_is(result: &DiveResult, say: Say) -> String {
    let weight = result.hangs.weight_in_water_kg;
    let spread = result.weight_in_water_spread_kg;
    let amount = if spread > 0.0 {
        say.within(&[weight.abs(), spread], " ± ", Metric::Kilogram, 1)
    } else {
        say.kg(weight.abs(), 1)
    };
    let either_way = if weight.abs() < spread {
        " (persons' volumes are not known: it may do either)"
    } else {
        ""
    };
    if weight >= 0.0 {
        format!("Flooded and under, it weighs {amount} and sinks{either_way}.")
    } else {
        format!("Flooded and under, it lifts {amount} and comes up{either_way}.")
    }
}

/// The lead or foam that trims it, and where.
fn lead_it_needs(result: &DiveResult, say: Say) -> String {
    let balance = &result.balance;
    let wanted = if balance.wanted_lift_kg > 0.0 {
        format!("{} of lift", say.kg(balance.wanted_lift_kg, 1))
    } else {
        "neutral".to_owned()
    };
    let (material, at) = match (balance.material, balance.at_m) {
        (Material::Nothing, _) | (_, None) => return format!(" It is {wanted} as it is."),
        (material, Some(at)) => (material, at),
    };
    let needed = amount(material, balance.mass_kg, balance.volume_m3, say);
    if balance.levels {
        return format!(
            " For {wanted} and level it needs {needed} at x = {}, y = {}.",
            say.m(at[0], 2),
            say.m(at[1], 2)
        );
    }
    let piece = |end: &EndPiece| amount(end.material, end.mass_kg, end.volume_m3, say);
    let ends = balance.ends.as_ref().map_or_else(String::new, |ends| {
        let [first, last] = ends.each_ref().map(piece);
        format!(
            " {first} at x = {} and {last} at x = {} level it fore and aft{}.",
            say.m(ends[0].at_m[0], 2),
            say.m(ends[1].at_m[0], 2),
            heel_left(balance.hangs_with_ends.as_ref())
        )
    });
    format!(
        " For {wanted} it needs {needed}, but no place offered makes it level in one piece.{ends}"
    )
}

/// The state on the way down in which it comes back least.
fn weakest(line: &WayLine, say: Say) -> String {
    let strength = if line.turns_over() {
        "it turns over".to_owned()
    } else {
        format!(
            "{} a degree",
            say.of(line.righting_transverse_n_m, Metric::NewtonMetre, 1)
        )
    };
    format!(
        " Weakest on the way down: {}, {strength}.",
        when(&line.when(), say)
    )
}

/// "52 mm over CG with full cylinders".
fn gap_in_words(gap: StateGap, least_m: f64, say: Say) -> String {
    let state = match gap.cylinders {
        Some(CylinderState::Full) => " with full cylinders",
        Some(CylinderState::Reserve) => " with cylinders down to the reserve",
        None => "",
    };
    let side = if gap.gap_m >= 0.0 { "over" } else { "UNDER" };
    // Under CG every limit is missed.
    let limits = [0.0, if gap.gap_m < 0.0 { 0.0 } else { least_m }];
    let height = say.mm_beside(gap.gap_m.abs(), &limits);
    format!("{height} {side} CG{state}")
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
