//! The table of a craft with its compartments flooded.
use super::slice::doubts;
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::{FloodedCase, FloodedResult};

impl Present for FloodedResult {
    fn sheet(&self, units: UnitSystem) -> Sheet {
        let volume = |value: f64| show(value, Dimension::Volume, units);
        let mut sheet = Sheet::titled(format!("{}: {}", self.name, self.summary));
        let rows = self
            .compartments
            .iter()
            .map(|space| {
                vec![
                    space.name.clone(),
                    volume(space.volume_m3),
                    volume(space.capacity_m3),
                    format!(
                        "{:.2} ± {:.2}",
                        space.permeability, space.permeability_spread
                    ),
                    if space.sealed { "sealed" } else { "" }.to_owned(),
                ]
            })
            .collect();
        sheet.heading("Compartments").grid(
            &[
                "compartment",
                "volume",
                "water can fill",
                "share beside contents (permeability)",
                "",
            ],
            rows,
        );
        let rows = self.cases.iter().map(|case| row(case, units)).collect();
        sheet.heading("Flooded, one by one and in pairs").grid(
            &[
                "flooded",
                "afloat",
                "heel",
                "pitch",
                "draught forward",
                "draught aft",
                "GM across",
                "lowest dry opening",
                "within the ±",
                "water goes on to",
            ],
            rows,
        );
        doubts(&mut sheet, &self.mesh_doubts);
        sheet.heading("Cautions").notes(&self.cautions);
        sheet
    }
}

fn row(case: &FloodedCase, units: UnitSystem) -> Vec<String> {
    let length = |value: f64| show(value, Dimension::Length, units);
    let angle = |value: f64| show(value, Dimension::Angle, units);
    let band = match (case.floats_in_band, case.sill_band_m) {
        ([true, true], [Some(low), Some(high)]) => format!("{} to {}", length(low), length(high)),
        ([true, true], _) => "afloat".to_owned(),
        ([false, false], _) => "sinks".to_owned(),
        _ => "MAY SINK".to_owned(),
    };
    let Some(rest) = &case.rest else {
        let mut cells = vec![case.name.clone(), "SINKS".to_owned()];
        cells.extend(std::iter::repeat_n(String::new(), 6));
        cells.extend([band, String::new()]);
        return cells;
    };
    vec![
        case.name.clone(),
        if rest.upright {
            "yes"
        } else {
            "on its side or end"
        }
        .to_owned(),
        angle(rest.heel_deg),
        angle(rest.pitch_deg),
        length(rest.draught_forward_m),
        length(rest.draught_aft_m),
        length(rest.gm_transverse_m),
        match (&rest.opening, rest.sill_m) {
            (Some(opening), Some(height)) => format!("{opening}, {}", length(height)),
            _ => "none".to_owned(),
        },
        band,
        rest.spreads_to.join(", "),
    ]
}
