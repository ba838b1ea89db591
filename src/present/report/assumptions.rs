//! What the page takes for granted, in sentences.
use super::super::cautions::cautions;
use super::super::margins::{about, yardstick};
use super::super::say::Say;
use super::super::yardsticks::yardsticks;
use crate::quantity::{Metric, UnitSystem};
use crate::study::{Assumption, ReportResult};

pub(super) fn assumptions(result: &ReportResult, units: UnitSystem) -> Vec<String> {
    let all = result.assumptions.iter();
    all.flat_map(|one| in_words(one, result, units)).collect()
}

fn in_words(assumption: &Assumption, result: &ReportResult, units: UnitSystem) -> Vec<String> {
    let say = Say(units);
    let density = |kg_m3, decimals| say.of(kg_m3, Metric::KilogramPerCubicMetre, decimals);
    vec![match assumption {
        Assumption::Water(density_kg_m3, about) => {
            format!(
                "Water of {} ({}).",
                density(*density_kg_m3, 1),
                about.in_units(units)
            )
        }
        Assumption::Openings { open, closed } => format!(
            "Open: {}. Closed watertight: {}.",
            listed(open, "none"),
            listed(closed, "none")
        ),
        Assumption::WithoutSpread([some, all]) => format!(
            "{some} of {all} masses have no stated ±; they are taken as exact where bands are given."
        ),
        Assumption::SurfaceWithin(error_m) => format!(
            "The surface lies within {} of the true one, as stated.",
            say.mm(*error_m)
        ),
        Assumption::NoScanError { would_be } => {
            let would_be = would_be.map_or_else(String::new, |[error_m, mass_kg]| {
                format!(
                    " {} all over would be ± {} of what it carries.",
                    say.mm(error_m),
                    say.kg(
                        mass_kg,
                        match mass_kg {
                            kg if kg < 1.0 => 2,
                            kg if kg < 10.0 => 1,
                            _ => 0,
                        }
                    )
                )
            });
            format!("The mesh is taken as the hull: no error of the scan is stated.{would_be}")
        }
        Assumption::PushedUnder {
            under_m,
            held_s,
            discharge_coefficient,
        } => format!(
            "The craft is pushed under by {} for {held_s:.0} s; water runs in with a discharge coefficient of {discharge_coefficient} (sharp edges, ISO 13550).",
            say.mm(*under_m)
        ),
        Assumption::FullOfWater {
            overboard,
            pull_kg,
            foam_kg_m3,
        } => format!(
            "Full of water: overboard is {}; {} of people hanging on pull at the middle of the craft (2/15 of their weight by 33 CFR 183.105; their mass and place ours, no source); foam of {}.",
            listed(overboard, "nobody"),
            say.kg(*pull_kg, 1),
            density(*foam_kg_m3, 0)
        ),
        Assumption::WithoutVolume(things) => format!(
            "No volume or density is given for {}: under water they displace nothing.",
            things.join(", ")
        ),
        Assumption::Yardstick(yardstick) => {
            let told = yardsticks(std::slice::from_ref(yardstick), units);
            format!("Yardstick, {}.", told.concat())
        }
        Assumption::YardsticksOfMargins => {
            let lines = result.margins.iter().flat_map(|study| &study.verdicts);
            return lines
                .map(|line| {
                    let name = about(line, units);
                    format!("Yardstick, {name}: {}.", yardstick(line, units))
                })
                .collect();
        }
        Assumption::LeftOpen(caution) => {
            return cautions(std::slice::from_ref(caution), units);
        }
    }]
}

fn listed(names: &[String], none: &str) -> String {
    if names.is_empty() {
        none.to_owned()
    } else {
        names.join(", ")
    }
}
