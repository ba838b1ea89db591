//! What the lists mean, in sentences.
use super::super::foam::bounds_of;
use super::super::say::Say;
use super::super::{dive, foam};
use crate::quantity::UnitSystem;
use crate::study::{
    CylinderState, FOAM_UP_TO_KG_M3, LEAD_FROM_KG_M3, ListKind, ListLine, ListResult, ProposedBy,
    ProposedFor, ProposedLine,
};

pub(super) fn summary(result: &ListResult, units: UnitSystem) -> String {
    let proposed = match &result.proposed_by {
        ProposedBy::Nothing | ProposedBy::NoFoam(_) => String::new(),
        ProposedBy::Dive(dived) => dive::summary(dived, units),
        ProposedBy::Foam(swamped) => foam::summary(swamped, units),
    };
    let aboard = aboard(result.kind, result.total.as_ref(), Say(units));
    [aboard, proposed].join(" ").trim().to_owned()
}

fn aboard(kind: ListKind, total: Option<&ListLine>, say: Say) -> String {
    let what = match kind {
        ListKind::Weights => "",
        ListKind::Lead => " of lead",
        ListKind::Foam => " of foam",
    };
    match (total, total.and_then(|total| total.volume_m3)) {
        (Some(total), Some(volume)) if kind != ListKind::Weights => format!(
            "{} ({}){what} aboard.",
            say.kg(total.mass_kg, 1),
            say.litres(volume, 1)
        ),
        (Some(total), _) => format!("{}{what} in all.", say.kg(total.mass_kg, 1)),
        (None, _) => format!("Nothing{what} is aboard."),
    }
}

/// What a line is proposed for.
pub(super) fn proposed_for(line: &ProposedLine, units: UnitSystem) -> String {
    match &line.proposed_for {
        ProposedFor::Dived {
            water,
            cylinders,
            depth_m,
        } => {
            let water = water.as_deref().unwrap_or("the boat file's water");
            let state = match cylinders {
                Some(CylinderState::Full) => ", cylinders full",
                Some(CylinderState::Reserve) => ", cylinders at reserve",
                None => "",
            };
            format!("{water}{state}, {} deep", Say(units).m(*depth_m, 0))
        }
        ProposedFor::Swamped { place, faces } => {
            format!("{place}: {}", bounds_of(faces, units))
        }
    }
}

/// How the numbers are meant.
pub(super) fn notes(result: &ListResult, units: UnitSystem) -> Vec<String> {
    let say = Say(units);
    let mut notes = vec![
        "Places are of the centre of each: aft of the foremost point of the hull, off the middle line, over the hull's lowest point; along and square to the base line, not on the craft's trim.".to_owned(),
    ];
    match result.kind {
        ListKind::Weights => {}
        ListKind::Lead => {
            notes.push(format!(
                "What is as dense as lead ({} and more) counts as lead aboard.",
                say.density(LEAD_FROM_KG_M3)
            ));
            notes.push("Proposed: one piece on the centre line that lets the dived craft lift half a kilogram and come up by itself (ours, no source), on top of what is aboard; each line is a water, a state of the cylinders and a depth of its own. NO: in that place the craft lifts as much but is not level; the place that would level it lies past the end of the hull. For a rail, a lift or another depth: awash dive.".to_owned());
        }
        ListKind::Foam => {
            notes.push(format!(
                "What is as light as foam ({} and less) and not sealed counts as foam aboard.",
                say.density(FOAM_UP_TO_KG_M3)
            ));
            notes.push(format!(
                "Proposed: each line is one way that by itself keeps the rim of the largest opening {} above the water when swamped, on top of what is aboard. NO: even full to there it does not stay that high. For another height, opening or foam: awash foam.",
                say.mm(crate::study::FoamWish::default().freeboard_m)
            ));
        }
    }
    if !result.sheets.is_empty() {
        notes.push("Sheets to cut: length and width are what each piece needs of a sheet. Cut along the face that holds the other, or a line round both, whose area is given, then bevel or hollow out to the other; where it lies against the hull, take the skin's thickness off. awash template --part NAME --sheet N draws both.".to_owned());
    }
    if let ProposedBy::NoFoam(why) = &result.proposed_by {
        notes.push(format!("Nothing is proposed: {why}."));
    }
    notes
}
