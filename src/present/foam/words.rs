//! What foam does for a swamped craft, in sentences.
use super::super::say::Say;
use crate::quantity::{Metric, UnitSystem};
use crate::study::{
    END_UNDER_M, FlotationRule, FoamFace, FoamPlace, FoamResult, LEVEL_HEEL_DEG, RuleAbout,
    RuleGot, Swamped,
};

/// What foam does for the swamped craft.
pub(in crate::present) fn summary(result: &FoamResult, units: UnitSystem) -> String {
    let say = Say(units);
    let as_it_is = &result.as_it_is;
    let lies = if as_it_is.upright {
        "floats"
    } else {
        "floats ON ITS SIDE OR END"
    };
    let asked = [0.0, result.freeboard_m];
    let now = match as_it_is.rim_as_it_lies_m() {
        Some(rim) if rim < 0.0 => format!(
            "Swamped it {lies}, but the rim of {} is {} under water",
            result.opening,
            say.mm_beside(-rim, &asked[..1])
        ),
        Some(rim) => format!(
            "Swamped it {lies} with the rim of {} {} above the water{}",
            result.opening,
            say.mm_beside(rim, &asked),
            other_rim(as_it_is, &asked, say)
        ),
        None => {
            let litres = |m3: f64| say.some(m3, Metric::Litre, 0);
            let gone = if result.overboard.is_empty() {
                String::new()
            } else {
                format!(" and {} overboard", result.overboard.join(", "))
            };
            let all_aboard = if result.lacks_m3 > 0.0 {
                format!(
                    "full of water with all aboard it lacks {} of solid or sealed volume to stay up",
                    litres(result.lacks_m3)
                )
            } else {
                format!(
                    "with all aboard it would have {} to spare",
                    litres(-result.lacks_m3)
                )
            };
            format!(
                "Swamped IT SINKS: {all_aboard}; with people in the water pulling {}{gone} it lacks {} to stay up",
                say.kg(result.pull_kg, 0),
                litres(as_it_is.short_m3)
            )
        }
    };
    let now = now + &left_alone(result);
    let wanted = say.limit(result.freeboard_m, Metric::Millimetre);
    match result.places.iter().find(|place| place.reaches) {
        Some(place) if place.foam_m3 > 0.0 => {
            let rim = match place.swamped.rim_as_it_lies_m() {
                Some(rim) if !place.swamped.low_hole => say.mm(rim),
                _ => wanted,
            };
            format!(
                "{now}. {} of foam at {} ({}) keep the rim of {} {rim} above the water{}.",
                say.litres(place.foam_m3, 0),
                place.name,
                bounds(place, units),
                result.opening,
                other_rim(&place.swamped, &[], say)
            )
        }
        Some(_) => format!(
            "{now}. No foam is needed for {wanted} with the water inside level with the water outside."
        ),
        None => format!(
            "{now}. Foam inside is not enough to keep the rim of {} {wanted} above the water with the water inside level with the water outside: add sealed volume higher up or outside, or take mass out.",
            result.opening
        ),
    }
}

/// That a craft which lies upright while people hold on to it turns over without them.
fn left_alone(result: &FoamResult) -> String {
    let over = result.rules.iter().find_map(|rule| match rule.got {
        RuleGot::Lies { heel_deg, .. } if heel_deg.abs() > 90.0 => Some((rule, heel_deg)),
        _ => None,
    });
    match over.filter(|_| result.as_it_is.upright) {
        None => String::new(),
        Some((rule, heel_deg)) => {
            let lost = match rule.lost.as_slice() {
                [] => String::new(),
                lost => format!(" {} counted lost,", lost.join(" and ")),
            };
            format!(
                ". WITH NOBODY ABOARD or holding on,{lost} it TURNS OVER (heel {:.0}°)",
                heel_deg.abs()
            )
        }
    }
}

/// In what state the first figure of a rim holds, and the figure in the other.
fn other_rim(swamped: &Swamped, asked: &[f64], say: Say) -> String {
    let mm = |rim: f64| say.mm_beside(rim, asked);
    match (swamped.low_hole, swamped.rim_m, swamped.rim_no_low_hole_m) {
        (true, Some(_), Some(full)) => format!(
            " (water inside level with the water outside; {} if no hole low down lets it level out)",
            mm(full)
        ),
        (false, Some(level), Some(_)) => format!(
            " (full to the rim, since no hole low down is open; {} with the water inside level with the water outside)",
            mm(level)
        ),
        (_, Some(_), None) => " (water inside level with the water outside)".to_owned(),
        (_, None, _) => String::new(),
    }
}

/// Where the faces of the foam stand: "forward of x = 2.310 m".
pub(in crate::present) fn bounds(place: &FoamPlace, units: UnitSystem) -> String {
    bounds_of(&place.faces, units)
}

/// The same of some faces.
pub(in crate::present) fn bounds_of(faces: &[FoamFace], units: UnitSystem) -> String {
    let faces = faces.iter();
    let faces: Vec<String> = faces.map(|face| face_in_words(face, Say(units))).collect();
    faces.join(" and ")
}

/// "forward of x = 2.310 m".
fn face_in_words(face: &FoamFace, say: Say) -> String {
    let [x, y, z] = face.normal;
    let (side, axis, sign) = if x > 0.5 {
        ("forward of", 'x', 1.0)
    } else if x < -0.5 {
        ("aft of", 'x', -1.0)
    } else if y > 0.5 {
        ("to port of", 'y', 1.0)
    } else if y < -0.5 {
        ("to starboard of", 'y', -1.0)
    } else if z > 0.0 {
        ("above", 'z', 1.0)
    } else {
        ("below", 'z', -1.0)
    };
    format!("{side} {axis} = {}", say.m(sign * face.offset_m, 3))
}

/// What a rule is about.
pub(super) fn rule_name(rule: &FlotationRule) -> &'static str {
    match rule.about {
        RuleAbout::CarriesItsPeople => "carries its people when swamped",
        RuleAbout::LiesLevel => "lies level when swamped, nobody aboard",
    }
}

/// Where a rule comes from, and how it is taken here.
pub(super) fn rule_source(rule: &FlotationRule) -> &'static str {
    match rule.about {
        RuleAbout::CarriesItsPeople => {
            "borrowed from 33 CFR 183.105: 2/15 of the people's weight and a quarter of the dead weight, the two largest air chambers lost; by 183.112(b) air chambers must not be integral with the hull, so sealed spaces that have its skin as a wall count as lost too (foam in them counts as a part of `foam`); here everything but the people stays aboard at its full weight"
        }
        RuleAbout::LiesLevel => {
            "borrowed from 33 CFR 183.235: heel at most 10°, one end out of the water, the other at most 6 in under; here the highest point of each end, and the same air chambers lost"
        }
    }
}

/// What the craft does against a rule.
pub(super) fn rule_got(rule: &FlotationRule, units: UnitSystem) -> String {
    let say = Say(units);
    match rule.got {
        RuleGot::Sinks => "sinks".to_owned(),
        RuleGot::Carries { spare_kg, pull_kg } if spare_kg >= 0.0 => format!(
            "{} to spare with {} pulling",
            say.some(spare_kg, Metric::Kilogram, 0),
            say.kg(pull_kg, 0)
        ),
        RuleGot::Carries { spare_kg, pull_kg } => format!(
            "sinks: {} short with {} pulling",
            say.some(-spare_kg, Metric::Kilogram, 0),
            say.kg(pull_kg, 0)
        ),
        RuleGot::Lies {
            heel_deg,
            bow_m,
            stern_m,
        } => {
            let height = |name: &str, m: f64| {
                let side = if m >= 0.0 { "over" } else { "under" };
                // The rule's 6 in, and the water itself.
                let m = say.mm_beside(m.abs(), &[0.0, END_UNDER_M]);
                format!("{name} {m} {side} the water")
            };
            format!(
                "heel {}, {}, {}",
                say.angle_beside(heel_deg, &[LEVEL_HEEL_DEG]),
                height("bow", bow_m),
                height("stern", stern_m)
            )
        }
    }
}
